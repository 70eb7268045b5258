//! What a weight proves: how many pieces lie on the scale, whether a bag or box is complete, and
//! which loss would show.
//!
//! Masses are whole milligrams. Chances are computed in floating point; the limits between which a
//! weight is accepted are whole milligrams again, rounded so that less is accepted, never more.

mod count;
mod lot;
mod window;

#[cfg(test)]
mod tests;

pub use count::{Counted, chance_of_exact, count, exact_up_to};
pub use lot::{LotMass, Scale};
pub use window::{Content, Suspect, Window, seen, smallest_seen};
