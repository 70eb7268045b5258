use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::ids::{LotId, PlaceId, VariantId};
use crate::domain::orders::Free;
use crate::units::Quantity;

use super::BenchError;

/// A part of what is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// The variant.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// How many go into one piece.
    pub each: Quantity,
}

/// Pieces of a part to be taken from one bin and lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Take {
    /// The variant.
    pub variant: VariantId,
    /// The bin.
    pub place: PlaceId,
    /// The lot, where the variant is tracked by lot.
    pub lot: Option<LotId>,
    /// How many.
    pub quantity: Quantity,
}

/// A part of which stock has too few.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lack {
    /// The variant.
    pub variant: VariantId,
    /// How many the run needs.
    pub needed: Quantity,
    /// How many are free.
    pub free: Quantity,
}

impl Lack {
    /// Returns how many are missing.
    pub const fn missing(self) -> Quantity {
        self.needed.less(self.free)
    }
}

/// What a run of so many pieces takes from stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// How many pieces were asked for.
    pub pieces: Quantity,
    /// How many stock allows at most.
    pub possible: Quantity,
    /// What to take for as many of the pieces as stock allows.
    pub takes: Vec<Take>,
    /// What is missing for the rest. A shortage is an answer, not an error.
    pub lacks: Vec<Lack>,
}

/// Plans a run: takes from free stock what the pieces need, as far as it reaches.
///
/// `free` is what bins hold and no kit has reserved. Of a part, the lot that must be used first
/// goes first; lots without a last day follow, the oldest first, as they do for kits. A lot past
/// its last day on `today` is left where it lies.
pub fn plan(needs: &[Need], free: &[Free], pieces: Quantity, today: NaiveDate) -> Plan {
    let mut bins = usable(free, today);
    let in_bins = |variant: VariantId| -> Quantity {
        bins.get(&variant).into_iter().flatten().map(|it| it.quantity).sum()
    };
    let possible = needs.iter().map(|it| times_in(in_bins(it.variant), it.each)).min();
    let possible = possible.unwrap_or_default();
    let lacks = needs
        .iter()
        .map(|it| Lack {
            variant: it.variant,
            needed: it.each.times(pieces),
            free: in_bins(it.variant),
        })
        .filter(|it| it.missing().is_some())
        .collect();
    let many = pieces.min(possible);
    let mut takes = Vec::new();
    for need in needs {
        let of_part = bins.get_mut(&need.variant).map(Vec::as_mut_slice).unwrap_or_default();
        draw(of_part, need.each.times(many), &mut takes);
    }
    Plan { pieces, possible, takes, lacks }
}

/// Returns how often `each` can be taken out of `quantity`.
fn times_in(quantity: Quantity, each: Quantity) -> Quantity {
    Quantity::new(quantity.at_least_zero().pieces() / each.pieces().max(1))
}

/// Returns the stock that may be used, by variant, what goes first in front.
fn usable(free: &[Free], today: NaiveDate) -> BTreeMap<VariantId, Vec<Free>> {
    let fresh = |it: &&Free| it.use_by.is_none_or(|last| today <= last);
    let mut all: Vec<Free> = free.iter().filter(fresh).cloned().collect();
    all.retain(|it| it.quantity.is_some());
    all.sort_by_key(|it| (it.use_by.is_none(), it.use_by, it.lot, it.place));
    let mut bins: BTreeMap<VariantId, Vec<Free>> = BTreeMap::new();
    for it in all {
        bins.entry(it.variant).or_default().push(it);
    }
    bins
}

fn draw(bins: &mut [Free], wanted: Quantity, takes: &mut Vec<Take>) {
    let mut missing = wanted;
    for bin in bins {
        let quantity = missing.min(bin.quantity);
        if quantity.is_some() {
            missing = missing.less(quantity);
            let Free { variant, place, lot, .. } = *bin;
            takes.push(Take { variant, place, lot, quantity });
        }
    }
}

/// Checks what a person took against the bill and against what is free.
///
/// # Errors
///
/// [`BenchError::NotInRun`], [`BenchError::NotFree`], [`BenchError::PastItsDay`] and
/// [`BenchError::WrongTake`].
pub fn check_takes(
    needs: &[Need],
    free: &[Free],
    pieces: Quantity,
    takes: &[Take],
    today: NaiveDate,
) -> Result<(), BenchError> {
    for need in needs {
        let taken = takes.iter().filter(|it| it.variant == need.variant).map(|it| it.quantity);
        let (taken, wanted) = (taken.sum::<Quantity>(), need.each.times(pieces));
        if taken != wanted {
            let part_number = need.part_number.clone();
            return Err(BenchError::WrongTake { part_number, wanted, taken });
        }
    }
    let mut asked: BTreeMap<(VariantId, PlaceId, Option<LotId>), Quantity> = BTreeMap::new();
    for it in takes {
        let sum = asked.entry((it.variant, it.place, it.lot)).or_default();
        *sum = sum.plus(it.quantity);
    }
    for (bin, asked) in asked {
        let need = needs.iter().find(|it| it.variant == bin.0);
        let part_number = need.map(|it| it.part_number.clone()).unwrap_or_default();
        let held = free.iter().find(|it| (it.variant, it.place, it.lot) == bin);
        if let Some(use_by) = held.and_then(|it| it.use_by).filter(|last| *last < today) {
            return Err(BenchError::PastItsDay { part_number, use_by });
        }
        let free = held.map(|it| it.quantity).unwrap_or_default();
        if free < asked {
            return Err(BenchError::NotFree { part_number, asked, free });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn day() -> NaiveDate {
        "2026-11-25".parse().unwrap()
    }

    fn need(variant: i64, each: i64) -> Need {
        let part_number = format!("P{variant}");
        Need { variant: variant.into(), part_number, each: Quantity::new(each) }
    }

    fn free(variant: i64, lot: i64, use_by: Option<u64>, quantity: i64) -> Free {
        Free {
            variant: variant.into(),
            place: 10.into(),
            lot: Some(lot.into()),
            use_by: use_by.and_then(|days| {
                (day() - chrono::Days::new(5)).checked_add_days(chrono::Days::new(days))
            }),
            quantity: Quantity::new(quantity),
        }
    }

    #[test]
    fn says_how_many_and_what_stops_more() {
        let stock = [free(1, 1, None, 100), free(1, 2, None, 36), free(2, 3, None, 40)];
        let plan = plan(&[need(1, 8), need(2, 2)], &stock, Quantity::new(20), day());
        assert_eq!(plan.possible, Quantity::new(17));
        assert_eq!(plan.lacks.len(), 1);
        assert_eq!(plan.lacks[0].missing(), Quantity::new(24));
        let taken: Vec<i64> = plan.takes.iter().map(|it| it.quantity.pieces()).collect();
        assert_eq!(taken, [100, 36, 34], "the oldest lot first, for 17 pieces");
    }

    #[test]
    fn refuses_what_is_not_free_past_its_day_or_not_the_bill() {
        let stock = [free(1, 1, None, 8), free(1, 2, Some(2), 8)];
        let check = |takes: &[(i64, i64)]| {
            let takes: Vec<Take> = takes
                .iter()
                .map(|(lot, quantity)| Take {
                    variant: 1.into(),
                    place: 10.into(),
                    lot: Some((*lot).into()),
                    quantity: Quantity::new(*quantity),
                })
                .collect();
            let checked = check_takes(&[need(1, 4)], &stock, Quantity::new(2), &takes, day());
            checked.map_err(|it| it.code())
        };
        assert_eq!(check(&[(1, 8)]), Ok(()));
        assert_eq!(check(&[(1, 7)]), Err("bench.wrong_take"));
        assert_eq!(check(&[(2, 8)]), Err("bench.past_its_day"));
        assert_eq!(check(&[(3, 8)]), Err("bench.not_free"));
        assert_eq!(check(&[(1, 4), (1, 4)]), Ok(()));
    }

    proptest! {
        #[test]
        fn a_plan_keeps_to_the_bill_and_to_what_is_free(
            stock in prop::collection::btree_map(
                (1..4_i64, 1..6_i64), (prop::option::of(0..20_u64), 0..40_i64), 0..12),
            each in prop::collection::vec(1..6_i64, 1..4),
            pieces in 1..20_i64,
        ) {
            let stock: Vec<Free> =
                stock.into_iter().map(|((v, l), (day, q))| free(v, l, day, q)).collect();
            let needs: Vec<Need> = (1..).zip(each).map(|(v, it)| need(v, it)).collect();
            let pieces = Quantity::new(pieces);
            let plan = plan(&needs, &stock, pieces, day());
            let many = pieces.min(plan.possible);
            prop_assert_eq!(check_takes(&needs, &stock, many, &plan.takes, day()), Ok(()));
            prop_assert_eq!(plan.lacks.is_empty(), pieces <= plan.possible);
            let usable = |v: VariantId| -> Quantity {
                let fresh = |it: &&Free| it.variant == v && it.use_by.is_none_or(|it| day() <= it);
                stock.iter().filter(fresh).map(|it| it.quantity).sum()
            };
            let more = plan.possible.plus(Quantity::ONE);
            prop_assert!(needs.iter().any(|it| usable(it.variant) < it.each.times(more)));
            // Whatever was left has a later last day than, or the same as, all that was taken.
            for take in &plan.takes {
                let last = |lot| stock.iter().find(|it| it.variant == take.variant && it.lot == lot)
                    .map(|it| (it.use_by.is_none(), it.use_by));
                for it in stock.iter().filter(|it| it.variant == take.variant) {
                    let taken: Quantity = plan.takes.iter()
                        .filter(|t| (t.variant, t.lot) == (it.variant, it.lot))
                        .map(|t| t.quantity).sum();
                    let past = it.use_by.is_some_and(|last| last < day());
                    if taken < it.quantity && !past {
                        prop_assert!(last(take.lot) <= last(it.lot));
                    }
                }
            }
        }
    }
}
