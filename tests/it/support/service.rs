//! The real program, started as the README says, on a port and in a folder of its own.

use std::io::{BufRead, BufReader};
use std::process::{Child, ChildStdout, Command, Stdio};

use super::books::Books;
use super::folder::Folder;

/// A program that is ended with the test.
pub struct Program(Child);

impl Drop for Program {
    fn drop(&mut self) {
        // It may have ended by itself.
        drop(self.0.kill());
        drop(self.0.wait());
    }
}

/// Starts a program and reads its output until `ready` finds what it waits for in a line.
pub fn start<T>(command: &mut Command, mut ready: impl FnMut(&str) -> Option<T>) -> (Program, T) {
    let name = command.get_program().to_string_lossy().into_owned();
    let child = command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn();
    let mut program = Program(
        child.unwrap_or_else(|fault| panic!("{name} did not start ({fault}): run tests/run.sh")),
    );
    let mut lines = BufReader::new(program.0.stdout.take().expect("it writes")).lines();
    loop {
        let line = lines.next().unwrap_or_else(|| panic!("{name} ended early")).expect("text");
        if let Some(found) = ready(&line) {
            drain(lines);
            return (program, found);
        }
    }
}

/// Reads what else the program writes, so that it never waits for a reader.
fn drain(lines: std::io::Lines<BufReader<ChildStdout>>) {
    std::thread::spawn(move || lines.for_each(drop));
}

/// The demo shop, served by the program itself.
pub struct Demo {
    pub address: String,
    pub token: String,
    folder: Folder,
    // Ended before its books are taken away.
    _program: Program,
    books: Books,
}

impl Demo {
    pub fn start() -> Self {
        let folder = Folder::new("demo");
        let books = Books::new("demo");
        let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
        command.args(["demo", "--listen", "127.0.0.1:0", "--database", books.address()]);
        let mut address = None;
        let (program, (address, token)) = start(&mut command, |line| {
            if let Some((_, at)) = line.split_once("is served at ") {
                address = Some(at.to_owned());
            }
            let token = line.strip_prefix("owner ")?.split_whitespace().nth(1)?;
            Some((address.take()?, token.to_owned()))
        });
        Self { address, token, folder, _program: program, books }
    }

    /// Runs the program's own command line on the books while they are served.
    pub fn run(&self, arguments: &[&str]) -> std::process::Output {
        Command::new(env!("CARGO_BIN_EXE_kitwright"))
            .args(arguments)
            .env("KITWRIGHT_DATABASE", self.books.address())
            .output()
            .expect("the program runs")
    }

    /// Posts JSON as the owner; returns status and body.
    pub async fn post(&self, path: &str, body: &serde_json::Value) -> (u16, serde_json::Value) {
        let client = reqwest::Client::new();
        let request = client.post(format!("{}{path}", self.address)).bearer_auth(&self.token);
        let answer = request.json(body).send().await.expect("an answer");
        (answer.status().as_u16(), answer.json().await.expect("JSON"))
    }

    pub fn folder(&self) -> &Folder {
        &self.folder
    }

    /// Loads what the API says at a path, as the owner.
    pub async fn api(&self, path: &str) -> serde_json::Value {
        serde_json::from_slice(&self.bytes(path).await).expect("JSON")
    }

    /// Loads the bytes that the API gives at a path, as the owner.
    pub async fn bytes(&self, path: &str) -> Vec<u8> {
        let client = reqwest::Client::new();
        let request = client.get(format!("{}{path}", self.address)).bearer_auth(&self.token);
        let answer = request.send().await.expect("an answer");
        assert!(answer.status().is_success(), "{path}: {}", answer.status());
        answer.bytes().await.expect("a body").to_vec()
    }
}

/// Kills a service without a word and serves its books anew.
pub fn serve_again(demo: Demo) -> Demo {
    let Demo { token, folder, _program: killed, books, .. } = demo;
    drop(killed);
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.args(["serve", "--listen", "127.0.0.1:0", "--database", books.address()]);
    let (program, address) =
        start(&mut command, |line| Some(line.split_once("serves at ")?.1.to_owned()));
    Demo { address, token, folder, _program: program, books }
}
