//! Packing: what may lie in which carton, and when a carton may be closed.

mod pack;
mod seal;
mod strip;

pub use pack::{InTote, PackAnswer, PackLine, PackRefusal, judge};
pub use seal::{ProofLine, ShortError, Unproved, may_ship_short, unproved};
pub use strip::{Strip, StripCell, StripLine, StripPart, strip};
