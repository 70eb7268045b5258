//! # Source
//!
//! RFC 5321 (SMTP), RFC 3207 (STARTTLS), RFC 8314 (TLS from the first byte), RFC 3834
//! (Auto-Submitted).

use std::fmt::Display;
use std::str::FromStr;
use std::time::{Duration, SystemTime};

use lettre::message::header::{ContentType, HeaderName, HeaderValue};
use lettre::message::{Attachment, Mailbox, Message, MultiPart, SinglePart};
use lettre::transport::smtp::Error as SmtpError;
use lettre::transport::smtp::authentication::{Credentials, Mechanism};
use lettre::transport::smtp::client::{AsyncSmtpConnection, TlsParameters};
use lettre::transport::smtp::commands::{Data, Mail, Rcpt};
use lettre::transport::smtp::extension::{ClientId, Extension, MailParameter};
use tokio::time::timeout;

use super::{Fault, FaultKind};
use crate::domain::outbox::MailAddress;

/// How long a connection may take.
const CONNECTING: Duration = Duration::from_secs(10);
/// How long the server may take for all that comes before the letter itself.
const OFFERING: Duration = Duration::from_secs(120);
/// How long the server may take for the letter: it answers once it has stored it, and whoever does
/// not wait for that sends twice.
///
/// # Source
///
/// RFC 5321, 4.5.3.2.6.
const HANDING_OVER: Duration = Duration::from_secs(600);

/// How a connection to the mail server is kept from others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MailSecurity {
    /// Not at all.
    Plain,
    /// Encrypted after a first word in the clear, or not used.
    StartTls,
    /// Encrypted from the first byte.
    Tls,
}

impl MailSecurity {
    /// Every way, the usual one first.
    pub const ALL: [Self; 3] = [Self::StartTls, Self::Tls, Self::Plain];

    /// Returns the word that is stored and typed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Plain => "none",
            Self::StartTls => "starttls",
            Self::Tls => "tls",
        }
    }
}

impl FromStr for MailSecurity {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let found = Self::ALL.into_iter().find(|it| it.word() == word);
        found.ok_or_else(|| format!("'{word}' is no way to encrypt: take starttls, tls or none"))
    }
}

/// The shop's mail server, and as whom it is spoken to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MailServer {
    /// Its name, which its certificate must bear where it is encrypted.
    pub host: String,
    /// Its port.
    pub port: u16,
    /// How the connection is kept from others.
    pub security: MailSecurity,
    /// Log-in and password, where it wants them.
    pub login: Option<(String, String)>,
    /// The address that letters come from.
    pub from: MailAddress,
}

/// What goes with a letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attached {
    /// Its name.
    pub name: String,
    /// What it is, such as application/pdf.
    pub media_type: String,
    /// The file, to the byte.
    pub content: Vec<u8>,
}

/// A letter to one address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letter {
    /// By which the receiver's programs know it again, of letters and digits.
    pub token: String,
    /// The name beside the sender's address.
    pub sender: String,
    /// To whom.
    pub to: MailAddress,
    /// What it says first.
    pub subject: String,
    /// What it says.
    pub text: String,
    /// When it was written.
    pub written_at: SystemTime,
    /// What goes with it.
    pub files: Vec<Attached>,
}

/// A server that has said yes to a letter's receiver and waits for the letter.
pub struct Ready {
    connection: AsyncSmtpConnection,
    bytes: Vec<u8>,
}

/// Asks the server to take a letter, up to the letter itself: from an error nothing was sent.
///
/// # Errors
///
/// [`Fault`], never of the kind [`FaultKind::Unsure`].
pub async fn offer(server: &MailServer, letter: &Letter) -> Result<Ready, Fault> {
    let bytes = written(server, letter)?;
    let late = |_| {
        let within = OFFERING.as_secs();
        Fault::new(FaultKind::Later, format!("{} took no notice within {within} s", at(server)))
    };
    let mut connection = timeout(OFFERING, connected(server)).await.map_err(late)??;
    timeout(OFFERING, introduced(server, letter, &mut connection)).await.map_err(late)??;
    Ok(Ready { connection, bytes })
}

/// Hands the letter over and returns what the server said to it.
///
/// # Errors
///
/// [`Fault`]; of the kind [`FaultKind::Unsure`] where the server did not say.
pub async fn hand_over(mut ready: Ready) -> Result<String, Fault> {
    let answered = timeout(HANDING_OVER, ready.connection.message(&ready.bytes)).await;
    let unsure = |words: String| Fault::new(FaultKind::Unsure, words);
    match answered {
        Ok(Ok(response)) => {
            // The letter is theirs; how the server takes the farewell does not matter.
            drop(timeout(CONNECTING, ready.connection.quit()).await);
            Ok(format!("the mail server took it: {} {}", response.code(), one_line(&response)))
        }
        Ok(Err(fault)) if fault.status().is_some() => Err(Fault::new(kind(&fault), why(&fault))),
        Ok(Err(fault)) => {
            Err(unsure(format!("the mail server broke off as it got the letter: {}", why(&fault))))
        }
        Err(_) => Err(unsure("the mail server got the letter and never answered".to_owned())),
    }
}

fn at(server: &MailServer) -> String {
    format!("{}:{}", server.host, server.port)
}

fn one_line(response: &lettre::transport::smtp::response::Response) -> String {
    response.message().collect::<Vec<_>>().join(" ")
}

/// Returns a fault in words, with what stands behind it.
fn why(fault: &SmtpError) -> String {
    let mut words = fault.to_string();
    let mut cause = std::error::Error::source(fault);
    while let Some(it) = cause {
        let more = it.to_string();
        if !words.contains(&more) {
            words = format!("{words}: {more}");
        }
        cause = it.source();
    }
    words
}

fn kind(fault: &SmtpError) -> FaultKind {
    if fault.is_permanent() { FaultKind::Refused } else { FaultKind::Later }
}

async fn connected(server: &MailServer) -> Result<AsyncSmtpConnection, Fault> {
    // What goes wrong before a receiver is named is the server's matter, not the letter's.
    let later = |what: &str, fault: &dyn Display| {
        Fault::new(FaultKind::Later, format!("{} {what}: {fault}", at(server)))
    };
    let tls = || {
        TlsParameters::new_rustls(server.host.clone())
            .map_err(|fault| later("can't be spoken to encrypted", &why(&fault)))
    };
    let hello = ClientId::Domain(server.from.domain().to_owned());
    let first = match server.security {
        MailSecurity::Tls => Some(tls()?),
        MailSecurity::StartTls | MailSecurity::Plain => None,
    };
    let address = (server.host.as_str(), server.port);
    let mut connection =
        AsyncSmtpConnection::connect_tokio1(address, Some(CONNECTING), &hello, first, None)
            .await
            .map_err(|fault| later("does not answer as a mail server", &why(&fault)))?;
    if server.security == MailSecurity::StartTls {
        let encrypted = connection.starttls(tls()?, &hello).await;
        encrypted.map_err(|fault| later("can't be spoken to encrypted", &why(&fault)))?;
    }
    if let Some((login, password)) = &server.login {
        let credentials = Credentials::new(login.clone(), password.clone());
        let known = connection.auth(&[Mechanism::Plain, Mechanism::Login], &credentials).await;
        known.map_err(|fault| later("does not take the log-in", &why(&fault)))?;
    }
    Ok(connection)
}

/// Names sender and receiver, and asks for the letter.
async fn introduced(
    server: &MailServer,
    letter: &Letter,
    connection: &mut AsyncSmtpConnection,
) -> Result<(), Fault> {
    let from = address(&server.from)?;
    let to = address(&letter.to)?;
    let mut wishes = Vec::new();
    if !(server.from.as_str().is_ascii() && letter.to.as_str().is_ascii()) {
        if !connection.server_info().supports_feature(Extension::SmtpUtfEight) {
            let words = format!("{} takes no address with letters beyond a to z", at(server));
            return Err(Fault::new(FaultKind::Refused, words));
        }
        wishes.push(MailParameter::SmtpUtfEight);
    }
    let named = connection.command(Mail::new(Some(from), wishes)).await;
    named.map_err(|fault| {
        let words = format!("the mail server takes nothing from {}: {}", server.from, why(&fault));
        Fault::new(FaultKind::Later, words)
    })?;
    let taken = connection.command(Rcpt::new(to, Vec::new())).await;
    taken.map_err(|fault| {
        let words = format!("the mail server takes nothing for {}: {}", letter.to, why(&fault));
        Fault::new(kind(&fault), words)
    })?;
    let asked = connection.command(Data).await;
    asked.map_err(|fault| {
        Fault::new(kind(&fault), format!("the mail server takes no letter: {}", why(&fault)))
    })?;
    Ok(())
}

fn address(it: &MailAddress) -> Result<lettre::Address, Fault> {
    let read = it.as_str().parse();
    read.map_err(|fault| {
        Fault::new(FaultKind::Refused, format!("{it} is no mail address: {fault}"))
    })
}

/// Returns the letter as it travels.
fn written(server: &MailServer, letter: &Letter) -> Result<Vec<u8>, Fault> {
    let unfit = |fault: &dyn Display| {
        Fault::new(FaultKind::Refused, format!("the letter can't be written: {fault}"))
    };
    let sender = Some(letter.sender.clone()).filter(|it| !it.is_empty());
    let automatic = HeaderValue::new(
        HeaderName::new_from_ascii_str("Auto-Submitted"),
        "auto-generated".to_owned(),
    );
    let message = Message::builder()
        .from(Mailbox::new(sender, address(&server.from)?))
        .to(Mailbox::new(None, address(&letter.to)?))
        .subject(letter.subject.as_str())
        .date(letter.written_at)
        .message_id(Some(format!("<{}@{}>", letter.token, server.from.domain())))
        .raw_header(automatic);
    let text = SinglePart::plain(letter.text.clone());
    let whole = if letter.files.is_empty() {
        message.singlepart(text)
    } else {
        let mut parts = MultiPart::mixed().singlepart(text);
        for file in &letter.files {
            let kind = ContentType::parse(&file.media_type).map_err(|fault| unfit(&fault))?;
            let part = Attachment::new(file.name.clone()).body(file.content.clone(), kind);
            parts = parts.singlepart(part);
        }
        message.multipart(parts)
    };
    Ok(whole.map_err(|fault| unfit(&fault))?.formatted())
}
