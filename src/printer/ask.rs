use ipp::model::Operation;
use ipp::value::IppValue;

use super::answer::{Abilities, PrinterJob, abilities_of, jobs_of, read};
use super::http::post;
use super::request::{Request, keyword, mime, named, plain};
use super::{Fault, FaultKind, Target};

/// What a job is called, and how it is to be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ticket {
    /// What it prints, in words.
    pub title: String,
    /// What tells it from every other job.
    pub token: String,
    /// The medium, by one of the names that the printer gave; its own choice where there is none.
    pub media: Option<String>,
    /// `none` or `fit`; the printer's own choice where it is left out.
    pub scaling: Option<&'static str>,
}

/// The most bytes of a job's name.
const MOST_NAME: usize = 255;
/// The most jobs that a printer is asked to list.
const MOST_JOBS: i32 = 500;

const JOB: [&str; 6] = [
    "job-id",
    "job-state",
    "job-state-reasons",
    "job-state-message",
    "number-of-documents",
    "job-name",
];

impl Ticket {
    /// Returns the job's name at the printer: its title, and its token whole.
    fn name(&self) -> String {
        let room = MOST_NAME.saturating_sub(self.token.len() + 1);
        let mut bytes = 0;
        let title = self.title.chars().filter(|it| !it.is_control()).take_while(|it| {
            bytes += it.len_utf8();
            bytes <= room
        });
        format!("{} {}", title.collect::<String>(), self.token)
    }
}

/// Returns what a printer says of itself.
///
/// # Errors
///
/// [`Fault`]; nothing is printed in any case.
pub async fn abilities(target: &Target) -> Result<Abilities, Fault> {
    let request = Request::new(Operation::GetPrinterAttributes, target).by_us().wanting(&[
        "printer-make-and-model",
        "printer-state",
        "printer-state-reasons",
        "printer-state-message",
        "printer-is-accepting-jobs",
        "document-format-supported",
        "operations-supported",
        "print-scaling-supported",
        "media-supported",
    ]);
    Ok(abilities_of(&read(post(target, request.bytes()?, None).await?)?))
}

fn with_ticket(request: Request, ticket: &Ticket) -> Request {
    let request = request.by_us().operation("job-name", named(&ticket.name()));
    let request = match &ticket.media {
        Some(media) => request.job("media", keyword(media)),
        None => request,
    };
    match ticket.scaling {
        Some(scaling) => request.job("print-scaling", keyword(scaling)),
        None => request,
    }
}

/// Makes a job without its document and returns the printer's number of it.
///
/// # Errors
///
/// [`Fault`]; nothing is printed in any case, since there is nothing to print yet.
pub async fn create_job(target: &Target, ticket: &Ticket) -> Result<i64, Fault> {
    let request = with_ticket(Request::new(Operation::CreateJob, target), ticket);
    number(read(post(target, request.bytes()?, None).await?)?)
}

/// Sends the document of a job that was made before.
///
/// # Errors
///
/// [`Fault`], whose kind tells whether it may be printed.
pub async fn send_document(target: &Target, job: i64, pdf: &[u8]) -> Result<(), Fault> {
    let request = Request::new(Operation::SendDocument, target)
        .operation("job-id", job_id(job))
        .by_us()
        .operation("document-format", mime("application/pdf"))
        .operation("last-document", plain(IppValue::Boolean(true)));
    read(post(target, request.bytes()?, Some(pdf)).await?).map(drop)
}

/// Makes a job with its document at once and returns the printer's number of it.
///
/// # Errors
///
/// [`Fault`], whose kind tells whether it may be printed.
pub async fn print_job(target: &Target, ticket: &Ticket, pdf: &[u8]) -> Result<i64, Fault> {
    let request = Request::new(Operation::PrintJob, target)
        .operation("document-format", mime("application/pdf"));
    let request = with_ticket(request, ticket);
    number(read(post(target, request.bytes()?, Some(pdf)).await?)?)
}

/// Returns how far a printer is with a job.
///
/// # Errors
///
/// [`Fault`], of the kind [`FaultKind::NoSuchJob`] where the printer does not know it.
pub async fn job(target: &Target, job: i64) -> Result<PrinterJob, Fault> {
    let request = Request::new(Operation::GetJobAttributes, target)
        .operation("job-id", job_id(job))
        .by_us()
        .wanting(&JOB);
    let answer = read(post(target, request.bytes()?, None).await?)?;
    let missing = || Fault::new(FaultKind::Lost, "the printer says nothing of the job");
    jobs_of(&answer).into_iter().next().ok_or_else(missing)
}

/// Returns the job whose name holds a token, among those that the printer has not finished.
///
/// # Errors
///
/// [`Fault`].
pub async fn find_open_job(target: &Target, token: &str) -> Result<Option<PrinterJob>, Fault> {
    find(target, token, "not-completed").await
}

/// Returns the job whose name holds a token, among all that the printer remembers.
///
/// # Errors
///
/// [`Fault`].
pub async fn find_job(target: &Target, token: &str) -> Result<Option<PrinterJob>, Fault> {
    match find_open_job(target, token).await? {
        Some(open) => Ok(Some(open)),
        None => find(target, token, "completed").await,
    }
}

async fn find(target: &Target, token: &str, which: &str) -> Result<Option<PrinterJob>, Fault> {
    let request = Request::new(Operation::GetJobs, target)
        .by_us()
        .operation("limit", plain(IppValue::Integer(MOST_JOBS)))
        .wanting(&JOB)
        .operation("which-jobs", keyword(which));
    let answer = read(post(target, request.bytes()?, None).await?)?;
    Ok(jobs_of(&answer).into_iter().find(|it| it.name.contains(token)))
}

/// Takes a job back.
///
/// # Errors
///
/// [`Fault`]; a printer refuses where the job is over.
pub async fn cancel(target: &Target, job: i64) -> Result<(), Fault> {
    let request =
        Request::new(Operation::CancelJob, target).operation("job-id", job_id(job)).by_us();
    read(post(target, request.bytes()?, None).await?).map(drop)
}

fn job_id(job: i64) -> Result<IppValue, std::num::TryFromIntError> {
    i32::try_from(job).map(IppValue::Integer)
}

fn number(answer: ipp::request::IppRequestResponse) -> Result<i64, Fault> {
    let missing = || Fault::new(FaultKind::Lost, "the printer took the job and gave it no number");
    jobs_of(&answer).into_iter().next().map(|it| it.id).ok_or_else(missing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_title_is_cut_and_the_token_never() {
        let token = "0123456789abcdef".to_owned();
        let ticket = |title: &str| Ticket {
            title: title.to_owned(),
            token: token.clone(),
            media: None,
            scaling: None,
        };
        assert_eq!(ticket("kit label").name(), "kit label 0123456789abcdef");
        let long = ticket(&"ä".repeat(300)).name();
        assert!(long.len() <= MOST_NAME && long.ends_with(" 0123456789abcdef"), "{long}");
    }
}
