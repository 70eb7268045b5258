//! A table of figures as a file for spreadsheets; nothing reads it back.

use super::csv::Text;

/// Returns the text of a file with those columns and rows.
///
/// ```
/// use kitwright::exchange::table::write;
/// let rows = vec![vec!["Bolt, long".to_owned(), "7".to_owned()]];
/// assert_eq!(write(&["part", "pieces"], &rows), "part,pieces\n\"Bolt, long\",7\n");
/// ```
pub fn write(columns: &[&str], rows: &[Vec<String>]) -> String {
    let mut text = Text::with_heading(columns.iter().copied());
    for row in rows {
        text.row(row.iter().cloned());
    }
    text.finish()
}
