//! Picking: what to take from which bin, and what a scan there means.

mod counted;
mod found;
mod pick;

pub use counted::Counted;
pub use found::{Found, FoundPart};
pub use pick::{PickAnswer, Refusal, Stop, judge};
