//! What whoever opened a box said of its lines.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{KitId, KitLineId};
use crate::units::Quantity;

use super::Conn;
use super::schema::{box_reports, kit_lines};

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

/// Loads the newest report on each line of kits, in order of line.
pub fn reports_of(conn: &mut Conn, kits: &[KitId]) -> QueryResult<Vec<ReportRow>> {
    let rows: Vec<ReportRow> = box_reports::table
        .inner_join(kit_lines::table.on(kit_lines::id.eq(box_reports::kit_line_id)))
        .filter(kit_lines::kit_id.eq_any(kits))
        .select((
            kit_lines::kit_id,
            box_reports::kit_line_id,
            box_reports::outcome,
            box_reports::quantity,
            box_reports::note,
            box_reports::reported_at,
        ))
        .order(box_reports::id)
        .load(conn)?;
    let newest: std::collections::BTreeMap<KitLineId, ReportRow> =
        rows.into_iter().map(|row| (row.line, row)).collect();
    Ok(newest.into_values().collect())
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
