//! Purchase orders: drafted by supplier, approved, sent, changed, confirmed, chased.

mod draft;

pub use draft::{DraftLine, Drafted, draft_lines, draft_lines_once};
