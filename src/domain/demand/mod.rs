//! What the shop should order before it runs out.

mod netting;
mod reorder;

pub use netting::inside_what_is_made;
pub use reorder::{Position, Suggestion, suggest};
