//! Which words of the bills in use another language lacks.

mod missing;

pub use missing::{MissingRow, MissingText, RowOf, missing_rows, missing_texts, named_parts};
