//! Purchase orders: `purchase_order,supplier,ordered_on,due_on,part_number,quantity,unit_price,
//! currency,wanted_on,note,price_per`. Rows of one purchase order share its number; a file may lack
//! the last four columns. A price is for one piece, or for as many as the last column says.

use chrono::NaiveDate;

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{self, Fields};
use super::groups::{Groups, next_number};
use super::{At, Fault, Read};
use crate::domain::codes::PartNumber;
use crate::domain::purchasing::UnitPrice;
use crate::units::{Money, Quantity};

const COLUMNS: [&str; 11] = [
    "purchase_order",
    "supplier",
    "ordered_on",
    "due_on",
    "part_number",
    "quantity",
    "unit_price",
    "currency",
    "wanted_on",
    "note",
    "price_per",
];

/// The columns that a file may lack.
const OPTIONAL: [&str; 4] = ["currency", "wanted_on", "note", "price_per"];

/// The columns that every row of one purchase order repeats.
const HEAD: [&str; 4] = ["supplier", "ordered_on", "due_on", "note"];

/// A purchase order with its lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PurchaseOrderRecord {
    /// The purchase order's number, as the shop gives it.
    pub number: String,
    /// The supplier's code.
    pub supplier: String,
    /// The day on which it was sent.
    pub ordered_on: NaiveDate,
    /// The day on which the goods are due.
    pub due_on: NaiveDate,
    /// What the supplier is to know; empty where nothing.
    pub note: String,
    /// What was ordered, in the order of the file.
    pub lines: Vec<PurchaseLine>,
}

/// One line of a purchase order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PurchaseLine {
    /// The line's number within the purchase order, from 1.
    pub line_no: u32,
    /// The part number.
    pub part_number: PartNumber,
    /// How many pieces.
    pub quantity: Quantity,
    /// What the pieces cost.
    pub price: UnitPrice,
    /// The currency of the price, in the three capitals of ISO 4217; empty where it is the shop's.
    pub currency: String,
    /// The day on which the line is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
    /// The line of the file that it was read from.
    pub at: u64,
}

/// Returns the purchase orders of a file, each at the line where its number first stands.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<PurchaseOrderRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<PurchaseOrderRecord> {
    let mut faults = Faults::default();
    let table = Table::parse_with(bytes, &COLUMNS, &OPTIONAL, Further::Refused, &mut faults);
    let mut orders = Groups::new();
    for row in &table.rows {
        let mut fields = Fields::of(&table, row, &mut faults);
        let number = fields.text("purchase_order");
        let line = line(&mut fields);
        let Some(number) = number else { continue };
        if let Some(first) = orders.first(&number) {
            fields.agree(first, &HEAD, "purchase order");
        }
        let head = head(&mut fields, &number);
        let order = orders.entry(&number, row, head);
        if let (Some(order), Some(mut line)) = (order, line) {
            line.line_no = next_number(order.lines.len());
            order.lines.push(line);
        }
    }
    faults.beside(orders.finish())
}

fn head(fields: &mut Fields<'_>, number: &str) -> Option<PurchaseOrderRecord> {
    let supplier = fields.text("supplier");
    let ordered_on = fields.day("ordered_on");
    let due_on = fields.day("due_on");
    let note = if fields.has("note") { fields.any("note")? } else { String::new() };
    if let (Some(ordered), Some(due)) = (ordered_on, due_on)
        && due < ordered
    {
        fields.fault("due_on", "the goods are due before the day of the purchase order");
    }
    Some(PurchaseOrderRecord {
        number: number.to_owned(),
        supplier: supplier?,
        ordered_on: ordered_on?,
        due_on: due_on?,
        note,
        lines: Vec::new(),
    })
}

/// Returns the row's line, with its number still open.
fn line(fields: &mut Fields<'_>) -> Option<PurchaseLine> {
    let part_number = fields.parse("part_number");
    let quantity = fields.pieces("quantity");
    let unit_price = fields.with("unit_price", Money::parse_units);
    let price_per = fields.optional_with("price_per", price_per);
    let currency = fields.optional_with("currency", fields::currency);
    let wanted_on = fields.optional_with("wanted_on", fields::day);
    Some(PurchaseLine {
        line_no: 0,
        part_number: part_number?,
        quantity: quantity?,
        price: UnitPrice::new(unit_price?, price_per?.unwrap_or(Quantity::ONE)),
        currency: currency?.unwrap_or_default(),
        wanted_on: wanted_on?,
        at: fields.line(),
    })
}

fn price_per(text: &str) -> Result<Quantity, String> {
    match fields::whole(text)? {
        0 => Err("a price is for 1 piece or more".to_owned()),
        pieces => Ok(Quantity::new(i64::from(pieces))),
    }
}

/// Returns a file of the purchase orders, which reads back as the same.
pub fn write<'a>(orders: impl IntoIterator<Item = &'a PurchaseOrderRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for order in orders {
        for line in &order.lines {
            let per = line.price.per();
            let per = if per == Quantity::ONE { String::new() } else { per.to_string() };
            text.row([
                order.number.clone(),
                order.supplier.clone(),
                order.ordered_on.to_string(),
                order.due_on.to_string(),
                line.part_number.to_string(),
                line.quantity.to_string(),
                line.price.amount().to_string(),
                line.currency.clone(),
                line.wanted_on.map(|it| it.to_string()).unwrap_or_default(),
                order.note.clone(),
                per,
            ]);
        }
    }
    text.finish()
}
