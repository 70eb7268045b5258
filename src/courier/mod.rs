//! How messages of the shop travel: e-mail by SMTP and signed posts by HTTP. The only code that
//! knows `lettre`.
//!
//! A [`Fault`] says whether the other side may have got what was sent. Certificates are judged by
//! the authorities that the system trusts; `SSL_CERT_FILE` names others.

mod hook;
mod mail;

pub use hook::{HookKey, Post, post};
pub use mail::{Attached, Letter, MailSecurity, MailServer, Ready, hand_over, offer};

/// What a failure tells of what was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaultKind {
    /// It was not taken, and may be later.
    Later,
    /// It was not taken and won't be.
    Refused,
    /// It may have been taken.
    Unsure,
}

/// Why a message did not go out for certain, in words for a person.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{words}")]
pub struct Fault {
    /// What it tells of what was sent.
    pub kind: FaultKind,
    /// What went wrong.
    pub words: String,
}

impl Fault {
    fn new(kind: FaultKind, words: impl Into<String>) -> Self {
        Self { kind, words: words.into() }
    }
}
