//! The print queue: labels and papers that printers of the shop are to print.

mod document;
mod work;

use chrono::{NaiveDateTime, TimeDelta};
use data_encoding::HEXLOWER;
use rand::RngExt;
use serde::Serialize;

use crate::domain::ids::{PrintJobId, PrinterId};
use crate::domain::printing::{Change, JobState, PrinterMedia};
use crate::error::Error;
use crate::store::printing::{self as store, JobRow, NewJob, PrinterRow};
use crate::store::{Conn, Tx};

use super::once::{RequestKey, once};
use super::printers::stored;

pub use document::Document;
pub use work::{
    DOUBT_ENDS, Work, begin, claim, conclude, forget_old, is_any_due, ready, renew, stage_words,
};

/// How long ago the same print makes the next one a question, in minutes.
const SOON_MINUTES: i64 = 10;
/// How many jobs that are over the queue shows, and how many that are not.
const SHOWN: i64 = 50;

/// Something to print, and where.
#[derive(Debug, Clone)]
pub struct PrintWish {
    /// What to print.
    pub document: Document,
    /// On which printer; on the one that is named first for it where it is left out.
    pub printer: Option<PrinterId>,
    /// Whether it is to be printed even though the same was printed just now.
    pub again: bool,
    /// The address under which riders' phones reach the service, for papers with a code.
    pub public_url: String,
}

/// A job of the print queue.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PrintJobView {
    /// Its number.
    pub number: i64,
    /// The printer's number in the shop.
    pub printer: i64,
    /// The printer's name.
    pub printer_name: String,
    /// What it prints, in words.
    pub title: String,
    /// waiting, sending, taken (the printer has it), printed, unsure (it may have printed), failed
    /// or cancelled.
    pub state: String,
    /// The state in words.
    pub state_words: String,
    /// Why, in words; empty where there is nothing to say.
    pub words: String,
    /// How often it was tried.
    pub tries: i64,
    /// When it goes on by itself; nothing where it does not.
    pub due_at: Option<NaiveDateTime>,
    /// The printer's own number of the job.
    pub printer_job: Option<i64>,
    /// When it was asked for.
    pub asked_at: NaiveDateTime,
    /// By whom; nothing where the command line asked.
    pub asked_by: Option<String>,
    /// When it last changed.
    pub changed_at: NaiveDateTime,
    /// Whether it can be taken back.
    pub may_cancel: bool,
    /// Whether it can be tried now because somebody says so.
    pub may_retry: bool,
    /// Whether somebody must look at the printer and say whether it printed.
    pub needs_answer: bool,
}

impl PrintJobView {
    fn of(row: JobRow) -> Result<Self, Error> {
        let state: JobState = stored(row.state.parse())?;
        let is_open = matches!(state, JobState::Waiting | JobState::Sending | JobState::Taken);
        Ok(Self {
            number: row.id.into(),
            printer: row.printer.into(),
            printer_name: row.printer_name,
            title: row.title,
            state_words: match row.cancel_wanted && is_open {
                true => "being taken back".to_owned(),
                false => state.words().to_owned(),
            },
            state: row.state,
            words: row.words,
            tries: row.tries,
            due_at: row.due_at,
            printer_job: row.printer_job,
            asked_at: row.asked_at,
            asked_by: row.by,
            changed_at: row.changed_at,
            may_cancel: is_open && !row.cancel_wanted,
            may_retry: matches!(state, JobState::Waiting | JobState::Failed),
            needs_answer: state == JobState::Unsure,
        })
    }
}

fn words_of(states: impl IntoIterator<Item = JobState>) -> Vec<&'static str> {
    states.into_iter().map(JobState::word).collect()
}

/// Returns the queue: what is not over, then what was over last.
///
/// # Errors
///
/// [`Error::Database`].
pub fn jobs(conn: &mut Conn) -> Result<Vec<PrintJobView>, Error> {
    let over = words_of(JobState::ALL.into_iter().filter(|it| it.is_over()));
    store::jobs(conn, &over, SHOWN)?.into_iter().map(PrintJobView::of).collect()
}

/// Returns a job.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn job(conn: &mut Conn, id: PrintJobId) -> Result<PrintJobView, Error> {
    PrintJobView::of(row(conn, id)?)
}

fn row(conn: &mut Conn, id: PrintJobId) -> Result<JobRow, Error> {
    store::job(conn, id)?.ok_or_else(|| Error::not_found("print job", id.to_string()))
}

/// Returns what a job sends, to the byte.
///
/// # Errors
///
/// [`Error::NotFound`] for no such job, and for one that has been over for so long that its
/// document is gone.
pub fn pdf(conn: &mut Conn, id: PrintJobId) -> Result<Vec<u8>, Error> {
    row(conn, id)?;
    store::document(conn, id)?
        .ok_or_else(|| Error::not_found("document any more of print job", id.to_string()))
}

/// Puts a print into the queue and returns its job. What is counted as a print is counted now, in
/// the same transaction; sending it again because it did not print counts nothing.
///
/// # Errors
///
/// [`Error::Conflict`] where no printer takes it, and where the same was printed a few minutes ago
/// and it is not said to be wanted again; what can't be printed at all as [`Document`] says.
pub fn print_on(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    wish: &PrintWish,
) -> Result<PrintJobView, Error> {
    let asked = format!("{wish:?}");
    let number: i64 = once(tx, key, "printing.print_on", &asked, |tx| enqueue(tx, wish))?;
    job(tx.conn, number.into())
}

fn enqueue(tx: &mut Tx<'_>, wish: &PrintWish) -> Result<i64, Error> {
    let printer = printer_for(tx.conn, wish)?;
    let subjects = wish.document.subjects();
    if !wish.again {
        check_not_printed_just_now(tx, &subjects)?;
    }
    let media: PrinterMedia = stored(printer.media.parse())?;
    wish.document.check_size(tx.conn, &printer.name, media)?;
    let pdf = wish.document.pdf(tx, &wish.public_url)?;
    let token = HEXLOWER.encode(&rand::rng().random::<[u8; 8]>());
    let new = NewJob {
        token: &token,
        printer: printer.id,
        paper: wish.document.paper().word(),
        title: &wish.document.title(),
        subjects: &subjects,
        pdf: &pdf,
    };
    Ok(store::add_job(tx.conn, &new, (tx.now, tx.who.user()))?.into())
}

fn printer_for(conn: &mut Conn, wish: &PrintWish) -> Result<PrinterRow, Error> {
    let paper = wish.document.paper();
    let takers = store::for_paper(conn, paper.word())?;
    let Some(wanted) = wish.printer else {
        return takers.into_iter().next().ok_or_else(|| {
            let words = paper.words();
            let message =
                format!("no printer takes a {words}: the owner names one under Labels, Printers");
            Error::conflict("printers.none", message)
        });
    };
    let printer = store::printer(conn, wanted)?
        .ok_or_else(|| Error::not_found("printer", wanted.to_string()))?;
    if takers.iter().any(|it| it.id == printer.id) {
        return Ok(printer);
    }
    let message = match printer.retired {
        true => format!("{} is in use no more: choose another printer", printer.name),
        false => format!(
            "{} does not take a {}: choose another printer, or let the owner add it there",
            printer.name,
            paper.words()
        ),
    };
    Err(Error::conflict("printers.other_paper", message))
}

fn check_not_printed_just_now(tx: &mut Tx<'_>, subjects: &[String]) -> Result<(), Error> {
    let since = tx.now - TimeDelta::minutes(SOON_MINUTES);
    let states = words_of(JobState::ALL.into_iter().filter(|it| it.is_or_will_be_on_paper()));
    let Some(last) = store::last_of(tx.conn, subjects, &states, since)? else { return Ok(()) };
    let state: JobState = stored(last.state.parse())?;
    let message = format!(
        "{} was asked for already at {} UTC by {} on {} (job {}, {}): print it again only if you want a second one",
        last.title,
        last.asked_at.format("%H:%M"),
        last.by.as_deref().unwrap_or("the command line"),
        last.printer_name,
        last.id,
        state.words(),
    );
    Err(Error::conflict("printing.already", message))
}

fn standing(state: JobState, words: &str, due_at: Option<NaiveDateTime>) -> Change {
    Change {
        state,
        words: words.to_owned(),
        due_at,
        is_anew: state == JobState::Waiting,
        printer_job: None,
    }
}

/// Takes a job back: at once while it waits, else at the printer as soon as that can be asked.
///
/// # Errors
///
/// [`Error::Conflict`] where the job is over or may have printed.
pub fn cancel(tx: &mut Tx<'_>, key: &RequestKey, id: PrintJobId) -> Result<PrintJobView, Error> {
    once(tx, key, "printing.cancel", &i64::from(id), |tx| {
        row(tx.conn, id)?;
        let change = standing(JobState::Cancelled, "taken back before it was sent", None);
        let waiting = words_of([JobState::Waiting]);
        let sent = words_of([JobState::Sending, JobState::Taken]);
        let done = store::set_state(tx.conn, id, &waiting, &change, tx.now)?
            || store::want_cancel(tx.conn, id, &sent, tx.now)?;
        if done { Ok(()) } else { Err(stands_otherwise(tx.conn, id, "taken back")) }
    })?;
    job(tx.conn, id)
}

/// Tries a job that failed again, or one that waits now.
///
/// # Errors
///
/// [`Error::Conflict`] where the job stands otherwise, or its document is gone.
pub fn retry(tx: &mut Tx<'_>, key: &RequestKey, id: PrintJobId) -> Result<PrintJobView, Error> {
    once(tx, key, "printing.retry", &i64::from(id), |tx| {
        let from = [JobState::Waiting, JobState::Failed];
        send_again(tx, id, &from, "tried again")
    })?;
    job(tx.conn, id)
}

/// Says whether a job that may have printed did; where it did not, it is sent again.
///
/// # Errors
///
/// [`Error::Conflict`] where the job stands otherwise, or its document is gone.
pub fn answer(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    id: PrintJobId,
    printed: bool,
) -> Result<PrintJobView, Error> {
    once(tx, key, "printing.answer", &(i64::from(id), printed), |tx| {
        let from = [JobState::Unsure];
        if !printed {
            return send_again(tx, id, &from, "answered for");
        }
        row(tx.conn, id)?;
        let change = standing(JobState::Printed, "a person saw it on paper", None);
        match store::set_state(tx.conn, id, &words_of(from), &change, tx.now)? {
            true => Ok(()),
            false => Err(stands_otherwise(tx.conn, id, "answered for")),
        }
    })?;
    job(tx.conn, id)
}

fn send_again(tx: &mut Tx<'_>, id: PrintJobId, from: &[JobState], what: &str) -> Result<(), Error> {
    row(tx.conn, id)?;
    if store::document(tx.conn, id)?.is_none() {
        let message = format!("the document of print job {id} is gone: print it anew");
        return Err(Error::conflict("printing.document_gone", message));
    }
    let change = standing(JobState::Waiting, "", Some(tx.now));
    let from = words_of(from.iter().copied());
    match store::set_state(tx.conn, id, &from, &change, tx.now)? {
        true => Ok(()),
        false => Err(stands_otherwise(tx.conn, id, what)),
    }
}

fn stands_otherwise(conn: &mut Conn, id: PrintJobId, what: &str) -> Error {
    let stands = match job(conn, id) {
        Ok(it) => it.state_words,
        Err(error) => return error,
    };
    let message = format!("print job {id} can't be {what}: it stands at '{stands}'");
    Error::conflict("printing.state", message)
}
