//! Where the pieces of a lot or serial number are: in the house, in which kits, and in what the house
//! made of them.

mod follow;

#[cfg(test)]
mod tests;

pub use follow::{Found, Node, Passage, Spot, Traced, follow};
