//! The sign-in page.

use askama::Template;

use super::Frame;

/// The page at `/sign-in`.
#[derive(Debug, Template)]
#[template(path = "sign_in.html")]
pub struct SignInPage {
    /// The page around it.
    pub frame: Frame,
    /// The name typed before, when the sign-in was refused.
    pub name: String,
    /// The page to go to afterwards.
    pub next: String,
}
