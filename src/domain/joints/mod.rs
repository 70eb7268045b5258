//! Joints: what is tightened, in which order, and what is stated about its torque.

mod condition;
mod joint;
mod pattern;
mod verdict;

pub use condition::Condition;
pub use joint::{Joint, PresetKey, Statement};
pub use pattern::{Pattern, UnknownWord};
pub use verdict::{Conflict, Settlement, Verdict, fingerprint, judge};
