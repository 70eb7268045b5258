//! What whoever opened a box said of its lines.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::Bool;

use crate::domain::ids::{KitId, KitLineId};
use crate::units::Quantity;

use super::schema::{box_reports, kit_lines};
use super::{CHUNK, Conn};

/// The newest word on one line.
#[derive(Debug, Clone, Queryable)]
pub struct ReportRow {
    /// The kit.
    pub kit: KitId,
    /// The kit line.
    pub line: KitLineId,
    /// Here, missing or damaged.
    pub outcome: String,
    /// How many pieces.
    pub quantity: Quantity,
    /// What was said beside it.
    pub note: String,
    /// When.
    pub reported_at: NaiveDateTime,
}

macro_rules! report_rows {
    () => {
        box_reports::table
            .inner_join(kit_lines::table.on(kit_lines::id.eq(box_reports::kit_line_id)))
            .select((
                kit_lines::kit_id,
                box_reports::kit_line_id,
                box_reports::outcome,
                box_reports::quantity,
                box_reports::note,
                box_reports::reported_at,
            ))
            .order(box_reports::id)
    };
}

/// Loads the newest report on each line of kits, in order of line.
pub fn reports_of(conn: &mut Conn, kits: &[KitId]) -> QueryResult<Vec<ReportRow>> {
    let mut rows: Vec<ReportRow> = Vec::new();
    for some in kits.chunks(CHUNK) {
        let of_some = report_rows!().filter(kit_lines::kit_id.eq_any(some));
        rows.extend(of_some.load::<ReportRow>(conn)?);
    }
    Ok(newest(rows))
}

fn newest(rows: Vec<ReportRow>) -> Vec<ReportRow> {
    let newest: BTreeMap<KitLineId, ReportRow> =
        rows.into_iter().map(|row| (row.line, row)).collect();
    newest.into_values().collect()
}

/// Loads the newest report on each line of which it was ever said that something is amiss, in order
/// of line. The condition is that of the index `box_reports_amiss`, which a bound value would not
/// find.
pub fn once_amiss(conn: &mut Conn) -> QueryResult<Vec<ReportRow>> {
    let amiss = diesel::alias!(box_reports as amiss);
    let lines = amiss
        .filter(sql::<Bool>("amiss.outcome <> 'here'"))
        .select(amiss.field(box_reports::kit_line_id));
    let rows: Vec<ReportRow> =
        report_rows!().filter(box_reports::kit_line_id.eq_any(lines)).load(conn)?;
    Ok(newest(rows))
}

/// Writes a report.
pub fn make_report(
    conn: &mut Conn,
    line: KitLineId,
    outcome: &str,
    quantity: Quantity,
    note: &str,
    at: NaiveDateTime,
) -> QueryResult<()> {
    diesel::insert_into(box_reports::table)
        .values((
            box_reports::kit_line_id.eq(line),
            box_reports::outcome.eq(outcome),
            box_reports::quantity.eq(quantity),
            box_reports::note.eq(note),
            box_reports::reported_at.eq(at),
        ))
        .execute(conn)
        .map(drop)
}
