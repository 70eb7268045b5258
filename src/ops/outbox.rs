//! The outbox: e-mail and signed posts that the shop sends, each a row written in the transaction
//! of what caused it.

mod receivers;
mod server;
mod work;

use chrono::{NaiveDateTime, TimeDelta};
use data_encoding::HEXLOWER;
use rand::RngExt;
use serde::Serialize;

use crate::domain::ids::{MessageId, ReceiverId};
use crate::domain::outbox::{About, Change, Channel, MailAddress, MessageState};
use crate::error::Error;
use crate::store::outbox::{self as store, FileRow, MessageRow, NewMessage};
use crate::store::{Conn, Tx};

use super::once::{RequestKey, once};
use super::printers::stored;

pub use receivers::{ReceiverView, add_receiver, receivers, retire_receiver, tell};
pub use server::{MailServerEntry, MailServerView, mail_server, mail_server_view, set_mail_server};
pub use work::{Errand, Work, begin, claim, conclude, errand, is_any_due, renew};

/// How many messages that are over the list shows, and how many that are not.
const SHOWN: i64 = 100;
/// The most bytes that go with an e-mail; mail servers refuse more than about that.
const MOST_BYTES: usize = 15 * 1024 * 1024;
/// How long what went with a message is kept after that was over, in days.
const KEPT_DAYS: i64 = 90;

/// An e-mail to be sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mail {
    /// To whom: one address, so that it is known of each whether it was taken.
    pub to: MailAddress,
    /// What it says first; line breaks become blanks.
    pub subject: String,
    /// What it says, as plain text.
    pub text: String,
    /// What goes with it.
    pub files: Vec<MailFile>,
    /// What it is about, by which its page finds it again.
    pub about: About,
}

/// A file that goes with an e-mail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MailFile {
    /// Its name, such as PO-26-162.pdf.
    pub name: String,
    /// What it is, such as application/pdf.
    pub media_type: String,
    /// The file, to the byte.
    pub content: Vec<u8>,
}

/// A message of the outbox.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MessageView {
    /// Its number.
    pub number: i64,
    /// mail or webhook.
    pub channel: String,
    /// To where.
    pub address: String,
    /// What it says first.
    pub subject: String,
    /// What it is about, such as "purchase order PO-26-162".
    pub about: String,
    /// waiting, sending, sent, unsure (it may have been sent), failed or given-up.
    pub state: String,
    /// The state in words.
    pub state_words: String,
    /// The last error, or what the other side said; empty where there is nothing to say.
    pub words: String,
    /// How often it was tried.
    pub tries: i64,
    /// When it is tried next by itself; nothing where it is not.
    pub due_at: Option<NaiveDateTime>,
    /// The names of what goes with it.
    pub files: Vec<String>,
    /// When it was queued.
    pub queued_at: NaiveDateTime,
    /// By whom; nothing where the service did so by itself.
    pub queued_by: Option<String>,
    /// When it last changed.
    pub changed_at: NaiveDateTime,
    /// Whether it can be tried now because somebody says so.
    pub may_retry: bool,
    /// Whether it can be given up.
    pub may_give_up: bool,
    /// Whether somebody must ask the receiver and say whether it arrived.
    pub needs_answer: bool,
}

impl MessageView {
    fn of(row: MessageRow) -> Result<Self, Error> {
        use MessageState as S;
        let state: MessageState = stored(row.state.parse())?;
        Ok(Self {
            number: row.id.into(),
            channel: row.channel,
            address: row.address,
            subject: row.subject,
            about: row.about,
            state: row.state,
            state_words: state.words().to_owned(),
            words: row.words,
            tries: row.tries,
            due_at: row.due_at.filter(|_| state == S::Waiting),
            files: Vec::new(),
            queued_at: row.queued_at,
            queued_by: row.by,
            changed_at: row.changed_at,
            may_retry: RETRIED.contains(&state) && (state != S::Waiting || 0 < row.tries),
            may_give_up: GIVEN_UP.contains(&state),
            needs_answer: state == S::Unsure,
        })
    }
}

/// The states in which a person may have a message tried.
const RETRIED: [MessageState; 2] = [MessageState::Waiting, MessageState::Failed];
/// The states in which a person may give a message up; of what is being sent, until it travels.
const GIVEN_UP: [MessageState; 3] =
    [MessageState::Waiting, MessageState::Sending, MessageState::Failed];

fn words_of(states: impl IntoIterator<Item = MessageState>) -> Vec<&'static str> {
    states.into_iter().map(MessageState::word).collect()
}

/// Queues an e-mail in this transaction, to be sent once that has committed; returns its number.
///
/// # Errors
///
/// [`Error::Conflict`] where the shop has no mail server, [`Error::Invalid`] where the files are
/// too large.
pub fn queue_mail(tx: &mut Tx<'_>, mail: &Mail) -> Result<MessageId, Error> {
    if mail_server(tx.conn)?.is_none() {
        let message = "the shop has no mail server yet: the owner names one under Messages";
        return Err(Error::conflict("outbox.no_server", message));
    }
    let bytes: usize = mail.files.iter().map(|it| it.content.len()).sum();
    if MOST_BYTES < bytes {
        let message = format!(
            "the files of the e-mail have {bytes} bytes, and {MOST_BYTES} is the most: leave some out"
        );
        return Err(Error::invalid("outbox.too_large", message));
    }
    let files: Vec<FileRow> = mail.files.iter().map(file_row).collect();
    let to = Recipient { channel: Channel::Mail, address: mail.to.as_str(), receiver: None };
    enqueue(tx, &to, &mail.subject, &mail.text, &mail.about, &files)
}

/// Queues an e-mail by which somebody sees whether messages arrive; returns its number.
///
/// # Errors
///
/// [`Error::Invalid`] for what is no address, and what [`queue_mail`] answers.
pub fn queue_trial(tx: &mut Tx<'_>, key: &RequestKey, to: &str) -> Result<i64, Error> {
    once(tx, key, "outbox.trial", &to, |tx| {
        let to = to.parse().map_err(|fault: String| Error::invalid("outbox.address", fault))?;
        let mail = Mail {
            to,
            subject: "A trial".to_owned(),
            text: "This letter was sent to see whether messages of the shop arrive.\n".to_owned(),
            files: Vec::new(),
            about: About::Trial,
        };
        Ok(queue_mail(tx, &mail)?.into())
    })
}

fn file_row(it: &MailFile) -> FileRow {
    FileRow {
        name: one_line(&it.name),
        media_type: it.media_type.clone(),
        content: it.content.clone(),
    }
}

/// Where a message goes.
struct Recipient<'a> {
    channel: Channel,
    address: &'a str,
    receiver: Option<ReceiverId>,
}

fn enqueue(
    tx: &mut Tx<'_>,
    to: &Recipient<'_>,
    subject: &str,
    body: &str,
    about: &About,
    files: &[FileRow],
) -> Result<MessageId, Error> {
    let token = HEXLOWER.encode(&rand::rng().random::<[u8; 16]>());
    let new = NewMessage {
        token: &token,
        channel: to.channel.word(),
        address: to.address,
        receiver: to.receiver,
        subject: &one_line(subject),
        body,
        about: &about.to_string(),
        files,
    };
    Ok(store::add(tx.conn, &new, (tx.now, tx.who.user()))?)
}

/// Returns a text without what would break its line.
fn one_line(text: &str) -> String {
    let line: String = text.chars().map(|it| if it.is_control() { ' ' } else { it }).collect();
    line.trim().to_owned()
}

/// Returns the outbox: what is not over, then what was over last.
///
/// # Errors
///
/// [`Error::Database`].
pub fn messages(conn: &mut Conn) -> Result<Vec<MessageView>, Error> {
    let open = words_of(MessageState::ALL.into_iter().filter(|it| !it.is_over()));
    let over = words_of(MessageState::ALL.into_iter().filter(|it| it.is_over()));
    let mut rows = store::messages_in(conn, &open, SHOWN)?;
    rows.extend(store::messages_in(conn, &over, SHOWN)?);
    views(conn, rows)
}

/// Returns the messages about something, the newest first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn messages_about(conn: &mut Conn, about: &About) -> Result<Vec<MessageView>, Error> {
    let rows = store::messages_about(conn, &about.to_string())?;
    views(conn, rows)
}

fn views(conn: &mut Conn, rows: Vec<MessageRow>) -> Result<Vec<MessageView>, Error> {
    let ids: Vec<MessageId> = rows.iter().map(|it| it.id).collect();
    let files = store::file_names(conn, &ids)?;
    let views = rows.into_iter().map(|row| {
        let of = files.iter().filter(|it| it.0 == row.id).map(|it| it.1.clone());
        Ok(MessageView { files: of.collect(), ..MessageView::of(row)? })
    });
    views.collect()
}

/// Returns a message.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn message(conn: &mut Conn, id: MessageId) -> Result<MessageView, Error> {
    let row = row(conn, id)?;
    let view = views(conn, vec![row])?.into_iter().next();
    view.ok_or_else(|| Error::not_found("message", id.to_string()))
}

fn row(conn: &mut Conn, id: MessageId) -> Result<MessageRow, Error> {
    store::message(conn, id)?.ok_or_else(|| Error::not_found("message", id.to_string()))
}

/// Returns how many messages call for a person: failed, or not known to have been sent.
///
/// # Errors
///
/// [`Error::Database`].
pub fn in_trouble(conn: &mut Conn) -> Result<i64, Error> {
    Ok(store::count_in(conn, &words_of([MessageState::Unsure, MessageState::Failed]))?)
}

fn standing(state: MessageState, words: &str, due_at: Option<NaiveDateTime>) -> Change {
    Change { state, words: words.to_owned(), due_at }
}

/// Has a message that waits or failed tried now.
///
/// # Errors
///
/// [`Error::Conflict`] where it stands otherwise.
pub fn retry(tx: &mut Tx<'_>, key: &RequestKey, id: MessageId) -> Result<MessageView, Error> {
    once(tx, key, "outbox.retry", &i64::from(id), |tx| {
        let change = standing(MessageState::Waiting, "", Some(tx.now));
        set(tx, id, &RETRIED, &change, "tried again")
    })?;
    message(tx.conn, id)
}

/// Gives a message up that waits, failed, or is about to be sent and does not travel yet.
///
/// # Errors
///
/// [`Error::Conflict`] where it stands otherwise.
pub fn give_up(tx: &mut Tx<'_>, key: &RequestKey, id: MessageId) -> Result<MessageView, Error> {
    once(tx, key, "outbox.give_up", &i64::from(id), |tx| {
        let words = row(tx.conn, id)?.words;
        let change = standing(MessageState::GivenUp, &words, None);
        set(tx, id, &GIVEN_UP, &change, "given up")
    })?;
    message(tx.conn, id)
}

/// Says whether a message that may have been sent arrived; where it did not, it is sent again.
///
/// # Errors
///
/// [`Error::Conflict`] where it stands otherwise.
pub fn answer(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    id: MessageId,
    arrived: bool,
) -> Result<MessageView, Error> {
    once(tx, key, "outbox.answer", &(i64::from(id), arrived), |tx| {
        let change = match arrived {
            true => standing(MessageState::Sent, "a person says that it arrived", None),
            false => standing(MessageState::Waiting, "", Some(tx.now)),
        };
        set(tx, id, &[MessageState::Unsure], &change, "answered for")
    })?;
    message(tx.conn, id)
}

fn set(
    tx: &mut Tx<'_>,
    id: MessageId,
    from: &[MessageState],
    change: &Change,
    what: &str,
) -> Result<(), Error> {
    let stands = row(tx.conn, id)?.state;
    let from = words_of(from.iter().copied());
    if store::set_state(tx.conn, id, &from, change, tx.now)? {
        return Ok(());
    }
    let stands: MessageState = stored(stands.parse())?;
    let message = format!("message {id} can't be {what}: it stands at '{}'", stands.words());
    Err(Error::conflict("outbox.state", message))
}

/// Deletes what went with messages that have been over for long; returns how many files.
///
/// # Errors
///
/// [`Error::Database`].
pub fn forget_old(tx: &mut Tx<'_>) -> Result<usize, Error> {
    let over = words_of([MessageState::Sent, MessageState::GivenUp]);
    Ok(store::forget_files(tx.conn, &over, tx.now - TimeDelta::days(KEPT_DAYS))?)
}
