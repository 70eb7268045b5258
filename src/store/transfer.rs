//! A shop carried over from SQLite to PostgreSQL, table by table and row by row, and compared.

use data_encoding::HEXLOWER;
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Text};
use sha2::{Digest, Sha256};

use crate::clock::Clock;
use crate::error::Error;

use super::dialect::{self, Company};
use super::{Conn, Database, DatabaseUrl, migrate};

/// A table, as it stands in both databases.
#[derive(Debug, PartialEq, Eq)]
pub struct Carried {
    /// Its name.
    pub table: String,
    /// How many rows it holds.
    pub rows: u64,
    /// The SHA-256 of all its rows in the order of their key.
    pub digest: String,
}

/// How many rows are carried at a time.
const BATCH: usize = 1000;

/// What a column holds, by the type that SQLite's migrations give it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Number,
    Text,
    Flag,
    Day,
    Time,
    Bytes,
}

#[derive(Debug)]
struct Column {
    name: String,
    kind: Kind,
}

#[derive(Debug)]
struct Table {
    name: String,
    key: Column,
    columns: Vec<Column>,
}

#[derive(QueryableByName)]
struct Word {
    #[diesel(sql_type = Text)]
    word: String,
}

#[derive(QueryableByName)]
struct ColumnRow {
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    kind: String,
    #[diesel(sql_type = BigInt)]
    key: i64,
}

#[derive(QueryableByName)]
struct Row {
    #[diesel(sql_type = Text)]
    key: String,
    #[diesel(sql_type = Text)]
    row: String,
}

#[derive(QueryableByName)]
struct Number {
    #[diesel(sql_type = BigInt)]
    number: i64,
}

impl Kind {
    fn read(word: &str) -> Result<Self, Error> {
        match word {
            "INTEGER" | "BIGINT" => Ok(Self::Number),
            "TEXT" => Ok(Self::Text),
            "BOOLEAN" => Ok(Self::Flag),
            "DATE" => Ok(Self::Day),
            "TIMESTAMP" => Ok(Self::Time),
            "BLOB" => Ok(Self::Bytes),
            _ => Err(Error::Internal(format!("no column of type {word} can be carried over"))),
        }
    }

    const fn in_postgres(self) -> &'static str {
        match self {
            Self::Number => "bigint",
            Self::Text => "text",
            Self::Flag => "boolean",
            Self::Day => "date",
            Self::Time => "timestamp",
            Self::Bytes => "bytea",
        }
    }
}

impl Column {
    /// Returns what the column holds as text that is the same in both databases.
    fn plain(&self, conn: &Conn) -> String {
        let name = &self.name;
        match (conn, self.kind) {
            (_, Kind::Text) => format!("\"{name}\""),
            (Conn::Sqlite(_), Kind::Bytes) => format!("lower(hex(\"{name}\"))"),
            (Conn::Postgres(_), Kind::Bytes) => format!("encode(\"{name}\", 'hex')"),
            (Conn::Sqlite(_), Kind::Time) => {
                format!("substr(\"{name}\" || substr('.000000', length(\"{name}\") - 18), 1, 26)")
            }
            (Conn::Sqlite(_), _) => format!("CAST(\"{name}\" AS TEXT)"),
            (Conn::Postgres(_), Kind::Time) => {
                format!("to_char(\"{name}\", 'YYYY-MM-DD HH24:MI:SS.US')")
            }
            (Conn::Postgres(_), Kind::Day) => format!("to_char(\"{name}\", 'YYYY-MM-DD')"),
            (Conn::Postgres(_), Kind::Flag) => format!("CAST(CAST(\"{name}\" AS integer) AS text)"),
            (Conn::Postgres(_), Kind::Number) => format!("CAST(\"{name}\" AS text)"),
        }
    }
}

impl Table {
    /// Returns the statement for the rows after a key, each told by `row`.
    fn select(&self, row: &str) -> String {
        let (name, key) = (&self.name, &self.key.name);
        let after = match self.key.kind {
            Kind::Number => "CAST($1 AS BIGINT)",
            _ => "$1",
        };
        format!(
            "SELECT CAST(\"{key}\" AS TEXT) AS key, {row} AS row FROM \"{name}\"
             WHERE \"{key}\" > {after} ORDER BY \"{key}\" LIMIT {BATCH}"
        )
    }

    /// Gives each batch of rows to `take`, in the order of their key.
    fn each_batch(
        &self,
        conn: &mut Conn,
        row: &str,
        mut take: impl FnMut(&[Row]) -> Result<(), Error>,
    ) -> Result<(), Error> {
        let select = self.select(row);
        let before_all = match self.key.kind {
            Kind::Number => i64::MIN.to_string(),
            _ => String::new(),
        };
        let mut after = before_all;
        loop {
            let rows: Vec<Row> = sql_query(&select).bind::<Text, _>(&after).load(conn)?;
            let Some(last) = rows.last() else { return Ok(()) };
            take(&rows)?;
            after.clone_from(&last.key);
        }
    }

    fn names(&self) -> String {
        let names: Vec<_> = self.columns.iter().map(|it| format!("\"{}\"", it.name)).collect();
        names.join(", ")
    }

    fn copy(&self, from: &mut Conn, to: &mut Conn) -> Result<(), Error> {
        let casts = self.columns.iter().enumerate();
        let casts = casts.map(|(at, it)| match it.kind {
            Kind::Bytes => format!("decode(it ->> {at}, 'hex')"),
            kind => format!("CAST(it ->> {at} AS {})", kind.in_postgres()),
        });
        // JSON has no bytes of its own.
        let told = self.columns.iter().map(|it| match it.kind {
            Kind::Bytes => format!("hex(\"{}\")", it.name),
            _ => format!("\"{}\"", it.name),
        });
        let told = told.collect::<Vec<_>>().join(", ");
        let insert = format!(
            "INSERT INTO \"{}\" ({}) SELECT {} FROM json_array_elements(CAST($1 AS json)) AS it",
            self.name,
            self.names(),
            casts.collect::<Vec<_>>().join(", ")
        );
        self.each_batch(from, &format!("json_array({told})"), |rows| {
            let rows: Vec<&str> = rows.iter().map(|it| it.row.as_str()).collect();
            let rows = format!("[{}]", rows.join(","));
            sql_query(&insert).bind::<Text, _>(rows).execute(to).map(drop).map_err(|fault| {
                Error::conflict("move.refused", format!("table {}: {fault}", self.name))
            })
        })
    }

    fn digest(&self, conn: &mut Conn) -> Result<Carried, Error> {
        let told = self.columns.iter().map(|it| {
            let plain = it.plain(conn);
            format!("COALESCE(CAST(length({plain}) AS TEXT) || ':' || {plain}, '-') || ','")
        });
        let told = told.collect::<Vec<_>>().join(" || ");
        let (mut count, mut digest) = (0, Sha256::new());
        self.each_batch(conn, &told, |rows| {
            for it in rows {
                count += 1;
                digest.update(it.row.as_bytes());
                digest.update(b"\n");
            }
            Ok(())
        })?;
        let all = format!("SELECT COUNT(*) AS number FROM \"{}\"", self.name);
        let all: Number = sql_query(all).get_result(conn)?;
        if u64::try_from(all.number) != Ok(count) {
            return Err(Error::Internal(format!("not all rows of {} were read", self.name)));
        }
        let digest = HEXLOWER.encode(&digest.finalize());
        Ok(Carried { table: self.name.clone(), rows: count, digest })
    }

    /// Lets the next id be the one after the last that either database has given.
    fn continue_ids(&self, from: &mut Conn, to: &mut Conn) -> QueryResult<()> {
        let sequence = format!("pg_get_serial_sequence('\"{}\"', '{}')", self.name, self.key.name);
        let counted = sql_query(format!("SELECT {sequence} AS word WHERE {sequence} IS NOT NULL"));
        if counted.load::<Word>(to)?.is_empty() {
            return Ok(());
        }
        let (name, key) = (&self.name, &self.key.name);
        let last: Number =
            sql_query(format!("SELECT COALESCE(MAX(\"{key}\"), 0) AS number FROM \"{name}\""))
                .get_result(from)?;
        // A table whose ids are never given twice remembers the last one, though its row be gone.
        let given: Option<Number> =
            sql_query("SELECT seq AS number FROM sqlite_sequence WHERE name = $1")
                .bind::<Text, _>(name)
                .get_result(from)
                .optional()?;
        let last = given.map_or(0, |it| it.number).max(last.number);
        if 0 < last {
            to.batch_execute(&format!("SELECT setval({sequence}, {last})"))?;
        }
        Ok(())
    }
}

/// Loads the tables of SQLite's books, each after those that it refers to.
fn tables(conn: &mut Conn) -> Result<Vec<Table>, Error> {
    let names: Vec<Word> = sql_query(
        "SELECT name AS word FROM sqlite_master WHERE type = 'table'
            AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' AND name NOT LIKE '\\_\\_diesel%' ESCAPE '\\'
         ORDER BY name",
    )
    .load(conn)?;
    let mut waiting = Vec::new();
    for it in names {
        let of: Vec<Word> = sql_query(
            "SELECT DISTINCT \"table\" AS word FROM pragma_foreign_key_list($1) WHERE \"table\" <> $1",
        )
        .bind::<Text, _>(&it.word)
        .load(conn)?;
        waiting.push((table(conn, it.word)?, of));
    }
    let mut sorted: Vec<Table> = Vec::new();
    while !waiting.is_empty() {
        let known = |of: &[Word]| of.iter().all(|it| sorted.iter().any(|to| to.name == it.word));
        let (ready, rest): (Vec<_>, Vec<_>) = waiting.into_iter().partition(|it| known(&it.1));
        if ready.is_empty() {
            return Err(Error::Internal("tables refer to one another in a ring".to_owned()));
        }
        sorted.extend(ready.into_iter().map(|it| it.0));
        waiting = rest;
    }
    Ok(sorted)
}

fn table(conn: &mut Conn, name: String) -> Result<Table, Error> {
    let rows: Vec<ColumnRow> =
        sql_query("SELECT name, type AS kind, pk AS key FROM pragma_table_info($1)")
            .bind::<Text, _>(&name)
            .load(conn)?;
    let column = |it: &ColumnRow| -> Result<Column, Error> {
        Ok(Column { name: it.name.clone(), kind: Kind::read(&it.kind)? })
    };
    let keys: Vec<&ColumnRow> = rows.iter().filter(|it| 0 < it.key).collect();
    let [key] = keys.as_slice() else {
        return Err(Error::Internal(format!("table {name} has no key of one column")));
    };
    let key = column(key)?;
    Ok(Table { name, key, columns: rows.iter().map(column).collect::<Result<_, _>>()? })
}

/// Opens SQLite's books for this program alone, and to read only.
fn open_alone(url: &DatabaseUrl) -> Result<Conn, Error> {
    let DatabaseUrl::Sqlite(file) = url else {
        let words = "--from is the SQLite books of a shop: write sqlite:FILE";
        return Err(Error::invalid("move.from", words));
    };
    if !std::path::Path::new(file).is_file() {
        return Err(Error::not_found("file of books", file));
    }
    let in_use = |fault: &dyn std::fmt::Display| {
        let words = format!("{file} can't be had alone ({fault}): stop the service first");
        Error::conflict("move.in_use", words)
    };
    let mut conn = diesel::SqliteConnection::establish(file).map_err(|fault| in_use(&fault))?;
    conn.batch_execute(
        "PRAGMA locking_mode = EXCLUSIVE; PRAGMA busy_timeout = 1000; BEGIN IMMEDIATE;
         PRAGMA query_only = ON;",
    )
    .map_err(|fault| in_use(&fault))?;
    let mut conn = Conn::Sqlite(conn);
    if migrate::is_behind(&mut conn)? {
        let words = format!("{file} is of an older program: kitwright check brings it up to date");
        return Err(Error::conflict("move.older_books", words));
    }
    Ok(conn)
}

fn open_empty(url: &DatabaseUrl) -> Result<Conn, Error> {
    if !url.is_remote() {
        let words = "--to is an empty PostgreSQL database: write postgres://HOST/NAME";
        return Err(Error::invalid("move.to", words));
    }
    drop(Database::open(url, Clock::System)?);
    url.connect().map_err(|fault| Error::Internal(fault.to_string()))
}

/// Returns every table as it stands in both databases, once all rows of `from` are in the empty
/// books `to`, both are equal, and `prove` has found nothing wrong with them. Where anything fails,
/// `to` stays empty. The books of `from` are never written to.
///
/// # Errors
///
/// [`Error::Conflict`] when `from` is in use, `to` is not empty, or a row is not taken as it is;
/// what `prove` answers.
pub fn carry_over(
    from: &DatabaseUrl,
    to: &DatabaseUrl,
    prove: impl Fn(&mut Conn) -> Result<(), Error>,
) -> Result<Vec<Carried>, Error> {
    let mut from = open_alone(from)?;
    let mut to = open_empty(to)?;
    dialect::begin_write(&mut to, Company::Alone)?;
    let tables = tables(&mut from)?;
    for it in &tables {
        let any = format!("SELECT 1::bigint AS number FROM \"{}\" LIMIT 1", it.name);
        if !sql_query(any).load::<Number>(&mut to)?.is_empty() {
            let words = format!(
                "the new books are not empty: table {} has rows; name an empty database",
                it.name
            );
            return Err(Error::conflict("move.not_empty", words));
        }
    }
    let mut carried = Vec::new();
    for it in &tables {
        it.copy(&mut from, &mut to)?;
        it.continue_ids(&mut from, &mut to)?;
        let (old, new) = (it.digest(&mut from)?, it.digest(&mut to)?);
        if old != new {
            let words = format!("table {} came out different: nothing was carried over", it.name);
            return Err(Error::conflict("move.differs", words));
        }
        carried.push(new);
    }
    prove(&mut to)?;
    dialect::commit(&mut to)?;
    Ok(carried)
}
