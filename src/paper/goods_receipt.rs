use chrono::{NaiveDate, NaiveDateTime};

use super::PaperError;
use super::canvas::Style;
use super::flow::{BODY, Cell, Column, Flow, LEFT, SMALL, WIDTH};
use super::heading::{self, TITLE, blocks, section, sign_here};
use crate::domain::codes::PartNumber;
use crate::units::Quantity;

/// What was counted against a purchase order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GoodsReceipt {
    /// The purchase order's number.
    pub order: String,
    /// The shop that received.
    pub shop: String,
    /// The supplier: name, postal address, email, each line of it.
    pub supplier: Vec<String>,
    /// The day of the order.
    pub ordered_on: NaiveDate,
    /// The day on which the goods are due.
    pub due_on: NaiveDate,
    /// The day of printing.
    pub printed_on: NaiveDate,
    /// Each line of the order.
    pub lines: Vec<ReceivedLine>,
}

/// A line of the purchase order and what came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReceivedLine {
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
    pub ordered: Quantity,
    /// Pieces received, good or damaged.
    pub received: Quantity,
    /// How it stands, in words: "short by 40".
    pub words: String,
    /// What was counted, the first first.
    pub counts: Vec<Counted>,
}

/// One count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Counted {
    /// When.
    pub at: NaiveDateTime,
    /// Who counted.
    pub by: String,
    /// The supplier's delivery note.
    pub delivery_note: String,
    /// Good pieces; below zero where a booking was reversed.
    pub good: Quantity,
    /// Damaged pieces.
    pub damaged: Quantity,
    /// How it differed from what was to come.
    pub difference: String,
    /// What the receiver had to say.
    pub note: String,
    /// Lots and serial numbers, ready to print.
    pub identity: Vec<String>,
    /// Where the pieces went, in words.
    pub places: Vec<String>,
}

const COLUMNS: [Column; 7] = [
    Column::new("Counted", 28_000),
    Column::right("Good", 15_000),
    Column::right("Damaged", 18_000),
    Column::new("Lot or serial number", 37_000),
    Column::new("Put in", 33_000),
    Column::new("Difference", 27_000),
    Column::new("Delivery note", 22_000),
];

/// Returns what was counted against a purchase order as a PDF of A4 pages, to be signed.
///
/// # Errors
///
/// [`PaperError::Qr`] where its number is too long for any code.
pub fn goods_receipt(receipt: &GoodsReceipt) -> Result<Vec<u8>, PaperError> {
    let mut flow = Flow::new(format!("Goods receipt, {}, {}", receipt.order, receipt.shop));
    let words = format!("against purchase order {}", receipt.order);
    let head = [
        (BODY.quiet(), receipt.shop.clone()),
        (TITLE, "Goods receipt".to_owned()),
        (Style::new(4_600), words),
    ];
    heading::head(&mut flow, &receipt.order, &head)?;
    let days = vec![
        format!("ordered on {}", receipt.ordered_on),
        format!("due on {}", receipt.due_on),
        format!("printed on {}", receipt.printed_on),
    ];
    blocks(&mut flow, &[("From", receipt.supplier.clone()), ("Days", days)]);
    flow.begin_table(&COLUMNS);
    for line in receipt.lines.iter().filter(|it| !it.counts.is_empty()) {
        counted(&mut flow, line);
    }
    flow.end_table();
    nothing_came(&mut flow, &receipt.lines);
    sign_here(&mut flow, &["Received and counted by", "Checked by", "Day"]);
    flow.finish()
}

fn heading_of(line: &ReceivedLine) -> String {
    let words = [line.variant.as_str(), line.name.as_str()];
    let words: Vec<&str> = words.into_iter().filter(|it| !it.is_empty()).collect();
    format!("{}. {} {}", line.number, line.part_number, words.join(", "))
}

fn counted(flow: &mut Flow, line: &ReceivedLine) {
    flow.begin_group(&heading_of(line), None);
    let item = match line.supplier_item.as_str() {
        "" => String::new(),
        item => format!(" Their item: {item}."),
    };
    let damaged: Quantity = line.counts.iter().map(|it| it.damaged).sum();
    let damaged =
        if damaged.is_some() { format!(", {damaged} of them damaged") } else { String::new() };
    let words = format!(
        "Ordered: {}. Received: {}{damaged}. {}.{item}",
        line.ordered,
        line.received,
        sentence(&line.words)
    );
    flow.paragraph(LEFT, WIDTH, BODY.bold(), &words);
    flow.skip(800);
    for count in &line.counts {
        flow.row(&cells(count));
    }
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |it| it.to_uppercase().chain(letters).collect())
}

fn cells(count: &Counted) -> [Cell; 7] {
    let words = |style: Style, text: String| Cell::Words(vec![(style, text)]);
    let small =
        |lines: &[String]| Cell::Words(lines.iter().map(|it| (SMALL, it.clone())).collect());
    let who = vec![
        (SMALL, count.at.format("%Y-%m-%d %H:%M").to_string()),
        (SMALL.quiet(), count.by.clone()),
    ];
    let mut difference = vec![(SMALL.bold(), count.difference.clone())];
    if !count.note.is_empty() {
        difference.push((SMALL, count.note.clone()));
    }
    [
        Cell::Words(who),
        words(BODY.bold(), count.good.to_string()),
        words(BODY.bold(), count.damaged.to_string()),
        small(&count.identity),
        small(&count.places),
        Cell::Words(difference),
        words(SMALL, count.delivery_note.clone()),
    ]
}

fn nothing_came(flow: &mut Flow, lines: &[ReceivedLine]) {
    let open: Vec<String> = lines
        .iter()
        .filter(|it| it.counts.is_empty())
        .map(|it| format!("{}: {} ordered, nothing received.", heading_of(it), it.ordered))
        .collect();
    if !open.is_empty() {
        section(flow, "Not counted yet", &open);
    }
}
