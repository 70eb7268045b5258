//! Whole copies of the books of the embedded database, and what says that one is sound.

use std::path::Path;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Text};

use crate::error::Error;

use super::{Conn, DatabaseUrl, migrate};

/// Writes a copy of the books as they stand at one moment into a file that is new or empty, while
/// others read and write them.
///
/// # Errors
///
/// [`Error::Disk`] and [`Error::Database`]; what is in the file then is of no use.
pub fn copy(books: &DatabaseUrl, file: &Path) -> Result<(), Error> {
    let mut conn = books.connect()?;
    let file = file.display().to_string().replace('\'', "''");
    Ok(conn.batch_execute(&format!("VACUUM INTO '{file}'"))?)
}

/// Returns a connection to a copy; none where the file holds no shop's books.
///
/// # Errors
///
/// [`Error::Internal`] when it can't be opened.
pub fn open(file: &Path) -> Result<Option<Conn>, Error> {
    let mut conn = match DatabaseUrl::Sqlite(file.display().to_string()).connect() {
        Ok(conn) => conn,
        Err(fault) if fault.to_string().contains("not a database") => return Ok(None),
        Err(fault) => return Err(fault.into()),
    };
    let tables = "SELECT COUNT(*) AS count FROM sqlite_master
        WHERE type = 'table' AND name IN ('movements', 'balances', 'request_keys')";
    let found: Count = sql_query(tables).get_result(&mut conn)?;
    Ok((found.count == 3).then_some(conn))
}

#[derive(QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    count: i64,
}

/// Brings a copy's tables up to this program's.
///
/// # Errors
///
/// [`Error::Internal`] when they can't be.
pub fn renew(conn: &mut Conn) -> Result<(), Error> {
    migrate::up(conn)
}

#[derive(QueryableByName)]
struct Damage {
    #[diesel(sql_type = Text)]
    damage: String,
}

/// Returns what the database finds wrong in the file itself, each in its own words: pages, indexes,
/// rows whose parent is not there.
///
/// # Errors
///
/// [`Error::Database`] when it can't look.
pub fn damage(conn: &mut Conn) -> Result<Vec<String>, Error> {
    let looks = [
        "SELECT integrity_check AS damage FROM pragma_integrity_check WHERE integrity_check <> 'ok'",
        "SELECT 'a row of ' || \"table\" || ' names one of ' || parent || ' that is not there'
            AS damage FROM pragma_foreign_key_check",
    ];
    let mut found = Vec::new();
    for look in looks {
        let rows: Vec<Damage> = sql_query(look).load(conn)?;
        found.extend(rows.into_iter().map(|it| it.damage));
    }
    Ok(found)
}
