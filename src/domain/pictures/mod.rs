//! Pictures of figures for the screen: shapes computed from numbers, as the drawings of the card are.
//!
//! Only lines, filled areas and words come out, in three greys. What a shade says, a letter, a number
//! or a hatching says as well; each picture has its words for who can't see it.

mod bars;
mod canvas;
mod gauge;
mod grid;
mod runway;

#[cfg(test)]
mod tests;

pub use bars::{Bar, Bars, bars};
pub use gauge::gauge;
pub use grid::{Cell, Grid, GridRow, Tone, grid};
pub use runway::{RunwayPicture, runway};

use crate::domain::drawing::Shape;

/// A finished picture. Lengths are micrometres from its top left corner, x to the right and y down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// How wide it is.
    pub width_um: i64,
    /// How high it is.
    pub height_um: i64,
    /// What it shows, for who can't see it.
    pub alt: String,
    /// What to draw, in order.
    pub shapes: Vec<Shape>,
}

/// Micrometres of one unit of a picture, which a screen shows as one pixel of its style.
pub const UNIT_UM: i64 = 250;
