use chrono::NaiveDate;

use super::PaperError;
use super::canvas::Style;
use super::flow::{BODY, Cell, Column, Flow, SMALL};
use super::heading::{self, TITLE, section};

/// What became of the stock in a month, each amount as it is to be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockValue {
    /// The shop.
    pub shop: String,
    /// How it is valued, in words.
    pub method: String,
    /// The currency; empty where nobody has said.
    pub currency: String,
    /// The first day.
    pub first_day: NaiveDate,
    /// The last day.
    pub last_day: NaiveDate,
    /// The day of printing.
    pub printed_on: NaiveDate,
    /// Each part, and all together as the last.
    pub rows: Vec<StockValueRow>,
    /// Whether pieces and amounts tie to the ledger, and what is to be known, in sentences.
    pub checks: Vec<String>,
}

/// What became of one part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockValueRow {
    /// The part number, or what stands for it.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// Opening, received, landed, made less used up, shipped, scrap, counts, variance, closing.
    pub amounts: [String; 9],
    /// Pieces at the end.
    pub pieces: String,
}

const COLUMNS: [Column; 11] = [
    Column::new("Part", 22_000),
    Column::right("Opening", 20_000),
    Column::right("Received", 17_000),
    Column::right("Landed", 14_000),
    Column::right("Made", 15_000),
    Column::right("Shipped", 17_000),
    Column::right("Scrap", 13_000),
    Column::right("Counts", 20_000),
    Column::right("Variance", 14_000),
    Column::right("Closing", 20_000),
    Column::right("Pieces", 13_000),
];

/// Returns the report as a PDF of A4 pages.
///
/// # Errors
///
/// [`PaperError::Font`] where the program's font can't be read.
pub fn stock_value(it: &StockValue) -> Result<Vec<u8>, PaperError> {
    let month = it.first_day.format("%Y-%m").to_string();
    let mut flow = Flow::new(format!("Stock value, {month}, {}", it.shop));
    let span = format!(
        "{} to {}, by {}{}, printed on {}",
        it.first_day,
        it.last_day,
        it.method,
        if it.currency.is_empty() { String::new() } else { format!(", in {}", it.currency) },
        it.printed_on
    );
    let head = [
        (BODY.quiet(), it.shop.clone()),
        (TITLE, "Stock value".to_owned()),
        (Style::new(4_600), span),
    ];
    heading::head(&mut flow, &month, &head)?;
    flow.begin_table(&COLUMNS);
    for row in &it.rows {
        flow.row(&cells(row));
    }
    flow.end_table();
    section(&mut flow, "Checks", &it.checks);
    flow.finish()
}

fn cells(row: &StockValueRow) -> Vec<Cell> {
    let part = vec![(SMALL.bold(), row.part_number.clone()), (SMALL, row.part.clone())];
    let number = |text: &String| Cell::Words(vec![(SMALL, text.clone())]);
    let mut cells = vec![Cell::Words(part)];
    cells.extend(row.amounts.iter().map(number));
    cells.push(number(&row.pieces));
    cells
}
