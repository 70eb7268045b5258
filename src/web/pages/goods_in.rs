//! Deliveries against purchase orders.

use askama::Template;

use super::Frame;
use super::words::{Day, delivered};
use crate::units::Quantity;

/// The page at `/goods-in`.
#[derive(Debug, Template)]
#[template(path = "goods_in/list.html")]
pub struct GoodsInPage {
    /// The page around it.
    pub frame: Frame,
    /// Purchase orders that are not all here, by due date.
    pub due: Vec<DueOrder>,
}

/// A purchase order that is on its way.
#[derive(Debug)]
pub struct DueOrder {
    /// Its number.
    pub number: String,
    /// The supplier's name.
    pub supplier: String,
    /// The date due.
    pub due: Day,
    /// Whether that date is past.
    pub late: bool,
    /// What is on it and what has come, in words.
    pub words: String,
    /// What waits for it, in words; empty where nothing does.
    pub waited_for: String,
}

/// The page at `/goods-in/{po}`.
#[derive(Debug, Template)]
#[template(path = "goods_in/receive.html")]
pub struct ReceivePage {
    /// The page around it.
    pub frame: Frame,
    /// The purchase order's number.
    pub number: String,
    /// The supplier's name.
    pub supplier: String,
    /// The date due.
    pub due: Day,
    /// Its lines.
    pub lines: Vec<ReceiveLine>,
}

/// A line of a purchase order.
#[derive(Debug)]
pub struct ReceiveLine {
    /// The line's id.
    pub id: i64,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// The supplier's own item; empty where unknown.
    pub supplier_item: String,
    /// The packing that was agreed, such as "packs of 100".
    pub pack: String,
    /// Pieces ordered.
    pub ordered: Quantity,
    /// Sound pieces received so far.
    pub received: Quantity,
    /// Damaged pieces received so far, which stand in quarantine.
    pub damaged: Quantity,
    /// What must be written down with it.
    pub track: Track,
}

/// What goods-in writes down with the pieces of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Track {
    /// The count alone.
    Nothing,
    /// A lot.
    Lot,
    /// A lot with a last day of use.
    LotAndUseBy,
    /// The serial number of each piece.
    Serial,
}

impl Track {
    /// Returns whether a lot is asked for.
    pub const fn lot(self) -> bool {
        matches!(self, Self::Lot | Self::LotAndUseBy)
    }

    /// Returns whether a last day of use is asked for.
    pub const fn use_by(self) -> bool {
        matches!(self, Self::LotAndUseBy)
    }

    /// Returns whether serial numbers are asked for.
    pub const fn serials(self) -> bool {
        matches!(self, Self::Serial)
    }
}

impl ReceiveLine {
    /// Returns the pieces that are still to come.
    pub fn open(&self) -> Quantity {
        self.ordered.less(self.received).at_least_zero()
    }

    /// Returns what is open, over or damaged, in words.
    pub fn words(&self) -> String {
        delivered(self.ordered, self.received, self.damaged)
    }
}
