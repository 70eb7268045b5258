//! # Source
//!
//! Standard Webhooks, specification of version 1.0.0: headers `webhook-id`, `webhook-timestamp` and
//! `webhook-signature`, and what is signed.

use std::sync::Arc;
use std::time::Duration;

use data_encoding::{BASE64, HEXLOWER};
use hmac::{Hmac, KeyInit, Mac};
use http_body_util::{BodyExt, Full, Limited};
use hyper::body::Bytes;
use hyper::client::conn::http1;
use hyper::header::{CONTENT_TYPE, HOST, USER_AGENT};
use hyper::{Method, Request};
use hyper_util::rt::TokioIo;
use sha2::Sha256;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio::task::JoinSet;
use tokio::time::timeout;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConfig, RootCertStore};

use super::{Fault, FaultKind};
use crate::domain::outbox::HookUrl;

/// How long a connection may take, encryption included.
const CONNECTING: Duration = Duration::from_secs(10);
/// How long a receiver may take to answer.
const ANSWERING: Duration = Duration::from_secs(30);
/// The most bytes of an answer that are read.
const MOST_BYTES: usize = 64 * 1024;

/// What the posts to one receiver are signed with.
#[derive(Clone, PartialEq, Eq)]
pub struct HookKey([u8; 32]);

impl HookKey {
    /// Returns the key of those bytes.
    pub const fn new(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// Returns the key that is stored so; nothing where it is none.
    pub fn of_hex(text: &str) -> Option<Self> {
        HEXLOWER.decode(text.as_bytes()).ok()?.try_into().ok().map(Self)
    }

    /// Returns the key as it is stored.
    pub fn hex(&self) -> String {
        HEXLOWER.encode(&self.0)
    }

    /// Returns the key as its receiver enters it.
    pub fn words(&self) -> String {
        format!("whsec_{}", BASE64.encode(&self.0))
    }

    /// Returns the signature of a message posted at `at` seconds of Unix time.
    fn signature(&self, id: &str, at: i64, body: &str) -> Option<String> {
        let mut mac = Hmac::<Sha256>::new_from_slice(&self.0).ok()?;
        mac.update(format!("{id}.{at}.{body}").as_bytes());
        Some(format!("v1,{}", BASE64.encode(&mac.finalize().into_bytes())))
    }
}

/// What is posted.
#[derive(Clone)]
pub struct Post {
    /// To where.
    pub url: HookUrl,
    /// What it is signed with.
    pub key: HookKey,
    /// By which the receiver knows it again: the same each time that it is posted.
    pub id: String,
    /// When it is posted, in seconds of Unix time.
    pub at: i64,
    /// JSON.
    pub body: String,
}

/// Posts to a receiver and returns what it answered; every answer but 2xx is an error.
///
/// # Errors
///
/// [`Fault`] of the kind [`FaultKind::Later`], or [`FaultKind::Unsure`] where the receiver may have
/// taken it.
pub async fn post(it: &Post) -> Result<String, Fault> {
    let at = it.url.authority();
    let later = |words: String| Fault::new(FaultKind::Later, words);
    let connected = timeout(CONNECTING, async {
        let stream = TcpStream::connect((it.url.host(), it.url.port()))
            .await
            .map_err(|fault| later(format!("{at} does not answer: {fault}")))?;
        if it.url.is_encrypted() {
            return Ok(Stream::Tls(Box::new(encrypted(&it.url, stream).await?)));
        }
        Ok(Stream::Plain(stream))
    });
    let stream = connected.await.unwrap_or_else(|_| {
        Err(later(format!("{at} does not answer within {} s", CONNECTING.as_secs())))
    })?;
    let answered = timeout(ANSWERING, async {
        match stream {
            Stream::Plain(stream) => exchange(it, stream).await,
            Stream::Tls(stream) => exchange(it, *stream).await,
        }
    });
    answered.await.unwrap_or_else(|_| {
        let words = format!("{at} did not answer within {} s", ANSWERING.as_secs());
        Err(Fault::new(FaultKind::Unsure, words))
    })
}

enum Stream {
    Plain(TcpStream),
    Tls(Box<TlsStream<TcpStream>>),
}

async fn exchange(
    it: &Post,
    stream: impl AsyncRead + AsyncWrite + Send + Unpin + 'static,
) -> Result<String, Fault> {
    let at = it.url.authority();
    let lost = |fault: hyper::Error| {
        Fault::new(FaultKind::Unsure, format!("{at} broke off before it answered: {fault}"))
    };
    let unfit = |what: String| Fault::new(FaultKind::Later, what);
    let signature = it.key.signature(&it.id, it.at, &it.body);
    let signature = signature.ok_or_else(|| unfit("its key does not sign".to_owned()))?;
    let request = Request::builder()
        .method(Method::POST)
        .uri(it.url.target())
        .header(HOST, &at)
        .header(CONTENT_TYPE, "application/json")
        .header(USER_AGENT, "kitwright")
        .header("webhook-id", &it.id)
        .header("webhook-timestamp", it.at)
        .header("webhook-signature", signature)
        .body(Full::new(Bytes::from(it.body.clone())))
        .map_err(|fault| unfit(format!("{}: {fault}", it.url)))?;
    let (mut sender, connection) = http1::handshake(TokioIo::new(stream)).await.map_err(lost)?;
    // Dropped with this call, so that nothing goes on travelling after its time is over.
    let mut driver = JoinSet::new();
    driver.spawn(connection);
    let answer = sender.send_request(request).await.map_err(lost)?;
    let status = answer.status();
    if status.is_success() {
        // What else it says does not matter: its status is its word.
        drop(Limited::new(answer.into_body(), MOST_BYTES).collect().await);
        return Ok(format!("{at} took it ({status})"));
    }
    let words = match status.as_u16() {
        300..=399 => {
            "sends us to another address, and nothing is sent to any but the one that was entered"
        }
        401 | 403 => "does not let us in: does it know the key?",
        404 | 410 => "has nothing at this path",
        _ => "did not take it",
    };
    Err(Fault::new(FaultKind::Later, format!("{at} {words} ({status})")))
}

async fn encrypted(url: &HookUrl, stream: TcpStream) -> Result<TlsStream<TcpStream>, Fault> {
    let failed = |fault: &dyn std::fmt::Display| {
        let words = format!("{} can't be spoken to encrypted: {fault}", url.authority());
        Fault::new(FaultKind::Later, words)
    };
    let mut roots = RootCertStore::empty();
    roots.add_parsable_certificates(rustls_native_certs::load_native_certs().certs);
    let config = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .map_err(|fault| failed(&fault))?
        .with_root_certificates(roots)
        .with_no_client_auth();
    let name = ServerName::try_from(url.host().to_owned()).map_err(|it| failed(&it))?;
    let connector = TlsConnector::from(Arc::new(config));
    connector.connect(name, stream).await.map_err(|fault| failed(&fault))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The value is what the package standardwebhooks 1.1.0 (PyPI) answers for the same key, number,
    /// time and body.
    #[test]
    fn signs_as_the_standard_does() {
        let key = HookKey::new(*b"MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw");
        assert_eq!(key.words(), "whsec_TWZLUTlyOEdLWXFyVHdqVVBEOElMUFpJbzJMYUxhU3c=");
        assert_eq!(HookKey::of_hex(&key.hex()).as_ref().map(HookKey::hex), Some(key.hex()));
        let signed = key.signature("msg_1", 1_614_265_330, "{\"test\": 2432232314}");
        assert_eq!(signed.as_deref(), Some("v1,GSe+EPJFUUfnQ5OrSc+hxV/gQrhxlsU20FVq4/YhczM="));
    }
}
