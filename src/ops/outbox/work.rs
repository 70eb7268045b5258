use std::time::{Duration, SystemTime};

use chrono::NaiveDateTime;
use data_encoding::HEXLOWER;
use rand::RngExt;

use crate::courier::{Attached, HookKey, Letter, MailServer, Post};
use crate::domain::ids::MessageId;
use crate::domain::outbox::{Channel, News, after};
use crate::domain::queue::Pace;
use crate::error::Error;
use crate::ops::labels::shop_name;
use crate::ops::printers::stored;
use crate::store::outbox::{self as store, Taken};
use crate::store::{Conn, Tx};

use super::mail_server;

/// A message in hand.
#[derive(Debug, Clone)]
pub struct Work {
    /// Its number.
    pub id: MessageId,
    /// How it travels.
    pub channel: Channel,
    /// Whether it began to travel in another hand, which never told what came of it.
    pub is_begun: bool,
    claim: String,
    row: Taken,
}

/// What is to be done with a message in hand.
pub enum Errand {
    /// To send a letter by the shop's mail server.
    Mail(MailServer, Letter),
    /// To post to a webhook.
    Hook(Post),
    /// Nothing: it can't be sent as things stand.
    None(News),
}

/// Returns whether any message is due and in nobody's hand.
///
/// # Errors
///
/// [`Error::Database`].
pub fn is_any_due(conn: &mut Conn, now: NaiveDateTime) -> Result<bool, Error> {
    Ok(store::is_any_due(conn, now)?)
}

/// Takes the message that has been due for longest into the hand of the caller, who holds it until
/// the lease of `pace` runs out. Nothing where none is due.
///
/// # Errors
///
/// [`Error::Database`].
pub fn claim(tx: &mut Tx<'_>, pace: &Pace) -> Result<Option<Work>, Error> {
    let mark = HEXLOWER.encode(&rand::rng().random::<[u8; 16]>());
    let Some(row) = store::claim(tx.conn, &mark, (tx.now, tx.now + pace.lease))? else {
        return Ok(None);
    };
    Ok(Some(Work {
        id: row.id,
        channel: stored(row.channel.parse())?,
        is_begun: row.begun_at.is_some(),
        claim: mark,
        row,
    }))
}

/// Holds a message for another lease; returns whether it was still in hand.
///
/// # Errors
///
/// [`Error::Database`].
pub fn renew(tx: &mut Tx<'_>, work: &Work, pace: &Pace) -> Result<bool, Error> {
    Ok(store::renew(tx.conn, work.id, &work.claim, tx.now + pace.lease)?)
}

/// Returns what is to be done with a message in hand, at that time.
///
/// # Errors
///
/// [`Error::Database`].
pub fn errand(conn: &mut Conn, work: &Work, now: NaiveDateTime) -> Result<Errand, Error> {
    let row = &work.row;
    match work.channel {
        Channel::Mail => {
            let Some(server) = mail_server(conn)? else {
                return Ok(Errand::None(News::NotYet("the shop has no mail server".to_owned())));
            };
            let files = store::files(conn, work.id)?.into_iter().map(|it| Attached {
                name: it.name,
                media_type: it.media_type,
                content: it.content,
            });
            let letter = Letter {
                token: row.token.clone(),
                sender: shop_name(conn)?,
                to: stored(row.address.parse())?,
                subject: row.subject.clone(),
                text: row.body.clone(),
                written_at: system_time(row.queued_at),
                files: files.collect(),
            };
            Ok(Errand::Mail(server, letter))
        }
        Channel::Webhook => {
            let key = row.key.as_deref().and_then(HookKey::of_hex);
            let lost = || Error::Internal(format!("the key of message {} is not there", work.id));
            Ok(Errand::Hook(Post {
                url: stored(row.address.parse())?,
                key: key.ok_or_else(lost)?,
                id: row.token.clone(),
                at: now.and_utc().timestamp(),
                body: row.body.clone(),
            }))
        }
    }
}

fn system_time(at: NaiveDateTime) -> SystemTime {
    let since = u64::try_from(at.and_utc().timestamp()).unwrap_or(0);
    SystemTime::UNIX_EPOCH + Duration::from_secs(since)
}

/// Writes that a message begins to travel; returns whether it may: it is still in this hand, and
/// nobody has given it up.
///
/// # Errors
///
/// [`Error::Database`].
pub fn begin(tx: &mut Tx<'_>, work: &Work, pace: &Pace) -> Result<bool, Error> {
    let times = (tx.now, tx.now + pace.lease);
    Ok(store::begin(tx.conn, work.id, &work.claim, times)?)
}

/// Writes what came of a message in hand and lets it go.
///
/// # Errors
///
/// [`Error::Database`].
pub fn conclude(tx: &mut Tx<'_>, work: &Work, news: News, pace: &Pace) -> Result<(), Error> {
    let change = after(news, work.row.tries, tx.now, pace);
    store::conclude(tx.conn, work.id, &work.claim, &change, tx.now)?;
    Ok(())
}
