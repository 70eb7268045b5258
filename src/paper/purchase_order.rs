use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::PaperError;
use super::canvas::Style;
use super::flow::{BODY, Cell, Column, Flow, RIGHT, SMALL};
use super::heading::{self, TITLE, blocks, section};
use crate::domain::codes::PartNumber;
use crate::domain::purchasing::UnitPrice;
use crate::units::{Money, Quantity};

/// What a supplier is asked to send.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PurchaseOrder {
    /// Our number for it.
    pub number: String,
    /// The shop that orders.
    pub shop: String,
    /// The supplier: name, postal address, email, each line of it.
    pub supplier: Vec<String>,
    /// Where the goods are to go, each line of it.
    pub deliver_to: Vec<String>,
    /// The day of the order.
    pub ordered_on: NaiveDate,
    /// The day on which lines without one of their own are due.
    pub due_on: NaiveDate,
    /// The day of printing.
    pub printed_on: NaiveDate,
    /// What is to be known of it at first sight: that it is a draft, a change, called off.
    pub standing: String,
    /// What the supplier is to know; empty where nothing.
    pub note: String,
    /// What is ordered.
    pub lines: Vec<PurchaseOrderLine>,
}

/// One part of a purchase order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PurchaseOrderLine {
    /// Its number in the order.
    pub number: i64,
    /// Our part number.
    pub part_number: PartNumber,
    /// The supplier's own number for it; empty where unknown.
    pub supplier_item: String,
    /// What the part is called.
    pub name: String,
    /// Its size or colour; empty where there is one kind only.
    pub variant: String,
    /// Pieces ordered.
    pub quantity: Quantity,
    /// Pieces in one pack of the supplier's.
    pub pack: Quantity,
    /// What the pieces cost.
    pub price: UnitPrice,
    /// The currency of the price, in the capitals of ISO 4217.
    pub currency: String,
    /// The day on which it is wanted.
    pub wanted_on: NaiveDate,
}

impl PurchaseOrderLine {
    /// Returns what the line costs; `None` where no books could hold it.
    fn amount(&self) -> Option<Money> {
        self.price.cost(self.quantity)
    }

    /// Returns the quantity in the supplier's packs: "2 × 200", "1 × 200 + 50", "singly".
    fn packs(&self) -> String {
        let (pieces, pack) = (self.quantity.pieces(), self.pack.pieces());
        if pack <= 1 {
            return "singly".to_owned();
        }
        let (packs, rest) = (pieces / pack, pieces % pack);
        match (packs, rest) {
            (0, _) => "part of a pack".to_owned(),
            (_, 0) => format!("{packs} × {pack}"),
            _ => format!("{packs} × {pack} + {rest}"),
        }
    }
}

const COLUMNS: [Column; 9] = [
    Column::new("Line", 9_000),
    Column::new("Our part", 18_000),
    Column::new("Your item", 20_000),
    Column::new("Size and description", 36_000),
    Column::new("Packs", 22_000),
    Column::right("Pieces", 16_000),
    Column::right("Price", 16_000),
    Column::right("Amount", 23_000),
    Column::new("Wanted by", 20_000),
];

/// Returns a purchase order as a PDF of A4 pages.
///
/// # Errors
///
/// [`PaperError::Qr`] where its number is too long for any code.
pub fn purchase_order(order: &PurchaseOrder) -> Result<Vec<u8>, PaperError> {
    let title = format!("Purchase order {}", order.number);
    let mut flow = Flow::new(format!("{title}, {}", order.shop));
    let words = format!("Please name {} on delivery note and invoice.", order.number);
    let mut head = vec![(BODY.quiet(), order.shop.clone()), (TITLE, title), (BODY, words)];
    if !order.standing.is_empty() {
        head.push((BODY.bold(), order.standing.clone()));
    }
    heading::head(&mut flow, &order.number, &head)?;
    let days = vec![
        format!("ordered on {}", order.ordered_on),
        format!("due on {}", order.due_on),
        format!("printed on {}", order.printed_on),
    ];
    let sides = [("To", order.supplier.clone()), ("Deliver to", order.deliver_to.clone())];
    blocks(&mut flow, &[sides.as_slice(), &[("Days", days)]].concat());
    flow.begin_table(&COLUMNS);
    for line in &order.lines {
        flow.row(&cells(line));
    }
    flow.end_table();
    totals(&mut flow, &order.lines);
    if !order.note.is_empty() {
        section(&mut flow, "Notes", std::slice::from_ref(&order.note));
    }
    flow.finish()
}

fn cells(line: &PurchaseOrderLine) -> [Cell; 9] {
    let words = |style: Style, text: String| Cell::Words(vec![(style, text)]);
    let mut part = Vec::new();
    if !line.variant.is_empty() {
        part.push((BODY.bold(), line.variant.clone()));
    }
    part.push((SMALL, line.name.clone()));
    let mut price = vec![(SMALL, two_places(line.price.amount()))];
    if line.price.per() != Quantity::ONE {
        price.push((SMALL, format!("for {}", line.price.per())));
    }
    let amount = line.amount().map_or_else(|| "too large".to_owned(), two_places);
    [
        words(SMALL.quiet(), line.number.to_string()),
        words(SMALL.bold(), line.part_number.to_string()),
        words(SMALL, line.supplier_item.clone()),
        Cell::Words(part),
        words(SMALL, line.packs()),
        words(BODY.bold(), line.quantity.to_string()),
        Cell::Words(price),
        words(SMALL, priced(&line.currency, &amount)),
        words(SMALL, line.wanted_on.to_string()),
    ]
}

/// Writes an amount behind its currency, which a shop may not have stated.
fn priced(currency: &str, amount: &str) -> String {
    if currency.is_empty() { amount.to_owned() } else { format!("{currency} {amount}") }
}

/// Writes an amount with two decimals, so that a column of them is easy to add up.
fn two_places(amount: Money) -> String {
    let cents = amount.cents();
    let sign = if cents < 0 { "-" } else { "" };
    let cents = cents.unsigned_abs();
    format!("{sign}{}.{:02}", cents / 100, cents % 100)
}

/// Writes what all lines cost together, for each currency by itself.
fn totals(flow: &mut Flow, lines: &[PurchaseOrderLine]) {
    let mut totals: BTreeMap<&str, Option<i64>> = BTreeMap::new();
    for line in lines {
        let total = totals.entry(line.currency.as_str()).or_insert(Some(0));
        *total = total.zip(line.amount()).and_then(|(sum, it)| sum.checked_add(it.cents()));
    }
    let style = Style::new(4_200).bold();
    flow.skip(2_500);
    for (currency, total) in totals {
        let total = match total {
            Some(cents) => two_places(Money::from_cents(cents)),
            None => "too large to add up".to_owned(),
        };
        let y = flow.need(style.leading());
        let words = format!("Total {}", priced(currency, &total));
        flow.page().text_right(RIGHT, y + style.ascent(), style, &words);
        flow.skip(style.leading());
    }
}
