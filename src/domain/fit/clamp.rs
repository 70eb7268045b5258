use super::{Finding, Rule};
use crate::units::Length;

/// What is clamped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joint {
    /// The steerer in the stem.
    Steerer,
    /// The handlebar in the stem.
    Bar,
    /// The seat post in the seat tube.
    Post,
    /// The seat tube in the seat clamp.
    SeatTube,
}

impl Joint {
    const fn rule(self) -> Rule {
        match self {
            Self::Steerer => Rule::Steerer,
            Self::Bar => Rule::Bar,
            Self::Post => Rule::SeatPost,
            Self::SeatTube => Rule::SeatClamp,
        }
    }

    const fn words(self) -> &'static str {
        match self {
            Self::Steerer => "steerer",
            Self::Bar => "handlebar",
            Self::Post => "seat post",
            Self::SeatTube => "seat tube",
        }
    }
}

/// Returns whether a tube and its clamp have one nominal diameter; a shim is never taken for the
/// difference.
pub fn clamp_match(joint: Joint, outside: Length, clamp: Length) -> Finding {
    let what = joint.words();
    let reason = if outside == clamp {
        format!("the {what} is {outside}, and so is its clamp")
    } else if outside < clamp {
        let by = clamp.less(outside);
        format!("the {what} is {outside}, {by} thinner than its clamp of {clamp}; no shims")
    } else {
        let by = outside.less(clamp);
        format!("the {what} is {outside}, {by} thicker than its clamp of {clamp}")
    };
    Finding::of(joint.rule(), outside == clamp, reason)
}
