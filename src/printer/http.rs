use std::time::Duration;

use http_body_util::{BodyExt, Full, Limited};
use hyper::body::Bytes;
use hyper::client::conn::http1;
use hyper::header::{CONTENT_TYPE, HOST, USER_AGENT};
use hyper::{Method, Request, StatusCode};
use hyper_util::rt::TokioIo;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio::task::JoinSet;
use tokio::time::timeout;

use super::{Fault, FaultKind, Target, tls};

/// How long a connection may take, encryption included.
const CONNECTING: Duration = Duration::from_secs(5);
/// How long a request without a document may take once there is a connection.
const ASKING: Duration = Duration::from_secs(10);
/// How long a document may take at least.
const SENDING: Duration = Duration::from_secs(60);
/// Each second that a document may take longer stands for so many bytes of it.
const BYTES_A_SECOND: usize = 20_000;
/// The most bytes of an answer.
const MOST_BYTES: usize = 1024 * 1024;

/// Posts a request to a printer and returns the body of its answer.
///
/// `document` stands after the request's attributes, where there is one.
pub(super) async fn post(
    target: &Target,
    attributes: Bytes,
    document: Option<&[u8]>,
) -> Result<Bytes, Fault> {
    let at = target.uri.authority();
    let unreachable = |words: String| Fault::new(FaultKind::Unreachable, words);
    let connected = timeout(CONNECTING, async {
        let address = (target.uri.host(), target.uri.port());
        let stream = TcpStream::connect(address)
            .await
            .map_err(|fault| unreachable(format!("{at} does not answer: {}", why(&fault))))?;
        if target.uri.is_encrypted() {
            return Ok(Stream::Tls(Box::new(tls::encrypted(target, stream).await?)));
        }
        Ok(Stream::Plain(stream))
    });
    let stream = connected.await.unwrap_or_else(|_| {
        let within = CONNECTING.as_secs();
        Err(unreachable(format!("{at} does not answer within {within} s: is it switched on?")))
    })?;
    let whole = document.map_or_else(|| attributes.clone(), |it| [&attributes, it].concat().into());
    let limit = document.map_or(ASKING, |it| {
        let more = u64::try_from(it.len() / BYTES_A_SECOND).unwrap_or(0);
        SENDING + Duration::from_secs(more)
    });
    let answered = timeout(limit, async {
        match stream {
            Stream::Plain(stream) => exchange(target, stream, whole).await,
            Stream::Tls(stream) => exchange(target, *stream, whole).await,
        }
    });
    answered.await.unwrap_or_else(|_| {
        let within = limit.as_secs();
        Err(Fault::new(FaultKind::Lost, format!("{at} took no notice within {within} s")))
    })
}

enum Stream {
    Plain(TcpStream),
    Tls(Box<tokio_rustls::client::TlsStream<TcpStream>>),
}

async fn exchange(
    target: &Target,
    stream: impl AsyncRead + AsyncWrite + Send + Unpin + 'static,
    whole: Bytes,
) -> Result<Bytes, Fault> {
    let at = target.uri.authority();
    let lost = |fault: hyper::Error| {
        let cause = std::error::Error::source(&fault).map(|it| format!(" ({it})"));
        let cause = cause.unwrap_or_default();
        Fault::new(FaultKind::Lost, format!("{at} broke off before it answered: {fault}{cause}"))
    };
    let request = Request::builder()
        .method(Method::POST)
        .uri(target.uri.path())
        .header(HOST, target.uri.authority())
        .header(CONTENT_TYPE, "application/ipp")
        .header(USER_AGENT, "kitwright")
        .body(Full::new(whole))
        .map_err(|fault| Fault::new(FaultKind::Refused, format!("{}: {fault}", target.uri)))?;
    let (mut sender, connection) = http1::handshake(TokioIo::new(stream)).await.map_err(lost)?;
    // Dropped with this call, so that nothing goes on travelling after its time is over.
    let mut driver = JoinSet::new();
    driver.spawn(connection);
    let answer = sender.send_request(request).await.map_err(lost)?;
    let status = answer.status();
    if status != StatusCode::OK {
        return Err(not_ok(&at, status));
    }
    let body = Limited::new(answer.into_body(), MOST_BYTES).collect().await;
    body.map(http_body_util::Collected::to_bytes).map_err(|fault| {
        Fault::new(FaultKind::Lost, format!("the answer of {at} broke off: {fault}"))
    })
}

/// Returns what an HTTP status other than 200 means for what was sent.
fn not_ok(at: &str, status: StatusCode) -> Fault {
    let (kind, words) = match status.as_u16() {
        300..=399 => (
            FaultKind::Refused,
            "sends us to another address, and nothing is sent to any but the one that was entered",
        ),
        401 | 403 | 407 => {
            (FaultKind::Refused, "wants a log-in: let it take jobs from this machine without")
        }
        404 | 405 => (FaultKind::Refused, "has no printer at this path: check the address"),
        426 => (FaultKind::Refused, "wants an encrypted connection: write ipps:// in its address"),
        503 => (FaultKind::Busy, "is busy"),
        400..=499 => (FaultKind::Refused, "does not take the request"),
        _ => (FaultKind::Lost, "failed while it did what was asked"),
    };
    Fault::new(kind, format!("{at} {words} (HTTP {status})"))
}

fn why(fault: &std::io::Error) -> String {
    use std::io::ErrorKind;
    match fault.kind() {
        ErrorKind::ConnectionRefused => "nothing listens there (connection refused)".to_owned(),
        ErrorKind::HostUnreachable | ErrorKind::NetworkUnreachable => {
            "there is no way to it in the network".to_owned()
        }
        _ => fault.to_string(),
    }
}
