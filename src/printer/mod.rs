//! Printers, spoken to by the Internet Printing Protocol: the only code that knows `ipp`, `hyper`
//! and `rustls`.
//!
//! Each call is one request on a connection of its own to the address that the owner entered, with
//! a limit of time for the whole of it. Redirects are not followed. A [`Fault`] says whether the
//! printer may have got what was sent.
//!
//! # Source
//!
//! RFC 8010 (encoding and transport), RFC 8011 (operations, attributes, states), RFC 7472 (`ipps`),
//! PWG 5100.13 (`print-scaling`).

mod answer;
mod ask;
mod http;
mod request;
mod tls;

pub use answer::{Abilities, JobStage, PrinterJob, PrinterStage};
pub use ask::{
    Ticket, abilities, cancel, create_job, find_job, find_open_job, job, print_job, send_document,
};
pub use tls::Certificate;

use crate::domain::printing::PrinterUri;

/// A printer, as far as it must be known to speak to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Target {
    /// Its address.
    pub uri: PrinterUri,
    /// The certificate that it must show, where the address is encrypted.
    pub certificate: Option<Certificate>,
}

/// What a failure tells of what was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FaultKind {
    /// Nothing reached the printer.
    Unreachable,
    /// The printer shows a certificate that nobody has confirmed; nothing was sent.
    Untrusted(Certificate),
    /// The printer said no, and may say yes later.
    Busy,
    /// The printer said no.
    Refused,
    /// The printer knows no such job.
    NoSuchJob,
    /// The answer did not come, or can't be read: the printer may have got what was sent.
    Lost,
}

/// Why a printer did not do what was asked, in words for a person.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{words}")]
pub struct Fault {
    /// What it tells of what was sent.
    pub kind: FaultKind,
    /// What went wrong and what to do.
    pub words: String,
}

impl Fault {
    fn new(kind: FaultKind, words: impl Into<String>) -> Self {
        Self { kind, words: words.into() }
    }
}
