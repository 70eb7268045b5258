//! Sends what waits in the outbox.
//!
//! A letter travels only after a row says so, and only that row's holder sends it. Where a
//! connection or this program ends between the letter and the server's answer, the letter may have
//! been sent: a person is asked, since nothing else can tell. A webhook's receiver knows a message
//! again by its number, so what may have been posted is posted once more.

use std::sync::Arc;
use std::time::Duration;

use chrono::NaiveDateTime;

use super::queue::{self, Queue, blocking, write};
use crate::courier::{self, Fault, FaultKind, Letter, MailServer, Post};
use crate::domain::ids::MessageId;
use crate::domain::outbox::{Channel, News};
use crate::domain::queue::Pace;
use crate::error::Error;
use crate::ops::outbox::{self as ops, Errand, Work};
use crate::store::{Conn, Database, Tx};

/// The outbox.
#[derive(Debug, Clone, Copy)]
struct Outbox;

impl Queue for Outbox {
    type Id = MessageId;
    type Work = Work;
    type News = News;
    const NAME: &'static str = "the outbox";

    fn is_any_due(conn: &mut Conn, now: NaiveDateTime) -> Result<bool, Error> {
        ops::is_any_due(conn, now)
    }

    fn claim(tx: &mut Tx<'_>, pace: &Pace, _: Option<MessageId>) -> Result<Option<Work>, Error> {
        ops::claim(tx, pace)
    }

    fn renew(tx: &mut Tx<'_>, work: &Work, pace: &Pace) -> Result<bool, Error> {
        ops::renew(tx, work, pace)
    }

    async fn advance(books: &Arc<Database>, work: &Work, pace: Pace) -> Result<News, Error> {
        if work.is_begun && work.channel == Channel::Mail {
            let words = "the service stopped, or lost its books, as the letter was sent: ask the \
                receiver whether it arrived";
            return Ok(News::Unsure(words.to_owned()));
        }
        let (from, of) = (Arc::clone(books), work.clone());
        let now = books.now();
        let errand = blocking(move || from.read(|conn| ops::errand(conn, &of, now))).await?;
        match errand {
            Errand::Mail(server, letter) => mail(books, work, pace, (server, letter)).await,
            Errand::Hook(post) => hook(books, work, pace, &post).await,
            Errand::None(news) => Ok(news),
        }
    }

    fn conclude(tx: &mut Tx<'_>, work: &Work, news: News, pace: &Pace) -> Result<(), Error> {
        ops::conclude(tx, work, news, pace)
    }

    fn tidy(tx: &mut Tx<'_>) -> Result<(), Error> {
        ops::forget_old(tx).map(drop)
    }
}

/// Works on the outbox until the program ends, looking at it after each `tick`.
pub async fn run(books: Arc<Database>, pace: Pace, tick: Duration) {
    queue::run::<Outbox>(books, pace, tick).await;
}

async fn mail(
    books: &Arc<Database>,
    work: &Work,
    pace: Pace,
    (server, letter): (MailServer, Letter),
) -> Result<News, Error> {
    let ready = match courier::offer(&server, &letter).await {
        Ok(ready) => ready,
        Err(fault) => return Ok(news_of(fault)),
    };
    if !begin(books, work, pace).await? {
        return Ok(not_begun());
    }
    Ok(match courier::hand_over(ready).await {
        Ok(words) => News::Sent(words),
        Err(fault) => news_of(fault),
    })
}

async fn hook(books: &Arc<Database>, work: &Work, pace: Pace, post: &Post) -> Result<News, Error> {
    if !begin(books, work, pace).await? {
        return Ok(not_begun());
    }
    Ok(match courier::post(post).await {
        Ok(words) => News::Sent(words),
        Err(fault) if fault.kind == FaultKind::Unsure => {
            News::NotYet(format!("it may have been sent: {}", fault.words))
        }
        Err(fault) => news_of(fault),
    })
}

async fn begin(books: &Arc<Database>, work: &Work, pace: Pace) -> Result<bool, Error> {
    let begun = work.clone();
    write(books, move |tx| ops::begin(tx, &begun, &pace)).await
}

/// Returns what is written of a message that is in this hand no more: nothing, since whoever took
/// it has written how it stands.
fn not_begun() -> News {
    News::NotYet("given up before it was sent".to_owned())
}

fn news_of(fault: Fault) -> News {
    match fault.kind {
        FaultKind::Later => News::NotYet(fault.words),
        FaultKind::Refused => News::Refused(fault.words),
        FaultKind::Unsure => News::Unsure(fault.words),
    }
}
