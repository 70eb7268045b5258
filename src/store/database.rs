use std::sync::Arc;
use std::time::Duration;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::r2d2::{ManageConnection, Pool};

use crate::clock::Clock;
use crate::domain::ids::UserId;
use crate::domain::people::Role;
use crate::error::Error;

use super::dialect::{self, Company};
use super::signal::{Changes, Signal};
use super::writer::{Way, Writer};
use super::{Conn, DatabaseUrl, migrate};

/// On whose behalf something is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    /// A person who is logged in.
    Person(UserId, Role),
    /// Whoever holds a kit's signed link.
    Receiver,
    /// The program itself: set-up, command line.
    Program,
}

impl Who {
    /// Returns the person, if it is one.
    pub const fn user(self) -> Option<UserId> {
        match self {
            Self::Person(user, _) => Some(user),
            Self::Receiver | Self::Program => None,
        }
    }

    /// Returns the role in which to decide; the program acts for the owner.
    pub const fn role(self) -> Role {
        match self {
            Self::Person(_, role) => role,
            Self::Receiver => Role::Receiver,
            Self::Program => Role::Owner,
        }
    }
}

/// A write transaction: its connection, its time and on whose behalf it is.
pub struct Tx<'a> {
    /// The connection, inside the transaction.
    pub conn: &'a mut Conn,
    /// The time of all that the transaction writes.
    pub now: NaiveDateTime,
    /// On whose behalf.
    pub who: Who,
}

impl Tx<'_> {
    /// Returns the transaction's day.
    pub fn today(&self) -> NaiveDate {
        self.now.date()
    }
}

struct Manager(DatabaseUrl);

impl ManageConnection for Manager {
    type Connection = Conn;
    type Error = diesel::r2d2::Error;

    fn connect(&self) -> Result<Conn, Self::Error> {
        self.0.connect().map_err(diesel::r2d2::Error::ConnectionError)
    }

    fn is_valid(&self, conn: &mut Conn) -> Result<(), Self::Error> {
        diesel::r2d2::R2D2Connection::ping(conn).map_err(diesel::r2d2::Error::QueryError)
    }

    fn has_broken(&self, conn: &mut Conn) -> bool {
        diesel::r2d2::R2D2Connection::is_broken(conn)
    }
}

/// The shop's books: reads beside each other, writes one after the other.
pub struct Database {
    pool: Pool<Manager>,
    clock: Clock,
    /// The one that writes for all, where the database takes one writer at a time.
    writer: Option<Writer>,
    signal: Arc<Signal>,
    /// Where changes by others are listened for, once somebody wants to know of them.
    #[cfg(feature = "postgres")]
    listened: (DatabaseUrl, std::sync::Once),
}

/// How often a write is tried beside others that get in its way, before it asks to be alone
/// (PostgreSQL only).
const TRIES: u32 = 4;

impl Database {
    /// Opens the database and brings its tables up to date.
    ///
    /// # Errors
    ///
    /// [`Error::Internal`] when it can't be opened or its tables can't be set up.
    pub fn open(url: &DatabaseUrl, clock: Clock) -> Result<Self, Error> {
        let mut conn = url.connect()?;
        migrate::up(&mut conn)?;
        let pool = Pool::builder()
            .max_size(8)
            .min_idle(Some(1))
            .test_on_check_out(url.is_remote())
            .connection_timeout(Duration::from_secs(10))
            .build(Manager(url.clone()))
            .map_err(|fault| Error::Internal(format!("the database can't be opened: {fault}")))?;
        let signal = Arc::new(Signal::new());
        let writer = (!url.is_remote()).then(|| Writer::new(url, Arc::clone(&signal)));
        Ok(Self {
            pool,
            clock,
            writer,
            signal,
            #[cfg(feature = "postgres")]
            listened: (url.clone(), std::sync::Once::new()),
        })
    }

    /// Returns the time now.
    pub fn now(&self) -> NaiveDateTime {
        self.clock.now()
    }

    /// Returns what tells of each change of the books from now on, by whichever instance.
    pub fn follow(&self) -> Changes {
        #[cfg(feature = "postgres")]
        if self.writer.is_none() {
            let (url, once) = &self.listened;
            once.call_once(|| super::listen::begin(url, Arc::downgrade(&self.signal)));
        }
        self.signal.follow()
    }

    /// Returns what `read` finds; all its queries see the same moment.
    ///
    /// # Errors
    ///
    /// What `read` answers, and [`Error::Database`].
    pub fn read<T>(&self, read: impl FnOnce(&mut Conn) -> Result<T, Error>) -> Result<T, Error> {
        let mut conn = self.pool.get().map_err(|fault| Error::Internal(fault.to_string()))?;
        dialect::begin_read(&mut conn)?;
        let answer = read(&mut conn);
        dialect::roll_back(&mut conn)?;
        answer
    }

    /// Does `work` in one transaction: all of it, or nothing when it answers an error. Its answer is
    /// told once what it wrote has reached the disk.
    ///
    /// # Errors
    ///
    /// What `work` answers, [`Error::Database`], and [`Error::Unsure`] when the server went away
    /// before it said whether the work lasts.
    pub fn write<T>(
        &self,
        who: Who,
        work: impl Fn(&mut Tx<'_>) -> Result<T, Error>,
    ) -> Result<T, Error> {
        self.transact(who, work, Way::Together)
    }

    /// Does `work` as [`Self::write`] would, and lets nobody else wait for it longer than needs be:
    /// for what takes long, such as a whole file.
    ///
    /// # Errors
    ///
    /// As [`Self::write`].
    pub fn write_long<T>(
        &self,
        who: Who,
        work: impl Fn(&mut Tx<'_>) -> Result<T, Error>,
    ) -> Result<T, Error> {
        self.transact(who, work, Way::Alone)
    }

    /// Does `work` as [`Self::write`] would and then undoes it, to show what would come of it.
    ///
    /// # Errors
    ///
    /// As [`Self::write`].
    pub fn rehearse<T>(
        &self,
        who: Who,
        work: impl Fn(&mut Tx<'_>) -> Result<T, Error>,
    ) -> Result<T, Error> {
        self.transact(who, work, Way::Undone)
    }

    fn transact<T>(
        &self,
        who: Who,
        work: impl Fn(&mut Tx<'_>) -> Result<T, Error>,
        way: Way,
    ) -> Result<T, Error> {
        if let Some(writer) = &self.writer {
            return writer.write(way, |conn| work(&mut Tx { conn, now: self.now(), who }));
        }
        let keep = way != Way::Undone;
        let mut conn = self.pool.get().map_err(|fault| Error::Internal(fault.to_string()))?;
        for tries in 1..=TRIES {
            match self.try_once(&mut conn, who, &work, keep, Company::Others) {
                Err(Error::Database(fault)) if is_in_the_way(&fault) => {
                    std::thread::sleep(pause(tries));
                }
                answer => return answer.map_err(explained),
            }
        }
        self.try_once(&mut conn, who, &work, keep, Company::Alone).map_err(explained)
    }

    fn try_once<T>(
        &self,
        conn: &mut Conn,
        who: Who,
        work: &impl Fn(&mut Tx<'_>) -> Result<T, Error>,
        keep: bool,
        company: Company,
    ) -> Result<T, Error> {
        dialect::begin_write(conn, company)?;
        let answer = work(&mut Tx { conn: &mut *conn, now: self.now(), who });
        if answer.is_ok() && keep {
            if let Err(fault) = dialect::announce(conn) {
                // Nothing has been asked to last yet, so nothing does, whatever became of the server.
                drop(dialect::roll_back(conn));
                return Err(fault.into());
            }
            match dialect::commit(conn) {
                Ok(()) => answer,
                Err(fault) => {
                    // The transaction may be over already, so a refused rollback tells nothing new.
                    drop(dialect::roll_back(conn));
                    // A server that answers says that nothing was written; one that is gone does not.
                    Err(if is_in_the_way(&fault) { fault.into() } else { Error::Unsure(fault) })
                }
            }
        } else {
            dialect::roll_back(conn)?;
            answer
        }
    }
}

/// Returns whether another write may have got in the way of this one, so that it may be tried again.
///
/// PostgreSQL tells two writes that take the same key at once of the key, not of each other. Once
/// nobody else writes, such a refusal is the books' own answer.
fn is_in_the_way(fault: &diesel::result::Error) -> bool {
    use diesel::result::{DatabaseErrorKind as Kind, Error};
    match fault {
        Error::DatabaseError(
            Kind::SerializationFailure | Kind::UniqueViolation | Kind::ForeignKeyViolation,
            _,
        ) => true,
        Error::DatabaseError(_, info) => info.message() == "deadlock detected",
        _ => false,
    }
}

/// Returns the error of a text that is too long for a key of PostgreSQL, so that whoever sent it
/// learns what to mend; every other error as it is.
fn explained(error: Error) -> Error {
    match &error {
        Error::Database(diesel::result::Error::DatabaseError(_, info))
            if info.message().starts_with("index row ") =>
        {
            Error::invalid(
                "text.too_long",
                "a number, code or name has more than 2700 bytes, and nothing was changed: \
                 shorten it",
            )
        }
        _ => error,
    }
}

/// Returns how long to wait before the next try: longer each time, and never twice the same.
fn pause(tries: u32) -> Duration {
    use rand::RngExt;
    let most = 4_u64 << tries;
    Duration::from_millis(rand::rng().random_range(1..=most))
}
