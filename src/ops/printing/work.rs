use chrono::{NaiveDateTime, TimeDelta};
use data_encoding::HEXLOWER;
use rand::RngExt;

use super::words_of;
use crate::domain::ids::PrintJobId;
use crate::domain::printing::{JobState, News, PaperKind, PrinterMedia, after};
use crate::domain::queue::Pace;
use crate::error::Error;
use crate::ops::printers::{stage_words as printer_words, stored, target, with_reasons};
use crate::printer::{Abilities, JobStage, PrinterJob, Target, Ticket};
use crate::store::printing::{self as store, Taken};
use crate::store::{Conn, Tx};

/// What stands between the reason of a doubt and what was found out about it.
pub const DOUBT_ENDS: &str = "; ";
/// How long the document of a job that is over is kept, in days.
const KEPT_DAYS: i64 = 7;

/// A job in hand, with all that must be known to go on with it.
#[derive(Debug, Clone)]
pub struct Work {
    /// Its number.
    pub id: PrintJobId,
    /// How it stands.
    pub state: JobState,
    /// The printer.
    pub target: Target,
    /// What tells the job from every other one at the printer.
    pub token: String,
    /// The printer's number of it, where that is known.
    pub printer_job: Option<i64>,
    /// Whether its document may have travelled.
    pub is_begun: bool,
    /// Whether somebody wants it back.
    pub cancel_wanted: bool,
    claim: String,
    words: String,
    title: String,
    paper: PaperKind,
    media: PrinterMedia,
    tries: i64,
    begun_at: Option<NaiveDateTime>,
}

impl Work {
    fn of(row: Taken, claim: String) -> Result<Self, Error> {
        Ok(Self {
            id: row.id,
            state: stored(row.state.parse())?,
            target: target(&row.uri, row.certificate.as_deref())?,
            token: row.token,
            printer_job: row.printer_job,
            is_begun: row.begun_at.is_some(),
            cancel_wanted: row.cancel_wanted,
            claim,
            words: row.words,
            title: row.title,
            paper: stored(row.paper.parse())?,
            media: stored(row.media.parse())?,
            tries: row.tries,
            begun_at: row.begun_at,
        })
    }

    /// Returns why it is in doubt whether the job printed, without what was found out since.
    pub fn doubt(&self) -> &str {
        match self.state {
            JobState::Unsure => self.words.split(DOUBT_ENDS).next().unwrap_or(&self.words),
            _ => "the service stopped while it was sent",
        }
    }

    /// Returns how the job is to be printed on a printer of such abilities.
    pub fn ticket(&self, abilities: &Abilities) -> Ticket {
        let names = abilities.media.iter().map(String::as_str);
        let scaling = match self.paper.is_to_size() {
            true => abilities.takes_unscaled.then_some("none"),
            false if self.media == PrinterMedia::A4 => None,
            false => abilities.takes_fit.then_some("fit"),
        };
        Ticket {
            title: self.title.clone(),
            token: self.token.clone(),
            media: self.media.named_by(names).map(str::to_owned),
            scaling,
        }
    }
}

/// Returns whether a printer of such abilities can be sent a job now, or why not.
///
/// # Errors
///
/// [`News`], by which nothing was printed.
pub fn ready(abilities: &Abilities) -> Result<(), News> {
    let stands = printer_words(abilities);
    if !abilities.takes_pdf {
        let words = "the printer takes no PDF: choose another printer";
        return Err(News::Refused(words.to_owned()));
    }
    if !abilities.accepts {
        return Err(News::NotYet(format!("the printer takes no jobs; it {stands}")));
    }
    Ok(())
}

/// Returns a printer's job in words.
pub fn stage_words(it: &PrinterJob) -> String {
    let stage = match it.stage {
        JobStage::Queued => "it waits in the printer's own queue",
        JobStage::Held => "the printer keeps it back",
        JobStage::Printing => "the printer is at it",
        JobStage::Stopped => "the printer has stopped at it",
        JobStage::Cancelled => "it was taken back at the printer",
        JobStage::Aborted => "the printer gave it up",
        JobStage::Completed => "the printer has finished it",
    };
    // How it came to its end is of no use, unless the end is not as it should be.
    let is_over = it.stage == JobStage::Completed;
    let counts = |reason: &&String| !is_over || reason.starts_with("job-completed-with");
    let reasons: Vec<String> = it.reasons.iter().filter(counts).cloned().collect();
    with_reasons(stage, &reasons, &it.message)
}

/// Returns whether any job is due and in nobody's hand.
///
/// # Errors
///
/// [`Error::Database`].
pub fn is_any_due(conn: &mut Conn, now: NaiveDateTime) -> Result<bool, Error> {
    Ok(store::is_any_due(conn, now)?)
}

/// Takes the first job that is due into the hand of the caller, who holds it until the lease of
/// `pace` runs out; the job `only` alone where one is named. Nothing where none is due.
///
/// # Errors
///
/// [`Error::Database`].
pub fn claim(
    tx: &mut Tx<'_>,
    pace: &Pace,
    only: Option<PrintJobId>,
) -> Result<Option<Work>, Error> {
    let until = tx.now + pace.lease;
    let mark = HEXLOWER.encode(&rand::rng().random::<[u8; 16]>());
    let Some(due) = store::due(tx.conn, tx.now, only)? else {
        return Ok(None);
    };
    let taken = store::claim(tx.conn, due, &mark, (tx.now, until))?;
    taken.map(|row| Work::of(row, mark)).transpose()
}

/// Holds a job for another lease; returns whether it was still in hand.
///
/// # Errors
///
/// [`Error::Database`].
pub fn renew(tx: &mut Tx<'_>, work: &Work, pace: &Pace) -> Result<bool, Error> {
    Ok(store::renew(tx.conn, work.id, &work.claim, tx.now + pace.lease)?)
}

/// Returns the document that is to travel now; nothing where the job is in this hand no more, or
/// is wanted back. From then on the job may have printed.
///
/// # Errors
///
/// [`Error::Database`].
pub fn begin(
    tx: &mut Tx<'_>,
    work: &Work,
    printer_job: Option<i64>,
    pace: &Pace,
) -> Result<Option<Vec<u8>>, Error> {
    let times = (tx.now, tx.now + pace.lease);
    let document = store::document(tx.conn, work.id)?;
    match store::begin(tx.conn, work.id, &work.claim, printer_job, times)? {
        true => Ok(document),
        false => Ok(None),
    }
}

/// Writes what came of a job in hand and lets it go.
///
/// # Errors
///
/// [`Error::Database`].
pub fn conclude(tx: &mut Tx<'_>, work: &Work, news: News, pace: &Pace) -> Result<(), Error> {
    // The row knows better than the work when the document began, and whether it is wanted back.
    let Some(row) = store::job(tx.conn, work.id)? else { return Ok(()) };
    let begun_at = row.begun_at.or(work.begun_at);
    let change = after(news, work.tries, begun_at, row.cancel_wanted, tx.now, pace);
    store::conclude(tx.conn, work.id, &work.claim, &change, tx.now)?;
    Ok(())
}

/// Deletes the documents of jobs that have been over for a week; returns how many.
///
/// # Errors
///
/// [`Error::Database`].
pub fn forget_old(tx: &mut Tx<'_>) -> Result<usize, Error> {
    let over = words_of(JobState::ALL.into_iter().filter(|it| it.is_over()));
    let before = tx.now - TimeDelta::days(KEPT_DAYS);
    Ok(store::forget_documents(tx.conn, &over, before)?)
}
