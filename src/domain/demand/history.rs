use std::collections::BTreeMap;

use super::Month;
use crate::domain::codes::PartNumber;
use crate::domain::kits::{Bom, contents};
use crate::domain::statistics::real;

/// What was used of a part in a month, as a file from before these books states it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HistoryRecord {
    /// The part number.
    pub part_number: PartNumber,
    /// The month.
    pub month: Month,
    /// What was used.
    pub used: Used,
}

/// Pieces of one part that were used in one month.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Used {
    /// Left in kits, by themselves or inside what was made of them.
    pub kits: i64,
    /// Left by themselves: spares.
    pub spares: i64,
    /// Lost, broken or miscounted.
    pub lost: i64,
}

impl Used {
    /// Returns all of it; a month in which more came back than left used nothing.
    pub fn total(self) -> i64 {
        self.kits.saturating_add(self.spares).saturating_add(self.lost).max(0)
    }

    /// Returns the sum of both.
    #[must_use]
    pub const fn plus(self, more: Self) -> Self {
        Self {
            kits: self.kits.saturating_add(more.kits),
            spares: self.spares.saturating_add(more.spares),
            lost: self.lost.saturating_add(more.lost),
        }
    }

    const fn times(self, count: i64) -> Self {
        Self {
            kits: self.kits.saturating_mul(count),
            spares: self.spares.saturating_mul(count),
            lost: self.lost.saturating_mul(count),
        }
    }
}

/// What was used of each part, by month.
pub type UsedByMonth = BTreeMap<PartNumber, BTreeMap<Month, Used>>;

/// Returns what was used of each part with what went inside bags, cut forks and whatever else is
/// made: each of these counts for itself and for all that it holds, level by level.
///
/// What a run took from stock is not counted again: it leaves the house inside what was made.
pub fn with_what_is_inside(boms: &BTreeMap<String, Bom>, used: &UsedByMonth) -> UsedByMonth {
    let mut sums = UsedByMonth::new();
    for (part, months) in used {
        for (month, used) in months {
            add(boms, &mut sums, part, (*month, *used), 0);
        }
    }
    sums
}

/// Sub-kits nest no deeper than this; a ring of bills is refused when it is released.
pub(super) const MOST_LEVELS: usize = 12;

fn add(
    boms: &BTreeMap<String, Bom>,
    sums: &mut UsedByMonth,
    part: &PartNumber,
    (month, used): (Month, Used),
    level: usize,
) {
    let sum = sums.entry(part.clone()).or_default().entry(month).or_default();
    *sum = sum.plus(used);
    if level < MOST_LEVELS {
        for (inside, each) in contents(boms, part) {
            add(boms, sums, &inside, (month, used.times(each.pieces())), level + 1);
        }
    }
}

/// Returns the pieces of each month from `first` up to but without `end`, for a forecast.
pub fn series(months: &BTreeMap<Month, Used>, first: Month, end: Month) -> Vec<f64> {
    let all = std::iter::successors(Some(first), |it| Some(it.next()));
    let of = |month: Month| months.get(&month).copied().unwrap_or_default();
    all.take_while(|it| *it < end).map(|it| real(of(it).total())).collect()
}
