//! What demand will be: smoothing with and without season, intermittent demand, and the choice of
//! a method for each part by what it would have said of the past.
//!
//! A series holds the pieces of each period, oldest first. A forecast is a mean per period and may
//! be a fraction; whoever orders by it rounds up to whole pieces.

mod check;
mod choose;
mod classify;
mod intermittent;
mod methods;
mod score;
mod season;
mod smooth;
mod winters;

#[cfg(test)]
mod tests;

pub use choose::{Choice, Judged, choose};
pub use classify::{SeriesClass, Shape, classify};
pub use intermittent::{Croston, Tsb, croston, croston_path, sba, sbj, tsb};
pub use methods::Method;
pub use score::{Score, score};
pub use season::{Season, SeasonKind, decompose};
pub use smooth::{Smoothed, ses};
pub use winters::{Weights, Winters, holt_winters};
