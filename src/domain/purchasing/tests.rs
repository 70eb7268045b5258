use chrono::NaiveDate;

use super::*;
use crate::domain::people::Role;
use crate::units::{Money, Quantity};

fn check_state(progress: (i64, i64, i64, bool), lines: &[(i64, i64, bool, bool)], expected: &str) {
    let (revision, approved, sent, cancelled) = progress;
    let lines: Vec<LineProgress> = lines
        .iter()
        .map(|&(ordered, received, closed, confirmed)| LineProgress {
            ordered: Quantity::new(ordered),
            received: Quantity::new(received),
            closed,
            confirmed,
        })
        .collect();
    let progress = Progress { revision, approved, sent, cancelled };
    assert_eq!(progress.state(&lines).as_str(), expected, "{progress:?} {lines:?}");
}

#[test]
fn an_order_stands_where_its_revisions_and_lines_say() {
    let open = (100, 0, false, false);
    check_state((1, 0, 0, false), &[open], "draft");
    check_state((1, 1, 0, false), &[open], "approved");
    check_state((1, 1, 1, false), &[open], "sent");
    check_state((2, 1, 1, false), &[open], "sent");
    check_state((1, 1, 1, false), &[(100, 0, false, true), open], "sent");
    check_state((1, 1, 1, false), &[(100, 0, false, true), (5, 0, true, false)], "confirmed");
    check_state((1, 1, 1, false), &[(100, 40, false, true)], "partly received");
    check_state((1, 1, 1, false), &[(100, 100, false, true), open], "partly received");
    check_state((1, 1, 1, false), &[(100, 103, false, true)], "received");
    check_state((1, 1, 1, false), &[(100, 40, true, true)], "closed short");
    check_state((1, 1, 1, true), &[open], "cancelled");
}

#[test]
fn an_edit_opens_the_next_revision_only_of_what_was_sent() {
    let check = |before: (i64, i64, i64), after: (i64, i64, i64)| {
        let (revision, approved, sent) = before;
        let it = Progress { revision, approved, sent, cancelled: false }.edited();
        assert_eq!((it.revision, it.approved, it.sent), after, "{before:?}");
    };
    check((1, 0, 0), (1, 0, 0));
    check((1, 1, 0), (1, 0, 0));
    check((1, 1, 1), (2, 1, 1));
    check((2, 1, 1), (2, 1, 1));
    check((2, 2, 1), (2, 1, 1));
    check((2, 2, 2), (3, 2, 2));
}

#[test]
fn a_second_person_approves_up_to_the_limit_and_the_owner_whatever() {
    let base = Approval {
        role: Role::Buyer,
        own_work: false,
        value: Some(Money::from_cents(50_000)),
        limit: Some(Money::from_cents(50_000)),
        minimum: Money::ZERO,
        below_minimum_agreed: false,
        lines: 1,
    };
    let check = |it: Approval, expected: &str| {
        assert_eq!(check_approval(&it).map_or_else(|fault| fault.code(), |()| "yes"), expected);
    };
    let dear = Some(Money::from_cents(50_001));
    let owner = Approval { role: Role::Owner, own_work: true, ..base };
    check(base, "yes");
    check(Approval { value: dear, ..base }, "purchasing.above_limit");
    check(Approval { value: dear, limit: None, ..base }, "yes");
    check(Approval { own_work: true, ..base }, "purchasing.own_work");
    check(Approval { value: None, ..base }, "purchasing.value_unknown");
    check(Approval { value: dear, ..owner }, "yes");
    check(Approval { value: None, ..owner }, "yes");
    check(Approval { lines: 0, ..owner }, "purchasing.no_lines");
    let small = Approval { minimum: Money::from_cents(50_001), ..base };
    check(small, "purchasing.below_minimum");
    check(Approval { below_minimum_agreed: true, ..small }, "yes");
    check(Approval { minimum: Money::from_cents(50_000), ..base }, "yes");
}

#[test]
fn quantities_are_whole_packs_from_the_least_on() {
    let check = |quantity: i64, expected: &str| {
        let terms = (Quantity::new(100), Quantity::new(250));
        let answer = check_quantity("SK1074", Quantity::new(quantity), terms);
        assert_eq!(answer.map_or_else(|fault| fault.to_string(), |()| "yes".to_owned()), expected);
    };
    check(0, "SK1074: order 1 piece or more");
    check(150, "SK1074: 150 is no whole number of packs of 100: order 300");
    check(200, "SK1074: 200 is below what the supplier sells at once: order 300");
    check(300, "yes");
    check(350, "SK1074: 350 is no whole number of packs of 100: order 400");
    check(10_000_100, "SK1074: a line holds 10000000 pieces at most");
}

#[test]
fn only_what_has_not_come_is_changed() {
    let line = |received: i64, closed: bool| LineProgress {
        ordered: Quantity::new(500),
        received: Quantity::new(received),
        closed,
        confirmed: false,
    };
    let (old, new) = (UnitPrice::each(Money::from_cents(17)), Money::from_cents(12));
    let check = |line: LineProgress, quantity: i64, price: UnitPrice, expected: &str| {
        let edit = Edit { quantity: Quantity::new(quantity), price };
        let answer = check_edit("SK1074", &line, old, &edit);
        assert_eq!(answer.map_or_else(|fault| fault.code(), |()| "yes"), expected);
    };
    check(line(0, false), 100, UnitPrice::each(new), "yes");
    check(line(200, false), 200, old, "yes");
    check(line(200, false), 199, old, "purchasing.has_come");
    check(line(200, false), 900, UnitPrice::each(new), "purchasing.price_has_come");
    check(line(0, true), 900, old, "purchasing.line_closed");
}

#[test]
fn a_price_is_said_for_as_few_pieces_as_whole_cents_allow() {
    let check = |per_thousand: i64, words: &str, of_seven: i64| {
        let price = UnitPrice::per_thousand(Money::from_cents(per_thousand));
        assert_eq!(price.to_string(), words);
        assert_eq!(price.cost(Quantity::new(7)), Some(Money::from_cents(of_seven)));
    };
    check(17_000, "0.17", 119);
    check(10_500, "1.05 for 10", 74);
    check(10_540, "10.54 for 100", 74);
    check(10_541, "105.41 for 1000", 74);
    check(0, "0.00", 0);
    let most = UnitPrice::each(Money::from_cents(i64::MAX));
    assert_eq!(most.cost(Quantity::new(2)), None);
}

#[test]
fn a_line_is_late_promised_late_or_unconfirmed() {
    let day = |it: u32| NaiveDate::from_ymd_opt(2026, 11, it).expect("a day");
    let check = |expected: u32, promised: Option<u32>, today: u32, answer: Option<Lateness>| {
        let it = Waiting {
            expected_on: day(expected),
            promised_on: promised.map(day),
            sent_on: day(10),
        };
        assert_eq!(lateness(&it, day(today)), answer);
    };
    check(20, None, 13, None);
    check(20, None, 14, Some(Lateness::Unconfirmed { days: 4 }));
    check(20, None, 21, Some(Lateness::Late { days: 1 }));
    check(20, Some(20), 14, None);
    check(20, Some(25), 14, Some(Lateness::PromisedLate { days: 5 }));
    check(20, Some(25), 25, Some(Lateness::PromisedLate { days: 5 }));
    check(20, Some(25), 26, Some(Lateness::Late { days: 1 }));
    check(20, Some(18), 19, Some(Lateness::Late { days: 1 }));
}
