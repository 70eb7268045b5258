use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::domain::ids::{KitLineId, LotId, PlaceId, VariantId};
use crate::units::Quantity;

/// Free pieces of one variant and lot in one bin: on hand, less what is held already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Free {
    /// The variant.
    pub variant: VariantId,
    /// The bin.
    pub place: PlaceId,
    /// The lot, where the variant is tracked by lot.
    pub lot: Option<LotId>,
    /// The lot's last day of use, where it has one.
    pub use_by: Option<NaiveDate>,
    /// How many pieces are free.
    pub quantity: Quantity,
}

/// What one kit line still needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Want {
    /// The kit line.
    pub line: KitLineId,
    /// The variant that it needs.
    pub variant: VariantId,
    /// How many pieces.
    pub quantity: Quantity,
    /// Lots that the kit can't use, such as bags of a revision that does not fit it.
    pub unfit: BTreeSet<LotId>,
}

/// Pieces held for one kit line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reservation {
    /// The kit line.
    pub line: KitLineId,
    /// The variant.
    pub variant: VariantId,
    /// The bin they lie in.
    pub place: PlaceId,
    /// Their lot, where the variant is tracked by lot.
    pub lot: Option<LotId>,
    /// How many.
    pub quantity: Quantity,
}

/// Pieces that a kit line needs and no bin has free.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shortage {
    /// The kit line.
    pub line: KitLineId,
    /// The variant.
    pub variant: VariantId,
    /// How many are missing.
    pub quantity: Quantity,
}

/// What [`allocate`] decided.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Allocation {
    /// What is held, line by line.
    pub reserved: Vec<Reservation>,
    /// What is missing. A shortage is an answer, not an error: it becomes a missing-part alert.
    pub short: Vec<Shortage>,
}

/// Holds free stock for kit lines, in the order of the lines.
///
/// Of a variant, the lot that must be used first goes first; lots without a last day follow, the
/// oldest first. A lot past its last day on `today` serves nobody.
pub fn allocate(wants: &[Want], mut free: Vec<Free>, today: NaiveDate) -> Allocation {
    free.retain(|it| it.use_by.is_none_or(|last| today <= last));
    free.sort_by_key(|it| (it.use_by.is_none(), it.use_by, it.lot, it.place));
    let mut bins: BTreeMap<VariantId, Vec<Free>> = BTreeMap::new();
    for it in free {
        bins.entry(it.variant).or_default().push(it);
    }
    let mut allocation = Allocation::default();
    for want in wants {
        let mut missing = want.quantity;
        let (line, variant) = (want.line, want.variant);
        let fits = |it: &&mut Free| it.lot.is_none_or(|lot| !want.unfit.contains(&lot));
        for bin in bins.get_mut(&variant).into_iter().flatten().filter(fits) {
            let quantity = missing.min(bin.quantity);
            if quantity.is_some() {
                bin.quantity = bin.quantity.less(quantity);
                missing = missing.less(quantity);
                let (place, lot) = (bin.place, bin.lot);
                allocation.reserved.push(Reservation { line, variant, place, lot, quantity });
            }
        }
        if missing.is_some() {
            allocation.short.push(Shortage { line, variant, quantity: missing });
        }
    }
    allocation
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn free(variant: i64, place: i64, lot: i64, use_by: Option<&str>, quantity: i64) -> Free {
        Free {
            variant: VariantId::from(variant),
            place: PlaceId::from(place),
            lot: Some(LotId::from(lot)),
            use_by: use_by.map(day),
            quantity: Quantity::new(quantity),
        }
    }

    fn want(line: i64, variant: i64, quantity: i64) -> Want {
        Want {
            line: KitLineId::from(line),
            variant: VariantId::from(variant),
            quantity: Quantity::new(quantity),
            unfit: BTreeSet::new(),
        }
    }

    #[test]
    fn a_lot_that_does_not_fit_the_kit_is_left_for_the_next() {
        let stock = vec![free(1, 10, 1, None, 5), free(1, 10, 2, None, 3)];
        let picky = Want { unfit: BTreeSet::from([LotId::from(1)]), ..want(1, 1, 4) };
        let allocation = allocate(&[picky, want(2, 1, 4)], stock, day("2026-11-25"));
        let held: Vec<(Option<LotId>, i64)> =
            allocation.reserved.iter().map(|it| (it.lot, it.quantity.pieces())).collect();
        assert_eq!(held, [(Some(LotId::from(2)), 3), (Some(LotId::from(1)), 4)]);
        assert_eq!(allocation.short[0].quantity, Quantity::new(1));
    }

    #[test]
    fn the_first_promise_is_served_first_and_the_rest_is_short() {
        let stock = vec![free(1, 10, 1, None, 5)];
        let allocation = allocate(&[want(1, 1, 4), want(2, 1, 4)], stock, day("2026-11-25"));
        let held: Vec<i64> = allocation.reserved.iter().map(|it| it.quantity.pieces()).collect();
        assert_eq!(held, [4, 1]);
        assert_eq!(allocation.short.len(), 1);
        assert_eq!(allocation.short[0].quantity, Quantity::new(3));
    }

    #[test]
    fn the_lot_to_be_used_first_goes_first_and_a_lot_past_its_day_stays() {
        let stock = vec![
            free(1, 10, 1, None, 1),
            free(1, 10, 2, Some("2027-05-01"), 1),
            free(1, 10, 3, Some("2026-11-25"), 1),
            free(1, 10, 4, Some("2026-11-24"), 9),
        ];
        let allocation = allocate(&[want(1, 1, 4)], stock, day("2026-11-25"));
        let lots: Vec<i64> =
            allocation.reserved.iter().map(|it| i64::from(it.lot.unwrap())).collect();
        assert_eq!(lots, [3, 2, 1]);
        assert_eq!(allocation.short[0].quantity, Quantity::ONE);
    }

    proptest! {
        #[test]
        fn nothing_is_held_twice_and_nothing_is_lost(
            stock in prop::collection::vec((1..4_i64, 1..4_i64, 1..3_i64, 0..20_i64), 0..12),
            wants in prop::collection::vec((1..4_i64, 1..20_i64), 0..12),
        ) {
            let stock: Vec<Free> =
                stock.into_iter().map(|(v, p, l, q)| free(v, p, l, None, q)).collect();
            let wants: Vec<Want> =
                (1..).zip(wants).map(|(line, (v, q))| want(line, v, q)).collect();
            let allocation = allocate(&wants, stock.clone(), day("2026-11-25"));
            for variant in (1..4).map(VariantId::from) {
                let held: Quantity = allocation.reserved.iter()
                    .filter(|it| it.variant == variant).map(|it| it.quantity).sum();
                let short: Quantity = allocation.short.iter()
                    .filter(|it| it.variant == variant).map(|it| it.quantity).sum();
                let had: Quantity = stock.iter()
                    .filter(|it| it.variant == variant).map(|it| it.quantity).sum();
                let wanted: Quantity = wants.iter()
                    .filter(|it| it.variant == variant).map(|it| it.quantity).sum();
                prop_assert_eq!(held, had.min(wanted));
                prop_assert_eq!(held.plus(short), wanted);
            }
        }
    }
}
