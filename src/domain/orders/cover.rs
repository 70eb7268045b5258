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
    let mut coming = by_day(incoming);
    shortages
        .iter()
        .map(|it| {
            let (ends_with, uncovered) = serve(&mut coming, it.variant, it.quantity);
            Cover { line: it.line, ends_with, uncovered }
        })
        .collect()
}

/// Returns the delivery that brings the last of `quantity` more pieces, once every shortage has had
/// its own.
pub fn cover_after(
    shortages: &[Shortage],
    incoming: &[Incoming],
    variant: VariantId,
    quantity: Quantity,
) -> Option<Delivery> {
    let mut coming = by_day(incoming);
    for it in shortages.iter().filter(|it| it.variant == variant) {
        serve(&mut coming, variant, it.quantity);
    }
    serve(&mut coming, variant, quantity).0
}

fn by_day(incoming: &[Incoming]) -> Vec<Incoming> {
    let mut coming = incoming.to_vec();
    coming.sort_by(|a, b| (a.due_on, &a.purchase_order).cmp(&(b.due_on, &b.purchase_order)));
    coming
}

/// Takes pieces off what is coming; returns the delivery of the last one, and what none brings.
fn serve(
    coming: &mut [Incoming],
    variant: VariantId,
    quantity: Quantity,
) -> (Option<Delivery>, Quantity) {
    let mut missing = quantity;
    let mut last = None;
    for it in coming.iter_mut().filter(|it| it.variant == variant) {
        let quantity = missing.min(it.quantity);
        if quantity.is_some() {
            it.quantity = it.quantity.less(quantity);
            missing = missing.less(quantity);
            last = Some(&*it);
        }
    }
    let delivery = last.filter(|_| !missing.is_some());
    let ends_with = delivery
        .map(|it| Delivery { purchase_order: it.purchase_order.clone(), due_on: it.due_on });
    (ends_with, missing)
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
        let short = [short(1, 2), short(2, 2), short(3, 2)];
        let coming = [coming("PO-2", "2026-12-09", 2), coming("PO-1", "2026-12-01", 3)];
        let covers = cover(&short, &coming);
        let ends: Vec<_> = covers
            .iter()
            .map(|it| it.ends_with.as_ref().map(|it| it.purchase_order.as_str()))
            .collect();
        assert_eq!(ends, [Some("PO-1"), Some("PO-2"), None]);
        assert_eq!(covers[2].uncovered, Quantity::ONE);
        let more = |quantity| {
            cover_after(&short[..1], &coming, 1.into(), Quantity::new(quantity))
                .map(|it| it.purchase_order)
        };
        assert_eq!(more(1).as_deref(), Some("PO-1"));
        assert_eq!(more(2).as_deref(), Some("PO-2"));
        assert_eq!(more(4), None);
    }
}
