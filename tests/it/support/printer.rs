//! A printer that misbehaves as a test wants it to: a few lines of HTTP and IPP on a socket.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use ipp::attribute::IppAttribute;
use ipp::model::{DelimiterTag, IppVersion, StatusCode};
use ipp::request::IppRequestResponse;
use ipp::value::{IppKeyword, IppMimeMediaType, IppName, IppValue};

/// What a request asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The operation's number.
    pub operation: u16,
    /// The request's bytes, document and all.
    pub body: Vec<u8>,
}

impl Asked {
    /// Returns whether a document came with it.
    pub fn has_document(&self) -> bool {
        self.body.windows(5).any(|it| it == b"%PDF-")
    }

    /// Returns the token at the end of the job's name: 16 hexadecimal digits.
    pub fn job_name(&self) -> String {
        let text = String::from_utf8_lossy(&self.body).into_owned();
        let (_, rest) = text.split_once("job-name").expect("the job has a name");
        // Two bytes say how long the name is, and a tag ends it.
        rest.chars().skip(2).take_while(|it| !it.is_control()).collect()
    }
}

/// What the printer does with a request.
pub enum Reply {
    /// Answers in IPP.
    Ipp(IppRequestResponse),
    /// Answers in anything.
    Raw(Vec<u8>),
    /// Closes the connection without an answer.
    Dies,
    /// Keeps the connection and never answers.
    Hangs,
}

type Behaviour = Box<dyn FnMut(&Asked) -> Reply + Send>;

/// The printer.
pub struct Stub {
    port: u16,
    asked: Arc<Mutex<Vec<Asked>>>,
    is_over: Arc<AtomicBool>,
}

pub const PRINT_JOB: u16 = 2;
pub const CREATE_JOB: u16 = 5;
pub const SEND_DOCUMENT: u16 = 6;
pub const CANCEL_JOB: u16 = 8;
pub const JOB_ATTRIBUTES: u16 = 9;
pub const JOBS: u16 = 10;
pub const PRINTER_ATTRIBUTES: u16 = 11;

impl Stub {
    /// Returns a printer that does with each request what `behaviour` says.
    pub fn start(behaviour: impl FnMut(&Asked) -> Reply + Send + 'static) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let port = listener.local_addr().expect("a port").port();
        let (asked, is_over) = (Arc::<Mutex<Vec<Asked>>>::default(), Arc::<AtomicBool>::default());
        let (seen, over) = (Arc::clone(&asked), Arc::clone(&is_over));
        let behaviour: Arc<Mutex<Behaviour>> = Arc::new(Mutex::new(Box::new(behaviour)));
        std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                if over.load(Ordering::Relaxed) {
                    return;
                }
                let (behaviour, seen) = (Arc::clone(&behaviour), Arc::clone(&seen));
                std::thread::spawn(move || serve(stream, &behaviour, &seen));
            }
        });
        Self { port, asked, is_over }
    }

    pub fn uri(&self) -> String {
        format!("ipp://127.0.0.1:{}/ipp/print", self.port)
    }

    /// Returns every request with a document that came.
    pub fn documents(&self) -> Vec<Asked> {
        let asked = self.asked.lock().expect("no panic");
        asked.iter().filter(|it| it.has_document()).cloned().collect()
    }

    /// Returns the operations that were asked for, in their order.
    pub fn operations(&self) -> Vec<u16> {
        self.asked.lock().expect("no panic").iter().map(|it| it.operation).collect()
    }
}

impl Drop for Stub {
    fn drop(&mut self) {
        self.is_over.store(true, Ordering::Relaxed);
        drop(TcpStream::connect(("127.0.0.1", self.port)));
    }
}

fn serve(mut stream: TcpStream, behaviour: &Mutex<Behaviour>, seen: &Mutex<Vec<Asked>>) {
    let Some(asked) = read(&mut stream) else { return };
    seen.lock().expect("no panic").push(asked.clone());
    let reply = (behaviour.lock().expect("no panic"))(&asked);
    match reply {
        Reply::Ipp(answer) => {
            let body = answer.to_bytes();
            let head = format!(
                "HTTP/1.1 200 OK\r\nContent-Type: application/ipp\r\nContent-Length: {}\r\n\r\n",
                body.len()
            );
            drop(stream.write_all(&[head.as_bytes(), &body].concat()));
        }
        Reply::Raw(bytes) => drop(stream.write_all(&bytes)),
        Reply::Dies => {}
        Reply::Hangs => std::thread::sleep(Duration::from_secs(300)),
    }
}

fn read(stream: &mut TcpStream) -> Option<Asked> {
    let mut bytes = Vec::new();
    let mut buffer = [0; 65_536];
    loop {
        let count = stream.read(&mut buffer).ok().filter(|it| *it != 0)?;
        bytes.extend_from_slice(&buffer[..count]);
        let Some(end) = bytes.windows(4).position(|it| it == b"\r\n\r\n") else { continue };
        let head = String::from_utf8_lossy(&bytes[..end]).to_lowercase();
        let (_, length) = head.split_once("content-length: ")?;
        let length: usize = length.split_whitespace().next()?.parse().ok()?;
        let body = &bytes[end + 4..];
        if body.len() == length {
            let operation = u16::from_be_bytes([body[2], body[3]]);
            return Some(Asked { operation, body: body.to_vec() });
        }
    }
}

/// Returns an answer of that status, to be filled.
pub fn status(status: StatusCode) -> IppRequestResponse {
    IppRequestResponse::new_response(IppVersion::v1_1(), status, 1).expect("an answer")
}

/// Returns the answer of a printer that waits for a job and knows operations of those numbers.
pub fn idle(operations: &[u16]) -> Reply {
    let mut answer = status(StatusCode::SuccessfulOk);
    let mut add = |name: &str, value: IppValue| {
        let name = IppName::new(name).expect("a name");
        let group = DelimiterTag::PrinterAttributes;
        answer.attributes_mut().add(group, IppAttribute::new(name, value));
    };
    add("printer-state", IppValue::Enum(3));
    add("printer-state-reasons", IppValue::Keyword(IppKeyword::new("none").expect("a keyword")));
    add("printer-is-accepting-jobs", IppValue::Boolean(true));
    let pdf = IppMimeMediaType::new("application/pdf").expect("a type");
    add("document-format-supported", IppValue::MimeMediaType(pdf));
    let operations = operations.iter().map(|it| IppValue::Enum(i32::from(*it)));
    add("operations-supported", IppValue::Array(operations.collect()));
    Reply::Ipp(answer)
}

/// Returns the answer that tells of a job: its number, name, state (RFC 8011, 5.3.7) and how many
/// documents of it have come.
pub fn job(id: i32, name: &str, state: i32, documents: i32) -> Reply {
    let mut answer = status(StatusCode::SuccessfulOk);
    let mut add = |attribute: &str, value: IppValue| {
        let attribute = IppName::new(attribute).expect("a name");
        let group = DelimiterTag::JobAttributes;
        answer.attributes_mut().add(group, IppAttribute::new(attribute, value));
    };
    add("job-id", IppValue::Integer(id));
    add("job-state", IppValue::Enum(state));
    add("number-of-documents", IppValue::Integer(documents));
    let name = IppName::new(name).expect("a name");
    add("job-name", IppValue::NameWithoutLanguage(name));
    Reply::Ipp(answer)
}
