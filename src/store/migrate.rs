use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

use crate::error::Error;

use super::Conn;

const SQLITE: EmbeddedMigrations = embed_migrations!("migrations/sqlite");
#[cfg(feature = "postgres")]
const POSTGRES: EmbeddedMigrations = embed_migrations!("migrations/postgres");

/// Brings the database's tables up to this program's.
pub(super) fn up(conn: &mut Conn) -> Result<(), Error> {
    match conn {
        Conn::Sqlite(conn) => conn.run_pending_migrations(SQLITE).map(drop),
        #[cfg(feature = "postgres")]
        Conn::Postgres(conn) => conn.run_pending_migrations(POSTGRES).map(drop),
    }
    .map_err(|fault| Error::Internal(format!("the database's tables can't be set up: {fault}")))
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
