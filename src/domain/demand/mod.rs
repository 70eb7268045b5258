//! What the shop should order before it runs out.

mod reorder;

pub use reorder::{Position, Suggestion, suggest};
