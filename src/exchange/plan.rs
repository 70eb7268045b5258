//! Plan: `kit,month,bikes,mix`, the bikes that the shop means to ship in each month.
//!
//! The mix says in percent who chooses what; a month without one has that of the month before.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{Fields, Seen};
use super::{At, Fault, Read};
use crate::domain::demand::{Mix, PlanRecord};

/// The columns of the file, in order.
pub const COLUMNS: [&str; 4] = ["kit", "month", "bikes", "mix"];

/// Returns the planned months of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<PlanRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<PlanRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns the one record whose columns hold the texts that `cell` returns, or what is wrong in it.
pub fn read_entry(cell: impl Fn(&str) -> String) -> Read<PlanRecord> {
    rows(&Table::entry(&COLUMNS, cell), Faults::default())
}

fn rows(table: &Table, mut faults: Faults) -> Read<PlanRecord> {
    let (mut records, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        records.extend(planned(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(records)
}

fn planned(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<PlanRecord> {
    let kit = fields.text("kit");
    let month = fields.parse("month");
    let bikes = fields.whole("bikes");
    let mix = fields.maybe_parse::<Mix>("mix");
    let record = PlanRecord {
        kit: kit?,
        month: month?,
        bikes: i64::from(bikes?),
        mix: mix?.unwrap_or_default(),
    };
    fields.once(seen, "kit", Some(key(&record)));
    Some(record)
}

/// Returns the key of a planned month: "2026-12 TARVET".
pub fn key(it: &PlanRecord) -> String {
    key_of(&it.kit, &it.month.to_string())
}

/// Returns the key of a kit's month.
pub(super) fn key_of(kit: &str, month: &str) -> String {
    format!("{month} {kit}")
}

/// Returns the kit and the month of a key.
pub fn of_key(key: &str) -> (&str, &str) {
    let (month, kit) = key.split_once(' ').unwrap_or((key, ""));
    (kit, month)
}

/// Returns a file of the planned months, which reads back as the same.
pub fn write<'a>(plan: impl IntoIterator<Item = &'a PlanRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in plan {
        text.row([it.kit.clone(), it.month.to_string(), it.bikes.to_string(), it.mix.to_string()]);
    }
    text.finish()
}
