//! Files from elsewhere.

use askama::Template;

use super::{Choice, Frame};
use crate::units::Quantity;

/// The page at `/import`.
#[derive(Debug, Template)]
#[template(path = "import/form.html")]
pub struct ImportPage {
    /// The page around it.
    pub frame: Frame,
    /// The kinds of file that can be read.
    pub kinds: Vec<Choice>,
    /// What the last file said, once one was sent.
    pub report: Option<ImportReport>,
}

/// What a file said.
#[derive(Debug)]
pub struct ImportReport {
    /// The file's name.
    pub file: String,
    /// The kind it was read as, in words.
    pub kind: String,
    /// Lines read.
    pub lines: Quantity,
    /// What was done, or would be, in a sentence.
    pub words: String,
    /// Its faults; any fault keeps the whole file out.
    pub faults: Vec<ImportFault>,
}

/// One fault of a file.
#[derive(Debug)]
pub struct ImportFault {
    /// The line, counted from 1 with the heading.
    pub line: u64,
    /// The column's heading.
    pub column: String,
    /// What is wrong, and how to mend it.
    pub message: String,
}
