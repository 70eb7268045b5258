//! Books for one test, in the database that the whole run is about: SQLite, or the PostgreSQL whose
//! address `KITWRIGHT_TEST_DATABASE` holds (`tests/with_postgres.sh` starts one).

use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};

use diesel::connection::SimpleConnection;
use kitwright::store::{Conn, DatabaseUrl};

use super::folder::Folder;

/// The address of empty books, which are taken away with the test.
pub struct Books {
    address: String,
    /// The database on the server, where they are on one.
    name: Option<String>,
    _folder: Option<Folder>,
}

fn server() -> Option<&'static str> {
    static SERVER: OnceLock<Option<String>> = OnceLock::new();
    SERVER.get_or_init(|| std::env::var("KITWRIGHT_TEST_DATABASE").ok()).as_deref()
}

/// Returns whether the run is about PostgreSQL.
pub fn on_postgres() -> bool {
    server().is_some()
}

/// Returns the address of a database on the server.
fn at_server(name: &str) -> String {
    let (server, _) = server().expect("a server").rsplit_once('/').expect("postgres://HOST/NAME");
    format!("{server}/{name}")
}

/// Tells the server to do that, outside any shop.
fn order(statement: &str) {
    let url: DatabaseUrl = at_server("postgres").parse().expect("the server's address");
    let mut conn = url.connect().expect("the server answers");
    conn.batch_execute(statement).expect(statement);
}

impl Books {
    /// Returns books with no tables yet.
    pub fn new(of: &str) -> Self {
        Self::made(of, |name| order(&format!("CREATE DATABASE {name}")))
    }

    /// Returns SQLite books with no tables yet, whatever the run is about.
    #[cfg(feature = "postgres")]
    pub fn embedded(of: &str) -> Self {
        Self::file_in(Folder::new(of))
    }

    fn file_in(folder: Folder) -> Self {
        let address = format!("sqlite:{}", folder.path().join("shop.sqlite").display());
        Self { address, name: None, _folder: Some(folder) }
    }

    fn made(of: &str, make: impl Fn(&str)) -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        if !on_postgres() {
            return Self::file_in(Folder::new(of));
        }
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("{of}_{}_{count}", std::process::id());
        make(&name);
        Self { address: at_server(&name), name: Some(name), _folder: None }
    }

    /// Returns the address, as `--database` takes it.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Returns the address, read.
    pub fn url(&self) -> DatabaseUrl {
        self.address.parse().expect("an address")
    }

    /// Returns a connection to them.
    pub fn connect(&self) -> Conn {
        self.url().connect().expect("they open")
    }

    fn file(&self) -> Option<&str> {
        self.address.strip_prefix("sqlite:")
    }
}

/// Books that others are made from.
pub enum Pattern {
    /// The bytes of SQLite's file.
    Bytes(Vec<u8>),
    /// A database on the server, which nobody has open.
    Database(Books),
}

impl Pattern {
    /// Returns the pattern that those books are, once nobody has them open.
    pub fn of(books: Books) -> Self {
        match books.file() {
            Some(file) => Self::Bytes(std::fs::read(file).expect("the books are in one file")),
            None => Self::Database(books),
        }
    }

    /// Returns books of their own that hold the same.
    pub fn copy(&self) -> Books {
        let books = Books::made("it", |name| {
            if let Self::Database(Books { name: Some(template), .. }) = self {
                order(&format!("CREATE DATABASE {name} TEMPLATE {template}"));
            }
        });
        if let (Self::Bytes(bytes), Some(file)) = (self, books.file()) {
            std::fs::write(file, bytes).expect("the books are copied");
        }
        books
    }
}

impl Drop for Books {
    fn drop(&mut self) {
        if let Some(name) = &self.name {
            order(&format!("DROP DATABASE {name} WITH (FORCE)"));
        }
    }
}
