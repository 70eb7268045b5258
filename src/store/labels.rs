//! Prints of labels, the numbers of cartons that travel, and the shop's own layouts.

use chrono::NaiveDateTime;
use diesel::dsl::max;
use diesel::prelude::*;

use crate::domain::ids::{CartonId, UserId};

use super::Conn;
use super::schema::{carton_ssccs, cartons, label_layouts, label_prints, users};

/// One print of a label.
#[derive(Debug, Clone, Queryable)]
pub struct PrintRow {
    /// The kind of label, in its word.
    pub kind: String,
    /// What it names.
    pub identity: String,
    /// Which print of it, from 1.
    pub number: i64,
    /// How many labels were printed.
    pub labels: i64,
    /// When.
    pub at: NaiveDateTime,
    /// Who printed it.
    pub by: Option<String>,
}

/// Loads the prints of an identity, the last one first; of every kind where none is given.
pub fn prints(conn: &mut Conn, kind: Option<&str>, identity: &str) -> QueryResult<Vec<PrintRow>> {
    let of = kind.map_or("%", |it| it);
    label_prints::table
        .left_join(users::table.on(label_prints::user_id.eq(users::id.nullable())))
        .filter(label_prints::kind.like(of))
        .filter(label_prints::identity.eq(identity))
        .order((label_prints::kind, label_prints::print_no.desc()))
        .select((
            label_prints::kind,
            label_prints::identity,
            label_prints::print_no,
            label_prints::labels,
            label_prints::printed_at,
            users::name.nullable(),
        ))
        .load(conn)
}

/// Loads the last prints of the shop, the last one first.
pub fn last_prints(conn: &mut Conn, most: i64) -> QueryResult<Vec<PrintRow>> {
    label_prints::table
        .left_join(users::table.on(label_prints::user_id.eq(users::id.nullable())))
        .order(label_prints::id.desc())
        .limit(most)
        .select((
            label_prints::kind,
            label_prints::identity,
            label_prints::print_no,
            label_prints::labels,
            label_prints::printed_at,
            users::name.nullable(),
        ))
        .load(conn)
}

/// Returns the number of the last print of an identity; 0 where there was none.
pub fn last_print(conn: &mut Conn, kind: &str, identity: &str) -> QueryResult<i64> {
    let last: Option<i64> = label_prints::table
        .filter(label_prints::kind.eq(kind))
        .filter(label_prints::identity.eq(identity))
        .select(max(label_prints::print_no))
        .first(conn)?;
    Ok(last.unwrap_or(0))
}

/// Writes a print.
pub fn add_print(
    conn: &mut Conn,
    kind: &str,
    identity: &str,
    number: i64,
    labels: i64,
    (at, by): (NaiveDateTime, Option<UserId>),
) -> QueryResult<()> {
    diesel::insert_into(label_prints::table)
        .values((
            label_prints::kind.eq(kind),
            label_prints::identity.eq(identity),
            label_prints::print_no.eq(number),
            label_prints::labels.eq(labels),
            label_prints::printed_at.eq(at),
            label_prints::user_id.eq(by),
        ))
        .execute(conn)
        .map(drop)
}

/// Loads a carton's id by its number.
pub fn carton_id(conn: &mut Conn, number: &str) -> QueryResult<Option<CartonId>> {
    cartons::table.filter(cartons::number.eq(number)).select(cartons::id).first(conn).optional()
}

/// Loads the SSCC that a carton has kept.
pub fn sscc(conn: &mut Conn, carton: CartonId) -> QueryResult<Option<String>> {
    let of = carton_ssccs::table.find(i64::from(carton));
    of.select(carton_ssccs::sscc).first(conn).optional()
}

/// Writes the SSCC of a carton.
pub fn keep_sscc(conn: &mut Conn, carton: CartonId, sscc: &str) -> QueryResult<()> {
    diesel::insert_into(carton_ssccs::table)
        .values((carton_ssccs::carton_id.eq(carton), carton_ssccs::sscc.eq(sscc)))
        .execute(conn)
        .map(drop)
}

/// Loads the text of the shop's own layout of a kind.
pub fn layout(conn: &mut Conn, kind: &str) -> QueryResult<Option<String>> {
    label_layouts::table.find(kind).select(label_layouts::layout).first(conn).optional()
}

/// Loads the kinds that have a layout of the shop's own.
pub fn own_layouts(conn: &mut Conn) -> QueryResult<Vec<String>> {
    label_layouts::table.select(label_layouts::kind).order(label_layouts::kind).load(conn)
}

/// Writes the shop's own layout of a kind.
pub fn put_layout(
    conn: &mut Conn,
    kind: &str,
    text: &str,
    at: NaiveDateTime,
    by: Option<UserId>,
) -> QueryResult<()> {
    let changed = diesel::update(label_layouts::table.find(kind))
        .set((
            label_layouts::layout.eq(text),
            label_layouts::changed_at.eq(at),
            label_layouts::user_id.eq(by),
        ))
        .execute(conn)?;
    if changed == 0 {
        diesel::insert_into(label_layouts::table)
            .values((
                label_layouts::kind.eq(kind),
                label_layouts::layout.eq(text),
                label_layouts::changed_at.eq(at),
                label_layouts::user_id.eq(by),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// Takes the shop's own layout of a kind away.
pub fn drop_layout(conn: &mut Conn, kind: &str) -> QueryResult<()> {
    diesel::delete(label_layouts::table.find(kind)).execute(conn).map(drop)
}
