//! Parts, and one part with its balances and movements.

use askama::Template;

use super::Frame;
use super::orders::Fact;
use super::words::{Day, Moment};
use crate::units::Quantity;

/// The page at `/parts`.
#[derive(Debug, Template)]
#[template(path = "parts/list.html")]
pub struct PartsPage {
    /// The page around it.
    pub frame: Frame,
    /// What was searched for.
    pub query: String,
    /// The parts found.
    pub parts: Vec<PartRow>,
    /// The next page of the list, where there is more.
    pub more_href: Option<String>,
}

/// A part as the list shows it.
#[derive(Debug)]
pub struct PartRow {
    /// The part's number.
    pub number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour; empty where there is but one.
    pub variant: String,
    /// Pieces in the house.
    pub on_hand: Quantity,
    /// Pieces held for orders.
    pub reserved: Quantity,
    /// The bin that it is picked from.
    pub bin: String,
}

impl PartRow {
    /// Returns what is free to promise.
    pub fn available(&self) -> Quantity {
        self.on_hand.less(self.reserved)
    }
}

/// The page at `/parts/{part_number}`.
#[derive(Debug, Template)]
#[template(path = "parts/part.html")]
pub struct PartPage {
    /// The page around it.
    pub frame: Frame,
    /// What the list shows of it.
    pub part: PartRow,
    /// Pieces ordered and not yet here.
    pub on_order: Quantity,
    /// Its other facts: spec, mass, supplier, tracking, class.
    pub facts: Vec<Fact>,
    /// Where its pieces lie.
    pub balances: Vec<BalanceRow>,
    /// The last movements, newest first.
    pub movements: Vec<MovementRow>,
}

/// Pieces of one lot in one place.
#[derive(Debug)]
pub struct BalanceRow {
    /// The place.
    pub place: String,
    /// The lot; empty where none is kept.
    pub lot: String,
    /// The last day of use, where there is one.
    pub use_by: Option<Day>,
    /// The pieces.
    pub quantity: Quantity,
}

/// One movement.
#[derive(Debug)]
pub struct MovementRow {
    /// Its id.
    pub id: i64,
    /// When.
    pub at: Moment,
    /// Pieces moved.
    pub quantity: Quantity,
    /// From where.
    pub from: String,
    /// To where.
    pub to: String,
    /// The lot or serial number; empty where none is kept.
    pub lot: String,
    /// Who.
    pub person: String,
    /// The document: pick list, purchase order, count.
    pub document: String,
    /// Whether this person may reverse it now.
    pub reversible: bool,
    /// What it reverses, or what reversed it, in words; empty for a plain one.
    pub note: String,
}
