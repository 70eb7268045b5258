//! Sends what waits in the print queue, and asks printers what became of it.
//!
//! A document travels only after a row says so, and only that row's holder sends it. What was on
//! its way when a connection, a printer or this program ended is looked for at the printer, under
//! the job's number or token; where that does not settle it, a person is asked. Nothing is ever
//! sent a second time by itself unless the printer says that the first time brought it nothing.

use std::sync::Arc;
use std::time::Duration;

use chrono::NaiveDateTime;
use tokio::time::{Instant, sleep};

use super::queue::{self, Queue, blocking, write};
use crate::domain::ids::PrintJobId;
use crate::domain::printing::{JobState, News};
use crate::domain::queue::Pace;
use crate::error::Error;
use crate::ops::printing::{self as ops, Work};
use crate::printer::{self, Fault, FaultKind, JobStage, PrinterJob};
use crate::store::{Conn, Database, Tx};

/// The print queue.
#[derive(Debug, Clone, Copy)]
struct Prints;

impl Queue for Prints {
    type Id = PrintJobId;
    type Work = Work;
    type News = News;
    const NAME: &'static str = "the print queue";

    fn is_any_due(conn: &mut Conn, now: NaiveDateTime) -> Result<bool, Error> {
        ops::is_any_due(conn, now)
    }

    fn claim(
        tx: &mut Tx<'_>,
        pace: &Pace,
        only: Option<PrintJobId>,
    ) -> Result<Option<Work>, Error> {
        ops::claim(tx, pace, only)
    }

    fn renew(tx: &mut Tx<'_>, work: &Work, pace: &Pace) -> Result<bool, Error> {
        ops::renew(tx, work, pace)
    }

    async fn advance(books: &Arc<Database>, work: &Work, pace: Pace) -> Result<News, Error> {
        match work.state {
            JobState::Sending if !work.is_begun => send(books, work, pace).await,
            JobState::Taken if work.cancel_wanted => Ok(take_back(work).await),
            JobState::Taken => Ok(ask_after(work).await),
            _ => Ok(settle(work, work.printer_job, work.doubt()).await),
        }
    }

    fn conclude(tx: &mut Tx<'_>, work: &Work, news: News, pace: &Pace) -> Result<(), Error> {
        ops::conclude(tx, work, news, pace)
    }

    fn tidy(tx: &mut Tx<'_>) -> Result<(), Error> {
        ops::forget_old(tx).map(drop)
    }
}

/// Works on the queue until the program ends, looking at it after each `tick`.
pub async fn run(books: Arc<Database>, pace: Pace, tick: Duration) {
    queue::run::<Prints>(books, pace, tick).await;
}

/// Sends one job now and asks after it until there is nothing to be done at once, or `patience` is
/// over: for a command line, whether or not a service is running beside it.
///
/// # Errors
///
/// [`Error::Database`].
pub async fn see_through(
    books: Arc<Database>,
    id: PrintJobId,
    pace: Pace,
    patience: Duration,
) -> Result<(), Error> {
    let began = Instant::now();
    while began.elapsed() < patience {
        if let Some(work) = queue::next::<Prints>(&books, pace, Some(id)).await? {
            queue::go_on::<Prints>(Arc::clone(&books), work, pace).await;
        }
        let books = Arc::clone(&books);
        let job = blocking(move || books.read(|conn| ops::job(conn, id))).await?;
        let goes_on = match job.state.as_str() {
            "sending" | "taken" => true,
            "waiting" => job.words.is_empty(),
            _ => false,
        };
        if !goes_on {
            return Ok(());
        }
        sleep(Duration::from_millis(200)).await;
    }
    Ok(())
}

async fn send(books: &Arc<Database>, work: &Work, pace: Pace) -> Result<News, Error> {
    let target = &work.target;
    let abilities = match printer::abilities(target).await {
        Ok(it) => it,
        Err(fault) => return Ok(nothing_printed(fault)),
    };
    if let Err(news) = ops::ready(&abilities) {
        return Ok(news);
    }
    match already_there(work).await {
        Ok(None) => {}
        Ok(Some(it)) => {
            let begun = work.clone();
            let held = write(books, move |tx| ops::begin(tx, &begun, Some(it.id), &pace)).await?;
            return Ok(if held.is_some() { it.news } else { not_begun() });
        }
        Err(news) => return Ok(news),
    }
    let ticket = work.ticket(&abilities);
    // A job without its document prints nothing, and its number finds it again whatever happens.
    let job = match abilities.takes_in_two {
        true => match printer::create_job(target, &ticket).await {
            Ok(job) => Some(job),
            Err(fault) => return Ok(nothing_printed(fault)),
        },
        false => None,
    };
    let begun = work.clone();
    let Some(pdf) = write(books, move |tx| ops::begin(tx, &begun, job, &pace)).await? else {
        drop_empty(work, job).await;
        return Ok(not_begun());
    };
    let sent = match job {
        Some(job) => printer::send_document(target, job, &pdf).await.map(|()| job),
        None => printer::print_job(target, &ticket, &pdf).await,
    };
    Ok(match sent {
        Ok(printer_job) => News::Taken { printer_job, words: "the printer has it".to_owned() },
        Err(fault) if fault.kind == FaultKind::Lost => settle(work, job, &fault.words).await,
        Err(fault) => {
            drop_empty(work, job).await;
            nothing_printed(fault)
        }
    })
}

fn not_begun() -> News {
    News::NotYet("taken back before it was sent".to_owned())
}

/// A job that the printer has from an earlier try, and how it stands.
struct Earlier {
    id: i64,
    news: News,
}

/// Returns the job where the printer has it from an earlier try and has not finished it: then it
/// will come, and sending it once more would print it twice.
///
/// # Errors
///
/// [`News`] where the printer can't be asked now.
async fn already_there(work: &Work) -> Result<Option<Earlier>, News> {
    match printer::find_open_job(&work.target, &work.token).await {
        Ok(Some(it)) if is_empty(&it) => {
            drop_empty(work, Some(it.id)).await;
            Ok(None)
        }
        Ok(found) => Ok(found.map(|it| Earlier { id: it.id, news: news_of(&it) })),
        // A printer that lists no jobs can't be asked; one that does not answer is tried later.
        Err(fault) => match nothing_printed(fault) {
            News::Refused(_) => Ok(None),
            news => Err(news),
        },
    }
}

/// Returns what a failure means by which nothing was printed.
fn nothing_printed(fault: Fault) -> News {
    match fault.kind {
        FaultKind::Unreachable | FaultKind::Busy | FaultKind::Lost => News::NotYet(fault.words),
        FaultKind::Untrusted(_) | FaultKind::Refused | FaultKind::NoSuchJob => {
            News::Refused(fault.words)
        }
    }
}

/// Takes a job back that never got its document. Where that fails, the printer drops it by itself
/// after a while: there is nothing in it to print.
async fn drop_empty(work: &Work, job: Option<i64>) {
    if let Some(job) = job
        && let Err(fault) = printer::cancel(&work.target, job).await
    {
        tracing::info!(job = %work.id, %fault, "an empty job was left at the printer");
    }
}

/// Returns what the printer says became of a job that may have got there.
async fn settle(work: &Work, job: Option<i64>, why: &str) -> News {
    let found = match job {
        Some(job) => printer::job(&work.target, job).await.map(Some),
        None => printer::find_job(&work.target, &work.token).await,
    };
    let unsure = |what: &str| News::Unsure(format!("{why}{}{what}", ops::DOUBT_ENDS));
    match found {
        Ok(Some(it)) if is_empty(&it) => match printer::cancel(&work.target, it.id).await {
            Ok(()) => News::NotYet(format!("{why}; the printer says that it got no document")),
            Err(fault) => unsure(&format!("the printer keeps an empty job of it: {fault}")),
        },
        Ok(Some(it)) => news_of(&it),
        Ok(None) => unsure("the printer lists no such job, and it may have forgotten it"),
        Err(fault) if fault.kind == FaultKind::NoSuchJob => {
            unsure("the printer has forgotten the job")
        }
        Err(fault) => unsure(&format!("asked what became of it: {fault}")),
    }
}

/// Returns whether nothing of a job has arrived at the printer or begun to be printed.
fn is_empty(it: &PrinterJob) -> bool {
    it.documents == Some(0) && matches!(it.stage, JobStage::Queued | JobStage::Held)
}

async fn ask_after(work: &Work) -> News {
    let Some(job) = work.printer_job else {
        return settle(work, None, "the printer gave the job no number").await;
    };
    match printer::job(&work.target, job).await {
        Ok(it) => news_of(&it),
        Err(fault) if fault.kind == FaultKind::NoSuchJob => {
            News::Unsure("the printer took it and has forgotten it since".to_owned())
        }
        Err(fault) => News::NoAnswer(format!("asked how far it is: {fault}")),
    }
}

async fn take_back(work: &Work) -> News {
    if let Some(job) = work.printer_job
        && let Err(fault) = printer::cancel(&work.target, job).await
    {
        // It may be over by now: what the printer says next tells.
        tracing::info!(job = %work.id, %fault, "a job was not taken back");
    }
    ask_after(work).await
}

fn news_of(it: &PrinterJob) -> News {
    let printer_job = it.id;
    let words = ops::stage_words(it);
    match it.stage {
        JobStage::Completed if it.documents == Some(0) => {
            News::Unsure("the printer says that it finished the job and got no document".to_owned())
        }
        JobStage::Completed => News::Printed(words),
        JobStage::Cancelled => News::TakenBack(words),
        JobStage::Aborted => News::Aborted(format!(
            "{words}; some of it may be on paper: look before it is tried again"
        )),
        JobStage::Queued | JobStage::Held | JobStage::Printing | JobStage::Stopped => {
            News::Taken { printer_job, words }
        }
    }
}
