//! A device of the shop: a plain HTTP client over one connection that it keeps open, cheap enough
//! to leave the machine to the service, and honest about an answer that never came.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use serde_json::Value;

/// A device with its token.
pub struct Device {
    address: String,
    token: String,
    line: Option<BufReader<TcpStream>>,
}

impl Device {
    /// Returns a device that talks to a service at an address such as `127.0.0.1:8377`.
    pub fn new(address: &str, token: &str) -> Self {
        Self { address: address.to_owned(), token: token.to_owned(), line: None }
    }

    /// Sends a request, with JSON unless it is null; returns status and body.
    pub fn send(&mut self, method: &str, path: &str, body: &Value) -> io::Result<(u16, Value)> {
        let body = if body.is_null() { String::new() } else { body.to_string() };
        let request = format!(
            "{method} {path} HTTP/1.1\r\nhost: {}\r\nauthorization: Bearer {}\r\n\
             content-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
            self.address,
            self.token,
            body.len()
        );
        let mut line = match self.line.take() {
            Some(line) => line,
            None => BufReader::new(self.connect()?),
        };
        line.get_mut().write_all(request.as_bytes())?;
        let answer = read(&mut line)?;
        self.line = Some(line);
        Ok(answer)
    }

    fn connect(&self) -> io::Result<TcpStream> {
        let stream = TcpStream::connect(&self.address)?;
        stream.set_nodelay(true)?;
        stream.set_read_timeout(Some(Duration::from_secs(60)))?;
        Ok(stream)
    }
}

fn read(line: &mut BufReader<TcpStream>) -> io::Result<(u16, Value)> {
    let broken = |what: &str| io::Error::new(io::ErrorKind::UnexpectedEof, what.to_owned());
    let mut head = String::new();
    let mut length = 0;
    let mut status = 0;
    loop {
        head.clear();
        if line.read_line(&mut head)? == 0 {
            return Err(broken("the answer ended early"));
        }
        let text = head.trim_end();
        if text.is_empty() {
            break;
        }
        if let Some(rest) = text.strip_prefix("HTTP/1.1 ") {
            status = rest.get(..3).and_then(|it| it.parse().ok()).unwrap_or(0);
        } else if let Some((name, value)) = text.split_once(':')
            && name.eq_ignore_ascii_case("content-length")
        {
            length = value.trim().parse().map_err(|_| broken("a length is no number"))?;
        }
    }
    let mut body = vec![0; length];
    line.read_exact(&mut body)?;
    Ok((status, serde_json::from_slice(&body).unwrap_or(Value::Null)))
}

/// Returns the scans of a walk over a pick list as it stands: each bin, then its pieces one by one.
/// Stops of numbered pieces are left out: a picker would read their numbers off the pieces.
pub fn walk(list: &Value) -> Vec<Value> {
    let mut scans = Vec::new();
    for stop in list["stops"].as_array().into_iter().flatten() {
        let code = match (stop["tracking"].as_str(), stop["lot"].as_str()) {
            (Some("serial"), _) => continue,
            (Some("lot"), Some(lot)) => Value::from(format!("1T{lot}")),
            _ => stop["part_number"].clone(),
        };
        for take in stop["takes"].as_array().into_iter().flatten() {
            let scan = |code: &Value| {
                serde_json::json!({
                    "code": code, "take": take["take"], "bin": stop["bin"], "quantity": 1,
                })
            };
            scans.push(scan(&stop["bin"]));
            let pieces = take["quantity"].as_i64().unwrap_or(0);
            scans.extend((0..pieces).map(|_| scan(&code)));
        }
    }
    scans
}
