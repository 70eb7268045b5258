//! The few statements that the two databases word differently.

use std::time::{Duration, Instant};

use diesel::connection::{AnsiTransactionManager, SimpleConnection, TransactionManager};
use diesel::prelude::*;
use diesel::result::Error;

use super::Conn;

/// Inserts many rows at once. diesel can't build such a statement for both databases at a time, so
/// the same expression is run on whichever connection there is.
macro_rules! insert_many {
    ($conn:expr, $table:expr, $rows:expr) => {{
        use diesel::RunQueryDsl;
        let mut done: diesel::QueryResult<usize> = Ok(0);
        for rows in $rows.chunks(500) {
            if done.is_ok() {
                done = match $conn {
                    $crate::store::Conn::Sqlite(conn) => {
                        diesel::insert_into($table).values(rows).execute(conn)
                    }
                    #[cfg(feature = "postgres")]
                    $crate::store::Conn::Postgres(conn) => {
                        diesel::insert_into($table).values(rows).execute(conn)
                    }
                };
            }
        }
        done.map(drop)
    }};
}
pub(super) use insert_many;

/// Loads rows that this transaction takes for itself. PostgreSQL locks them and passes over those
/// that another instance has locked; in SQLite a transaction that may write is the only one anyway.
macro_rules! load_free {
    ($conn:expr, $query:expr) => {{
        use diesel::RunQueryDsl;
        let query = $query;
        match $conn {
            $crate::store::Conn::Sqlite(conn) => query.load(conn),
            #[cfg(feature = "postgres")]
            $crate::store::Conn::Postgres(conn) => query.for_update().skip_locked().load(conn),
        }
    }};
}
pub(super) use load_free;

/// How a write stands to the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Company {
    /// Beside others, where the database can.
    Others,
    /// While no other write is under way.
    Alone,
}

/// Begins a transaction that may write.
///
/// On SQLite the write lock is taken first: two deferred transactions that read and then write fail
/// each other with "database is locked", and no busy timeout helps. There every write is alone.
///
/// On PostgreSQL each write holds a weak lock on the table of request keys, which writes share, and
/// one that wants to be alone takes the lock that they don't share. A lock of a table is taken
/// before the transaction looks at the books, so whoever waited for it sees what came before.
pub(super) fn begin_write(
    conn: &mut Conn,
    #[cfg_attr(not(feature = "postgres"), expect(unused_variables, reason = "SQLite has one"))]
    company: Company,
) -> QueryResult<()> {
    match conn {
        Conn::Sqlite(conn) => take_write_lock(conn),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => {
            let begin = "BEGIN ISOLATION LEVEL SERIALIZABLE";
            AnsiTransactionManager::begin_transaction_sql(conn, begin)?;
            let lock = conn.batch_execute(match company {
                Company::Others => "LOCK TABLE request_keys IN ROW EXCLUSIVE MODE",
                Company::Alone => "LOCK TABLE request_keys IN EXCLUSIVE MODE",
            });
            lock.or_else(|fault| {
                AnsiTransactionManager::rollback_transaction(conn)?;
                Err(fault)
            })
        }
    }
}

/// How long a write waits for other programs that write to the same file.
const LOCKED_FOR: Duration = Duration::from_secs(60);

/// Begins a transaction with the write lock, however busy another program keeps the file.
///
/// SQLite looks for the lock less and less often, ten times a second in the end; a program that writes
/// without a break lets go of it for an instant only, which is then missed for as long as it writes.
fn take_write_lock(conn: &mut diesel::SqliteConnection) -> QueryResult<()> {
    let until = Instant::now() + LOCKED_FOR;
    conn.batch_execute("PRAGMA busy_timeout = 0")?;
    loop {
        match AnsiTransactionManager::begin_transaction_sql(conn, "BEGIN IMMEDIATE") {
            Err(Error::DatabaseError(_, info))
                if info.message() == "database is locked" && Instant::now() < until =>
            {
                std::thread::sleep(Duration::from_micros(500));
            }
            done => return done,
        }
    }
}

/// Begins a transaction in which every read sees the same moment.
pub(super) fn begin_read(conn: &mut Conn) -> QueryResult<()> {
    match conn {
        Conn::Sqlite(conn) => AnsiTransactionManager::begin_transaction_sql(conn, "BEGIN"),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => AnsiTransactionManager::begin_transaction_sql(
            conn,
            "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
        ),
    }
}

/// Begins a part of the open transaction that can be undone by itself.
pub(super) fn begin_savepoint(conn: &mut Conn) -> QueryResult<()> {
    match conn {
        Conn::Sqlite(conn) => AnsiTransactionManager::begin_transaction(conn),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => AnsiTransactionManager::begin_transaction(conn),
    }
}

/// By which name instances tell each other that they changed the books.
#[cfg(feature = "postgres")]
pub(super) const CHANNEL: &str = "kitwright_changes";

/// Has every instance told, once this transaction commits, that it changed the books, if it did.
/// On SQLite there is one instance, and its writer tells.
pub(super) fn announce(conn: &mut Conn) -> QueryResult<()> {
    match conn {
        Conn::Sqlite(_) => Ok(()),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => conn.batch_execute(&format!(
            "SELECT pg_notify('{CHANNEL}', '') WHERE pg_current_xact_id_if_assigned() IS NOT NULL"
        )),
    }
}

/// Returns how many rows this connection has changed since it was opened; 0 where it can't say.
pub(super) fn rows_changed(conn: &mut Conn) -> QueryResult<i64> {
    match conn {
        Conn::Sqlite(conn) => {
            diesel::select(diesel::dsl::sql::<diesel::sql_types::BigInt>("total_changes()"))
                .get_result(conn)
        }
        #[cfg(feature = "postgres")]
        Conn::Postgres(_) => Ok(0),
    }
}

/// Makes a transaction's changes last; those of a savepoint, as far as the transaction does.
pub(super) fn commit(conn: &mut Conn) -> QueryResult<()> {
    match conn {
        Conn::Sqlite(conn) => AnsiTransactionManager::commit_transaction(conn),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => AnsiTransactionManager::commit_transaction(conn),
    }
}

/// Undoes a transaction's changes, or a savepoint's alone.
pub(super) fn roll_back(conn: &mut Conn) -> QueryResult<()> {
    match conn {
        Conn::Sqlite(conn) => AnsiTransactionManager::rollback_transaction(conn),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => AnsiTransactionManager::rollback_transaction(conn),
    }
}
