//! Programs that share no code with this project, and judge what it makes.

use std::io::Write;
use std::process::Stdio;

use serde_json::Value;

use super::decode::tool;

/// Sends each line to one of `tests/tools/`, and returns its answers.
///
/// What it reads, writes and complains of flows at the same time, so that no pipe fills up and
/// stops the others; a referee that breaks off is quoted, since the end of its pipe tells nothing.
pub fn ask(script: &str, lines: &[Value]) -> Vec<Value> {
    let mut command = tool(script);
    let command = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap_or_else(|error| {
        panic!("{script} did not start ({error}): install what it needs as tests/run.sh does")
    });
    let mut stdin = child.stdin.take().expect("a pipe");
    let text: String = lines.iter().map(|it| format!("{it}\n")).collect();
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("an end");
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{script} ended with {}: {complaint}", output.status);
    let written = writer.join().expect("the writer ends");
    assert!(written.is_ok(), "{script} stopped reading: {written:?}: {complaint}");
    let answers: Vec<Value> = String::from_utf8(output.stdout)
        .expect("UTF-8")
        .lines()
        .map(|it| serde_json::from_str(it).expect("a line of JSON"))
        .collect();
    assert_eq!(answers.len(), lines.len(), "{script} left lines out: {complaint}");
    answers
}
