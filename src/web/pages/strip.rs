//! The assembly strip: one numbered cell for each step of the build, left to right.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::words::Word;
use crate::ops::orders::StripView;
use crate::units::Quantity;

/// The steps of a build with how much of each is confirmed, and what is missing in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Strip {
    /// The steps, in assembly order.
    pub cells: Vec<StripCell>,
    /// One sentence for each missing part: the step, the part, how many.
    pub missing_words: Vec<String>,
}

/// One step of the strip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StripCell {
    /// The step's number, as card and packing list print it.
    pub number: i64,
    /// What is done in the step, in a few words.
    pub title: String,
    /// Pieces confirmed.
    pub done: Quantity,
    /// Pieces that the step needs.
    pub total: Quantity,
    /// Pieces known to be missing.
    pub missing: Quantity,
}

impl From<&StripView> for Strip {
    fn from(view: &StripView) -> Self {
        let cells = view.cells.iter().map(|it| StripCell {
            number: it.number.into(),
            title: it.title.clone(),
            done: it.done,
            total: it.total,
            missing: it.missing,
        });
        Self { cells: cells.collect(), missing_words: view.missing.clone() }
    }
}

impl Strip {
    /// Returns several kits' strips as one, step by step.
    pub fn together<'a>(views: impl IntoIterator<Item = &'a StripView>) -> Self {
        let mut cells: BTreeMap<i64, StripCell> = BTreeMap::new();
        for cell in views.into_iter().flat_map(|it| Self::from(it).cells) {
            match cells.entry(cell.number) {
                Entry::Vacant(place) => drop(place.insert(cell)),
                Entry::Occupied(mut place) => place.get_mut().add(&cell),
            }
        }
        Self { cells: cells.into_values().collect(), missing_words: Vec::new() }
    }

    /// Returns the pieces confirmed over all steps.
    pub fn done(&self) -> Quantity {
        self.cells.iter().map(|cell| cell.done).sum()
    }

    /// Returns the pieces needed over all steps.
    pub fn total(&self) -> Quantity {
        self.cells.iter().map(|cell| cell.total).sum()
    }

    /// Returns the strip in one sentence, for who hears the page instead of seeing it.
    pub fn sentence(&self) -> String {
        let short: Vec<String> = self
            .cells
            .iter()
            .filter(|cell| cell.missing.is_some())
            .map(|cell| format!("step {}: {}", cell.number, cell.missing))
            .collect();
        let missing = if short.is_empty() {
            String::new()
        } else {
            format!("; missing at {}", short.join(", "))
        };
        format!("{} of {} pieces confirmed{missing}", self.done(), self.total())
    }
}

impl StripCell {
    fn add(&mut self, other: &Self) {
        self.done = self.done.plus(other.done);
        self.total = self.total.plus(other.total);
        self.missing = self.missing.plus(other.missing);
    }

    /// Returns the stylesheet's name for the cell's state.
    pub fn state(&self) -> Word {
        if self.missing.is_some() {
            "missing"
        } else if self.total == Quantity::ZERO {
            "none"
        } else if self.total <= self.done {
            "full"
        } else if self.done.is_some() {
            "part"
        } else {
            "empty"
        }
    }

    /// Returns how full the cell is, in tenths; the stylesheet has one rule for each.
    pub fn tenths(&self) -> i64 {
        let total = self.total.pieces().max(1);
        let done = self.done.pieces().clamp(0, total);
        done.saturating_mul(10) / total
    }

    /// Returns the cell's count in words.
    pub fn sentence(&self) -> String {
        if self.total == Quantity::ZERO {
            return "no parts".to_owned();
        }
        let missing = if self.missing.is_some() {
            format!(", {} missing", self.missing)
        } else {
            String::new()
        };
        format!("{} of {} confirmed{missing}", self.done, self.total)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cell(done: i64, total: i64, missing: i64) -> StripCell {
        let q = Quantity::new;
        StripCell {
            number: 4,
            title: String::new(),
            done: q(done),
            total: q(total),
            missing: q(missing),
        }
    }

    fn check(cell: &StripCell, state: &str, tenths: i64) {
        assert_eq!((cell.state(), cell.tenths()), (state, tenths));
    }

    #[test]
    fn a_cell_fills_as_its_parts_are_confirmed() {
        check(&cell(0, 0, 0), "none", 0);
        check(&cell(0, 3, 0), "empty", 0);
        check(&cell(1, 3, 0), "part", 3);
        check(&cell(3, 3, 0), "full", 10);
        check(&cell(4, 3, 0), "full", 10);
    }

    #[test]
    fn a_missing_part_outweighs_what_is_there() {
        check(&cell(2, 3, 1), "missing", 6);
        let strip = Strip { cells: vec![cell(2, 3, 1)], missing_words: Vec::new() };
        assert_eq!(strip.sentence(), "2 of 3 pieces confirmed; missing at step 4: 1");
    }
}
