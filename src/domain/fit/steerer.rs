use super::{Clearance, Finding, Rule, ToleranceRule, Tolerances};
use crate::units::Length;

/// What a steerer carries, measured along its axis from the crown seat up, without spacers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FrontEnd {
    /// The head tube.
    pub head_tube: Length,
    /// From the crown seat to the head tube.
    pub lower_stack: Length,
    /// From the head tube to the first spacer.
    pub upper_stack: Length,
    /// The stem's clamp.
    pub stem: Length,
}

impl FrontEnd {
    /// Returns the height of all that the steerer carries but spacers.
    pub fn height(&self) -> Length {
        self.head_tube.plus(self.lower_stack).plus(self.upper_stack).plus(self.stem)
    }

    /// Returns how far a steerer of that length stands above all that it carries but spacers; below
    /// zero where it ends within.
    pub fn exposure(&self, steerer: Length) -> Length {
        steerer.less(self.height())
    }

    /// Returns the height of the full stack, and the steerer that ends `clearance` below its top.
    ///
    /// # Source
    ///
    /// A maker's rule as worked in a public build report of 2008: lower + upper + stem + head tube
    /// + spacers, less 3 mm.
    pub fn steerer_length(&self, spacers: Length, clearance: Length) -> (Length, Length) {
        let total = self.height().plus(spacers);
        (total, total.less(clearance))
    }
}

/// Returns whether the clearance under the cap lies within its limits, with the tolerances taken by
/// the given rule; the reason names the rule.
pub fn clearance(
    spacers: (Length, u32),
    exposure: Length,
    limits: Clearance,
    tolerances: &Tolerances,
    rule: ToleranceRule,
) -> Finding {
    let nominal = spacers.0.less(exposure);
    let room = tolerances.room(spacers.1, rule);
    let (low, high) = (nominal.less(room), nominal.plus(room));
    let reach = match room == Length::ZERO {
        true => format!("{nominal} stays free under the cap"),
        false => format!("{nominal} stays free under the cap, {low} to {high} by {}", rule.words()),
    };
    let wanted = format!("{} to {} is wanted", limits.least, limits.most);
    let fits = limits.least <= low && high <= limits.most;
    let reason = if fits {
        format!("{reach}; {wanted}")
    } else if low < limits.least {
        format!("{reach}; {wanted}: the cap could press on the steerer and not on the bearings")
    } else {
        format!("{reach}; {wanted}: the stem would hold too little of the steerer")
    };
    Finding::of(Rule::Clearance, fits, reason)
}

/// Returns the spacers to add when a stem is changed for another; below zero, to take out.
pub fn stem_swap(old_stem: Length, new_stem: Length) -> Length {
    old_stem.less(new_stem)
}
