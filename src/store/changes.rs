//! The history of the shop's records: who changed which field, and when.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::dialect::insert_many;
use super::schema::{catalogue_changes, users};
use super::{Conn, Tx};

/// A change as it is stored.
#[derive(Debug, Clone, Queryable)]
pub struct ChangeRow {
    /// Its number; a later change has a higher one.
    pub id: i64,
    /// When.
    pub at: NaiveDateTime,
    /// The name of who did it; none for the program itself.
    pub person: Option<String>,
    /// The field; empty where the record was new.
    pub field: String,
    /// The text before.
    pub from: String,
    /// The text after.
    pub to: String,
    /// Whether a file brought it.
    pub by_file: bool,
}

/// A change to be stored.
#[derive(Debug, Clone, Copy)]
pub struct NewChange<'a> {
    /// The record's key.
    pub record: &'a str,
    /// The field; empty where the record is new.
    pub field: &'a str,
    /// The text before.
    pub from: &'a str,
    /// The text after.
    pub to: &'a str,
}

/// Writes changes of records of one kind.
pub fn note(
    tx: &mut Tx<'_>,
    kind: &str,
    by_file: bool,
    changes: &[NewChange<'_>],
) -> QueryResult<()> {
    let (now, user) = (tx.now, tx.who.user().map(i64::from));
    let rows: Vec<_> = changes
        .iter()
        .map(|it| {
            (
                catalogue_changes::changed_at.eq(now),
                catalogue_changes::user_id.eq(user),
                catalogue_changes::kind.eq(kind),
                catalogue_changes::record.eq(it.record),
                catalogue_changes::field.eq(it.field),
                catalogue_changes::old_value.eq(it.from),
                catalogue_changes::new_value.eq(it.to),
                catalogue_changes::by_file.eq(by_file),
            )
        })
        .collect();
    insert_many!(tx.conn, catalogue_changes::table, rows)
}

/// Loads the changes of a record after the one of that number, the newest first, `most` at most.
pub fn of_record(
    conn: &mut Conn,
    kind: &str,
    record: &str,
    after: i64,
    most: i64,
) -> QueryResult<Vec<ChangeRow>> {
    catalogue_changes::table
        .left_join(users::table.on(catalogue_changes::user_id.eq(users::id.nullable())))
        .filter(catalogue_changes::kind.eq(kind))
        .filter(catalogue_changes::record.eq(record))
        .filter(catalogue_changes::id.gt(after))
        .order(catalogue_changes::id.desc())
        .limit(most)
        .select((
            catalogue_changes::id,
            catalogue_changes::changed_at,
            users::name.nullable(),
            catalogue_changes::field,
            catalogue_changes::old_value,
            catalogue_changes::new_value,
            catalogue_changes::by_file,
        ))
        .load(conn)
}
