//! Which part may stand in for another, with whose word, and which takes its place for good.

mod fastener;
mod judge;
mod rule;
mod succession;

#[cfg(test)]
mod tests;

pub use judge::{Ruling, Stated, judge};
pub use rule::{Consent, Kind, Rule, RuleFault, Until, ring};
pub use succession::{Successor, is_pair, successors};
