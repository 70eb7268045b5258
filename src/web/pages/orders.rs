//! Orders, and one order with its kits.

use askama::Template;

use super::Frame;
use super::strip::Strip;
use super::today::OrderLine;
use super::words::{Day, Moment, Word};
use crate::units::Quantity;

/// The page at `/orders`.
#[derive(Debug, Template)]
#[template(path = "orders/list.html")]
pub struct OrdersPage {
    /// The page around it.
    pub frame: Frame,
    /// What was searched for.
    pub query: String,
    /// The orders, by promised date.
    pub orders: Vec<ListedOrder>,
    /// The next page of the list, where there is more.
    pub more_href: Option<String>,
}

/// An order as the list shows it.
#[derive(Debug)]
pub struct ListedOrder {
    /// The order's facts.
    pub order: OrderLine,
    /// Where it stands, in words.
    pub stands: String,
    /// Missing-part alerts that are open.
    pub alerts: Quantity,
}

/// The page at `/orders/{number}`.
#[derive(Debug, Template)]
#[template(path = "orders/order.html")]
pub struct OrderPage {
    /// The page around it.
    pub frame: Frame,
    /// The order's number.
    pub number: String,
    /// The rider's or dealer's name.
    pub rider: String,
    /// The date promised.
    pub promised: Day,
    /// Whether that date is past.
    pub late: bool,
    /// Where the order stands, in words.
    pub stands: String,
    /// Its kits.
    pub kits: Vec<OrderedKit>,
    /// What the receiver reported, newest first.
    pub reports: Vec<ReceiverReport>,
    /// What the person may do with the order now, each a form that posts.
    pub actions: Vec<OrderAction>,
}

/// One kit of an order.
#[derive(Debug)]
pub struct OrderedKit {
    /// The kit's number.
    pub number: String,
    /// The build, such as "Tarvet T15".
    pub build: String,
    /// What was chosen, such as ("frame size", "M").
    pub options: Vec<Fact>,
    /// Its steps.
    pub strip: Strip,
    /// The stages from order to verified box.
    pub stages: Vec<Stage>,
    /// Its open missing-part alerts, by step.
    pub alerts: Vec<Alert>,
}

/// A named value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// What it is.
    pub name: String,
    /// Its value, with its unit.
    pub value: String,
}

impl Fact {
    /// Returns a named value.
    pub fn new(name: impl Into<String>, value: impl Into<String>) -> Self {
        Self { name: name.into(), value: value.into() }
    }
}

/// One stage on a kit's way.
#[derive(Debug)]
pub struct Stage {
    /// The stage, such as "picked".
    pub words: Word,
    /// When it was reached; `None` while it lies ahead.
    pub reached: Option<Moment>,
}

/// A part that a kit still lacks.
#[derive(Debug)]
pub struct Alert {
    /// The step that it stops.
    pub step: i64,
    /// The step's title.
    pub step_title: String,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Pieces missing.
    pub missing: Quantity,
    /// What the lack of it does: "stops the build", "stops the ride" and so on.
    pub class: String,
    /// The purchase order that covers it, its number.
    pub covered_by: Option<String>,
    /// The cover in words: when it is due, or that nothing is on order.
    pub cover: String,
}

/// What the receiver said of one step.
#[derive(Debug)]
pub struct ReceiverReport {
    /// When.
    pub at: Moment,
    /// The kit's number.
    pub kit: String,
    /// What was said, in words.
    pub words: String,
    /// What was done about it, in words.
    pub reply: String,
}

/// Something that can be done with the whole order.
#[derive(Debug)]
pub struct OrderAction {
    /// The last part of the form's address, such as "allocate".
    pub verb: Word,
    /// The button's words.
    pub words: String,
    /// What it will do, in a sentence.
    pub explains: String,
}
