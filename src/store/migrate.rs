#[cfg(feature = "postgres")]
use diesel::connection::SimpleConnection;
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

use crate::error::Error;

use super::Conn;

const SQLITE: EmbeddedMigrations = embed_migrations!("migrations/sqlite");
#[cfg(feature = "postgres")]
const POSTGRES: EmbeddedMigrations = embed_migrations!("migrations/postgres");

/// Makes every text of the tables sort by code point, as SQLite sorts. A cluster sorts as its
/// language does unless it is told otherwise, and then lists and files would come in another order.
#[cfg(feature = "postgres")]
const BY_CODE_POINT: &str = r#"DO $$
DECLARE
    it record;
BEGIN
    FOR it IN
        SELECT t.oid::regclass AS name,
            string_agg(format('ALTER COLUMN %I TYPE text COLLATE "C"', c.attname), ', ') AS columns
        FROM pg_class t JOIN pg_attribute c ON c.attrelid = t.oid
        WHERE t.relkind = 'r' AND t.relnamespace = current_schema()::regnamespace
            AND t.relname NOT LIKE '\_\_diesel%' AND c.attnum > 0 AND NOT c.attisdropped
            AND c.atttypid = 'text'::regtype AND c.attcollation <> '"C"'::regcollation
        GROUP BY t.oid
    LOOP
        EXECUTE format('ALTER TABLE %s %s', it.name, it.columns);
    END LOOP;
END $$"#;

/// Brings the tables up to this program's, one instance of it at a time.
#[cfg(feature = "postgres")]
fn up_postgres(conn: &mut diesel::PgConnection) -> diesel::migration::Result<()> {
    // Any number that no other program uses for a lock.
    conn.batch_execute("SELECT pg_advisory_lock(7284360917)")?;
    let done = conn
        .run_pending_migrations(POSTGRES)
        .map(drop)
        .and_then(|()| Ok(conn.batch_execute(BY_CODE_POINT)?));
    conn.batch_execute("SELECT pg_advisory_unlock(7284360917)")?;
    done
}

/// Brings the database's tables up to this program's.
pub(super) fn up(conn: &mut Conn) -> Result<(), Error> {
    match conn {
        Conn::Sqlite(conn) => conn.run_pending_migrations(SQLITE).map(drop),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => up_postgres(conn),
    }
    .map_err(|fault| Error::Internal(format!("the database's tables can't be set up: {fault}")))
}

/// Returns whether the books lack tables or columns of this program.
#[cfg(feature = "postgres")]
pub(super) fn is_behind(conn: &mut Conn) -> Result<bool, Error> {
    match conn {
        Conn::Sqlite(conn) => conn.has_pending_migration(SQLITE),
        Conn::Postgres(conn) => conn.has_pending_migration(POSTGRES),
    }
    .map_err(|fault| Error::Internal(format!("the books' tables can't be told: {fault}")))
}

/// Takes every migration back: the tables and all that they hold are gone.
///
/// # Errors
///
/// [`Error::Internal`] when a migration can't be taken back.
pub fn down(conn: &mut Conn) -> Result<(), Error> {
    match conn {
        Conn::Sqlite(conn) => conn.revert_all_migrations(SQLITE).map(drop),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => conn.revert_all_migrations(POSTGRES).map(drop),
    }
    .map_err(|fault| Error::Internal(format!("a migration can't be taken back: {fault}")))
}
