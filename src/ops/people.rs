//! Log-in, sessions, users and device tokens.

use std::sync::OnceLock;

use argon2::Argon2;
use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use chrono::{NaiveDateTime, TimeDelta};
use data_encoding::HEXLOWER;
use rand::RngExt;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::domain::ids::UserId;
use crate::domain::people::{Permission, Role};
use crate::error::Error;
use crate::store::people::UserRow;
use crate::store::{Conn, Tx, people};

/// Who is asking, as a session or a device token proves it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// The user.
    pub id: UserId,
    /// The person's name.
    pub name: String,
    /// Their role.
    pub role: Role,
}

impl Person {
    /// Checks that the person may do that.
    ///
    /// # Errors
    ///
    /// [`Error::Forbidden`].
    pub fn may(&self, permission: Permission) -> Result<(), Error> {
        if self.role.may(permission) {
            return Ok(());
        }
        Err(Error::Forbidden { role: self.role.as_str(), permission })
    }
}

/// A secret that is shown once: a session's cookie or a device's token.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

impl Secret {
    fn fresh() -> Self {
        Self(HEXLOWER.encode(&rand::rng().random::<[u8; 32]>()))
    }

    /// Returns the secret as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Only the digest of a secret is stored, so that a copy of the database opens nothing.
fn digest(secret: &str) -> String {
    HEXLOWER.encode(&Sha256::digest(secret.as_bytes()))
}

/// Returns the argon2id hash of a password.
///
/// # Errors
///
/// [`Error::Invalid`] when it is shorter than 10 characters or longer than 200.
pub fn hash_password(password: &str) -> Result<String, Error> {
    if !(10..=200).contains(&password.chars().count()) {
        return Err(Error::invalid("people.password", "password: take 10 to 200 characters"));
    }
    Argon2::default()
        .hash_password(password.as_bytes())
        .map(|hash| hash.to_string())
        .map_err(|fault| Error::Internal(format!("a password can't be hashed: {fault}")))
}

/// Returns the hash that a login of nobody's is checked against, so that it takes as long.
fn nobodys_hash() -> &'static str {
    static HASH: OnceLock<String> = OnceLock::new();
    HASH.get_or_init(|| hash_password("nobody has this").unwrap_or_default())
}

/// Somebody who wants to log in, before their password is checked.
pub struct Candidate(Option<UserRow>);

/// Loads who has that login, if anybody does.
///
/// # Errors
///
/// [`Error::Database`].
pub fn candidate(conn: &mut Conn, login: &str) -> Result<Candidate, Error> {
    Ok(Candidate(people::user_by_login(conn, login.trim())?))
}

/// Returns the person, once the password is right. This takes a while by design, so it needs no
/// connection.
///
/// # Errors
///
/// [`Error::WrongPassword`], which does not say whether the login or the password was wrong.
pub fn check_password(Candidate(user): Candidate, password: &str) -> Result<Person, Error> {
    let stored =
        user.as_ref().map_or_else(|| nobodys_hash().to_owned(), |it| it.password_hash.clone());
    let hash = PasswordHash::new(&stored)
        .map_err(|fault| Error::Internal(format!("a stored password hash: {fault}")))?;
    let right = Argon2::default().verify_password(password.as_bytes(), &hash).is_ok();
    match user.filter(|it| right && !it.disabled) {
        Some(user) => person(user),
        None => Err(Error::WrongPassword),
    }
}

fn person(user: UserRow) -> Result<Person, Error> {
    let role = user.role.parse().map_err(Error::Internal)?;
    Ok(Person { id: user.id, name: user.name, role })
}

/// How long a session lasts, in hours: a long working day.
const SESSION_HOURS: i64 = 14;

/// Begins a session; returns the cookie's secret.
///
/// # Errors
///
/// [`Error::Database`].
pub fn begin_session(tx: &mut Tx<'_>, person: &Person) -> Result<Secret, Error> {
    let secret = Secret::fresh();
    let csrf = Secret::fresh();
    let expires_at = tx.now + TimeDelta::hours(SESSION_HOURS);
    let hash = digest(secret.as_str());
    people::make_session(tx.conn, &hash, person.id, csrf.as_str(), tx.now, expires_at)?;
    Ok(secret)
}

/// Loads the person of a session, with the token that its forms carry.
///
/// # Errors
///
/// [`Error::SignedOut`].
pub fn session(
    conn: &mut Conn,
    secret: &str,
    now: NaiveDateTime,
) -> Result<(Person, String), Error> {
    let (user, csrf) = people::session(conn, &digest(secret), now)?.ok_or(Error::SignedOut)?;
    Ok((person(user)?, csrf))
}

/// Ends a session.
///
/// # Errors
///
/// [`Error::Database`].
pub fn end_session(tx: &mut Tx<'_>, secret: &str) -> Result<(), Error> {
    Ok(people::end_session(tx.conn, &digest(secret))?)
}

/// Loads the person for whom a device token acts.
///
/// # Errors
///
/// [`Error::SignedOut`].
pub fn token_person(conn: &mut Conn, token: &str) -> Result<Person, Error> {
    person(people::token_user(conn, &digest(token))?.ok_or(Error::SignedOut)?)
}

/// A user, as the people page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct UserView {
    /// The name typed to log in.
    pub login: String,
    /// The person's name.
    pub name: String,
    /// The role.
    pub role: String,
    /// Whether they may log in.
    pub active: bool,
}

/// Loads every user.
///
/// # Errors
///
/// [`Error::Database`].
pub fn users(conn: &mut Conn) -> Result<Vec<UserView>, Error> {
    let users = people::users(conn)?.into_iter();
    Ok(users
        .map(|it| UserView { login: it.login, name: it.name, role: it.role, active: !it.disabled })
        .collect())
}

/// Adds a user.
///
/// # Errors
///
/// [`Error::Invalid`] when the login has another form or the password is too short,
/// [`Error::Conflict`] when the login is taken.
pub fn add_user(
    tx: &mut Tx<'_>,
    login: &str,
    name: &str,
    role: Role,
    password: &str,
) -> Result<(), Error> {
    let (login, name) = (login.trim(), name.trim());
    let form = |it: char| it.is_alphanumeric() || "._-@".contains(it);
    if login.is_empty() || 60 < login.chars().count() || !login.chars().all(form) {
        return Err(Error::invalid(
            "people.login",
            "login: take 1 to 60 letters, digits, dots, hyphens, underscores or at signs",
        ));
    }
    if name.is_empty() || 120 < name.chars().count() {
        return Err(Error::invalid("people.name", "name: take 1 to 120 characters"));
    }
    if people::user_by_login(tx.conn, login)?.is_some() {
        return Err(Error::conflict("people.login_taken", format!("login '{login}' is taken")));
    }
    let hash = hash_password(password)?;
    let now = tx.now;
    people::make_user(tx.conn, login, name, role.as_str(), &hash, now)?;
    Ok(())
}

fn user(tx: &mut Tx<'_>, login: &str) -> Result<UserRow, Error> {
    people::user_by_login(tx.conn, login)?.ok_or_else(|| Error::not_found("user", login))
}

/// Sets whether a user may log in. One who may not loses sessions and tokens at once.
///
/// # Errors
///
/// [`Error::Conflict`] when a person would shut themselves out.
pub fn set_active(tx: &mut Tx<'_>, login: &str, active: bool) -> Result<(), Error> {
    let user = user(tx, login)?;
    if !active && tx.who.user() == Some(user.id) {
        return Err(Error::conflict(
            "people.own_account",
            "you can't disable yourself: another owner can",
        ));
    }
    let now = tx.now;
    Ok(people::set_disabled(tx.conn, user.id, !active, now)?)
}

/// Sets a user's password.
///
/// # Errors
///
/// [`Error::Invalid`] when it is too short.
pub fn set_password(tx: &mut Tx<'_>, login: &str, password: &str) -> Result<(), Error> {
    let user = user(tx, login)?;
    let hash = hash_password(password)?;
    Ok(people::set_password(tx.conn, user.id, &hash)?)
}

/// A device token, as the people page shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct TokenView {
    /// Its number.
    pub id: i64,
    /// The device that holds it.
    pub device: String,
    /// The login for whom it acts.
    pub login: String,
    /// When it was made.
    pub created_at: NaiveDateTime,
    /// When it was revoked.
    pub revoked_at: Option<NaiveDateTime>,
}

/// Loads every device token.
///
/// # Errors
///
/// [`Error::Database`].
pub fn tokens(conn: &mut Conn) -> Result<Vec<TokenView>, Error> {
    let tokens = people::tokens(conn)?.into_iter();
    Ok(tokens
        .map(|it| TokenView {
            id: it.id,
            device: it.device,
            login: it.login,
            created_at: it.created_at,
            revoked_at: it.revoked_at,
        })
        .collect())
}

/// Makes a device token for a login; returns the token, which is shown once.
///
/// # Errors
///
/// [`Error::NotFound`] when there is no such login.
pub fn make_token(tx: &mut Tx<'_>, login: &str, device: &str) -> Result<Secret, Error> {
    let user = user(tx, login)?;
    let device = device.trim();
    if device.is_empty() || 120 < device.chars().count() {
        return Err(Error::invalid("people.device", "device: name it in 1 to 120 characters"));
    }
    let secret = Secret::fresh();
    let now = tx.now;
    people::make_token(tx.conn, &digest(secret.as_str()), user.id, device, now)?;
    Ok(secret)
}

/// Revokes a device token.
///
/// # Errors
///
/// [`Error::NotFound`] when there is no live one of that number.
pub fn revoke_token(tx: &mut Tx<'_>, id: i64) -> Result<(), Error> {
    let now = tx.now;
    if people::revoke_token(tx.conn, id, now)? {
        return Ok(());
    }
    Err(Error::not_found("live device token", id.to_string()))
}

/// Checks that a role may do that.
pub(super) fn check(role: Role, permission: Permission) -> Result<(), Error> {
    if role.may(permission) {
        return Ok(());
    }
    Err(Error::Forbidden { role: role.as_str(), permission })
}
