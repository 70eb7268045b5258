//! Picking: what to take from which bin, and what a scan there means.

mod found;
mod pick;

pub use found::{Found, FoundPart};
pub use pick::{PickAnswer, Refusal, Stop, judge};
