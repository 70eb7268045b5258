//! Bins: `bin,kind,walk_order,zone`.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{Fields, Seen};
use super::{At, Fault, Read};
use crate::domain::catalog::BinRecord;
use crate::domain::codes::BinCode;

/// The columns of the file, in order.
pub const COLUMNS: [&str; 4] = ["bin", "kind", "walk_order", "zone"];

/// Returns the bins of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<BinRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<BinRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns the one record whose columns hold the texts that `cell` returns, or what is wrong in it.
pub fn read_entry(cell: impl Fn(&str) -> String) -> Read<BinRecord> {
    rows(&Table::entry(&COLUMNS, cell), Faults::default())
}

fn rows(table: &Table, mut faults: Faults) -> Read<BinRecord> {
    let (mut records, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        records.extend(bin(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(records)
}

fn bin(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<BinRecord> {
    let code: Option<BinCode> = fields.parse("bin");
    fields.once(seen, "bin", code.as_ref());
    let kind = fields.parse("kind");
    let walk_order = fields.whole("walk_order");
    let zone = fields.text("zone");
    Some(BinRecord { code: code?, kind: kind?, walk_order: walk_order?, zone: zone? })
}

/// Returns a file of the bins, which reads back as the same.
pub fn write<'a>(bins: impl IntoIterator<Item = &'a BinRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in bins {
        text.row([
            it.code.to_string(),
            it.kind.to_string(),
            it.walk_order.to_string(),
            it.zone.clone(),
        ]);
    }
    text.finish()
}
