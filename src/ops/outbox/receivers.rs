use rand::RngExt;

use crate::courier::HookKey;
use crate::domain::ids::ReceiverId;
use crate::domain::outbox::{About, Channel, HookUrl, MailAddress, MessageState};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::printers::stored;
use crate::store::outbox as store;
use crate::store::{Conn, Tx};

use super::{Recipient, enqueue, mail_server, standing};

/// Somebody whom the shop tells of alerts by itself.
#[derive(Clone, PartialEq, Eq)]
pub struct ReceiverView {
    /// The receiver.
    pub number: i64,
    /// How it is told.
    pub channel: Channel,
    /// Where.
    pub address: String,
    /// What posts to it are signed with, as it is entered there.
    pub key: Option<String>,
}

/// Returns whom the shop tells of alerts by itself.
///
/// # Errors
///
/// [`Error::Database`].
pub fn receivers(conn: &mut Conn) -> Result<Vec<ReceiverView>, Error> {
    let views = store::receivers(conn)?.into_iter().map(|row| {
        Ok(ReceiverView {
            number: row.id.into(),
            channel: stored(row.channel.parse())?,
            address: row.address,
            key: row.key.as_deref().and_then(HookKey::of_hex).map(|it| it.words()),
        })
    });
    views.collect()
}

/// Tells somebody of alerts from now on, and makes the key for a webhook; returns its number.
///
/// # Errors
///
/// [`Error::Invalid`] for what is no address, [`Error::Conflict`] for one that is told already, and
/// for e-mail where the shop has no mail server.
pub fn add_receiver(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    channel: Channel,
    address: &str,
) -> Result<i64, Error> {
    let asked = (channel.word(), address);
    once(tx, key, "outbox.add_receiver", &asked, |tx| {
        let invalid = |fault: String| Error::invalid("outbox.address", fault);
        let address = match channel {
            Channel::Mail => address.parse::<MailAddress>().map_err(invalid)?.to_string(),
            Channel::Webhook => address.parse::<HookUrl>().map_err(invalid)?.to_string(),
        };
        if channel == Channel::Mail && mail_server(tx.conn)?.is_none() {
            let message = "the shop has no mail server yet: name it first";
            return Err(Error::conflict("outbox.no_server", message));
        }
        if store::receivers(tx.conn)?.iter().any(|it| it.address == address) {
            let message = format!("{address} is told already");
            return Err(Error::conflict("outbox.receiver_known", message));
        }
        let signed = (channel == Channel::Webhook)
            .then(|| HookKey::new(rand::rng().random::<[u8; 32]>()).hex());
        let new = (channel.word(), address.as_str(), signed.as_deref());
        Ok(store::add_receiver(tx.conn, new, (tx.now, tx.who.user()))?.into())
    })
}

/// Tells a receiver no more, and gives up what waits for it.
///
/// # Errors
///
/// [`Error::NotFound`] where nobody of that number is told.
pub fn retire_receiver(tx: &mut Tx<'_>, key: &RequestKey, id: ReceiverId) -> Result<(), Error> {
    once(tx, key, "outbox.retire_receiver", &i64::from(id), |tx| {
        let told = store::receivers(tx.conn)?.into_iter().find(|it| it.id == id);
        let told = told.ok_or_else(|| Error::not_found("receiver", id.to_string()))?;
        store::retire_receiver(tx.conn, id, (tx.now, tx.who.user()))?;
        let change = standing(MessageState::GivenUp, "its receiver is told no more", None);
        let about = About::Alerts.to_string();
        let waiting = (told.channel.as_str(), told.address.as_str(), about.as_str());
        store::give_up_for(tx.conn, waiting, &change, tx.now)?;
        Ok(())
    })
}

/// Queues a message about alerts to each receiver of a channel, in this transaction.
///
/// # Errors
///
/// [`Error::Database`].
pub fn tell(tx: &mut Tx<'_>, channel: Channel, subject: &str, body: &str) -> Result<(), Error> {
    for it in store::receivers(tx.conn)?.iter().filter(|it| it.channel == channel.word()) {
        let to = Recipient { channel, address: &it.address, receiver: Some(it.id) };
        enqueue(tx, &to, subject, body, &About::Alerts, &[])?;
    }
    Ok(())
}
