//! What to order, and how much.

use askama::Template;

use super::Frame;
use crate::units::Quantity;

/// The page at `/reorder`.
#[derive(Debug, Template)]
#[template(path = "reorder/list.html")]
pub struct ReorderPage {
    /// The page around it.
    pub frame: Frame,
    /// Parts at or below their reorder point, by supplier.
    pub suppliers: Vec<SupplierNeeds>,
}

/// What one supplier could be asked for.
#[derive(Debug)]
pub struct SupplierNeeds {
    /// The supplier's name.
    pub supplier: String,
    /// Its terms, in words: lead time, least order, days closed.
    pub terms: String,
    /// The parts.
    pub parts: Vec<ReorderRow>,
}

/// A part at or below its reorder point.
#[derive(Debug)]
pub struct ReorderRow {
    /// The part's number, which the tick sends.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Pieces in the house.
    pub on_hand: Quantity,
    /// Pieces that open orders need.
    pub needed: Quantity,
    /// Pieces ordered and not yet here.
    pub on_order: Quantity,
    /// The reorder point.
    pub point: Quantity,
    /// Pieces suggested.
    pub suggested: Quantity,
    /// Why that many, in a sentence.
    pub because: String,
}
