//! The ledger's rules: places, what moves between them, and what each then holds.

mod movement;
mod place;

pub use movement::{Holding, Item, Movement, StockError};
pub use place::PlaceKind;
