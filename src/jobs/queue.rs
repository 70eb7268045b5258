//! How rows of any queue are worked on: taken by a claim, held while they are worked on, and let go
//! with what came of it.

use std::future::Future;
use std::sync::Arc;
use std::time::Duration;

use chrono::NaiveDateTime;
use tokio::task::{JoinSet, spawn_blocking};
use tokio::time::{Instant, sleep};

use crate::domain::queue::Pace;
use crate::error::Error;
use crate::store::{Conn, Database, Tx, Who};

/// How many rows of a queue are in hand at a time.
const MOST_AT_ONCE: usize = 8;
/// How often a queue is tidied.
const TIDYING: Duration = Duration::from_secs(3600);
/// How long to wait before what came of a row is written again, after each time that it failed:
/// what was done outside can't be undone, so it is worth some patience.
const CONCLUDING: [Duration; 4] = [
    Duration::from_millis(500),
    Duration::from_secs(2),
    Duration::from_secs(5),
    Duration::from_secs(10),
];

/// A queue: what is particular about its rows.
pub(super) trait Queue: Copy + Send + Sync + 'static {
    /// The number of a row.
    type Id: Copy + Send + 'static;
    /// A row in hand.
    type Work: Clone + Send + Sync + 'static;
    /// What is known of a row after it was worked on.
    type News: Clone + Send + Sync + 'static;
    /// The queue, for the log.
    const NAME: &'static str;

    /// Returns whether any row is due and in nobody's hand.
    fn is_any_due(conn: &mut Conn, now: NaiveDateTime) -> Result<bool, Error>;
    /// Takes a row that is due into this hand; that one alone where one is named.
    fn claim(
        tx: &mut Tx<'_>,
        pace: &Pace,
        only: Option<Self::Id>,
    ) -> Result<Option<Self::Work>, Error>;
    /// Holds a row longer; returns whether it was still in hand.
    fn renew(tx: &mut Tx<'_>, work: &Self::Work, pace: &Pace) -> Result<bool, Error>;
    /// Does what is to be done about a row.
    fn advance(
        books: &Arc<Database>,
        work: &Self::Work,
        pace: Pace,
    ) -> impl Future<Output = Result<Self::News, Error>> + Send;
    /// Writes what came of it and lets the row go.
    fn conclude(
        tx: &mut Tx<'_>,
        work: &Self::Work,
        news: Self::News,
        pace: &Pace,
    ) -> Result<(), Error>;
    /// Throws away what nobody needs any more.
    fn tidy(tx: &mut Tx<'_>) -> Result<(), Error>;
}

/// Works on a queue until the program ends, looking at it after each `tick`.
pub(super) async fn run<Q: Queue>(books: Arc<Database>, pace: Pace, tick: Duration) {
    let mut in_hand = JoinSet::new();
    let mut tidied: Option<Instant> = None;
    loop {
        if tidied.is_none_or(|it| TIDYING <= it.elapsed()) {
            tidied = Some(Instant::now());
            told::<Q, _>(write(&books, Q::tidy).await);
        }
        while in_hand.try_join_next().is_some() {}
        while in_hand.len() < MOST_AT_ONCE {
            match next::<Q>(&books, pace, None).await {
                Ok(Some(work)) => {
                    in_hand.spawn(go_on::<Q>(Arc::clone(&books), work, pace));
                }
                Ok(None) => break,
                Err(error) => {
                    told::<Q, ()>(Err(error));
                    break;
                }
            }
        }
        sleep(tick).await;
    }
}

/// Takes a row that is due into this hand; that one alone where one is named.
///
/// # Errors
///
/// [`Error::Database`].
pub(super) async fn next<Q: Queue>(
    books: &Arc<Database>,
    pace: Pace,
    only: Option<Q::Id>,
) -> Result<Option<Q::Work>, Error> {
    let books = Arc::clone(books);
    blocking(move || {
        // Reading first leaves the writers alone while there is nothing to do.
        let now = books.now();
        if !books.read(|conn| Q::is_any_due(conn, now))? {
            return Ok(None);
        }
        books.write(Who::Program, |tx| Q::claim(tx, &pace, only))
    })
    .await
}

/// Goes on with a row in hand, and holds it meanwhile.
pub(super) async fn go_on<Q: Queue>(books: Arc<Database>, work: Q::Work, pace: Pace) {
    let (news, done) = tokio::select! {
        news = Q::advance(&books, &work, pace) => match news {
            Ok(news) => (news.clone(), concluded::<Q>(&books, &work, news, pace).await),
            Err(error) => return told::<Q, ()>(Err(error)),
        },
        () = held::<Q>(&books, &work, pace) => return,
    };
    if done.is_ok() {
        return;
    }
    told::<Q, ()>(done);
    for pause in CONCLUDING {
        sleep(pause).await;
        if concluded::<Q>(&books, &work, news.clone(), pace).await.is_ok() {
            return;
        }
    }
}

async fn concluded<Q: Queue>(
    books: &Arc<Database>,
    work: &Q::Work,
    news: Q::News,
    pace: Pace,
) -> Result<(), Error> {
    let work = work.clone();
    write(books, move |tx| Q::conclude(tx, &work, news.clone(), &pace)).await
}

/// Renews the claim on a row again and again; returns once the row is in this hand no more.
async fn held<Q: Queue>(books: &Arc<Database>, work: &Q::Work, pace: Pace) {
    let third = pace.lease.to_std().unwrap_or(Duration::from_secs(30)) / 3;
    loop {
        sleep(third).await;
        let work = work.clone();
        match write(books, move |tx| Q::renew(tx, &work, &pace)).await {
            Ok(true) => {}
            Ok(false) => return,
            Err(error) => told::<Q, ()>(Err(error)),
        }
    }
}

/// Does `work` in one transaction, off the threads that wait for others.
///
/// # Errors
///
/// What `work` answers.
pub(super) async fn write<T: Send + 'static>(
    books: &Arc<Database>,
    work: impl Fn(&mut Tx<'_>) -> Result<T, Error> + Send + 'static,
) -> Result<T, Error> {
    let books = Arc::clone(books);
    blocking(move || books.write(Who::Program, work)).await
}

/// Does what blocks its thread.
///
/// # Errors
///
/// What `work` answers.
pub(super) async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Error> + Send + 'static,
) -> Result<T, Error> {
    spawn_blocking(work)
        .await
        .map_err(|fault| Error::Internal(format!("a worker thread ended: {fault}")))?
}

/// Writes our own faults to the log.
fn told<Q: Queue, T>(done: Result<T, Error>) {
    if let Err(error) = done {
        log(Q::NAME, &error);
    }
}

/// Writes to the log what keeps a part of the service from its work.
pub(super) fn log(what: &str, error: &Error) {
    let cause = error.hidden_cause().unwrap_or_else(|| error.to_string());
    tracing::error!(code = error.code(), cause, "{what} can't go on");
}
