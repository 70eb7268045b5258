//! Purchase orders: `purchase_order,supplier,ordered_on,due_on,part_number,quantity,unit_price`.
//! Rows of one purchase order share its number.

use chrono::NaiveDate;

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::Fields;
use super::groups::{Groups, next_number};
use super::{At, Fault, Read};
use crate::domain::codes::PartNumber;
use crate::units::{Money, Quantity};

const COLUMNS: [&str; 7] =
    ["purchase_order", "supplier", "ordered_on", "due_on", "part_number", "quantity", "unit_price"];

/// The columns that every row of one purchase order repeats.
const HEAD: [&str; 3] = ["supplier", "ordered_on", "due_on"];

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
    /// What one piece costs.
    pub unit_price: Money,
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
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
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
        lines: Vec::new(),
    })
}

/// Returns the row's line, with its number still open.
fn line(fields: &mut Fields<'_>) -> Option<PurchaseLine> {
    let part_number = fields.parse("part_number");
    let quantity = fields.pieces("quantity");
    let unit_price = fields.with("unit_price", Money::parse_units);
    Some(PurchaseLine {
        line_no: 0,
        part_number: part_number?,
        quantity: quantity?,
        unit_price: unit_price?,
        at: fields.line(),
    })
}

/// Returns a file of the purchase orders, which reads back as the same.
pub fn write<'a>(orders: impl IntoIterator<Item = &'a PurchaseOrderRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for order in orders {
        for line in &order.lines {
            text.row([
                order.number.clone(),
                order.supplier.clone(),
                order.ordered_on.to_string(),
                order.due_on.to_string(),
                line.part_number.to_string(),
                line.quantity.to_string(),
                line.unit_price.to_string(),
            ]);
        }
    }
    text.finish()
}
