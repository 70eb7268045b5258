//! Demand history: `part_number,month,used,spares,lost`, what was used of a part in the months
//! before these books began.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{Fields, Seen};
use super::{At, Fault, Read};
use crate::domain::demand::{HistoryRecord, Used};

/// The columns of the file, in order.
pub const COLUMNS: [&str; 5] = ["part_number", "month", "used", "spares", "lost"];

/// Returns the months of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<HistoryRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<HistoryRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    let (mut records, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(&table, row, &mut faults);
        records.extend(month(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(records)
}

fn month(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<HistoryRecord> {
    let part_number = fields.parse("part_number");
    let month = fields.parse("month");
    let [kits, spares, lost] = ["used", "spares", "lost"].map(|it| fields.whole(it));
    let used = Used { kits: i64::from(kits?), spares: i64::from(spares?), lost: i64::from(lost?) };
    let record = HistoryRecord { part_number: part_number?, month: month?, used };
    fields.once(
        seen,
        "part_number",
        Some(key_of(record.part_number.as_str(), &record.month.to_string())),
    );
    Some(record)
}

/// Returns the key of a part's month: "2026-10 MT108R".
pub fn key(it: &HistoryRecord) -> String {
    key_of(it.part_number.as_str(), &it.month.to_string())
}

/// Returns the key of a part's month.
pub(super) fn key_of(part: &str, month: &str) -> String {
    format!("{month} {part}")
}

/// Returns a file of the months, which reads back as the same.
pub fn write<'a>(history: impl IntoIterator<Item = &'a HistoryRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in history {
        text.row([
            it.part_number.to_string(),
            it.month.to_string(),
            it.used.kits.to_string(),
            it.used.spares.to_string(),
            it.used.lost.to_string(),
        ]);
    }
    text.finish()
}
