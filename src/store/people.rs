//! Users, sessions, device tokens, settings and number series.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::UserId;

use super::Conn;
use super::schema::{counters, device_tokens, sessions, settings, users};

/// A user as stored.
#[derive(Debug, Clone, Queryable)]
pub struct UserRow {
    /// The user.
    pub id: UserId,
    /// The name typed to log in.
    pub login: String,
    /// The person's name.
    pub name: String,
    /// The role, in its word.
    pub role: String,
    /// The argon2id hash of the password.
    pub password_hash: String,
    /// Whether the user may no longer log in.
    pub disabled: bool,
}

macro_rules! user_rows {
    () => {
        users::table.select((
            users::id,
            users::login,
            users::name,
            users::role,
            users::password_hash,
            users::disabled,
        ))
    };
}

/// Loads every user in order of login.
pub fn users(conn: &mut Conn) -> QueryResult<Vec<UserRow>> {
    user_rows!().order(users::login).load(conn)
}

/// Loads the user of that login.
pub fn user_by_login(conn: &mut Conn, login: &str) -> QueryResult<Option<UserRow>> {
    user_rows!().filter(users::login.eq(login)).first(conn).optional()
}

/// Writes a new user.
pub fn make_user(
    conn: &mut Conn,
    login: &str,
    name: &str,
    role: &str,
    password_hash: &str,
    at: NaiveDateTime,
) -> QueryResult<UserId> {
    diesel::insert_into(users::table)
        .values((
            users::login.eq(login),
            users::name.eq(name),
            users::role.eq(role),
            users::password_hash.eq(password_hash),
            users::disabled.eq(false),
            users::created_at.eq(at),
        ))
        .returning(users::id)
        .get_result(conn)
}

/// Sets whether a user may log in; one who may not also loses sessions and tokens.
pub fn set_disabled(
    conn: &mut Conn,
    user: UserId,
    disabled: bool,
    at: NaiveDateTime,
) -> QueryResult<()> {
    diesel::update(users::table.find(i64::from(user)))
        .set(users::disabled.eq(disabled))
        .execute(conn)?;
    if disabled {
        diesel::delete(sessions::table.filter(sessions::user_id.eq(user))).execute(conn)?;
        let live = device_tokens::table
            .filter(device_tokens::user_id.eq(user))
            .filter(device_tokens::revoked_at.is_null());
        diesel::update(live).set(device_tokens::revoked_at.eq(at)).execute(conn)?;
    }
    Ok(())
}

/// Sets a user's password hash, and ends the sessions that the old one opened.
pub fn set_password(conn: &mut Conn, user: UserId, password_hash: &str) -> QueryResult<()> {
    diesel::delete(sessions::table.filter(sessions::user_id.eq(user))).execute(conn)?;
    diesel::update(users::table.find(i64::from(user)))
        .set(users::password_hash.eq(password_hash))
        .execute(conn)
        .map(drop)
}

/// Writes a session and drops those that have expired.
pub fn make_session(
    conn: &mut Conn,
    token_hash: &str,
    user: UserId,
    csrf: &str,
    now: NaiveDateTime,
    expires_at: NaiveDateTime,
) -> QueryResult<()> {
    diesel::delete(sessions::table.filter(sessions::expires_at.lt(now))).execute(conn)?;
    diesel::insert_into(sessions::table)
        .values((
            sessions::token_hash.eq(token_hash),
            sessions::user_id.eq(user),
            sessions::csrf.eq(csrf),
            sessions::expires_at.eq(expires_at),
        ))
        .execute(conn)
        .map(drop)
}

/// Loads the user of a live session with the session's form token.
pub fn session(
    conn: &mut Conn,
    token_hash: &str,
    now: NaiveDateTime,
) -> QueryResult<Option<(UserRow, String)>> {
    let found: Option<(UserId, String)> = sessions::table
        .filter(sessions::token_hash.eq(token_hash))
        .filter(sessions::expires_at.gt(now))
        .select((sessions::user_id, sessions::csrf))
        .first(conn)
        .optional()?;
    let Some((user, csrf)) = found else { return Ok(None) };
    Ok(live_user(conn, user)?.map(|user| (user, csrf)))
}

fn live_user(conn: &mut Conn, user: UserId) -> QueryResult<Option<UserRow>> {
    user_rows!().filter(users::id.eq(user)).filter(users::disabled.eq(false)).first(conn).optional()
}

/// Ends a session.
pub fn end_session(conn: &mut Conn, token_hash: &str) -> QueryResult<()> {
    diesel::delete(sessions::table.filter(sessions::token_hash.eq(token_hash)))
        .execute(conn)
        .map(drop)
}

/// A device token as stored, without the token itself.
#[derive(Debug, Clone, Queryable)]
pub struct TokenRow {
    /// The row's number.
    pub id: i64,
    /// The device that holds the token.
    pub device: String,
    /// The login for whom it acts.
    pub login: String,
    /// When it was made.
    pub created_at: NaiveDateTime,
    /// When it was revoked.
    pub revoked_at: Option<NaiveDateTime>,
}

/// Loads every device token, the newest first.
pub fn tokens(conn: &mut Conn) -> QueryResult<Vec<TokenRow>> {
    device_tokens::table
        .inner_join(users::table.on(users::id.eq(device_tokens::user_id)))
        .select((
            device_tokens::id,
            device_tokens::device,
            users::login,
            device_tokens::created_at,
            device_tokens::revoked_at,
        ))
        .order(device_tokens::id.desc())
        .load(conn)
}

/// Writes a device token.
pub fn make_token(
    conn: &mut Conn,
    token_hash: &str,
    user: UserId,
    device: &str,
    at: NaiveDateTime,
) -> QueryResult<i64> {
    diesel::insert_into(device_tokens::table)
        .values((
            device_tokens::token_hash.eq(token_hash),
            device_tokens::user_id.eq(user),
            device_tokens::device.eq(device),
            device_tokens::created_at.eq(at),
        ))
        .returning(device_tokens::id)
        .get_result(conn)
}

/// Revokes a device token; returns whether there was a live one.
pub fn revoke_token(conn: &mut Conn, id: i64, at: NaiveDateTime) -> QueryResult<bool> {
    let live = device_tokens::table
        .filter(device_tokens::id.eq(id))
        .filter(device_tokens::revoked_at.is_null());
    let revoked = diesel::update(live).set(device_tokens::revoked_at.eq(at)).execute(conn)?;
    Ok(revoked == 1)
}

/// Loads the user for whom a live device token acts.
pub fn token_user(conn: &mut Conn, token_hash: &str) -> QueryResult<Option<UserRow>> {
    let found: Option<UserId> = device_tokens::table
        .filter(device_tokens::token_hash.eq(token_hash))
        .filter(device_tokens::revoked_at.is_null())
        .select(device_tokens::user_id)
        .first(conn)
        .optional()?;
    match found {
        Some(user) => live_user(conn, user),
        None => Ok(None),
    }
}

/// Loads the setting of that name.
pub fn setting(conn: &mut Conn, name: &str) -> QueryResult<Option<String>> {
    settings::table.find(name).select(settings::value).first(conn).optional()
}

/// Writes the setting of that name.
pub fn put_setting(conn: &mut Conn, name: &str, value: &str) -> QueryResult<()> {
    let changed =
        diesel::update(settings::table.find(name)).set(settings::value.eq(value)).execute(conn)?;
    if changed == 0 {
        diesel::insert_into(settings::table)
            .values((settings::name.eq(name), settings::value.eq(value)))
            .execute(conn)?;
    }
    Ok(())
}

/// Returns the next number of a series; the first is 1.
pub fn next_number(conn: &mut Conn, series: &str) -> QueryResult<i64> {
    let last: Option<i64> =
        counters::table.find(series).select(counters::last).first(conn).optional()?;
    let next = last.unwrap_or(0) + 1;
    if last.is_some() {
        diesel::update(counters::table.find(series)).set(counters::last.eq(next)).execute(conn)?;
    } else {
        diesel::insert_into(counters::table)
            .values((counters::name.eq(series), counters::last.eq(next)))
            .execute(conn)?;
    }
    Ok(next)
}
