use std::str::FromStr;

use data_encoding::HEXLOWER;
use rand::RngExt;
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use crate::error::Error;
use crate::store::{Tx, requests};

/// The key of one request: sent twice, done once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestKey(String);

impl RequestKey {
    /// Returns a key that nobody has used: 128 random bits.
    pub fn fresh() -> Self {
        Self(HEXLOWER.encode(&rand::rng().random::<[u8; 16]>()))
    }

    /// Returns the key that stands for the content of a file, so that the same file is taken once.
    pub fn of_content(kind: &str, content: &[u8]) -> Self {
        Self(format!("{kind}-{}", HEXLOWER.encode(&Sha256::digest(content))))
    }

    /// Returns the key as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for RequestKey {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        let visible = text.bytes().all(|it| it.is_ascii_graphic());
        if visible && (8..=100).contains(&text.len()) {
            return Ok(Self(text.to_owned()));
        }
        Err(Error::invalid(
            "request_key.form",
            "request_key: make one of 8 to 100 visible ASCII characters for each request, such as a random UUID",
        ))
    }
}

/// Does `work` unless `key` has been used: then it answers as it did before and changes nothing.
///
/// # Errors
///
/// [`Error::KeyReused`] when the key was used for something else, and what `work` answers.
pub(super) fn once<T: Serialize + DeserializeOwned>(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    action: &str,
    body: &impl Serialize,
    work: impl FnOnce(&mut Tx<'_>) -> Result<T, Error>,
) -> Result<T, Error> {
    let body = serde_json::to_vec(body).map_err(unwritable)?;
    let body_hash = HEXLOWER.encode(&Sha256::digest(&body));
    if let Some(done) = requests::find(tx.conn, key.as_str())? {
        if done.action != action || done.body_hash != body_hash {
            return Err(Error::KeyReused { key: key.as_str().to_owned() });
        }
        return serde_json::from_str(&done.answer).map_err(unwritable);
    }
    let (user, now) = (tx.who.user(), tx.now);
    requests::begin(tx.conn, key.as_str(), action, &body_hash, user, now)?;
    let answer = work(tx)?;
    let text = serde_json::to_string(&answer).map_err(unwritable)?;
    requests::finish(tx.conn, key.as_str(), &text)?;
    Ok(answer)
}

fn unwritable(fault: serde_json::Error) -> Error {
    Error::Internal(format!("a request can't be kept: {fault}"))
}
