//! Domain values to bytes: labels, lists and assembly cards as PDF.
//!
//! Print is in greys only, and nothing is said by shade alone: what is missing is hatched and
//! named in words.

mod assembly_card;
mod canvas;
mod drawing;
mod flow;
mod font;
mod goods_receipt;
mod heading;
mod label;
mod label_pdf;
mod label_svg;
mod packing_list;
mod pdf;
mod pick_list;
mod purchase_order;
mod stock_value;
mod strip;

pub use assembly_card::assembly_card;
pub use font::{missing_glyphs, text_width};
pub use goods_receipt::{Counted, GoodsReceipt, ReceivedLine, goods_receipt};
pub use label::{Media, label_marks, labels};
pub use label_svg::label_svg;
pub use packing_list::{PackingLine, PackingList, PackingStep, Short, packing_list};
pub use pick_list::{PickKit, PickList, PickStop, PickTake, pick_list};
pub use purchase_order::{PurchaseOrder, PurchaseOrderLine, purchase_order};
pub use stock_value::{StockValue, StockValueRow, stock_value};

use crate::domain::labels::{Code128Error, LabelError, QrError, SheetError};

/// Why there is no paper.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PaperError {
    /// A label cannot be composed.
    #[error(transparent)]
    Label(#[from] LabelError),
    /// A number has no bar code.
    #[error(transparent)]
    Code128(#[from] Code128Error),
    /// A link has no QR code.
    #[error(transparent)]
    Qr(#[from] QrError),
    /// The program was built with a font that cannot be read.
    #[error("the font that comes with the program cannot be read")]
    Font,
    /// There is nothing to print.
    #[error("there is no label to print: choose at least one")]
    Nothing,
    /// The labels do not go on the sheet.
    #[error(transparent)]
    Sheet(#[from] SheetError),
}
