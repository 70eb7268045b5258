use super::{Clearance, Finding, FrontEnd, ToleranceRule, Tolerances, clearance};
use crate::units::Length;

/// What a kit's steerer carries, and so what stays free under its cap.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CapGap {
    /// All that the steerer carries but spacers.
    pub front: FrontEnd,
    /// The steerer, from the crown seat up.
    pub steerer: Length,
    /// The height of each spacer, tallest first.
    pub spacers: Vec<Length>,
    /// How far the measures may be off; nothing in it where no document says so.
    pub tolerances: Tolerances,
}

impl CapGap {
    /// Returns how far the steerer stands above all that it carries but spacers.
    pub fn exposure(&self) -> Length {
        self.front.exposure(self.steerer)
    }

    /// Returns how far the steerer stands above the dust cover, as it is measured before the
    /// spacers go on.
    pub fn above_cover(&self) -> Length {
        self.exposure().plus(self.front.stem)
    }

    /// Returns the height of all spacers.
    pub fn total(&self) -> Length {
        self.spacers.iter().fold(Length::ZERO, |sum, it| sum.plus(*it))
    }

    /// Returns what stays free under the cap by nominal measures; below zero where the steerer
    /// stands out of the stack.
    pub fn nominal(&self) -> Length {
        self.total().less(self.exposure())
    }

    /// Returns the rule by which the tolerances are taken: none where none are stated.
    pub fn rule(&self) -> ToleranceRule {
        match self.tolerances == Tolerances::default() {
            true => ToleranceRule::Nominal,
            false => ToleranceRule::RootSumSquare,
        }
    }

    /// Returns by how much the clearance may be off to either side.
    pub fn room(&self, rule: ToleranceRule) -> Length {
        self.tolerances.room(self.pieces(), rule)
    }

    /// Returns whether the clearance lies within its usual limits, with what is summed how.
    pub fn finding(&self) -> Finding {
        let (stack, exposure) = ((self.total(), self.pieces()), self.exposure());
        let found = clearance(stack, exposure, Clearance::USUAL, &self.tolerances, self.rule());
        let reason = match self.rule() {
            ToleranceRule::Nominal => format!("{}; no tolerances are stated", found.reason),
            ToleranceRule::WorstCase | ToleranceRule::RootSumSquare => {
                let worst = self.room(ToleranceRule::WorstCase);
                format!("{}; by worst-case sum ± {worst}", found.reason)
            }
        };
        Finding { reason, ..found }
    }

    fn pieces(&self) -> u32 {
        u32::try_from(self.spacers.len()).unwrap_or(u32::MAX)
    }
}
