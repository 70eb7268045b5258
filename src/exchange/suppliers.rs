//! Suppliers: who they are, how long they take, and what they ask of a whole order.
//!
//! A file may lack the address, whose lines are parted by semicolons, and the columns from
//! `minimum_value` on, which go together.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{self, Fields, Seen, whole as whole_number};
use super::{At, Fault, Read};
use crate::domain::catalog::{Closings, SupplierRecord, SupplierTerms};
use crate::units::Money;

/// The columns of the file, in order.
pub const COLUMNS: [&str; 12] = [
    "code",
    "name",
    "email",
    "lead_days",
    "lead_sd_days",
    "address",
    "minimum_value",
    "order_cost",
    "budget",
    "container_l",
    "container_kg",
    "closed",
];

/// The columns that a file may lack: what is known of them stays.
const OPTIONAL: [&str; 7] =
    ["address", "minimum_value", "order_cost", "budget", "container_l", "container_kg", "closed"];

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
    let terms = terms(fields);
    Some(SupplierRecord {
        code: code?,
        name: name?,
        email: email?,
        lead_days: lead_days?,
        lead_sd_tenths: lead_sd_tenths?,
        address,
        terms: terms?,
    })
}

/// Returns what a row says of whole orders, or `Some(None)` where the file has no such columns.
fn terms(fields: &mut Fields<'_>) -> Option<Option<SupplierTerms>> {
    let columns = OPTIONAL.iter().skip(1);
    let (has, lacks): (Vec<&str>, Vec<&str>) = columns.partition(|it| fields.has(it));
    if has.is_empty() {
        return Some(None);
    }
    if let Some(column) = lacks.first() {
        let rest = has.join(", ");
        fields.fault(column, format!("{column} goes together with {rest}: add it"));
        return None;
    }
    let minimum_value = fields.maybe_with("minimum_value", Money::parse_units);
    let order_cost = fields.maybe_with("order_cost", Money::parse_units);
    let budget = fields.maybe_with("budget", Money::parse_units);
    let container_litres = fields.maybe_with("container_l", whole_number);
    let container_kg = fields.maybe_with("container_kg", whole_number);
    let closed = fields.maybe_parse::<Closings>("closed");
    Some(Some(SupplierTerms {
        minimum_value: minimum_value?.unwrap_or(Money::ZERO),
        order_cost: order_cost?.unwrap_or(Money::ZERO),
        budget: budget?,
        container_litres: container_litres?,
        container_kg: container_kg?,
        closed: closed?.unwrap_or_default(),
    }))
}

/// Returns a file of the suppliers, which reads back as the same.
pub fn write<'a>(suppliers: impl IntoIterator<Item = &'a SupplierRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    let some = |it: Money| if it == Money::ZERO { String::new() } else { it.to_string() };
    for it in suppliers {
        let terms = it.terms.clone().unwrap_or_default();
        text.row([
            it.code.clone(),
            it.name.clone(),
            it.email.clone().unwrap_or_default(),
            it.lead_days.to_string(),
            fields::write_tenths(it.lead_sd_tenths),
            it.address.clone().unwrap_or_default(),
            some(terms.minimum_value),
            some(terms.order_cost),
            terms.budget.map(|it| it.to_string()).unwrap_or_default(),
            terms.container_litres.map(|it| it.to_string()).unwrap_or_default(),
            terms.container_kg.map(|it| it.to_string()).unwrap_or_default(),
            terms.closed.to_string(),
        ]);
    }
    text.finish()
}
