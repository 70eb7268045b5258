//! Air charts: `chart,part,choose,maximum,source,mass_from,mass_to,pressure`.
//!
//! One row for each row of a chart, the first five columns alike in all of them. `part` is a part
//! number, or the name of a base part with `choose` singling out its variants: `build=T12`. Masses
//! and pressures carry their unit as the maker states them.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::Fields;
use super::groups::Groups;
use super::{At, EntryRow, Fault, Read};
use crate::domain::catalog::Attributes;
use crate::domain::codes::PartNumber;
use crate::domain::setup::{AirChart, AirRow, ChartError, ChartItem};

const COLUMNS: [&str; 8] =
    ["chart", "part", "choose", "maximum", "source", "mass_from", "mass_to", "pressure"];

/// The columns that are alike in all rows of a chart.
pub const HEAD: [&str; 5] = ["chart", "part", "choose", "maximum", "source"];

/// The columns of one row of a chart.
pub const ROW: [&str; 3] = ["mass_from", "mass_to", "pressure"];

/// Returns the charts of a file, each at the line of its first row.
///
/// # Errors
///
/// Every fault of the file, in order of line: among them a row above the chart's maximum, and rows
/// that leave a gap.
pub fn read(bytes: &[u8]) -> Result<Vec<At<AirChart>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<AirChart> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns the one chart that these rows make up, or what is wrong in it, each fault at its row.
pub fn read_entry(rows_of_chart: &[EntryRow]) -> Read<AirChart> {
    rows(&Table::entry_rows(&COLUMNS, rows_of_chart), Faults::default())
}

fn rows(table: &Table, mut faults: Faults) -> Read<AirChart> {
    let mut charts = Groups::new();
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        let Some(code) = fields.text("chart") else { continue };
        let head = match charts.first(&code) {
            Some(first) => {
                fields.agree(first, HEAD.get(1..).unwrap_or_default(), "chart");
                None
            }
            None => head(&mut fields, &code),
        };
        let next = air_row(&mut fields);
        let Some(chart) = charts.entry(&code, row, head) else { continue };
        let Some(next) = next else { continue };
        if let Err(fault) = chart.check_row(chart.rows.last(), &next) {
            let column = match fault {
                ChartError::AboveMaximum { .. } => "pressure",
                ChartError::Backwards { .. } => "mass_to",
                ChartError::Gap { .. } => "mass_from",
            };
            fields.fault(column, fault.to_string());
        }
        chart.rows.push(next);
    }
    faults.beside(charts.finish())
}

fn head(fields: &mut Fields<'_>, code: &str) -> Option<AirChart> {
    let item = fields.text("part").map(|text| match text.parse::<PartNumber>() {
        Ok(number) => ChartItem::PartNumber(number),
        Err(_) => ChartItem::Part(text),
    });
    let choose: Option<Option<Attributes>> = fields.maybe_parse("choose");
    let maximum = fields.parse("maximum");
    let source = fields.text("source");
    let choose = choose?.unwrap_or_default();
    if matches!(item, Some(ChartItem::PartNumber(_))) && !choose.is_empty() {
        fields.fault("choose", "a part number leaves nothing to choose: empty this field");
        return None;
    }
    Some(AirChart {
        code: code.to_owned(),
        item: item?,
        choose,
        maximum: maximum?,
        source: source?,
        rows: Vec::new(),
    })
}

fn air_row(fields: &mut Fields<'_>) -> Option<AirRow> {
    let from = fields.parse("mass_from");
    let to = fields.parse("mass_to");
    let pressure = fields.parse("pressure");
    Some(AirRow { from: from?, to: to?, pressure: pressure? })
}

/// Returns a file of the charts, which reads back as the same.
pub fn write<'a>(charts: impl IntoIterator<Item = &'a AirChart>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for chart in charts {
        for row in &chart.rows {
            text.row([
                chart.code.clone(),
                chart.item.to_string(),
                chart.choose.to_string(),
                chart.maximum.to_string(),
                chart.source.clone(),
                row.from.to_string(),
                row.to.to_string(),
                row.pressure.to_string(),
            ]);
        }
    }
    text.finish()
}
