//! What is planned, what was used before these books began, and what has left since.

use chrono::NaiveDate;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Text};

use crate::domain::demand::{HistoryRecord, Month, PlanRecord, Used};
use crate::domain::ids::VariantId;
use crate::error::Error;

use super::Conn;
use super::dialect::insert_many;
use super::schema::{demand_history, planned_kits, variants};

/// Loads what is planned, by kit and month.
///
/// # Errors
///
/// [`Error::Internal`] when a stored mix no longer reads, which only a hand in the database can bring
/// about.
pub fn plan(conn: &mut Conn) -> Result<Vec<PlanRecord>, Error> {
    let rows: Vec<(String, NaiveDate, i64, String)> = planned_kits::table
        .select((planned_kits::kit, planned_kits::month, planned_kits::bikes, planned_kits::mix))
        .order((planned_kits::kit, planned_kits::month))
        .load(conn)?;
    let record = |(kit, month, bikes, mix): (String, NaiveDate, i64, String)| {
        let mix = mix
            .parse()
            .map_err(|fault| Error::Internal(format!("a stored mix can't be read: {fault}")))?;
        Ok(PlanRecord { kit, month: Month::of(month), bikes, mix })
    };
    rows.into_iter().map(record).collect()
}

/// Takes a kit's planned month away.
pub fn drop_planned(conn: &mut Conn, kit: &str, month: Month) -> QueryResult<()> {
    let same = planned_kits::table
        .filter(planned_kits::kit.eq(kit))
        .filter(planned_kits::month.eq(month.first_day()));
    diesel::delete(same).execute(conn).map(drop)
}

/// Writes a planned month, in place of the one of the same kit and month.
pub fn put_planned(conn: &mut Conn, it: &PlanRecord) -> QueryResult<()> {
    drop_planned(conn, &it.kit, it.month)?;
    diesel::insert_into(planned_kits::table)
        .values((
            planned_kits::kit.eq(&it.kit),
            planned_kits::month.eq(it.month.first_day()),
            planned_kits::bikes.eq(it.bikes),
            planned_kits::mix.eq(it.mix.to_string()),
        ))
        .execute(conn)
        .map(drop)
}

type HistoryRow = (String, NaiveDate, i64, i64, i64);

/// Loads what was used before these books began, by part number and month.
///
/// # Errors
///
/// [`Error::Internal`] when a stored part number no longer reads.
pub fn history(conn: &mut Conn) -> Result<Vec<HistoryRecord>, Error> {
    let rows: Vec<HistoryRow> = demand_history::table
        .inner_join(variants::table.on(variants::id.eq(demand_history::variant_id)))
        .select((
            variants::part_number,
            demand_history::month,
            demand_history::used,
            demand_history::spares,
            demand_history::lost,
        ))
        .order((variants::part_number, demand_history::month))
        .load(conn)?;
    let record = |(part, month, kits, spares, lost): HistoryRow| {
        let part_number = part
            .parse()
            .map_err(|fault| Error::Internal(format!("a part number can't be read: {fault}")))?;
        let used = Used { kits, spares, lost };
        Ok(HistoryRecord { part_number, month: Month::of(month), used })
    };
    rows.into_iter().map(record).collect()
}

/// Writes months of parts, in place of those of the same part and month.
pub fn put_history(conn: &mut Conn, rows: &[(VariantId, Month, Used)]) -> QueryResult<()> {
    let known: Vec<(i64, VariantId, NaiveDate)> = demand_history::table
        .select((demand_history::id, demand_history::variant_id, demand_history::month))
        .load(conn)?;
    let coming: std::collections::BTreeSet<(VariantId, NaiveDate)> =
        rows.iter().map(|(variant, month, _)| (*variant, month.first_day())).collect();
    let old = known.into_iter().filter(|it| coming.contains(&(it.1, it.2)));
    let old: Vec<i64> = old.map(|it| it.0).collect();
    for ids in old.chunks(500) {
        diesel::delete(demand_history::table.filter(demand_history::id.eq_any(ids)))
            .execute(conn)?;
    }
    let values: Vec<_> = rows
        .iter()
        .map(|(variant, month, used)| {
            (
                demand_history::variant_id.eq(*variant),
                demand_history::month.eq(month.first_day()),
                demand_history::used.eq(used.kits),
                demand_history::spares.eq(used.spares),
                demand_history::lost.eq(used.lost),
            )
        })
        .collect();
    insert_many!(conn, demand_history::table, values)
}

/// What left the house of a part in a month, and what was lost; below zero where more came back.
#[derive(Debug, Clone, PartialEq, Eq, QueryableByName)]
pub struct LeftRow {
    /// The part number.
    #[diesel(sql_type = Text)]
    pub part_number: String,
    /// The month, as "2026-11".
    #[diesel(sql_type = Text)]
    pub month: String,
    /// Pieces that left in kits.
    #[diesel(sql_type = BigInt)]
    pub kits: i64,
    /// Pieces that left by themselves.
    #[diesel(sql_type = BigInt)]
    pub spares: i64,
    /// Pieces thrown away, or found missing by a count.
    #[diesel(sql_type = BigInt)]
    pub lost: i64,
}

/// The months' sums over the ledger. A reversal counts in the month of what it reverses, so that it
/// takes that away; a kit that came back was wanted all the same. What a file of stock brought in is
/// no difference of a count.
const LEFT: &str = "
SELECT v.part_number AS part_number,
    substr(CAST(date(COALESCE(r.at, m.at)) AS TEXT), 1, 7) AS month,
    CAST(SUM(CASE WHEN COALESCE(r.kit_line_id, m.kit_line_id) IS NULL THEN 0
        WHEN t.kind = 'rider' THEN m.quantity
        WHEN f.kind = 'rider' AND r.id IS NOT NULL THEN -m.quantity ELSE 0 END) AS BIGINT) AS kits,
    CAST(SUM(CASE WHEN COALESCE(r.kit_line_id, m.kit_line_id) IS NOT NULL THEN 0
        WHEN t.kind = 'rider' THEN m.quantity
        WHEN f.kind = 'rider' AND r.id IS NOT NULL THEN -m.quantity ELSE 0 END) AS BIGINT) AS spares,
    CAST(SUM(CASE WHEN t.kind IN ('scrap', 'count difference') THEN m.quantity
        WHEN f.kind IN ('scrap', 'count difference') THEN -m.quantity ELSE 0 END) AS BIGINT) AS lost
FROM movements m
JOIN variants v ON v.id = m.variant_id
JOIN places f ON f.id = m.from_id
JOIN places t ON t.id = m.to_id
LEFT JOIN movements r ON r.id = m.reverses_id
WHERE (f.kind IN ('rider', 'scrap', 'count difference')
        OR t.kind IN ('rider', 'scrap', 'count difference'))
    AND COALESCE(r.document, m.document) <> 'stock import'
GROUP BY 1, 2 ORDER BY 1, 2";

/// Loads what left the house and what was lost, by part and month, over the whole ledger.
pub fn left(conn: &mut Conn) -> QueryResult<Vec<LeftRow>> {
    sql_query(LEFT).load(conn)
}
