//! Everything that an op may answer instead of its result.

use crate::domain::bench::BenchError;
use crate::domain::packing::{ShortError, Unproved};
use crate::domain::people::Permission;
use crate::domain::purchasing::PurchasingError;
use crate::domain::receiving::ReceivingError;
use crate::domain::stock::StockError;
use crate::domain::verification::{LinkError, ReportError};
use crate::exchange::Fault;

/// Why something could not be done. The message is for the person who asked.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// There is no such thing.
    #[error("there is no {what} '{key}': check the number")]
    NotFound {
        /// What was looked for.
        what: &'static str,
        /// The number by which it was looked for.
        key: String,
    },
    /// Nobody is logged in, or the token is not good.
    #[error("log in first, or send a device token that has not been revoked")]
    SignedOut,
    /// The role does not allow it.
    #[error("as {role} you may not {}: ask the owner", .permission.words())]
    Forbidden {
        /// The person's role.
        role: &'static str,
        /// What they tried.
        permission: Permission,
    },
    /// Login and password don't belong together.
    #[error("login or password is wrong: try again, or ask the owner for a new password")]
    WrongPassword,
    /// A form came from elsewhere, or from before the log-in.
    #[error("this form is out of date: go back, reload the page and send it again")]
    StaleForm,
    /// Something that was entered is wrong.
    #[error("{message}")]
    Invalid {
        /// The code, which never changes.
        code: &'static str,
        /// What is wrong, where, and how to mend it.
        message: String,
    },
    /// Things stand otherwise than the request takes for granted.
    #[error("{message}")]
    Conflict {
        /// The code, which never changes.
        code: &'static str,
        /// How things stand and what to do.
        message: String,
    },
    /// A request key came back with another request.
    #[error("request key '{key}' was used for another request: make a new key for each")]
    KeyReused {
        /// The key.
        key: String,
    },
    /// A file has faults, and nothing of it was taken.
    #[error("the file has {} fault{}, and nothing was imported", .0.len(), if .0.len() == 1 { "" } else { "s" })]
    Faults(Vec<Fault>),
    /// A record that was entered has faults, and nothing of it was taken.
    #[error("{} field{} to mend: {}", .0.len(), if .0.len() == 1 { "" } else { "s" }, entry_words(.0))]
    Entry(Vec<Fault>),
    /// A carton can't be sealed yet.
    #[error("the carton can't be sealed yet: {}", unproved_words(.0))]
    Unproved(Vec<Unproved>),
    /// Stock can't move so.
    #[error(transparent)]
    Stock(#[from] StockError),
    /// A part may not be left out.
    #[error(transparent)]
    Short(#[from] ShortError),
    /// Pieces can't be made or taken apart so.
    #[error(transparent)]
    Bench(#[from] BenchError),
    /// A delivery can't be booked so.
    #[error(transparent)]
    Receiving(#[from] ReceivingError),
    /// A purchase order can't be written, approved or changed so.
    #[error(transparent)]
    Purchasing(#[from] PurchasingError),
    /// A receiver's report can't be taken.
    #[error(transparent)]
    Report(#[from] ReportError),
    /// A signed link does not open.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// The disk that holds the books could not take it.
    #[error("{fault}")]
    Disk {
        /// What is wrong with it.
        fault: DiskFault,
        /// The database's own words, for the log.
        cause: String,
    },
    /// The database failed.
    #[error("the database could not do this; nothing was changed: try again")]
    Database(diesel::result::Error),
    /// The way to the database broke while a change was made to last: it may have been, or not.
    #[error(
        "the database went away as this was written, and it is not known whether it was: send the \
         same again (with the same request key) and it is done once"
    )]
    Unsure(#[source] diesel::result::Error),
    /// The program is at fault.
    #[error("something went wrong here; nothing was changed: try again")]
    Internal(String),
}

/// What is wrong with the disk that holds the books.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DiskFault {
    /// Nothing more fits on it.
    #[error(
        "the disk that holds the books is full, and nothing was changed: make room on it, then send this again"
    )]
    Full,
    /// It may be read and not be written.
    #[error(
        "the books may only be read, not written, and nothing was changed: let the service write to their file and its folder, then send this again"
    )]
    ReadOnly,
    /// It does not do what it is told.
    #[error(
        "the disk that holds the books failed, and nothing was changed: look at the service's log and at the disk, then send this again"
    )]
    Failed,
}

impl DiskFault {
    /// Returns the fault's code, which never changes.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Full => "disk.full",
            Self::ReadOnly => "disk.read_only",
            Self::Failed => "disk.failed",
        }
    }

    /// Returns the fault that the database's words tell of, if they do. SQLite has no other sign of
    /// it that diesel hands on.
    fn told_by(words: &str) -> Option<Self> {
        const WORDS: [(&str, DiskFault); 7] = [
            ("database or disk is full", DiskFault::Full),
            ("No space left on device", DiskFault::Full),
            ("attempt to write a readonly database", DiskFault::ReadOnly),
            ("read-only transaction", DiskFault::ReadOnly),
            ("Read-only file system", DiskFault::ReadOnly),
            ("disk I/O error", DiskFault::Failed),
            ("unable to open database file", DiskFault::Failed),
        ];
        WORDS.into_iter().find(|(sign, _)| words.contains(sign)).map(|(_, fault)| fault)
    }
}

impl From<diesel::result::Error> for Error {
    fn from(fault: diesel::result::Error) -> Self {
        let cause = fault.to_string();
        match DiskFault::told_by(&cause) {
            Some(fault) => Self::Disk { fault, cause },
            None => Self::Database(fault),
        }
    }
}

impl From<diesel::ConnectionError> for Error {
    fn from(fault: diesel::ConnectionError) -> Self {
        let cause = format!("the database can't be opened: {fault}");
        match DiskFault::told_by(&cause) {
            Some(fault) => Self::Disk { fault, cause },
            None => Self::Internal(cause),
        }
    }
}

fn unproved_words(lines: &[Unproved]) -> String {
    lines.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

fn entry_words(faults: &[Fault]) -> String {
    let words = faults.iter().map(|it| format!("{}: {}", it.column, it.message));
    words.collect::<Vec<_>>().join("; ")
}

impl Error {
    /// Returns the error's code, which never changes once released.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NotFound { .. } => "not_found",
            Self::SignedOut => "people.signed_out",
            Self::Forbidden { .. } => "people.forbidden",
            Self::WrongPassword => "people.wrong_password",
            Self::StaleForm => "people.stale_form",
            Self::Invalid { code, .. } | Self::Conflict { code, .. } => code,
            Self::KeyReused { .. } => "request_key.reused",
            Self::Faults(_) => "import.faults",
            Self::Entry(_) => "catalog.entry",
            Self::Unproved(_) => "carton.unproved",
            Self::Stock(fault) => fault.code(),
            Self::Short(fault) => fault.code(),
            Self::Bench(fault) => fault.code(),
            Self::Receiving(fault) => fault.code(),
            Self::Purchasing(fault) => fault.code(),
            Self::Report(fault) => fault.code(),
            Self::Link(LinkError::Wrong) => "link.wrong",
            Self::Link(LinkError::Expired) => "link.expired",
            Self::Disk { fault, .. } => fault.code(),
            Self::Database(_) => "database",
            Self::Unsure(_) => "database.unsure",
            Self::Internal(_) => "internal",
        }
    }

    /// Returns the error of something entered that is wrong.
    pub fn invalid(code: &'static str, message: impl Into<String>) -> Self {
        Self::Invalid { code, message: message.into() }
    }

    /// Returns the error of things standing otherwise than the request takes for granted.
    pub fn conflict(code: &'static str, message: impl Into<String>) -> Self {
        Self::Conflict { code, message: message.into() }
    }

    /// Returns the error of something that is not there.
    pub fn not_found(what: &'static str, key: impl Into<String>) -> Self {
        Self::NotFound { what, key: key.into() }
    }

    /// Returns the cause that a person is not shown and the log is.
    pub fn hidden_cause(&self) -> Option<String> {
        match self {
            Self::Database(fault) | Self::Unsure(fault) => Some(fault.to_string()),
            Self::Internal(cause) | Self::Disk { cause, .. } => Some(cause.clone()),
            _ => None,
        }
    }
}
