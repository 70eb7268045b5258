use super::*;
use crate::domain::kits::revision::{Promise, broken, in_force, moments, on_day, ring};
use crate::domain::kits::{compare, cost, where_used};
use crate::units::Money;

fn dated(mut bom: Bom, revision: &str, from: Option<&str>) -> Bom {
    bom.revision = revision.to_owned();
    bom.valid_from = from.map(day);
    bom
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn holds(all: &[Bom], on: &str, expected: Option<(&str, &str)>) {
    let found = in_force(all, day(on)).map(|it| (it.bom.revision.clone(), it.reason));
    assert_eq!(found, expected.map(|(a, b)| (a.to_owned(), b.to_owned())), "{on}");
}

#[test]
fn the_latest_day_up_to_the_order_s_counts_and_drafts_never() {
    let bag = || bom("BAG", Vec::new());
    let all = [
        dated(bag(), "C", None),
        dated(bag(), "B", Some("2026-06-01")),
        dated(bag(), "A", Some("2026-02-01")),
    ];
    let first = "the first one: it holds from 2026-02-01, and none was there before";
    holds(&all, "2026-01-31", Some(("A", first)));
    holds(&all, "2026-02-01", Some(("A", "holds since 2026-02-01")));
    holds(&all, "2026-05-31", Some(("A", "holds since 2026-02-01")));
    holds(&all, "2026-06-01", Some(("B", "holds since 2026-06-01")));
    holds(&all, "2036-06-01", Some(("B", "holds since 2026-06-01")));
    holds(&all[..1], "2036-06-01", None);
}

#[test]
fn a_ring_may_lie_in_a_day_to_come() {
    let call = |code: &str, called: &str| bom(code, vec![line(1, kit(called), 1)]);
    let all = [
        dated(call("A", "B"), "A", Some("2026-01-01")),
        dated(bom("B", Vec::new()), "A", Some("2026-01-01")),
        dated(call("B", "A"), "B", Some("2027-01-01")),
    ];
    let rings = |all: &[Bom]| -> Vec<String> {
        moments(all).iter().filter_map(|it| ring(it, "A")).map(|it| it.to_string()).collect()
    };
    assert_eq!(rings(&all), ["kits call for each other in a ring: A > B > A"]);
    assert_eq!(rings(&all[..2]), Vec::<String>::new());
}

#[test]
fn a_promise_breaks_only_where_what_holds_for_it_changes() {
    let bag =
        |nuts| making(bom("BAG", vec![line(1, BomItem::PartNumber(number(8)), nuts)]), number(7));
    let before = vec![bom("BIKE", vec![line(1, part("Bag"), 1)]), bag(2)];
    let promise = Promise {
        code: "BIKE".to_owned(),
        revision: "A".to_owned(),
        day: day("2026-05-01"),
        made: [number(7)].into(),
        kits: 3,
    };
    let words = |after: &[Bom]| -> Vec<String> {
        broken(&before, after, std::slice::from_ref(&promise)).iter().map(|it| it.words()).collect()
    };
    let with = |bom: Bom| [before.clone(), vec![bom]].concat();
    assert_eq!(words(&with(dated(bag(3), "B", Some("2026-05-02")))), Vec::<String>::new());
    assert_eq!(words(&with(dated(bag(3), "B", None))), Vec::<String>::new());
    assert_eq!(
        words(&with(dated(bag(3), "B", Some("2026-05-01")))),
        ["revision B would take the place of revision A of BAG in 3 kits promised already: let \
          it hold from 2026-05-02 or later"]
    );
    assert_eq!(
        words(&[before[0].clone(), bag(3)]),
        ["revision A of BAG is promised to 3 kits: give the changed bill a revision of its own \
          and a date from which it holds"]
    );
    assert_eq!(words(&[dated(before[0].clone(), "A", None), bag(2)]).len(), 1);
}

#[test]
fn a_part_is_found_all_levels_up_with_its_options() {
    let bills = bike();
    let uses = |of: usize| -> Vec<String> {
        let words = |it: crate::domain::kits::Use| {
            let when: Vec<String> = it
                .when
                .iter()
                .map(|(name, values)| {
                    format!("{name}={}", values.iter().cloned().collect::<Vec<_>>().join("|"))
                })
                .collect();
            format!("{}:{} x{} {}", it.path.join(">"), it.line, it.quantity, when.join(";"))
        };
        where_used(&bills, &variants(), &number(of)).into_iter().map(words).collect()
    };
    // Eight bolts to a bag, four bags to a ski, one ski in front and three behind.
    assert_eq!(uses(8), ["BIKE>SKI>BAG:10 x32 ", "BIKE>SKI>BAG:10 x96 "]);
    assert_eq!(uses(3), ["BIKE>SKI:10 x1 "]);
    assert_eq!(uses(4), ["BIKE>SKI:10 x3 "]);
    assert_eq!(uses(2), ["BIKE:10 x1 size=L"]);
    assert_eq!(uses(9), ["BIKE:40 x2 size=L"]);
    assert_eq!(uses(5), Vec::<String>::new());
}

#[test]
fn two_revisions_differ_field_by_field() {
    let old = bike()["BIKE"].clone();
    let mut new = old.clone();
    new.lines[0].quantity = Quantity::new(2);
    new.lines.pop();
    new.lines.push(line(50, kit("SKI"), 1));
    new.options[0].values.push("XL".to_owned());
    let step = |title: &str| Step {
        number: 3,
        title: title.to_owned(),
        check: String::new(),
        caution: String::new(),
    };
    new.steps.push(step("Ride"));
    let words: Vec<String> = compare(&old, &new)
        .into_iter()
        .map(|it| format!("{} {}: {} > {}", it.of, it.field, it.from, it.to))
        .collect();
    assert_eq!(
        words,
        [
            "option size values: M|L > M|L|XL",
            "step 3 :  > Ride",
            "line 10 quantity: 1 > 2",
            "line 40 : 2 × AB0094 at step 0, only where size=L > ",
            "line 50 :  > 1 × SKI at step 0",
        ]
    );
    assert_eq!(compare(&old, &old), []);
}

#[test]
fn costs_roll_up_level_by_level_with_both_sums() {
    let cents = |count, cents| (number(count), Money::from_cents(cents));
    let costs = [cents(1, 10_000), cents(3, 500), cents(4, 600), cents(7, 90), cents(8, 10)];
    let found =
        cost(&bike(), "BIKE", &chosen(&[("size", "M")]), &variants(), &costs.into()).unwrap();
    // The catalogue states 90 for a bag whose eight bolts cost 80.
    assert_eq!(found.stated.cents(), 10_000 + 500 + 4 * 90 + 3 * 600 + 12 * 90);
    assert_eq!(found.parts.cents(), 10_000 + 500 + 4 * 80 + 3 * 600 + 12 * 80);
    let rows: Vec<String> = found
        .nodes
        .iter()
        .map(|it| {
            let name = it.code.clone().unwrap_or_default();
            format!(
                "{} {name} x{} {} {}",
                it.level,
                it.quantity,
                it.stated.cents(),
                it.parts.cents()
            )
        })
        .collect();
    assert_eq!(
        rows,
        [
            "0  x1 10000 10000",
            "0 SKI x1 860 820",
            "1  x1 500 500",
            "1 BAG x4 360 320",
            "2  x32 320 320",
            "0 SKI x1 2880 2760",
            "1  x3 1800 1800",
            "1 BAG x12 1080 960",
            "2  x96 960 960",
        ]
    );
}

#[test]
fn bills_of_one_day_are_those_that_hold() {
    let all = [
        dated(bom("A", Vec::new()), "A", Some("2026-01-01")),
        dated(bom("A", Vec::new()), "B", Some("2026-03-01")),
        dated(bom("B", Vec::new()), "A", None),
    ];
    let bills = on_day(&all, day("2026-03-01"));
    let found: Vec<_> = bills.values().map(|it| format!("{} {}", it.code, it.revision)).collect();
    assert_eq!(found, ["A B"]);
}
