//! Request keys: each post that changes the shop is known by its key.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::UserId;

use super::Conn;
use super::schema::request_keys;

/// A request that was done before.
#[derive(Debug, Queryable)]
pub struct DoneRequest {
    /// What was done.
    pub action: String,
    /// The digest of what was asked.
    pub body_hash: String,
    /// What was answered.
    pub answer: String,
}

/// Loads the request that was done under `key`, if there is one.
pub fn find(conn: &mut Conn, key: &str) -> QueryResult<Option<DoneRequest>> {
    request_keys::table
        .find(key)
        .select((request_keys::action, request_keys::body_hash, request_keys::answer))
        .first(conn)
        .optional()
}

/// Takes `key` for a request that is being done; movements may then name it.
pub fn begin(
    conn: &mut Conn,
    key: &str,
    action: &str,
    body_hash: &str,
    user: Option<UserId>,
    at: NaiveDateTime,
) -> QueryResult<()> {
    diesel::insert_into(request_keys::table)
        .values((
            request_keys::key.eq(key),
            request_keys::action.eq(action),
            request_keys::body_hash.eq(body_hash),
            request_keys::answer.eq(""),
            request_keys::user_id.eq(user.map(i64::from)),
            request_keys::created_at.eq(at),
        ))
        .execute(conn)
        .map(drop)
}

/// Keeps what was answered under `key`.
pub fn finish(conn: &mut Conn, key: &str, answer: &str) -> QueryResult<()> {
    diesel::update(request_keys::table.find(key))
        .set(request_keys::answer.eq(answer))
        .execute(conn)
        .map(drop)
}
