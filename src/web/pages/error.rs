//! An error as a page, with a way back.

use askama::Template;

use super::frame::Frame;

/// The page that answers what cannot be done.
#[derive(Debug, Template)]
#[template(path = "error.html")]
pub struct ErrorPage {
    /// The page around it.
    pub frame: Frame,
    /// The HTTP status.
    pub status: u16,
    /// What went wrong, in a few words.
    pub title: String,
    /// Which, how many, and how to mend it.
    pub words: String,
    /// The code that never changes, for whoever is asked for help.
    pub code: String,
    /// Where the way back leads.
    pub back_href: String,
    /// The way back, in words.
    pub back_words: String,
}
