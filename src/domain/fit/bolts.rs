use super::{Finding, Rule};
use crate::units::Length;

/// A screw through what it holds, into an insert.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ScrewStack {
    /// The screw's length under its head.
    pub length: Length,
    /// The plate that it holds.
    pub plate: Length,
    /// The washer under its head; zero without one.
    pub washer: Length,
    /// The riser under the plate; zero without one.
    pub riser: Length,
    /// The least that must be in the insert.
    pub least: Length,
    /// The depth of the insert that can be used.
    pub depth: Length,
}

impl ScrewStack {
    /// Returns the length inside the insert, were it deep enough; below zero where the screw ends
    /// above it.
    pub fn reach(&self) -> Length {
        self.length.less(self.plate).less(self.washer).less(self.riser)
    }

    /// Returns what stays free below the screw; below zero where it meets the bottom first.
    pub fn room(&self) -> Length {
        self.depth.less(self.reach())
    }

    /// Returns whether the screw holds, and ends above the bottom.
    pub fn fits(&self) -> bool {
        self.least <= self.reach() && Length::ZERO <= self.room()
    }
}

/// How deep a screw reaches, and whether that is right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Engagement {
    /// The length inside the insert, were it deep enough; below zero where the screw ends above it.
    pub reach: Length,
    /// The verdict.
    pub finding: Finding,
}

/// Returns how deep a screw reaches into its insert: at least one diameter, and not to the bottom.
///
/// A screw that meets the bottom shows its full torque and clamps nothing.
pub fn engagement(screw: &ScrewStack) -> Engagement {
    let (least, depth) = (screw.least, screw.depth);
    let reach = screw.reach();
    let sum = format!(
        "{} less plate {}, washer {} and riser {} reaches {reach}",
        screw.length, screw.plate, screw.washer, screw.riser
    );
    let reason = if reach < least {
        format!("too short: {sum} into the insert, and {least} is the least")
    } else if depth < reach {
        format!(
            "bottoms out: {sum}, and the insert is usable to {depth}; it would read full torque \
             and clamp nothing"
        )
    } else {
        format!("{sum}, between {least} and {depth}")
    };
    Engagement { reach, finding: Finding::of(Rule::Engagement, screw.fits(), reason) }
}

/// Returns whether two hole patterns, each along and across, are the same.
pub fn hole_spacing(mount: (Length, Length), ski: (Length, Length)) -> Finding {
    let words = |it: (Length, Length)| format!("{} x {}", it.0, it.1);
    let reason = match mount == ski {
        true => format!("both have holes at {}", words(mount)),
        false => format!("the mount has holes at {}, the ski at {}", words(mount), words(ski)),
    };
    Finding::of(Rule::Holes, mount == ski, reason)
}
