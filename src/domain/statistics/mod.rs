//! Figures of chance that buying rests on: the normal and the Poisson distribution, and their
//! expected shortfalls.
//!
//! Floating point computes here over demand that was observed; what is stored, ordered or counted
//! stays whole.

mod figure;
mod normal;
mod poisson;

#[cfg(test)]
mod tests;

pub use figure::{
    StatisticsError, at_least_zero, finite, positive, real, real_of_count, share, whole_down,
    whole_up,
};
pub use normal::{Normal, standard};
pub use poisson::Poisson;
