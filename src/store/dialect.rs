//! The few statements that the two databases word differently.

use diesel::QueryResult;
use diesel::connection::{AnsiTransactionManager, TransactionManager};

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

/// Begins a transaction that may write.
///
/// The write lock is taken first: two deferred SQLite transactions that read and then write fail
/// each other with "database is locked", and no busy timeout helps.
pub(super) fn begin_write(conn: &mut Conn) -> QueryResult<()> {
    match conn {
        Conn::Sqlite(conn) => {
            AnsiTransactionManager::begin_transaction_sql(conn, "BEGIN IMMEDIATE")
        }
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => AnsiTransactionManager::begin_transaction_sql(
            conn,
            "BEGIN ISOLATION LEVEL SERIALIZABLE",
        ),
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
