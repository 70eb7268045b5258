//! The few statements that the two databases word differently.

use std::time::{Duration, Instant};

use chrono::NaiveDateTime;
use diesel::connection::{AnsiTransactionManager, SimpleConnection, TransactionManager};
use diesel::dsl::{exists, not};
use diesel::prelude::*;
use diesel::result::Error;

use crate::domain::ids::PrintJobId;

use super::Conn;
use super::schema::print_jobs;

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

/// Loads print jobs that are due and in nobody's claim, with their state, oldest first; one alone
/// where `only` names it. A waiting job is due once no older one of its printer waits or is being
/// sent.
///
/// PostgreSQL locks the rows and passes over those that another instance has locked; in SQLite a
/// transaction that may write is the only one anyway.
pub(super) fn due_print_jobs(
    conn: &mut Conn,
    now: NaiveDateTime,
    only: Option<PrintJobId>,
) -> QueryResult<Vec<(PrintJobId, String)>> {
    let (first, last) = only.map_or((0, i64::MAX), |it| (i64::from(it), i64::from(it)));
    let before = diesel::alias!(print_jobs as before);
    let waits_before = before
        .field(print_jobs::state)
        .eq("waiting")
        .and(before.field(print_jobs::id).lt(print_jobs::id));
    let is_sent = before.field(print_jobs::state).eq("sending");
    let ahead = before
        .filter(before.field(print_jobs::printer_id).eq(print_jobs::printer_id))
        .filter(waits_before.or(is_sent));
    let due = print_jobs::table
        .filter(print_jobs::id.between(first, last))
        .filter(print_jobs::due_at.le(now))
        .filter(print_jobs::claimed_until.is_null().or(print_jobs::claimed_until.le(now)))
        .filter(print_jobs::state.ne("waiting").or(not(exists(ahead))))
        .order(print_jobs::id)
        .limit(20)
        .select((print_jobs::id, print_jobs::state));
    match conn {
        Conn::Sqlite(conn) => due.load(conn),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => due.for_update().skip_locked().load(conn),
    }
}
