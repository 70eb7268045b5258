use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use hyper::body::Bytes;
use ipp::attribute::IppAttributeGroup;
use ipp::model::{DelimiterTag, StatusCode};
use ipp::parser::IppParser;
use ipp::reader::IppReader;
use ipp::request::IppRequestResponse;
use ipp::value::IppValue;

use super::{Fault, FaultKind};

/// The numbers of operations (RFC 8011, 5.4.15).
const CREATE_JOB: i64 = 0x0005;
const SEND_DOCUMENT: i64 = 0x0006;

/// What a printer says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Abilities {
    /// Its make and model; empty where it does not say.
    pub model: String,
    /// How it stands.
    pub stage: PrinterStage,
    /// Why, in keywords such as `media-empty`; none where all is well.
    pub reasons: Vec<String>,
    /// Its own words on how it stands.
    pub message: String,
    /// Whether it takes jobs.
    pub accepts: bool,
    /// Whether it takes PDF.
    pub takes_pdf: bool,
    /// Whether a job and its document may come one after the other.
    pub takes_in_two: bool,
    /// Whether it can be told to print a page to its size.
    pub takes_unscaled: bool,
    /// Whether it can be told to fit a page to its paper.
    pub takes_fit: bool,
    /// The media that it names.
    pub media: Vec<String>,
}

/// How a printer stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PrinterStage {
    /// It waits for a job.
    Idle,
    /// It prints.
    Printing,
    /// Something must be done to it.
    Stopped,
    /// It says nothing that is known.
    Unknown,
}

/// How far a printer is with a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobStage {
    /// It stands in the printer's own queue.
    Queued,
    /// The printer keeps it back.
    Held,
    /// It is being printed.
    Printing,
    /// It is being printed, and the printer has stopped.
    Stopped,
    /// Somebody took it back.
    Cancelled,
    /// The printer gave it up.
    Aborted,
    /// It is finished.
    Completed,
}

/// What a printer says of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrinterJob {
    /// The printer's number.
    pub id: i64,
    /// How far it is.
    pub stage: JobStage,
    /// Why, in keywords.
    pub reasons: Vec<String>,
    /// The printer's own words on it.
    pub message: String,
    /// How many documents have arrived, where the printer says so.
    pub documents: Option<i64>,
    /// The name that it was given.
    pub name: String,
}

/// Reads an answer and returns it where the printer did what was asked.
pub(super) fn read(bytes: Bytes) -> Result<IppRequestResponse, Fault> {
    let unreadable =
        |what: &str| Fault::new(FaultKind::Lost, format!("the printer's answer is no IPP: {what}"));
    // The crate indexes what the printer sent by lengths that the printer sent; a wrong one must
    // not end more than this answer.
    let parsed = catch_unwind(AssertUnwindSafe(|| {
        IppParser::new(IppReader::new(Cursor::new(bytes))).parse()
    }));
    let answer = parsed
        .map_err(|_| unreadable("its lengths are wrong"))?
        .map_err(|fault| unreadable(&fault.to_string()))?;
    // Every other status from 0 to 255 is success too.
    if (0..0x0100).contains(&answer.header().operation_or_status) {
        return Ok(answer);
    }
    Err(said_no(&answer))
}

fn said_no(answer: &IppRequestResponse) -> Fault {
    let code = answer.header().operation_or_status;
    let status = answer.header().status_code();
    let said = group(answer, DelimiterTag::OperationAttributes)
        .map(|it| text(it, "status-message"))
        .filter(|it| !it.is_empty());
    let (kind, words) = match status {
        StatusCode::ClientErrorNotFound | StatusCode::ClientErrorGone => {
            (FaultKind::NoSuchJob, "the printer knows no such printer or job")
        }
        StatusCode::ClientErrorNotAuthenticated
        | StatusCode::ClientErrorNotAuthorized
        | StatusCode::ClientErrorForbidden => {
            (FaultKind::Refused, "the printer wants a log-in or does not let us")
        }
        StatusCode::ClientErrorDocumentFormatNotSupported => {
            (FaultKind::Refused, "the printer takes no PDF")
        }
        StatusCode::ServerErrorNotAcceptingJobs => {
            (FaultKind::Busy, "the printer takes no jobs at the moment")
        }
        StatusCode::ServerErrorBusy
        | StatusCode::ServerErrorServiceUnavailable
        | StatusCode::ServerErrorTemporaryError
        | StatusCode::ClientErrorTimeout => (FaultKind::Busy, "the printer is busy"),
        StatusCode::ServerErrorDeviceError => {
            (FaultKind::Busy, "the printer has a fault of its own: look at its display")
        }
        StatusCode::ServerErrorVersionNotSupported => {
            (FaultKind::Refused, "the printer does not speak IPP 1.1")
        }
        _ => (FaultKind::Refused, "the printer refused"),
    };
    let said = said.map(|it| format!(": “{it}”")).unwrap_or_default();
    Fault::new(kind, format!("{words} (IPP status {code:#06x}){said}"))
}

/// Returns what a printer says of itself.
pub(super) fn abilities_of(answer: &IppRequestResponse) -> Abilities {
    let Some(it) = group(answer, DelimiterTag::PrinterAttributes) else {
        return Abilities {
            model: String::new(),
            stage: PrinterStage::Unknown,
            reasons: Vec::new(),
            message: String::new(),
            accepts: true,
            takes_pdf: true,
            takes_in_two: false,
            takes_unscaled: false,
            takes_fit: false,
            media: Vec::new(),
        };
    };
    let formats = texts(it, "document-format-supported");
    let operations = numbers(it, "operations-supported");
    let scaling = texts(it, "print-scaling-supported");
    let has = |list: &[String], word: &str| list.iter().any(|it| it == word);
    Abilities {
        model: text(it, "printer-make-and-model"),
        stage: match numbers(it, "printer-state").first() {
            Some(3) => PrinterStage::Idle,
            Some(4) => PrinterStage::Printing,
            Some(5) => PrinterStage::Stopped,
            _ => PrinterStage::Unknown,
        },
        reasons: reasons(it, "printer-state-reasons"),
        message: text(it, "printer-state-message"),
        accepts: flag(it, "printer-is-accepting-jobs").unwrap_or(true),
        // A printer that names no format at all is given the benefit of the doubt.
        takes_pdf: formats.is_empty() || has(&formats, "application/pdf"),
        takes_in_two: operations.contains(&CREATE_JOB) && operations.contains(&SEND_DOCUMENT),
        takes_unscaled: has(&scaling, "none"),
        takes_fit: has(&scaling, "fit"),
        media: texts(it, "media-supported"),
    }
}

/// Returns the jobs that an answer names.
pub(super) fn jobs_of(answer: &IppRequestResponse) -> Vec<PrinterJob> {
    answer.attributes().groups_of(DelimiterTag::JobAttributes).filter_map(job_of).collect()
}

fn job_of(it: &IppAttributeGroup) -> Option<PrinterJob> {
    Some(PrinterJob {
        id: numbers(it, "job-id").first().copied()?,
        stage: match numbers(it, "job-state").first() {
            Some(4) => JobStage::Held,
            Some(5) => JobStage::Printing,
            Some(6) => JobStage::Stopped,
            Some(7) => JobStage::Cancelled,
            Some(8) => JobStage::Aborted,
            Some(9) => JobStage::Completed,
            _ => JobStage::Queued,
        },
        reasons: reasons(it, "job-state-reasons"),
        message: text(it, "job-state-message"),
        documents: numbers(it, "number-of-documents").first().copied(),
        name: text(it, "job-name"),
    })
}

fn group(answer: &IppRequestResponse, tag: DelimiterTag) -> Option<&IppAttributeGroup> {
    answer.attributes().first_of(tag)
}

fn values<'a>(it: &'a IppAttributeGroup, name: &str) -> &'a [IppValue] {
    match it.get(name).map(ipp::attribute::IppAttribute::value) {
        Some(IppValue::Array(all)) => all,
        Some(one) => std::slice::from_ref(one),
        None => &[],
    }
}

/// The most characters of a printer's own words that are kept.
const MOST_CHARS: usize = 200;

fn texts(it: &IppAttributeGroup, name: &str) -> Vec<String> {
    let read = |value: &IppValue| {
        let text = match value {
            IppValue::TextWithoutLanguage(it) | IppValue::TextWithLanguage { text: it, .. } => {
                it.as_ref()
            }
            IppValue::NameWithoutLanguage(it) | IppValue::NameWithLanguage { name: it, .. } => {
                it.as_str()
            }
            IppValue::Keyword(it) => it.as_str(),
            IppValue::MimeMediaType(it) => it.as_str(),
            _ => return None,
        };
        let shown = text.chars().filter(|it| !it.is_control()).take(MOST_CHARS);
        Some(shown.collect())
    };
    values(it, name).iter().filter_map(read).collect()
}

fn text(it: &IppAttributeGroup, name: &str) -> String {
    texts(it, name).into_iter().next().unwrap_or_default()
}

fn reasons(it: &IppAttributeGroup, name: &str) -> Vec<String> {
    texts(it, name).into_iter().filter(|it| it != "none").take(8).collect()
}

fn numbers(it: &IppAttributeGroup, name: &str) -> Vec<i64> {
    let read = |value: &IppValue| match value {
        IppValue::Integer(it) | IppValue::Enum(it) => Some(i64::from(*it)),
        _ => None,
    };
    values(it, name).iter().filter_map(read).collect()
}

fn flag(it: &IppAttributeGroup, name: &str) -> Option<bool> {
    values(it, name).iter().find_map(|it| match it {
        IppValue::Boolean(it) => Some(*it),
        _ => None,
    })
}
