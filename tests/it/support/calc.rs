//! The real program's `calc`, line by line.

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::Value;

/// Sends each line to a verb and returns its answers.
pub fn calc(verb: &str, lines: &[Value]) -> Vec<Value> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.args(["calc", verb]).stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = command.spawn().expect("it starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let text: String = lines.iter().map(|it| format!("{it}\n")).collect();
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("an end");
    assert!(output.status.success(), "calc {verb} ended with {}", output.status);
    writer.join().expect("the writer ends").expect("the lines are written");
    let answers: Vec<Value> = String::from_utf8(output.stdout)
        .expect("UTF-8")
        .lines()
        .map(|it| serde_json::from_str(it).expect("a line of JSON"))
        .collect();
    assert_eq!(answers.len(), lines.len(), "calc {verb} left lines out");
    answers
}
