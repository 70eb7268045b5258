//! The way a picker walks: the shortest round through parallel aisles, over several zones, and
//! which kits share a walk.
//!
//! Lengths are whole millimetres, so a shortest way is the shortest exactly.

mod block;
mod floor;
mod round;
mod waves;

#[cfg(test)]
mod tests;

pub use block::{Block, RouteError, Spot};
pub use floor::{FloorRound, Zone, ZoneRound, round_of_zones};
pub use round::{Round, round};
pub use waves::{Cart, Load, Wave, waves};
