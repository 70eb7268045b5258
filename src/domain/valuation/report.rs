use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::engine::{Entry, Kind};
use crate::domain::ids::VariantId;
use crate::units::Money;

/// Pieces and what they are worth; either may be below zero in a change.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Sums {
    /// Pieces.
    pub pieces: i64,
    /// What they are worth.
    pub value: Money,
}

impl Sums {
    fn add(&mut self, more: Self) {
        self.pieces += more.pieces;
        self.value = self.value.plus(more.value);
    }
}

/// What became of one variant, or of all together, over a span of days.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Line {
    /// Before the first day.
    pub opening: Sums,
    /// What changed it, by kind.
    pub changes: BTreeMap<Kind, Sums>,
    /// After the last day.
    pub closing: Sums,
}

impl Line {
    fn add(&mut self, entry: &Entry, before: bool) {
        let sums = Sums { pieces: entry.pieces, value: entry.value };
        if before {
            self.opening.add(sums);
        } else {
            self.changes.entry(entry.kind).or_default().add(sums);
        }
        self.closing.add(sums);
    }

    /// Returns what changed it of that kind.
    pub fn of(&self, kind: Kind) -> Sums {
        self.changes.get(&kind).copied().unwrap_or_default()
    }

    /// Returns whether there is anything to tell.
    pub fn is_empty(&self) -> bool {
        self.opening == Sums::default() && self.changes.is_empty()
    }
}

/// What became of the stock over a span of days.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Month {
    /// By variant, those with nothing to tell left out.
    pub lines: BTreeMap<VariantId, Line>,
    /// All together.
    pub total: Line,
}

/// Returns what became of the stock from the first day to the last, both among them.
pub fn month(entries: &[Entry], (first, last): (NaiveDate, NaiveDate)) -> Month {
    let mut month = Month::default();
    for entry in entries.iter().filter(|it| it.day <= last) {
        let before = entry.day < first;
        month.lines.entry(entry.variant).or_default().add(entry, before);
        month.total.add(entry, before);
    }
    month.lines.retain(|_, line| !line.is_empty());
    month
}
