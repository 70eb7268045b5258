//! A mail server and a webhook's receiver on sockets of their own, which do as a test tells them.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};

/// A letter as the mail server got it.
#[derive(Debug, Clone)]
pub struct Letter {
    pub to: String,
    /// Headers and body, as they travelled, without the dots that only travel.
    pub text: String,
}

impl Letter {
    /// Returns what stands in a header that is on one line.
    pub fn header(&self, name: &str) -> &str {
        let start = format!("{name}: ");
        let line = self.text.lines().find_map(|it| it.strip_prefix(&start));
        line.unwrap_or_else(|| panic!("no {name} in {}", self.text))
    }
}

/// What the mail server is asked.
pub enum Asked<'a> {
    /// Whether it takes letters for an address.
    For(&'a str),
    /// Whether it takes this letter, all of which it has.
    Take(&'a Letter),
}

/// Serves each connection with `serve`, on threads that end with the test program.
fn each(listener: TcpListener, serve: impl Fn(TcpStream) + Send + Sync + 'static) {
    let serve = Arc::new(serve);
    std::thread::spawn(move || {
        for stream in listener.incoming().map_while(Result::ok) {
            let serve = Arc::clone(&serve);
            std::thread::spawn(move || serve(stream));
        }
    });
}

/// Starts a mail server (RFC 5321) that says to each question what `answer` says, and breaks off
/// where that is nothing; returns where its letters gather, the refused ones too.
pub fn mail_server(
    listener: TcpListener,
    answer: impl Fn(&Asked<'_>) -> Option<&'static str> + Send + Sync + 'static,
) -> Arc<Mutex<Vec<Letter>>> {
    let letters = Arc::<Mutex<Vec<Letter>>>::default();
    let got = Arc::clone(&letters);
    // Whoever breaks off early is of no interest to the server.
    each(listener, move |stream| drop(converse(stream, &got, &answer)));
    letters
}

fn converse(
    mut stream: TcpStream,
    letters: &Mutex<Vec<Letter>>,
    answer: &impl Fn(&Asked<'_>) -> Option<&'static str>,
) -> std::io::Result<()> {
    let mut lines = BufReader::new(stream.try_clone()?).lines();
    let mut to = String::new();
    let mut say = |words: &str| stream.write_all(format!("{words}\r\n").as_bytes());
    say("220 mail.skarnholt.example ESMTP")?;
    while let Some(line) = lines.next() {
        let line = line?;
        match line.split([' ', ':']).next().unwrap_or_default() {
            "EHLO" => say("250-mail.skarnholt.example\r\n250 8BITMIME")?,
            "MAIL" => say("250 from whom")?,
            "RCPT" => {
                to = line.split(['<', '>']).nth(1).expect("an address").to_owned();
                let Some(words) = answer(&Asked::For(&to)) else { return Ok(()) };
                say(words)?;
            }
            "DATA" => {
                say("354 go on")?;
                let mut text = String::new();
                for line in lines.by_ref() {
                    let line = line?;
                    if line == "." {
                        break;
                    }
                    text.push_str(line.strip_prefix('.').unwrap_or(&line));
                    text.push('\n');
                }
                let letter = Letter { to: to.clone(), text };
                letters.lock().expect("letters").push(letter.clone());
                let Some(words) = answer(&Asked::Take(&letter)) else { return Ok(()) };
                say(words)?;
            }
            _ => {
                say("221 farewell")?;
                return Ok(());
            }
        }
    }
    Ok(())
}

/// A post as a webhook's receiver got it.
#[derive(Debug, Clone)]
pub struct Posted {
    /// The headers, in small letters.
    pub head: String,
    pub body: String,
}

impl Posted {
    pub fn header(&self, name: &str) -> &str {
        let start = format!("{name}: ");
        let line = self.head.lines().find_map(|it| it.strip_prefix(&start));
        line.unwrap_or_else(|| panic!("no {name} in {}", self.head))
    }
}

/// Starts a receiver of webhooks that answers the post of that count, from 0, with the status that
/// `answer` says; returns its address and where its posts gather.
pub fn receiver(
    answer: impl Fn(usize) -> u16 + Send + Sync + 'static,
) -> (String, Arc<Mutex<Vec<Posted>>>) {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    let address = format!("http://{}/in", listener.local_addr().expect("a port"));
    let posts = Arc::<Mutex<Vec<Posted>>>::default();
    let got = Arc::clone(&posts);
    each(listener, move |mut stream| {
        let Ok(post) = read_post(&stream) else { return };
        let mut posts = got.lock().expect("posts");
        let status = answer(posts.len());
        posts.push(post);
        // Whoever hangs up has not heard; it will post again.
        drop(
            stream
                .write_all(format!("HTTP/1.1 {status} X\r\ncontent-length: 0\r\n\r\n").as_bytes()),
        );
    });
    (address, posts)
}

fn read_post(stream: &TcpStream) -> std::io::Result<Posted> {
    let mut reader = BufReader::new(stream);
    let (mut head, mut length) = (String::new(), 0);
    loop {
        let mut line = String::new();
        reader.read_line(&mut line)?;
        if line.trim().is_empty() {
            break;
        }
        if let Some((name, value)) = line.trim().split_once(": ") {
            let name = name.to_lowercase();
            if name == "content-length" {
                length = value.parse().expect("a number");
            }
            head.push_str(&format!("{name}: {value}\n"));
        }
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body)?;
    Ok(Posted { head, body: String::from_utf8(body).expect("text") })
}
