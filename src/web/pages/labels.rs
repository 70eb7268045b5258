//! Labels to print.

use askama::Template;

use super::{Choice, Frame};
use crate::units::Quantity;

/// The page at `/labels`.
#[derive(Debug, Template)]
#[template(path = "labels/form.html")]
pub struct LabelsPage {
    /// The page around it.
    pub frame: Frame,
    /// The kinds of label.
    pub kinds: Vec<Choice>,
    /// What to label, one number or code a line.
    pub of: String,
    /// How many of each.
    pub copies: Quantity,
    /// Sheets and rolls.
    pub papers: Vec<Choice>,
}
