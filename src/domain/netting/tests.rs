use proptest::prelude::*;

use super::*;
use crate::units::Quantity;

fn item(on_hand: i64, lead: usize, lot: LotRule) -> Item {
    Item { on_hand: Quantity::new(on_hand), lead, lot, ..Item::default() }
}

fn goes_into(parent: usize, part: usize, each: i64) -> Use {
    Use { parent, part, each: Quantity::new(each) }
}

fn need(part: usize, period: usize, pieces: i64) -> Need {
    Need { part, period, quantity: Quantity::new(pieces) }
}

fn orders(plan: &Plan) -> Vec<(usize, usize, usize, i64, usize)> {
    let of = |it: &PlannedOrder| (it.part, it.release, it.due, it.quantity.pieces(), it.late);
    plan.orders.iter().map(of).collect()
}

#[test]
fn a_bag_and_a_cut_fork_share_a_bolt_through_two_levels() {
    // 0 bag, 1 cut fork, 2 uncut fork, 3 bolt: the bag holds 8 bolts, the cut fork one fork and 2.
    let packs = LotRule::Packs { minimum: Quantity::new(50), pack: Quantity::new(20) };
    let mut bolt = item(30, 1, packs);
    bolt.safety = Quantity::new(10);
    bolt.receipts = vec![(2, Quantity::new(20)), (9, Quantity::new(500))];
    let items = [
        item(4, 1, LotRule::Periods(2)),
        item(0, 1, LotRule::LotForLot),
        item(1, 3, LotRule::LotForLot),
        bolt,
    ];
    let uses = [goes_into(0, 3, 8), goes_into(1, 2, 1), goes_into(1, 3, 2)];
    let needs = [need(0, 1, 3), need(0, 2, 3), need(0, 3, 5), need(1, 3, 2), need(3, 0, 1)];
    let plan = plan(5, &items, &uses, &needs).unwrap();
    assert_eq!(plan.levels, [0, 0, 1, 1]);
    assert_eq!(
        orders(&plan),
        [(0, 1, 2, 7, 0), (1, 2, 3, 2, 0), (2, 0, 2, 1, 1), (3, 0, 1, 60, 0),]
    );
    assert_eq!(plan.gross(3), [1, 56, 4, 0, 0]);
    assert_eq!(plan.ending(3), [29, 33, 49, 49, 49]);
    assert_eq!(plan.ending(0), [4, 1, 5, 0, 0]);
    assert!(plan.gross(4).is_empty());
}

#[test]
fn what_can_not_be_planned_is_said_in_words() {
    let items = [Item::default(), Item::default()];
    let said = |uses: &[Use], needs: &[Need]| plan(2, &items, uses, needs).unwrap_err().to_string();
    assert_eq!(
        said(&[goes_into(0, 1, 1), goes_into(1, 0, 1)], &[]),
        "part 0 goes into itself, directly or through others"
    );
    assert_eq!(said(&[goes_into(0, 2, 1)], &[]), "part 2 is named, and there are 2");
    assert_eq!(said(&[], &[need(0, 2, 1)]), "period 2 is named, and the plan has 2");
    assert_eq!(said(&[], &[need(0, 1, -1)]), "part 0: no quantity may be below zero");
    assert_eq!(
        said(&[goes_into(0, 1, i64::MAX)], &[need(0, 1, 2)]),
        "part 1 is wanted more often than can be counted"
    );
    assert!(matches!(plan(usize::MAX, &items, &[], &[]), Err(NettingError::TooLarge { .. })));
    assert!(add_up(&[3], &[1], &mut [0; 3]).is_err());
    assert!(add_up(&[0], &[], &mut [0; 3]).is_err());
    assert_eq!(lacking(&[5, 2, 7], &[3, 4]), [2, 0, 7]);
}

/// Parts go only into those with a lower number, so that none goes into itself.
fn any_shop() -> impl Strategy<Value = (Vec<Item>, Vec<Use>, Vec<Need>)> {
    let lot = prop_oneof![
        Just(LotRule::LotForLot),
        (0_i64..40, 1_i64..30).prop_map(|(minimum, pack)| LotRule::Packs {
            minimum: Quantity::new(minimum),
            pack: Quantity::new(pack)
        }),
        (1_usize..5).prop_map(LotRule::Periods),
    ];
    let receipts = prop::collection::vec((0_usize..8, (0_i64..40).prop_map(Quantity::new)), 0..3);
    let item = (0_i64..60, 0_i64..20, 0_usize..4, lot, receipts).prop_map(
        |(on_hand, safety, lead, lot, receipts)| Item {
            on_hand: Quantity::new(on_hand),
            safety: Quantity::new(safety),
            lead,
            lot,
            receipts,
        },
    );
    let uses = prop::collection::vec((0_usize..9, 1_usize..10, 1_i64..9), 0..20);
    let uses = uses.prop_map(|all| {
        let down = |(parent, part, each): (usize, usize, i64)| {
            (parent < part).then(|| goes_into(parent, part, each))
        };
        all.into_iter().filter_map(down).collect()
    });
    let needs = prop::collection::vec((0_usize..10, 0_usize..8, 0_i64..50), 0..30);
    let needs = needs.prop_map(|all| all.into_iter().map(|(a, b, c)| need(a, b, c)).collect());
    (prop::collection::vec(item, 10), uses, needs)
}

proptest! {
    #[test]
    fn nothing_is_lost_and_nothing_falls_below_its_safety((items, uses, needs) in any_shop()) {
        let plan = plan(8, &items, &uses, &needs).unwrap();
        for (part, item) in items.iter().enumerate() {
            let mut before = item.on_hand.pieces();
            for (period, (gross, ending)) in plan.gross(part).iter().zip(plan.ending(part)).enumerate() {
                let outside = needs.iter().filter(|it| (it.part, it.period) == (part, period));
                let inside = uses.iter().filter(|it| it.part == part).flat_map(|it| {
                    let made = plan.orders.iter();
                    let made = made.filter(|order| (order.part, order.release) == (it.parent, period));
                    made.map(|order| order.quantity.pieces() * it.each.pieces())
                });
                let wanted: i64 = outside.map(|it| it.quantity.pieces()).chain(inside).sum();
                prop_assert_eq!(*gross, wanted);
                let due = plan.orders.iter().filter(|it| (it.part, it.due) == (part, period));
                let came: i64 = due.map(|it| it.quantity.pieces()).sum();
                let coming = item.receipts.iter().filter(|it| it.0 == period);
                let coming: i64 = coming.map(|it| it.1.pieces()).sum();
                prop_assert_eq!(*ending, before + came + coming - gross);
                prop_assert!(item.safety.pieces() <= *ending);
                before = *ending;
            }
        }
        for order in &plan.orders {
            prop_assert_eq!(order.release + items[order.part].lead, order.due + order.late);
        }
    }

    #[test]
    fn one_level_adds_up_as_a_map_does(lines in prop::collection::vec((0_u32..20, 0_u32..100), 0..200)) {
        let (parts, quantities): (Vec<u32>, Vec<u32>) = lines.iter().copied().unzip();
        let mut sums = [0; 20];
        add_up(&parts, &quantities, &mut sums).unwrap();
        for (part, sum) in (0..).zip(sums) {
            let expected: i64 = lines.iter().filter(|it| it.0 == part).map(|it| i64::from(it.1)).sum();
            prop_assert_eq!(sum, expected);
        }
    }
}
