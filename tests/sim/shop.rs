//! The shop under test: books in a folder of their own, opened anew each day and after each crash.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::{Duration, NaiveDateTime};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Text};
use kitwright::clock::Clock;
use kitwright::demo;
use kitwright::domain::people::Role;
use kitwright::error::Error;
use kitwright::ops::audit;
use kitwright::store::{Conn, Database, DatabaseUrl, Who, people};

use crate::deed::{Deed, Outcome, Piece};

/// The books of a shop, and whoever works there.
pub struct Shop {
    folder: PathBuf,
    books: Option<Database>,
    now: NaiveDateTime,
    who: Who,
}

impl Drop for Shop {
    fn drop(&mut self) {
        self.books = None;
        // What can't be removed is the system's to clear.
        drop(std::fs::remove_dir_all(&self.folder));
    }
}

/// Thrown out of a write in place of an end of the program.
struct Crash;

#[derive(QueryableByName)]
struct HeldRow {
    #[diesel(sql_type = Text)]
    place: String,
    #[diesel(sql_type = Text)]
    part: String,
    #[diesel(sql_type = Text)]
    identity: String,
    #[diesel(sql_type = BigInt)]
    quantity: i64,
}

fn start() -> NaiveDateTime {
    "2026-11-25T09:00:00".parse().expect("a time")
}

fn folder() -> PathBuf {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let folder = format!("kitwright-sim-{}-{count}", std::process::id());
    let folder = std::env::temp_dir().join(folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn open(file: &Path, now: NaiveDateTime) -> Database {
    let url = DatabaseUrl::Sqlite(file.display().to_string());
    Database::open(&url, Clock::Fixed(now)).expect("the books open")
}

/// Returns the demo shop's books, which are loaded once.
fn template() -> &'static [u8] {
    static TEMPLATE: OnceLock<Vec<u8>> = OnceLock::new();
    TEMPLATE.get_or_init(|| {
        let folder = folder();
        let file = folder.join("shop.sqlite");
        let books = open(&file, start());
        demo::load(&books).expect("the demo shop loads");
        drop(books);
        let bytes = std::fs::read(&file).expect("the books are in one file");
        drop(std::fs::remove_dir_all(folder));
        bytes
    })
}

impl Shop {
    /// Returns the demo shop on its first morning.
    pub fn new() -> Self {
        let folder = folder();
        std::fs::write(folder.join("shop.sqlite"), template()).expect("the books are copied");
        let books = open(&folder.join("shop.sqlite"), start());
        let owner = books.read(|conn| Ok(people::user_by_login(conn, "owner")?));
        let owner = owner.expect("it reads").expect("an owner");
        let who = Who::Person(owner.id, Role::Owner);
        Self { folder, books: Some(books), now: start(), who }
    }

    fn books(&self) -> &Database {
        self.books.as_ref().expect("the books are open")
    }

    /// Returns the time.
    pub fn now(&self) -> NaiveDateTime {
        self.now
    }

    /// Ends the day: the books are closed and opened the next morning.
    pub fn sleep(&mut self) {
        self.now += Duration::days(1);
        self.reopen();
    }

    fn reopen(&mut self) {
        self.books = None;
        self.books = Some(open(&self.folder.join("shop.sqlite"), self.now));
    }

    /// Returns what a read finds.
    pub fn look<T>(&self, read: impl FnOnce(&mut Conn) -> Result<T, Error>) -> T {
        self.books().read(read).expect("the shop can be looked at")
    }

    /// Does a deed; a refusal by an error is an outcome too, with its code.
    ///
    /// # Errors
    ///
    /// A fault of the program, in words.
    pub fn act(&self, deed: &Deed) -> Result<Outcome, String> {
        match self.books().write(self.who, |tx| deed.run(tx)) {
            Ok(outcome) => Ok(outcome),
            Err(fault) => match fault.hidden_cause() {
                Some(cause) => Err(format!("{}: {cause}", fault.code())),
                None => Ok(Outcome { answer: fault.code().into(), done: false }),
            },
        }
    }

    /// Does a deed up to its commit, then ends without one, and starts again.
    pub fn crash(&mut self, deed: &Deed) {
        let work = || {
            self.books().write(self.who, |tx| -> Result<(), Error> {
                // Whatever came of it, nothing of it was told to anyone.
                drop(deed.run(tx));
                resume_unwind(Box::new(Crash))
            })
        };
        let ended = catch_unwind(AssertUnwindSafe(work)).expect_err("it ended");
        assert!(ended.is::<Crash>(), "it ended by itself");
        self.reopen();
    }

    /// Moves pieces behind everyone's back, to see whether the auditor notices.
    pub fn tamper(&self) {
        let moved = "UPDATE balances SET quantity = quantity + 1
            WHERE place_id = (SELECT id FROM places WHERE code = 'P-04-1Q')
            AND variant_id = (SELECT id FROM variants WHERE part_number = 'PK101H')";
        let tamper = |tx: &mut kitwright::store::Tx<'_>| Ok(sql_query(moved).execute(tx.conn)?);
        assert_eq!(self.books().write(self.who, tamper).expect("a hand can do this"), 1);
    }

    /// Returns what the shop's books say lies inside the house.
    pub fn held(&self) -> BTreeMap<(String, Piece), i64> {
        let rows: Vec<HeldRow> = self.look(|conn| {
            let held = "SELECT p.code AS place, v.part_number AS part,
                    COALESCE(l.code, s.code, '') AS identity, b.quantity AS quantity
                FROM balances b JOIN places p ON p.id = b.place_id
                JOIN variants v ON v.id = b.variant_id
                LEFT JOIN lots l ON l.id = b.lot_id LEFT JOIN serials s ON s.id = b.serial_id
                WHERE NOT p.outside AND b.quantity <> 0";
            Ok(sql_query(held).load(conn)?)
        });
        let key = |it: &HeldRow| {
            (it.place.clone(), Piece { part: it.part.clone(), identity: it.identity.clone() })
        };
        rows.iter().map(|it| (key(it), it.quantity)).collect()
    }

    /// Returns what the shop's own proof of its books finds.
    pub fn findings(&self) -> Vec<String> {
        self.look(audit::check).into_iter().flat_map(|it| it.findings).collect()
    }
}
