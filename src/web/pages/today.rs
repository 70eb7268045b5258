//! What can leave today, and what holds the rest back.

use askama::Template;

use super::words::Day;
use super::{Frame, strip::Strip};

/// The page at `/`.
#[derive(Debug, Template)]
#[template(path = "today.html")]
pub struct TodayPage {
    /// The page around it.
    pub frame: Frame,
    /// The date that the page speaks of.
    pub date: Day,
    /// Orders that can leave, by promised date.
    pub leaving: Vec<LeavingOrder>,
    /// Orders that something holds back, by promised date.
    pub held: Vec<HeldOrder>,
    /// The one part that holds most orders back, in words.
    pub worst: Option<String>,
}

/// An order for which every part is in the house.
#[derive(Debug)]
pub struct LeavingOrder {
    /// The order's facts.
    pub order: OrderLine,
    /// How far it is: "ready to pick", "on the bench", "packed".
    pub stands: String,
    /// The next task's page.
    pub next_href: String,
    /// The next task, in words.
    pub next_words: String,
}

/// An order that cannot leave yet.
#[derive(Debug)]
pub struct HeldOrder {
    /// The order's facts.
    pub order: OrderLine,
    /// What holds it, each in words: part, how many, class, next delivery.
    pub held_by: Vec<String>,
}

/// What any table of orders shows of one.
#[derive(Debug, Clone)]
pub struct OrderLine {
    /// The order's number.
    pub number: String,
    /// The rider's or dealer's name.
    pub rider: String,
    /// The date promised.
    pub promised: Day,
    /// Whether that date is past.
    pub late: bool,
    /// Its kits in short, such as "T15, M, green, skis 105".
    pub kits: String,
    /// The kits' steps together.
    pub strip: Strip,
}
