//! The messages that the shop sends, and whom it tells of alerts.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{MessageId, ReceiverId, UserId};
use crate::domain::outbox::Change;

use super::Conn;
use super::claims::{claims, due_rows, is_free};
use super::dialect::{insert_many, load_free};
use super::schema::{message_files, messages, receivers, users};

/// Somebody whom the shop tells of alerts.
#[derive(Debug, Clone, Queryable)]
pub struct ReceiverRow {
    /// The receiver.
    pub id: ReceiverId,
    /// How it is told, in its word.
    pub channel: String,
    /// Where.
    pub address: String,
    /// What a webhook is signed with, in hexadecimal digits.
    pub key: Option<String>,
}

macro_rules! receiver_rows {
    () => {
        receivers::table.select((
            receivers::id,
            receivers::channel,
            receivers::address,
            receivers::key,
        ))
    };
}

/// Loads whom the shop tells of alerts, in the order in which they were named.
pub fn receivers(conn: &mut Conn) -> QueryResult<Vec<ReceiverRow>> {
    receiver_rows!().filter(receivers::retired.eq(false)).order(receivers::id).load(conn)
}

/// Writes somebody whom the shop tells of alerts from now on.
pub fn add_receiver(
    conn: &mut Conn,
    (channel, address, key): (&str, &str, Option<&str>),
    (now, by): (NaiveDateTime, Option<UserId>),
) -> QueryResult<ReceiverId> {
    diesel::insert_into(receivers::table)
        .values((
            receivers::channel.eq(channel),
            receivers::address.eq(address),
            receivers::key.eq(key),
            receivers::retired.eq(false),
            receivers::changed_at.eq(now),
            receivers::user_id.eq(by),
        ))
        .returning(receivers::id)
        .get_result(conn)
}

/// Writes that a receiver is told no more; returns whether it was told until now.
pub fn retire_receiver(
    conn: &mut Conn,
    id: ReceiverId,
    (now, by): (NaiveDateTime, Option<UserId>),
) -> QueryResult<bool> {
    let told = receivers::table.filter(receivers::id.eq(id)).filter(receivers::retired.eq(false));
    let changed = diesel::update(told)
        .set((
            receivers::retired.eq(true),
            receivers::changed_at.eq(now),
            receivers::user_id.eq(by),
        ))
        .execute(conn)?;
    Ok(changed == 1)
}

/// A message as the list shows it.
#[derive(Debug, Clone, Queryable)]
pub struct MessageRow {
    /// Its number.
    pub id: MessageId,
    /// How it travels, in its word.
    pub channel: String,
    /// To where.
    pub address: String,
    /// What it says first.
    pub subject: String,
    /// What it is about.
    pub about: String,
    /// How it stands, in its word.
    pub state: String,
    /// Why, in words.
    pub words: String,
    /// How often it was tried.
    pub tries: i64,
    /// When it goes on by itself.
    pub due_at: Option<NaiveDateTime>,
    /// When it was queued.
    pub queued_at: NaiveDateTime,
    /// By whom.
    pub by: Option<String>,
    /// When it last changed.
    pub changed_at: NaiveDateTime,
}

macro_rules! message_rows {
    () => {
        messages::table
            .left_join(users::table.on(messages::user_id.eq(users::id.nullable())))
            .select((
                messages::id,
                messages::channel,
                messages::address,
                messages::subject,
                messages::about,
                messages::state,
                messages::words,
                messages::tries,
                messages::due_at,
                messages::queued_at,
                users::name.nullable(),
                messages::changed_at,
            ))
    };
}

/// Loads the newest messages that stand in one of `states`, the newest first.
pub fn messages_in(conn: &mut Conn, states: &[&str], most: i64) -> QueryResult<Vec<MessageRow>> {
    let found = message_rows!().filter(messages::state.eq_any(states.iter().copied()));
    found.order(messages::id.desc()).limit(most).load(conn)
}

/// Loads the messages about something, the newest first.
pub fn messages_about(conn: &mut Conn, about: &str) -> QueryResult<Vec<MessageRow>> {
    message_rows!().filter(messages::about.eq(about)).order(messages::id.desc()).load(conn)
}

/// Loads a message.
pub fn message(conn: &mut Conn, id: MessageId) -> QueryResult<Option<MessageRow>> {
    message_rows!().filter(messages::id.eq(id)).first(conn).optional()
}

/// Counts the messages that stand in one of `states`.
pub fn count_in(conn: &mut Conn, states: &[&str]) -> QueryResult<i64> {
    let found = messages::table.filter(messages::state.eq_any(states.iter().copied()));
    found.count().get_result(conn)
}

/// What goes with an e-mail.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct FileRow {
    /// Its name.
    pub name: String,
    /// What it is, such as application/pdf.
    pub media_type: String,
    /// The file, to the byte.
    pub content: Vec<u8>,
}

/// Loads what goes with an e-mail.
pub fn files(conn: &mut Conn, id: MessageId) -> QueryResult<Vec<FileRow>> {
    let of = message_files::table.filter(message_files::message_id.eq(id));
    of.order(message_files::id)
        .select((message_files::name, message_files::media_type, message_files::content))
        .load(conn)
}

/// Loads the names of what goes with e-mails.
pub fn file_names(conn: &mut Conn, of: &[MessageId]) -> QueryResult<Vec<(MessageId, String)>> {
    message_files::table
        .filter(message_files::message_id.eq_any(of.iter().copied()))
        .order(message_files::id)
        .select((message_files::message_id, message_files::name))
        .load(conn)
}

/// A message that is to be sent.
#[derive(Debug, Clone)]
pub struct NewMessage<'a> {
    /// By which a receiver knows it again.
    pub token: &'a str,
    /// How it travels, in its word.
    pub channel: &'a str,
    /// To where.
    pub address: &'a str,
    /// Whose key signs it.
    pub receiver: Option<ReceiverId>,
    /// What it says first.
    pub subject: &'a str,
    /// What it says.
    pub body: &'a str,
    /// What it is about.
    pub about: &'a str,
    /// What goes with it.
    pub files: &'a [FileRow],
}

/// Writes a message that waits to be sent.
pub fn add(
    conn: &mut Conn,
    it: &NewMessage<'_>,
    (now, by): (NaiveDateTime, Option<UserId>),
) -> QueryResult<MessageId> {
    let id: MessageId = diesel::insert_into(messages::table)
        .values((
            messages::token.eq(it.token),
            messages::channel.eq(it.channel),
            messages::address.eq(it.address),
            messages::receiver_id.eq(it.receiver),
            messages::subject.eq(it.subject),
            messages::body.eq(it.body),
            messages::about.eq(it.about),
            messages::state.eq("waiting"),
            messages::words.eq(""),
            messages::tries.eq(0_i64),
            messages::due_at.eq(Some(now)),
            messages::queued_at.eq(now),
            messages::user_id.eq(by),
            messages::changed_at.eq(now),
        ))
        .returning(messages::id)
        .get_result(conn)?;
    let rows: Vec<_> = it
        .files
        .iter()
        .map(|file| {
            (
                message_files::message_id.eq(id),
                message_files::name.eq(&file.name),
                message_files::media_type.eq(&file.media_type),
                message_files::content.eq(&file.content),
            )
        })
        .collect();
    insert_many!(conn, message_files::table, rows)?;
    Ok(id)
}

claims!(messages, MessageId);

/// A message in hand.
#[derive(Debug, Clone, Queryable)]
pub struct Taken {
    /// Its number.
    pub id: MessageId,
    /// By which a receiver knows it again.
    pub token: String,
    /// How it travels, in its word.
    pub channel: String,
    /// To where.
    pub address: String,
    /// What it says first.
    pub subject: String,
    /// What it says.
    pub body: String,
    /// When it was queued.
    pub queued_at: NaiveDateTime,
    /// How often it was tried, this time included.
    pub tries: i64,
    /// When it began to travel, if it did and nobody knows what came of it.
    pub begun_at: Option<NaiveDateTime>,
    /// What a webhook is signed with, in hexadecimal digits.
    pub key: Option<String>,
}

/// Takes the message that has been due for longest and is in nobody's hand: until then it is in the
/// hand of whoever holds the claim. What another instance is about to take is passed over.
pub fn claim(
    conn: &mut Conn,
    claim: &str,
    (now, until): (NaiveDateTime, NaiveDateTime),
) -> QueryResult<Option<Taken>> {
    let due = due_rows!(messages, now)
        .order((messages::due_at, messages::id))
        .limit(1)
        .select((messages::id, messages::state));
    let found: Vec<(MessageId, String)> = load_free!(conn, due)?;
    let Some((id, state)) = found.into_iter().next() else { return Ok(None) };
    // What was begun in another hand is only settled, which is no further try.
    let more = i64::from(state == "waiting");
    let free = messages::table.filter(messages::id.eq(id)).filter(is_free!(messages, now));
    diesel::update(free)
        .set((
            messages::claim.eq(Some(claim)),
            messages::claimed_until.eq(Some(until)),
            messages::state.eq("sending"),
            messages::tries.eq(messages::tries + more),
            messages::changed_at.eq(now),
        ))
        .execute(conn)?;
    messages::table
        .left_join(receivers::table.on(messages::receiver_id.eq(receivers::id.nullable())))
        .filter(messages::id.eq(id))
        .filter(messages::claim.eq(claim))
        .select((
            messages::id,
            messages::token,
            messages::channel,
            messages::address,
            messages::subject,
            messages::body,
            messages::queued_at,
            messages::tries,
            messages::begun_at,
            receivers::key.nullable(),
        ))
        .first(conn)
        .optional()
}

/// Writes that a message begins to travel; returns whether it was still in that hand, so that it
/// may.
pub fn begin(
    conn: &mut Conn,
    id: MessageId,
    claim: &str,
    (now, until): (NaiveDateTime, NaiveDateTime),
) -> QueryResult<bool> {
    let held = messages::table
        .filter(messages::id.eq(id))
        .filter(messages::claim.eq(claim))
        .filter(messages::state.eq("sending"));
    let changed = diesel::update(held)
        .set((
            messages::begun_at.eq(Some(now)),
            messages::claimed_until.eq(Some(until)),
            messages::changed_at.eq(now),
        ))
        .execute(conn)?;
    Ok(changed == 1)
}

/// Sets how a message stands, in nobody's hand; what waits has not begun.
macro_rules! standing {
    ($change:expr, $now:expr) => {
        (
            messages::state.eq($change.state.word()),
            messages::words.eq(&$change.words),
            messages::due_at.eq($change.due_at),
            messages::claim.eq(None::<String>),
            messages::claimed_until.eq(None::<NaiveDateTime>),
            messages::begun_at.eq(None::<NaiveDateTime>),
            messages::changed_at.eq($now),
        )
    };
}

/// Writes how a message stands after it was in hand, and lets it go; returns whether it was still
/// in that hand.
pub fn conclude(
    conn: &mut Conn,
    id: MessageId,
    claim: &str,
    change: &Change,
    now: NaiveDateTime,
) -> QueryResult<bool> {
    let held = messages::table.filter(messages::id.eq(id)).filter(messages::claim.eq(claim));
    Ok(diesel::update(held).set(standing!(change, now)).execute(conn)? == 1)
}

/// Writes how a message in one of the states `from` stands because a person said so; what is being
/// sent counts as `from` while it has not begun to travel. Returns whether it stood there.
pub fn set_state(
    conn: &mut Conn,
    id: MessageId,
    from: &[&str],
    change: &Change,
    now: NaiveDateTime,
) -> QueryResult<bool> {
    let stands = messages::table
        .filter(messages::id.eq(id))
        .filter(messages::state.eq_any(from.iter().copied()))
        .filter(messages::state.ne("sending").or(messages::begun_at.is_null()));
    let anew = change.due_at.map(|_| messages::tries.eq(0_i64));
    Ok(diesel::update(stands).set((standing!(change, now), anew)).execute(conn)? == 1)
}

/// Writes that what waits for a receiver is given up; returns how many messages.
pub fn give_up_for(
    conn: &mut Conn,
    (channel, address, about): (&str, &str, &str),
    change: &Change,
    now: NaiveDateTime,
) -> QueryResult<usize> {
    let waiting = messages::table
        .filter(messages::channel.eq(channel))
        .filter(messages::address.eq(address))
        .filter(messages::about.eq(about))
        .filter(messages::state.eq("waiting"));
    diesel::update(waiting).set(standing!(change, now)).execute(conn)
}

/// Deletes what went with messages in `states` that have not changed since then.
pub fn forget_files(conn: &mut Conn, states: &[&str], before: NaiveDateTime) -> QueryResult<usize> {
    let over = messages::table
        .filter(messages::state.eq_any(states.iter().copied()))
        .filter(messages::changed_at.lt(before))
        .select(messages::id);
    diesel::delete(message_files::table.filter(message_files::message_id.eq_any(over)))
        .execute(conn)
}
