//! Suppliers: `code,name,email,lead_days,lead_sd_days,address`, of which a file may
//! lack the address, whose lines are parted by semicolons.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{self, Fields, Seen};
use super::{At, Fault, Read};
use crate::domain::catalog::SupplierRecord;

/// The columns of the file, in order.
pub const COLUMNS: [&str; 6] = ["code", "name", "email", "lead_days", "lead_sd_days", "address"];

/// The columns that a file may lack: what is known of them stays.
const OPTIONAL: [&str; 1] = ["address"];

/// Returns the suppliers of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<SupplierRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<SupplierRecord> {
    let mut faults = Faults::default();
    let table = Table::parse_with(bytes, &COLUMNS, &OPTIONAL, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns the one record whose columns hold the texts that `cell` returns, or what is wrong in it.
pub fn read_entry(cell: impl Fn(&str) -> String) -> Read<SupplierRecord> {
    rows(&Table::entry(&COLUMNS, cell), Faults::default())
}

fn rows(table: &Table, mut faults: Faults) -> Read<SupplierRecord> {
    let (mut records, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        records.extend(supplier(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(records)
}

fn supplier(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<SupplierRecord> {
    let code = fields.text("code");
    fields.once(seen, "code", code.as_ref());
    let name = fields.text("name");
    let email = fields.maybe_with("email", fields::email);
    let lead_days = fields.whole("lead_days");
    let lead_sd_tenths = fields.with("lead_sd_days", fields::tenths);
    let address = if fields.has("address") { Some(fields.any("address")?) } else { None };
    Some(SupplierRecord {
        code: code?,
        name: name?,
        email: email?,
        lead_days: lead_days?,
        lead_sd_tenths: lead_sd_tenths?,
        address,
    })
}

/// Returns a file of the suppliers, which reads back as the same.
pub fn write<'a>(suppliers: impl IntoIterator<Item = &'a SupplierRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in suppliers {
        text.row([
            it.code.clone(),
            it.name.clone(),
            it.email.clone().unwrap_or_default(),
            it.lead_days.to_string(),
            fields::write_tenths(it.lead_sd_tenths),
            it.address.clone().unwrap_or_default(),
        ]);
    }
    text.finish()
}
