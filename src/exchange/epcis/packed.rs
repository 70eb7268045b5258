use std::collections::BTreeMap;

use crate::units::Quantity;

use super::tell::Item;

/// One thing that happened to a carton, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// Movement `id` put pieces in.
    In(i64, Item, Quantity),
    /// Movement `id` took pieces out.
    Out(i64, Item, Quantity),
    /// The seal of that number was put on.
    Sealed(i64),
}

/// What is to be told of a carton: what it gained with each seal, by the seal's number, and what
/// each movement took out that had been told, by the movement's number.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Story {
    /// Pieces that a seal shut in and no earlier one had.
    pub shut_in: BTreeMap<i64, BTreeMap<Item, Quantity>>,
    /// Pieces that came out after a seal had shut them in.
    pub came_out: BTreeMap<i64, (Item, Quantity)>,
}

/// Returns what is to be told of a carton, from all that happened to it.
///
/// Others are told of a carton when it is sealed, not of each hand's reach into it: pieces that
/// went in and out again before are nobody's matter.
pub fn story(changes: &[Change]) -> Story {
    let mut story = Story::default();
    let mut inside: BTreeMap<Item, Quantity> = BTreeMap::new();
    let mut told = inside.clone();
    for change in changes {
        match change {
            Change::In(_, item, quantity) => add(&mut inside, item, *quantity),
            Change::Out(id, item, quantity) => {
                add(&mut inside, item, Quantity::ZERO.less(*quantity));
                let known = told.get(item).copied().unwrap_or_default();
                let out = known.min(*quantity);
                if out.is_some() {
                    add(&mut told, item, Quantity::ZERO.less(out));
                    story.came_out.insert(*id, (item.clone(), out));
                }
            }
            Change::Sealed(id) => {
                let mut gained = BTreeMap::new();
                for (item, quantity) in &inside {
                    let known = told.get(item).copied().unwrap_or_default();
                    add(&mut gained, item, quantity.less(known));
                }
                story.shut_in.insert(*id, gained);
                told.clone_from(&inside);
            }
        }
    }
    story
}

fn add(to: &mut BTreeMap<Item, Quantity>, item: &Item, quantity: Quantity) {
    let sum = to.get(item).copied().unwrap_or_default().plus(quantity);
    if sum == Quantity::ZERO {
        to.remove(item);
    } else {
        to.insert(item.clone(), sum);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(lot: &str) -> Item {
        Item { part_number: "SK1074".into(), lot: Some(lot.into()), use_by: None, serial: None }
    }

    fn q(pieces: i64) -> Quantity {
        Quantity::new(pieces)
    }

    #[test]
    fn tells_what_a_seal_shut_in_and_what_came_out_after_it() {
        let (a, b) = (item("A"), item("B"));
        let told = story(&[
            Change::In(1, a.clone(), q(8)),
            Change::In(2, b.clone(), q(3)),
            Change::Out(3, b.clone(), q(3)),
            Change::Sealed(1),
            Change::Out(4, a.clone(), q(2)),
            Change::In(5, b.clone(), q(1)),
            Change::Out(6, b.clone(), q(1)),
            Change::In(7, b.clone(), q(4)),
            Change::Sealed(2),
        ]);
        assert_eq!(told.shut_in[&1], BTreeMap::from([(a.clone(), q(8))]));
        assert_eq!(told.shut_in[&2], BTreeMap::from([(b, q(4))]));
        assert_eq!(told.came_out, BTreeMap::from([(4, (a, q(2)))]));
    }
}
