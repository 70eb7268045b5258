//! What became of the stock in a month, as a file: `part_number,part,opening_pieces,opening_value`,
//! a value for each kind of change, `closing_pieces,closing_value,ledger_pieces`.

use super::csv::Text;

/// Returns a file with these columns and rows.
pub fn write(columns: &[String], rows: Vec<Vec<String>>) -> String {
    let mut text = Text::with_heading(columns.iter().map(String::as_str));
    for row in rows {
        text.row(row);
    }
    text.finish()
}
