//! People, their roles, and the devices that may send scans.

use askama::Template;

use super::words::Moment;
use super::{Choice, Frame};

/// The page at `/people`.
#[derive(Debug, Template)]
#[template(path = "people/list.html")]
pub struct PeoplePage {
    /// The page around it.
    pub frame: Frame,
    /// Everybody who ever had a sign-in.
    pub people: Vec<Person>,
    /// The roles to give.
    pub roles: Vec<Choice>,
    /// Devices with a token.
    pub devices: Vec<Device>,
    /// A token just made, shown this once.
    pub new_token: Option<String>,
}

/// Somebody with a sign-in.
#[derive(Debug)]
pub struct Person {
    /// The sign-in name.
    pub name: String,
    /// The name as documents show it.
    pub called: String,
    /// The role, in words.
    pub role: String,
    /// Whether the sign-in works.
    pub active: bool,
}

/// A device with a token.
#[derive(Debug)]
pub struct Device {
    /// Its id.
    pub id: i64,
    /// What it is called.
    pub name: String,
    /// What it may do, in words.
    pub may: String,
    /// When it was last heard.
    pub last_heard: Option<Moment>,
    /// Whether its token works.
    pub active: bool,
}
