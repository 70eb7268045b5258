//! The best choice among things taken whole or not at all, under limits of whole numbers: found by
//! branch and bound, and proved.
//!
//! Floating point guides the search alone. Whether a choice keeps its limits, and whether nothing
//! better is left, is decided in whole numbers: any multipliers of the limits, however rounded,
//! prove a bound.

mod bound;
mod branch;
mod count;
mod problem;
mod reduce;
mod stages;
mod tableau;

pub use count::count_worth;
pub use problem::{Limit, Problem, ProblemError};
pub use stages::{Answer, Reached, best};
