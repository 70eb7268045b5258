use std::collections::BTreeMap;

use proptest::prelude::*;

use super::{Node, Passage, Spot, Traced, follow};
use crate::domain::stock::PlaceKind;
use crate::units::Quantity;

fn lot(id: i64) -> Traced {
    Traced::Lot(id.into())
}

fn bin(pieces: i64) -> Spot {
    Spot { kind: PlaceKind::Bin, place: "A".into(), kit: None, pieces: Quantity::new(pieces) }
}

fn passage(made: i64, each: i64, inside: i64, sole: bool) -> Passage {
    Passage {
        run: format!("RN{made}"),
        made: vec![lot(made)],
        each: Quantity::new(each),
        inside: Quantity::new(inside),
        sole,
    }
}

#[test]
fn what_went_through_a_run_with_several_lots_is_certain_nowhere() {
    let nodes = BTreeMap::from([
        (lot(1), Node { spots: vec![bin(5)], passages: vec![passage(2, 4, 6, false)] }),
        (lot(2), Node { spots: vec![bin(3)], passages: vec![passage(3, 1, 2, true)] }),
        (lot(3), Node { spots: vec![bin(2)], passages: Vec::new() }),
    ]);
    let found: Vec<_> = follow(lot(1), &nodes)
        .into_iter()
        .map(|it| (it.pieces.pieces(), it.certain, it.through.join(" ")))
        .collect();
    assert_eq!(
        found,
        [(5, true, String::new()), (12, false, "RN2".into()), (8, false, "RN2 RN3".into())]
    );
}

#[test]
fn a_book_that_says_a_lot_is_inside_of_itself_does_not_hang() {
    let nodes = BTreeMap::from([
        (lot(1), Node { spots: vec![bin(1)], passages: vec![passage(2, 1, 1, true)] }),
        (lot(2), Node { spots: vec![bin(1)], passages: vec![passage(1, 1, 1, true)] }),
    ]);
    assert_eq!(follow(lot(1), &nodes).len(), 2);
}

proptest! {
    /// Makes levels of bags from one lot, by the rules of a bench that uses no other lot, and looks
    /// for all pieces of it.
    #[test]
    fn every_piece_is_found_once(
        kept in 0_i64..50,
        runs in prop::collection::vec((1_i64..5, 1_i64..9, 0_i64..9), 0..6),
        outer in 1_i64..4,
    ) {
        let mut nodes = BTreeMap::new();
        let (mut passages, mut total) = (Vec::new(), kept);
        for (at, (each, bags, boxed)) in (2_i64..).step_by(2).zip(&runs) {
            let boxed = boxed.min(bags) / outer * outer;
            let boxes = boxed / outer;
            passages.push(passage(at, *each, each * bags, true));
            total += each * bags;
            let inner = if boxes == 0 { vec![] } else { vec![passage(at + 1, outer, boxed, true)] };
            nodes.insert(lot(at), Node { spots: vec![bin(bags - boxed)], passages: inner });
            nodes.insert(lot(at + 1), Node { spots: vec![bin(boxes)], passages: vec![] });
        }
        nodes.insert(lot(1), Node { spots: vec![bin(kept)], passages });
        let found: Quantity = follow(lot(1), &nodes).iter().map(|it| it.pieces).sum();
        prop_assert_eq!(found, Quantity::new(total));
    }
}
