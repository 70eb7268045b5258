//! The shop's worked example, and small shops at random against every possible set.

use chrono::NaiveDate;
use proptest::prelude::*;

use super::*;
use crate::domain::ids::VariantId;
use crate::units::Quantity;

const BUDGET: u64 = 100_000_000;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn today() -> NaiveDate {
    day("2026-11-25")
}

/// Names of the example's parts; a part's id is its place.
const PARTS: [&str; 17] = [
    "M-green", "S-black", "L-red", "M-black", "L-black", "S-green", "T15-M", "T12-M", "T12-S",
    "T15-L", "T12-L", "105", "95", "115", "T15", "T12", "pinch",
];

fn part(name: &str) -> VariantId {
    let at = PARTS.iter().position(|it| *it == name).unwrap();
    VariantId::from(i64::try_from(at).unwrap())
}

fn pool(amounts: &[i64]) -> Pool {
    PARTS.iter().zip(amounts).map(|(name, it)| (part(name), Quantity::new(*it))).collect()
}

/// Twelve orders: frame, fork, skis. The fork is cut for the frame's size; its lower bearing is 40
/// for T15 and 30 for T12; four pinch bolts each.
fn twelve() -> Vec<OpenOrder> {
    let lines = [
        "M-green T15 105",
        "M-green T12 95",
        "S-black T12 95",
        "M-green T15 105",
        "L-red T15 115",
        "M-black T12 105",
        "M-green T15 105",
        "L-black T12 105",
        "M-black T15 115",
        "S-green T12 95",
        "M-green T15 95",
        "L-red T15 105",
    ];
    let order = |(at, line): (u64, &&str)| {
        let words: Vec<&str> = line.split(' ').collect();
        let cut = format!("{}-{}", words[1], words[0].chars().next().unwrap());
        let needs = [words[0], &cut, words[2], words[1]].map(|it| (part(it), Quantity::ONE));
        let needs = needs.into_iter().chain([(part("pinch"), Quantity::new(4))]).collect();
        OpenOrder {
            promised_on: today() + chrono::Days::new(at),
            placed_on: day("2026-11-02"),
            class: 0,
            kits: 1,
            ways: vec![Way { needs, stand_ins: 0 }],
        }
    };
    (0..).zip(&lines).map(order).collect()
}

fn names(plan: &Plan) -> Vec<usize> {
    (0..plan.ways.len()).filter(|it| plan.leaves(*it)).map(|it| it + 1).collect()
}

#[test]
fn of_twelve_orders_six_leave_by_promise_and_seven_at_best() {
    let (orders, free) = (twelve(), pool(&[3, 4, 3, 3, 5, 3, 5, 5, 3, 5, 5, 4, 4, 3, 6, 1, 45]));
    let strict = promise_order(&orders, &free);
    assert_eq!(names(&strict), [1, 2, 4, 5, 9, 12]);
    let best = best_plan(&orders, &free, today(), BUDGET).unwrap();
    assert_eq!((best.kits, best.is_proved()), (AtMost { reached: 7, at_most: 7 }, true));
    assert_eq!(best.plan.kits(&orders), 7);
    assert!(best.plan.left(&orders, &free).values().all(|it| Quantity::ZERO <= *it));

    let found = relief(&orders, &free, &best.plan, &[1, 2], BUDGET).unwrap();
    let said: Vec<_> = found
        .iter()
        .map(|it| {
            let strict: Vec<i64> = it.more.iter().map(|it| it.strict).collect();
            let best: Vec<i64> = it.more.iter().map(|it| it.best.reached).collect();
            (it.variant, strict, best)
        })
        .collect();
    assert_eq!(said[0], (part("T12"), vec![7, 8, 9], vec![8, 9, 10]));
    assert_eq!(said[1].0, part("M-green"));
    assert_eq!(said[1].1, [7, 7]);
    assert_eq!(said.len(), 2, "all others free nothing: {said:?}");
}

#[test]
fn one_frame_more_lets_one_bike_fewer_leave_by_promise() {
    let (orders, free) = (twelve(), pool(&[3, 2, 2, 4, 2, 1, 3, 4, 2, 1, 2, 4, 6, 2, 4, 9, 38]));
    let kits = |free: &Pool| promise_order(&orders, free).kits(&orders);
    let best = |free: &Pool| best_plan(&orders, free, today(), BUDGET).unwrap().kits.reached;
    assert_eq!((kits(&free), best(&free)), (9, 9));
    let mut more = free.clone();
    more.insert(part("M-green"), Quantity::new(4));
    assert_eq!((kits(&more), best(&more)), (8, 9));
}

#[test]
fn overdue_promises_go_first_class_by_class_and_the_longest_wait_breaks_a_tie() {
    let one = |promised: &str, placed: &str, class: u8, pieces: i64| OpenOrder {
        promised_on: day(promised),
        placed_on: day(placed),
        class,
        kits: 1,
        ways: vec![Way { needs: [(part("pinch"), Quantity::new(pieces))].into(), stand_ins: 0 }],
    };
    let overdue = [one("2026-11-20", "2026-11-02", 1, 3), one("2026-11-24", "2026-11-02", 0, 2)];
    let later = [
        one("2026-12-01", "2026-11-10", 0, 1),
        one("2026-12-02", "2026-11-05", 0, 1),
        one("2026-12-03", "2026-11-20", 0, 1),
    ];
    let orders: Vec<OpenOrder> = overdue.into_iter().chain(later).collect();
    let leaves = |pieces: i64| {
        let free = [(part("pinch"), Quantity::new(pieces))].into();
        names(&best_plan(&orders, &free, today(), BUDGET).unwrap().plan)
    };
    // Two pieces serve the first class's overdue promise, though they would fill two other orders.
    assert_eq!(leaves(2), [2]);
    assert_eq!(leaves(3), [2, 4]);
    assert_eq!(leaves(4), [2, 3, 4]);
    assert_eq!(leaves(5), [1, 2]);
}

#[test]
fn a_stand_in_is_taken_only_where_it_lets_more_leave() {
    let way =
        |name: &str, stand_ins| Way { needs: [(part(name), Quantity::ONE)].into(), stand_ins };
    let order =
        |ways| OpenOrder { promised_on: today(), placed_on: today(), class: 0, kits: 1, ways };
    let plain = || order(vec![way("95", 0)]);
    let either = || order(vec![way("95", 0), way("105", 1)]);
    let free = |own: i64, other: i64| -> Pool {
        [(part("95"), Quantity::new(own)), (part("105"), Quantity::new(other))].into()
    };
    let ways = |orders: &[OpenOrder], free: &Pool| {
        best_plan(orders, free, today(), BUDGET).unwrap().plan.ways
    };
    assert_eq!(ways(&[either(), plain()], &free(2, 2)), [Some(0), Some(0)]);
    assert_eq!(ways(&[either(), plain()], &free(1, 1)), [Some(1), Some(0)]);
    assert_eq!(ways(&[either(), either()], &free(0, 1)).iter().flatten().count(), 1);
}

#[test]
fn a_new_order_is_promised_for_the_day_that_breaks_no_other_promise() {
    let supply = |number: &str, due: &str, pieces| Supply {
        purchase_order: number.to_owned(),
        variant: part("T12"),
        due_on: day(due),
        quantity: Quantity::new(pieces),
    };
    let claim = |on: &str, pieces| Claim {
        variant: part("T12"),
        on: day(on),
        quantity: Quantity::new(pieces),
    };
    let coming = [supply("PO-1", "2026-12-01", 2), supply("PO-2", "2026-12-10", 3)];
    let said = |free: i64, claims: &[Claim], needs: i64| {
        let free = [(part("T12"), Quantity::new(free))].into();
        let needs = [(part("T12"), Quantity::new(needs))].into();
        let arrives = [(part("T12"), day("2027-01-20"))].into();
        let promise = earliest(&needs, &free, claims, &coming, &arrives, today());
        let source = match &promise.parts[0].source {
            Source::Stock => "stock".to_owned(),
            Source::PurchaseOrder { number, overdue } => format!("{number} {overdue}"),
            Source::ToOrder => "to order".to_owned(),
        };
        (promise.on.unwrap().to_string(), source)
    };
    let is = |on: &str, source: &str| (on.to_owned(), source.to_owned());
    assert_eq!(said(1, &[], 1), is("2026-11-25", "stock"));
    // The piece in the house is promised to another, later one.
    assert_eq!(said(1, &[claim("2026-11-30", 1)], 1), is("2026-12-01", "PO-1 false"));
    // A later promise needs what comes before it, and the delivery after it is the new order's.
    assert_eq!(said(0, &[claim("2026-12-05", 2)], 1), is("2026-12-10", "PO-2 false"));
    assert_eq!(said(0, &[claim("2026-12-15", 5)], 1), is("2027-01-20", "to order"));
    assert_eq!(said(1, &[claim("2026-12-15", 4)], 2), is("2026-12-01", "PO-1 false"));
    assert_eq!(said(1, &[claim("2026-12-05", 2)], 2), is("2026-12-10", "PO-2 false"));
    let late = [supply("PO-3", "2026-11-20", 9)];
    let needs = [(part("T12"), Quantity::ONE)].into();
    let promise = earliest(&needs, &Pool::new(), &[], &late, &Default::default(), today());
    assert_eq!(promise.on, Some(day("2026-11-26")));
    let none = earliest(&needs, &Pool::new(), &[], &[], &Default::default(), today());
    assert_eq!((none.on, none.parts[0].on), (None, None));
}

/// Returns the best of all sets, by what counts, stage by stage.
fn by_hand(orders: &[OpenOrder], free: &Pool) -> (i64, i64, i64) {
    let sets = 0_u32..1 << orders.len();
    let worth = |set: u32| {
        let plan =
            Plan { ways: (0..orders.len()).map(|it| (set >> it & 1 == 1).then_some(0)).collect() };
        let kept = plan.left(orders, free).values().all(|it| Quantity::ZERO <= *it);
        let chosen = || orders.iter().enumerate().filter(|it| plan.leaves(it.0)).map(|it| it.1);
        let late = |it: &&OpenOrder| it.promised_on < today();
        let overdue = chosen().filter(late).map(|it| it.kits).sum();
        let days = chosen().map(|it| (today() - it.placed_on).num_days()).sum();
        kept.then_some((overdue, plan.kits(orders), days))
    };
    sets.filter_map(worth).max().unwrap()
}

proptest! {
    #[test]
    fn no_set_of_a_small_shop_is_better(
        stock in prop::collection::vec(0..9_i64, 5),
        wanted in prop::collection::vec(
            (prop::collection::vec(0..4_i64, 5), 1..4_i64, 0..20_u64, 0..8_u64), 0..11),
    ) {
        let orders: Vec<OpenOrder> = wanted.into_iter().map(|(needs, kits, placed, late)| {
            let needs = PARTS.iter().zip(needs)
                .filter(|it| 0 < it.1)
                .map(|(name, it)| (part(name), Quantity::new(it)))
                .collect();
            OpenOrder {
                promised_on: today() + chrono::Days::new(4) - chrono::Days::new(late),
                placed_on: today() - chrono::Days::new(placed),
                class: 0,
                kits,
                ways: vec![Way { needs, stand_ins: 0 }],
            }
        }).collect();
        let free = pool(&stock);
        let best = best_plan(&orders, &free, today(), BUDGET).unwrap();
        prop_assert!(best.is_proved());
        let overdue: i64 = best.overdue.iter().map(|it| it.1.reached).sum();
        prop_assert_eq!((overdue, best.kits.reached, best.days.reached), by_hand(&orders, &free));
        prop_assert_eq!(best.plan.kits(&orders), best.kits.reached);
        prop_assert!(best.plan.left(&orders, &free).values().all(|it| Quantity::ZERO <= *it));
    }
}
