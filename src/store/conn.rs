use std::str::FromStr;

use diesel::connection::SimpleConnection;
use diesel::{Connection, ConnectionError, ConnectionResult};

/// A connection to either database.
#[derive(diesel::MultiConnection)]
pub enum Conn {
    /// The embedded database.
    Sqlite(diesel::SqliteConnection),
    /// The database of a shop that outgrew one machine.
    #[cfg(feature = "postgres")]
    Postgres(diesel::PgConnection),
}

/// Where the shop's books are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DatabaseUrl {
    /// A file of the embedded database.
    Sqlite(String),
    /// A PostgreSQL address.
    #[cfg(feature = "postgres")]
    Postgres(String),
}

/// Set on every SQLite connection: wait for the writer, keep readers going beside it, commit
/// durably, and let no foreign key or REPLACE slip past the triggers.
const SQLITE_SETTINGS: &str = "PRAGMA busy_timeout = 10000; PRAGMA journal_mode = WAL; \
    PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA recursive_triggers = ON;";

/// Set on every PostgreSQL connection: all times are UTC, and nobody waits for ever for a lock that
/// another program holds.
#[cfg(feature = "postgres")]
const POSTGRES_SETTINGS: &str = "SET TIME ZONE 'UTC'; SET lock_timeout = '60s';";

impl FromStr for DatabaseUrl {
    type Err = String;

    /// Reads `sqlite:FILE` or `postgres://…`. A bare path is refused, so that a slip of the hand
    /// makes no empty shop.
    fn from_str(text: &str) -> Result<Self, String> {
        if let Some(file) = text.strip_prefix("sqlite:").filter(|file| !file.is_empty()) {
            return Ok(Self::Sqlite(file.to_owned()));
        }
        if text.starts_with("postgres://") || text.starts_with("postgresql://") {
            #[cfg(feature = "postgres")]
            return Ok(Self::Postgres(text.to_owned()));
            #[cfg(not(feature = "postgres"))]
            return Err(
                "this build knows SQLite only: build it with --features postgres".to_owned()
            );
        }
        Err(format!("'{text}' is no database address: write sqlite:FILE or postgres://HOST/NAME"))
    }
}

impl DatabaseUrl {
    /// Returns the file of the embedded database; none where the books are with a server.
    pub fn file(&self) -> Option<&std::path::Path> {
        match self {
            Self::Sqlite(file) => Some(std::path::Path::new(file)),
            #[cfg(feature = "postgres")]
            Self::Postgres(_) => None,
        }
    }

    /// Returns whether the books are with a server, which takes many writers and may go away.
    pub const fn is_remote(&self) -> bool {
        match self {
            Self::Sqlite(_) => false,
            #[cfg(feature = "postgres")]
            Self::Postgres(_) => true,
        }
    }

    /// Returns a new connection, ready for use.
    ///
    /// # Errors
    ///
    /// [`ConnectionError`] when the database can't be opened.
    pub fn connect(&self) -> ConnectionResult<Conn> {
        match self {
            Self::Sqlite(file) => {
                let mut conn = diesel::SqliteConnection::establish(file)?;
                conn.batch_execute(SQLITE_SETTINGS)
                    .map_err(ConnectionError::CouldntSetupConfiguration)?;
                Ok(Conn::Sqlite(conn))
            }
            #[cfg(feature = "postgres")]
            Self::Postgres(url) => {
                let mut conn = diesel::PgConnection::establish(url)?;
                conn.batch_execute(POSTGRES_SETTINGS)
                    .map_err(ConnectionError::CouldntSetupConfiguration)?;
                Ok(Conn::Postgres(conn))
            }
        }
    }
}
