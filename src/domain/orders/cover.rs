use chrono::NaiveDate;

use crate::domain::ids::{KitLineId, VariantId};
use crate::units::Quantity;

use super::Shortage;

/// Pieces of one variant still to come on one line of a purchase order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incoming {
    /// The purchase order's number.
    pub purchase_order: String,
    /// The day they are due.
    pub due_on: NaiveDate,
    /// The variant.
    pub variant: VariantId,
    /// How many are still to come.
    pub quantity: Quantity,
}

/// The delivery with which a shortage ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Delivery {
    /// The purchase order's number.
    pub purchase_order: String,
    /// The day it is due.
    pub due_on: NaiveDate,
}

/// What is on its way for one shortage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cover {
    /// The kit line that is short.
    pub line: KitLineId,
    /// The delivery that brings its last missing piece, or `None` if orders don't reach that far.
    pub ends_with: Option<Delivery>,
    /// How many pieces no open purchase order covers.
    pub uncovered: Quantity,
}

/// Returns, for each shortage in its order, which open purchase order ends it.
///
/// A piece on its way serves one shortage only: the first in the list, from the earliest delivery.
pub fn cover(shortages: &[Shortage], incoming: &[Incoming]) -> Vec<Cover> {
    let mut coming = incoming.to_vec();
    coming.sort_by(|a, b| (a.due_on, &a.purchase_order).cmp(&(b.due_on, &b.purchase_order)));
    shortages
        .iter()
        .map(|shortage| {
            let mut missing = shortage.quantity;
            let mut last = None;
            for it in coming.iter_mut().filter(|it| it.variant == shortage.variant) {
                let quantity = missing.min(it.quantity);
                if quantity.is_some() {
                    it.quantity = it.quantity.less(quantity);
                    missing = missing.less(quantity);
                    last = Some(&*it);
                }
            }
            let delivery = last.filter(|_| !missing.is_some());
            let ends_with = delivery.map(|it| Delivery {
                purchase_order: it.purchase_order.clone(),
                due_on: it.due_on,
            });
            Cover { line: shortage.line, ends_with, uncovered: missing }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_delivery_serves_the_first_shortages_and_the_next_wait_for_the_next() {
        let short = |line: i64, quantity: i64| Shortage {
            line: KitLineId::from(line),
            variant: VariantId::from(1),
            quantity: Quantity::new(quantity),
        };
        let coming = |order: &str, due: &str, quantity: i64| Incoming {
            purchase_order: order.to_owned(),
            due_on: due.parse().unwrap(),
            variant: VariantId::from(1),
            quantity: Quantity::new(quantity),
        };
        let covers = cover(
            &[short(1, 2), short(2, 2), short(3, 2)],
            &[coming("PO-2", "2026-12-09", 2), coming("PO-1", "2026-12-01", 3)],
        );
        let ends: Vec<_> = covers
            .iter()
            .map(|it| it.ends_with.as_ref().map(|it| it.purchase_order.as_str()))
            .collect();
        assert_eq!(ends, [Some("PO-1"), Some("PO-2"), None]);
        assert_eq!(covers[2].uncovered, Quantity::ONE);
    }
}
