//! Policies: how each part or class of parts is bought, one row for each. What a row leaves empty,
//! the wider one says.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{Fields, Seen, whole as number};
use super::{At, Fault, Read};
use crate::domain::reorder::{PolicyRecord, Prices, Scope};
use crate::units::{Money, Quantity};

/// The columns of the file, in order.
pub const COLUMNS: [&str; 19] = [
    "for",
    "policy",
    "service_percent",
    "minimum",
    "maximum",
    "review_days",
    "container",
    "sized_by",
    "variation_percent",
    "left_over_cost",
    "short_cost",
    "season_starts",
    "holding_percent",
    "cover_days",
    "shelf_life_days",
    "room",
    "prices",
    "discount",
    "note",
];

/// Returns the policies of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<PolicyRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<PolicyRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns the one record whose columns hold the texts that `cell` returns, or what is wrong in it.
pub fn read_entry(cell: impl Fn(&str) -> String) -> Read<PolicyRecord> {
    rows(&Table::entry(&COLUMNS, cell), Faults::default())
}

fn rows(table: &Table, mut faults: Faults) -> Read<PolicyRecord> {
    let (mut records, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        records.extend(policy(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(records)
}

fn policy(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<PolicyRecord> {
    let scope: Option<Scope> = fields.parse("for");
    fields.once(seen, "for", scope.as_ref());
    let kind = fields.maybe_parse("policy");
    let service = fields.maybe_parse("service_percent");
    let minimum = fields.maybe_parse::<Quantity>("minimum");
    let maximum = fields.maybe_parse::<Quantity>("maximum");
    let review_days = days(fields, "review_days", 0);
    let container = fields.maybe_parse::<Quantity>("container");
    if container.flatten().is_some_and(|it| !it.is_some()) {
        fields.fault("container", "a container holds at least 1 piece");
    }
    let sized_by = fields.maybe_parse("sized_by");
    let variation_percent = days(fields, "variation_percent", 0);
    let left_over = cost(fields, "left_over_cost");
    let short = cost(fields, "short_cost");
    let season_starts = fields.maybe_parse("season_starts");
    let holding_percent = days(fields, "holding_percent", 0);
    let cover_days = days(fields, "cover_days", 1);
    let shelf_life_days = days(fields, "shelf_life_days", 1);
    let room = fields.maybe_parse::<Quantity>("room");
    let prices = fields.maybe_parse::<Prices>("prices");
    let discount = fields.maybe_parse("discount");
    let note = fields.any("note");
    let record = PolicyRecord {
        scope: scope?,
        kind: kind?,
        service: service?,
        minimum: minimum?,
        maximum: maximum?,
        review_days: review_days?,
        container: container?,
        sized_by: sized_by?,
        variation_percent: variation_percent?,
        left_over: left_over?,
        short: short?,
        season_starts: season_starts?,
        holding_percent: holding_percent?,
        cover_days: cover_days?,
        shelf_life_days: shelf_life_days?,
        room: room?,
        prices: prices?.unwrap_or_default(),
        discount: discount?,
        note: note?,
    };
    for (column, message) in record.faults() {
        fields.fault(column, message);
    }
    Some(record)
}

/// Returns a whole number of at least `least`, or nothing where the column is empty.
fn days(fields: &mut Fields<'_>, column: &str, least: u32) -> Option<Option<i64>> {
    fields.maybe_with(column, |text| match number(text) {
        Ok(found) if least <= found => Ok(i64::from(found)),
        Ok(_) => Err(format!("'{text}' is too few: write {least} or more")),
        Err(fault) => Err(fault),
    })
}

/// Returns a cost above zero, or nothing where the column is empty.
fn cost(fields: &mut Fields<'_>, column: &str) -> Option<Option<Money>> {
    fields.maybe_with(column, |text| match Money::parse_units(text) {
        Ok(cost) if 0 < cost.cents() => Ok(cost),
        Ok(_) => Err("a cost must be above 0: leave it empty where it is not known".to_owned()),
        Err(fault) => Err(fault.to_string()),
    })
}

/// Returns a file of the policies, which reads back as the same.
pub fn write<'a>(policies: impl IntoIterator<Item = &'a PolicyRecord>) -> String {
    fn maybe(value: Option<impl ToString>) -> String {
        value.map(|it| it.to_string()).unwrap_or_default()
    }
    let mut text = Text::with_heading(COLUMNS);
    for it in policies {
        text.row([
            it.scope.to_string(),
            maybe(it.kind.map(|it| it.word())),
            maybe(it.service),
            maybe(it.minimum),
            maybe(it.maximum),
            maybe(it.review_days),
            maybe(it.container),
            maybe(it.sized_by.map(|it| it.word())),
            maybe(it.variation_percent),
            maybe(it.left_over),
            maybe(it.short),
            maybe(it.season_starts),
            maybe(it.holding_percent),
            maybe(it.cover_days),
            maybe(it.shelf_life_days),
            maybe(it.room),
            it.prices.to_string(),
            maybe(it.discount.map(|it| it.word())),
            it.note.clone(),
        ]);
    }
    text.finish()
}
