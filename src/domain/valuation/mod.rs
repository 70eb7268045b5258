//! What the stock is worth, by moving average and first in, first out, from what moved and what it
//! cost.
//!
//! Every amount is whole cents. A layer keeps its pieces and what they cost together, never the cost
//! of one, so that nothing is lost by rounding: value in = value out + value left, to the cent.

mod engine;
mod event;
mod report;
mod share;
mod stock;

#[cfg(test)]
mod tests;

pub use engine::{Books, Entry, Kind, value};
pub use event::{Dated, Event, Method, Outside, Piece};
pub use report::{Line, Month, Sums, month};
pub use share::{Basis, apportion};
