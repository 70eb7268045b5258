//! What multipliers of the limits prove, in whole numbers.
#![expect(clippy::indexing_slicing, reason = "rows and choices of one part of a problem")]

use super::tableau::size;

/// A row: what each choice takes of it, and the most. A choice may give, too: below zero.
pub(super) type Row = (Vec<(usize, i64)>, i64);

/// Multipliers are whole numbers of 2^-30.
const BITS: u32 = 30;

/// A bound that holds: for any multipliers not below zero, the worth of what the rows allow is at
/// most the multipliers' worth of the rows, and what each choice is worth beyond what it takes.
pub(super) struct Proof {
    /// The bound, in parts of 2^-30.
    bound: i128,
    /// What each choice is worth beyond what it takes, in the same parts.
    reduced: Vec<i128>,
    /// How much work it was.
    pub(super) work: u64,
}

impl Proof {
    /// Proves a bound of `worth` over what `rows` allow where some choices are fixed.
    ///
    /// # Source
    ///
    /// Lagrangian duality; A. M. Geoffrion, Mathematical Programming Study 2, 1974, pages 82-114.
    pub(super) fn new(
        rows: &[Row],
        worth: &[i64],
        fixed: &[Option<bool>],
        multipliers: &[f64],
    ) -> Self {
        let mut bound = 0;
        let mut work = 2 * size(worth.len());
        let mut reduced: Vec<i128> = worth.iter().map(|it| i128::from(*it) << BITS).collect();
        for ((takes, most), multiplier) in rows.iter().zip(multipliers) {
            let multiplier = whole(*multiplier);
            if multiplier == 0 {
                continue;
            }
            work += size(takes.len());
            bound += i128::from(*most) * multiplier;
            for (choice, amount) in takes {
                reduced[*choice] -= i128::from(*amount) * multiplier;
            }
        }
        for (it, fixed) in reduced.iter().zip(fixed) {
            bound += match fixed {
                Some(false) => 0,
                Some(true) => *it,
                None => 0.max(*it),
            };
        }
        Self { bound, reduced, work }
    }

    /// Returns the most that any choice of whole numbers can be worth.
    pub(super) fn at_most(&self) -> i64 {
        i64::try_from(self.bound >> BITS).unwrap_or(i64::MAX)
    }

    /// Returns the value at which a free choice must stay for more than `reached`, if it must.
    pub(super) fn forces(&self, choice: usize, reached: i64) -> Option<bool> {
        let reduced = self.reduced[choice];
        let other = (self.bound - reduced.abs()) >> BITS;
        (other <= i128::from(reached)).then_some(0 < reduced)
    }

    /// Returns whether nothing at all keeps the rows.
    ///
    /// Only where the worth of each choice is zero.
    pub(super) fn refutes(&self) -> bool {
        self.bound < 0
    }
}

/// Returns a multiplier as a whole number of 2^-30. Any is right that is not below zero.
#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    reason = "a cast of a figure that is no number or too large gives another valid multiplier"
)]
fn whole(multiplier: f64) -> i128 {
    let scaled = (multiplier * 1_073_741_824.0).clamp(0.0, 4.0e18);
    i128::from(scaled.round() as i64)
}
