//! Verification by whoever opens the box: the signed link, and what they may say.

mod link;
mod report;

pub use link::{BoxLink, LinkError, LinkKey};
pub use report::{Outcome, ReportError, check_report};
