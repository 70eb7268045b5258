//! Alerts that receivers were told of.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::Conn;
use super::dialect::insert_many;
use super::schema::told_alerts;

/// An alert that receivers were told of and that has not ended, by the last look.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Queryable)]
pub struct ToldAlert {
    /// The kit's number.
    pub kit: String,
    /// The line's number in the kit.
    pub line: i64,
    /// Where the part turned out to be missing, in its word.
    pub cause: String,
}

/// Loads the alerts that receivers were told of and that have not ended, by the last look.
pub fn standing(conn: &mut Conn) -> QueryResult<Vec<ToldAlert>> {
    told_alerts::table
        .filter(told_alerts::cleared_at.is_null())
        .order((told_alerts::kit, told_alerts::line, told_alerts::cause))
        .select((told_alerts::kit, told_alerts::line, told_alerts::cause))
        .load(conn)
}

/// Writes that receivers are told of alerts now.
pub fn raise(conn: &mut Conn, alerts: &[ToldAlert], now: NaiveDateTime) -> QueryResult<()> {
    let rows: Vec<_> = alerts
        .iter()
        .map(|it| {
            (
                told_alerts::kit.eq(&it.kit),
                told_alerts::line.eq(it.line),
                told_alerts::cause.eq(&it.cause),
                told_alerts::raised_at.eq(now),
            )
        })
        .collect();
    insert_many!(conn, told_alerts::table, rows)
}

/// Writes that an alert has ended.
pub fn clear(conn: &mut Conn, it: &ToldAlert, now: NaiveDateTime) -> QueryResult<()> {
    let told = told_alerts::table
        .filter(told_alerts::cleared_at.is_null())
        .filter(told_alerts::kit.eq(&it.kit))
        .filter(told_alerts::line.eq(it.line))
        .filter(told_alerts::cause.eq(&it.cause));
    diesel::update(told).set(told_alerts::cleared_at.eq(Some(now))).execute(conn)?;
    Ok(())
}
