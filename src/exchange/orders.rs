//! Orders: `order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity`, and
//! one further column for each option of the kits. Rows of one order share its number.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::str::FromStr;

use chrono::NaiveDate;

use super::csv::whole;
use super::csv::{Faults, Further, Row, Table, Text};
use super::fields::{self, Fields};
use super::groups::{Groups, next_number};
use super::{At, Fault, Read};
use crate::domain::catalog::CatalogError;
use crate::units::Quantity;

const COLUMNS: [&str; 10] = [
    "order",
    "placed_on",
    "promised_on",
    "customer",
    "channel",
    "email",
    "address",
    "country",
    "kit",
    "quantity",
];

/// The columns that every row of one order repeats.
const HEAD: [&str; 7] =
    ["placed_on", "promised_on", "customer", "channel", "email", "address", "country"];

/// Who an order comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Channel {
    /// Somebody who rides the bike.
    Rider,
    /// A shop that sells it on.
    Dealer,
}

impl Channel {
    /// Returns the word that files and the database hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Rider => "rider",
            Self::Dealer => "dealer",
        }
    }
}

impl FromStr for Channel {
    type Err = CatalogError;

    fn from_str(text: &str) -> Result<Self, CatalogError> {
        [Self::Rider, Self::Dealer].into_iter().find(|it| it.as_str() == text).ok_or_else(|| {
            let (kind, allowed) = ("channel", "rider, dealer");
            CatalogError::Word { text: text.to_owned(), kind, allowed }
        })
    }
}

impl fmt::Display for Channel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// An order with its lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderRecord {
    /// The order's number, as the shop gives it.
    pub number: String,
    /// The day on which it was placed.
    pub placed_on: NaiveDate,
    /// The day on which it is to leave the house.
    pub promised_on: NaiveDate,
    /// The customer's name.
    pub customer: String,
    /// Who the customer is.
    pub channel: Channel,
    /// The customer's email address.
    pub email: Option<String>,
    /// Where it goes, on one line.
    pub address: String,
    /// The country it goes to, in the two letters of ISO 3166-1.
    pub country: String,
    /// What was ordered, in the order of the file.
    pub lines: Vec<OrderLine>,
}

/// One line of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// The line's number within the order, from 1.
    pub line_no: u32,
    /// The kit's code.
    pub kit: String,
    /// How many kits.
    pub quantity: Quantity,
    /// The value chosen for each option; an empty cell chooses nothing.
    pub options: BTreeMap<String, String>,
    /// The line of the file that it was read from.
    pub at: u64,
}

/// Returns the orders of a file, each at the line where its number first stands.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<OrderRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<OrderRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Taken, &mut faults);
    let mut orders = Groups::new();
    for row in &table.rows {
        let mut fields = Fields::of(&table, row, &mut faults);
        let number = fields.text("order");
        let line = line(&mut fields, &table, row);
        let Some(number) = number else { continue };
        if let Some(first) = orders.first(&number) {
            fields.agree(first, &HEAD, "order");
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

fn head(fields: &mut Fields<'_>, number: &str) -> Option<OrderRecord> {
    let placed_on = fields.day("placed_on");
    let promised_on = fields.day("promised_on");
    if let (Some(placed), Some(promised)) = (placed_on, promised_on)
        && promised < placed
    {
        fields.fault("promised_on", "the promised day lies before the day of the order");
    }
    let customer = fields.text("customer");
    let channel = fields.parse("channel");
    let email = fields.maybe_with("email", fields::email);
    let address = fields.text("address");
    let country = fields.with("country", fields::country);
    Some(OrderRecord {
        number: number.to_owned(),
        placed_on: placed_on?,
        promised_on: promised_on?,
        customer: customer?,
        channel: channel?,
        email: email?,
        address: address?,
        country: country?,
        lines: Vec::new(),
    })
}

/// Returns the row's order line, with its number still open.
fn line(fields: &mut Fields<'_>, table: &Table, row: &Row) -> Option<OrderLine> {
    let kit = fields.text("kit");
    let quantity = fields.pieces("quantity");
    let mut options = Some(BTreeMap::new());
    for (name, place) in &table.further {
        let value = fields.plain(name, row.at(*place));
        match (&mut options, value) {
            (Some(options), Some(value)) if !value.is_empty() => {
                options.insert(name.clone(), value);
            }
            (_, Some(_)) => {}
            (_, None) => options = None,
        }
    }
    Some(OrderLine { line_no: 0, kit: kit?, quantity: quantity?, options: options?, at: row.line })
}

/// Returns a file of the orders, which reads back as the same.
pub fn write<'a>(orders: impl IntoIterator<Item = &'a OrderRecord>) -> String {
    let orders: Vec<&OrderRecord> = orders.into_iter().collect();
    let lines = orders.iter().flat_map(|order| &order.lines);
    let options: BTreeSet<&str> =
        lines.flat_map(|line| line.options.keys().map(String::as_str)).collect();
    let mut text = Text::with_heading(COLUMNS.into_iter().chain(options.iter().copied()));
    for order in &orders {
        for line in &order.lines {
            let chosen =
                options.iter().map(|option| line.options.get(*option).cloned().unwrap_or_default());
            text.row(cells(order, line).into_iter().chain(chosen));
        }
    }
    text.finish()
}

fn cells(order: &OrderRecord, line: &OrderLine) -> [String; 10] {
    [
        order.number.clone(),
        order.placed_on.to_string(),
        order.promised_on.to_string(),
        order.customer.clone(),
        order.channel.to_string(),
        order.email.clone().unwrap_or_default(),
        order.address.clone(),
        order.country.clone(),
        line.kit.clone(),
        line.quantity.to_string(),
    ]
}
