//! What fits what: each rule is a pure function of measures, and its answer says why and by whose
//! word.
//!
//! A verdict compares stated measures. It is no leave to ride: the component maker's manual wins
//! over every rule here, and a qualified mechanic should look over the first build.

mod bearing;
mod bolts;
mod bore;
mod clamp;
mod error;
mod facts;
mod finding;
mod gap;
mod headset;
mod kit;
mod pairs;
mod seatpost;
mod shock;
mod spacers;
mod steerer;

#[cfg(test)]
mod tests;

pub use bearing::{Bearing, bearing_in_seats, race_on_fork, same_angle};
pub use bolts::{Engagement, ScrewStack, engagement, hole_spacing};
pub use bore::{bore_check, bore_limits, cup_interference};
pub use clamp::{Joint, clamp_match};
pub use error::FitError;
pub use facts::{FactName, Facts, Role};
pub use finding::{Finding, Rule, Verdict};
pub use gap::CapGap;
pub use headset::{
    HeadsetCode, HeadsetHalf, HeadsetType, fork_headset, frame_headset, nominal_seat,
};
pub use kit::{KitFinding, KitPart, gap_of_kit, judge_kit, post_of_kit, ski_screws_of_kit};
pub use pairs::{alike, pairs};
pub use seatpost::{PostWindow, SaddleGeometry, insertion_in_frame, post_mark, post_window};
pub use shock::{ShockSize, bushing, shock};
pub use spacers::{
    Clearance, SpacerChoice, SpacerQuestion, SpacerStock, ToleranceRule, Tolerances, choose_spacers,
};
pub use steerer::{FrontEnd, clearance, stem_swap};
