//! Settled torques, the glossary and the air charts.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{BomId, UserId};
use crate::domain::joints::Settlement;
use crate::domain::kits::Bom;
use crate::domain::messages::Language;
use crate::domain::setup::{AirChart, AirRow, ChartItem};
use crate::error::Error;
use crate::exchange::glossary::GlossaryRecord;

use super::Conn;
use super::dialect::insert_many;
use super::schema::{air_chart_rows, air_charts, glossary, torque_settlements, users};

/// Loads what persons have settled about the torques of a bill, the last word last.
pub fn settlements(conn: &mut Conn, bom: BomId) -> Result<Vec<Settlement>, Error> {
    Ok(all_settlements(conn)?.remove(&bom).unwrap_or_default())
}

/// Loads what persons have settled about the torques of every bill, the last word last.
pub fn all_settlements(conn: &mut Conn) -> Result<BTreeMap<BomId, Vec<Settlement>>, Error> {
    type Row = (BomId, i64, String, String, String, String, String);
    let rows: Vec<Row> = torque_settlements::table
        .inner_join(users::table.on(users::id.eq(torque_settlements::user_id)))
        .select((
            torque_settlements::bom_id,
            torque_settlements::joint,
            torque_settlements::statements,
            torque_settlements::held,
            torque_settlements::held_source,
            torque_settlements::reason,
            users::name,
        ))
        .order(torque_settlements::id)
        .load(conn)?;
    let mut by_bom: BTreeMap<BomId, Vec<Settlement>> = BTreeMap::new();
    for (bom, joint, statements, held, held_source, reason, by) in rows {
        let joint = u32::try_from(joint).map_err(unreadable)?;
        let it = Settlement { joint, statements, held, held_source, reason, by };
        by_bom.entry(bom).or_default().push(it);
    }
    Ok(by_bom)
}

fn unreadable(fault: impl std::fmt::Display) -> Error {
    Error::Internal(format!("a stored part of the assembly card can't be read: {fault}"))
}

/// Writes a person's word on a joint's torque.
pub fn make_settlement(
    conn: &mut Conn,
    bom: BomId,
    it: &Settlement,
    by: UserId,
    at: NaiveDateTime,
    key: &str,
) -> QueryResult<()> {
    diesel::insert_into(torque_settlements::table)
        .values((
            torque_settlements::bom_id.eq(bom),
            torque_settlements::joint.eq(i64::from(it.joint)),
            torque_settlements::statements.eq(&it.statements),
            torque_settlements::held.eq(&it.held),
            torque_settlements::held_source.eq(&it.held_source),
            torque_settlements::reason.eq(&it.reason),
            torque_settlements::user_id.eq(by),
            torque_settlements::settled_at.eq(at),
            torque_settlements::request_key.eq(key),
        ))
        .execute(conn)
        .map(drop)
}

/// Takes away what persons have settled about the torques of a bill, which is to go itself.
pub fn drop_settlements(conn: &mut Conn, bom: BomId) -> QueryResult<()> {
    let of_bom = torque_settlements::table.filter(torque_settlements::bom_id.eq(bom));
    diesel::delete(of_bom).execute(conn).map(drop)
}

/// Loads every revision of every bill with its id, in order of code.
///
/// # Errors
///
/// As [`super::kits::all_boms`].
pub fn bills(conn: &mut Conn) -> Result<Vec<(BomId, Bom)>, Error> {
    let ids = super::kits::bom_ids(conn)?;
    let id = |it: &Bom| ids.get(&(it.code.clone(), it.revision.clone())).copied();
    let all = super::kits::all_boms(conn)?.into_iter();
    Ok(all.filter_map(|bom| Some((id(&bom)?, bom))).collect())
}

/// Loads the glossary in order of text.
pub fn glossary_entries(conn: &mut Conn) -> Result<Vec<GlossaryRecord>, Error> {
    let rows: Vec<(String, String, String)> = glossary::table
        .select((glossary::text, glossary::language, glossary::words))
        .order((glossary::text, glossary::language))
        .load(conn)?;
    rows.into_iter()
        .map(|(text, language, words)| {
            let language = language.parse().map_err(unreadable)?;
            Ok(GlossaryRecord { text, language, words })
        })
        .collect()
}

/// Writes entries of the glossary, each in place of the one of the same text and language.
pub fn put_glossary(conn: &mut Conn, entries: &[&GlossaryRecord]) -> QueryResult<()> {
    for it in entries {
        let same = glossary::table
            .filter(glossary::text.eq(&it.text))
            .filter(glossary::language.eq(it.language.tag()));
        diesel::delete(same).execute(conn)?;
    }
    let rows: Vec<_> = entries
        .iter()
        .map(|it| {
            (
                glossary::text.eq(&it.text),
                glossary::language.eq(it.language.tag()),
                glossary::words.eq(&it.words),
            )
        })
        .collect();
    insert_many!(conn, glossary::table, rows)
}

/// Takes away what a text is called in a language.
pub fn drop_words(conn: &mut Conn, text: &str, language: Language) -> QueryResult<()> {
    let entry = glossary::table
        .filter(glossary::text.eq(text))
        .filter(glossary::language.eq(language.tag()));
    diesel::delete(entry).execute(conn).map(drop)
}

/// Loads the air charts in order of code.
pub fn charts(conn: &mut Conn) -> Result<Vec<AirChart>, Error> {
    let heads: Vec<(i64, String, String, String, String, String)> = air_charts::table
        .select((
            air_charts::id,
            air_charts::code,
            air_charts::item,
            air_charts::choose,
            air_charts::maximum,
            air_charts::source,
        ))
        .order(air_charts::code)
        .load(conn)?;
    let rows: Vec<(i64, String, String, String)> = air_chart_rows::table
        .select((
            air_chart_rows::chart_id,
            air_chart_rows::mass_from,
            air_chart_rows::mass_to,
            air_chart_rows::pressure,
        ))
        .order((air_chart_rows::chart_id, air_chart_rows::position))
        .load(conn)?;
    heads
        .into_iter()
        .map(|(id, code, item, choose, maximum, source)| {
            Ok(AirChart {
                code,
                item: match item.parse() {
                    Ok(number) => ChartItem::PartNumber(number),
                    Err(_) => ChartItem::Part(item),
                },
                choose: choose.parse().map_err(unreadable)?,
                maximum: maximum.parse().map_err(unreadable)?,
                source,
                rows: rows.iter().filter(|it| it.0 == id).map(row).collect::<Result<_, _>>()?,
            })
        })
        .collect()
}

fn row((_, from, to, pressure): &(i64, String, String, String)) -> Result<AirRow, Error> {
    Ok(AirRow {
        from: from.parse().map_err(unreadable)?,
        to: to.parse().map_err(unreadable)?,
        pressure: pressure.parse().map_err(unreadable)?,
    })
}

/// Takes the air chart of that code away.
pub fn drop_chart(conn: &mut Conn, code: &str) -> QueryResult<()> {
    let known: Option<i64> = air_charts::table
        .filter(air_charts::code.eq(code))
        .select(air_charts::id)
        .first(conn)
        .optional()?;
    if let Some(id) = known {
        diesel::delete(air_chart_rows::table.filter(air_chart_rows::chart_id.eq(id)))
            .execute(conn)?;
        diesel::delete(air_charts::table.find(id)).execute(conn)?;
    }
    Ok(())
}

/// Writes an air chart in place of the one of that code.
pub fn put_chart(conn: &mut Conn, it: &AirChart) -> QueryResult<()> {
    drop_chart(conn, &it.code)?;
    let id: i64 = diesel::insert_into(air_charts::table)
        .values((
            air_charts::code.eq(&it.code),
            air_charts::item.eq(it.item.to_string()),
            air_charts::choose.eq(it.choose.to_string()),
            air_charts::maximum.eq(it.maximum.to_string()),
            air_charts::source.eq(&it.source),
        ))
        .returning(air_charts::id)
        .get_result(conn)?;
    let rows: Vec<_> = (1_i64..)
        .zip(&it.rows)
        .map(|(position, it)| {
            (
                air_chart_rows::chart_id.eq(id),
                air_chart_rows::position.eq(position),
                air_chart_rows::mass_from.eq(it.from.to_string()),
                air_chart_rows::mass_to.eq(it.to.to_string()),
                air_chart_rows::pressure.eq(it.pressure.to_string()),
            )
        })
        .collect();
    insert_many!(conn, air_chart_rows::table, rows)
}
