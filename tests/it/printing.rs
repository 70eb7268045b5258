//! Printers and the print queue, against a real CUPS and against printers that misbehave.

mod doubt;
mod queue;
mod real;

use std::time::{Duration, Instant};

use kitwright::domain::people::Role::Owner;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::text;

/// Every paper that a printer can be named for.
const PAPERS: [&str; 12] = [
    "packing-list",
    "pick-list",
    "assembly-card",
    "part",
    "bin",
    "two-bin",
    "lot",
    "serial",
    "quarantine",
    "bag",
    "kit",
    "carton",
];

/// Returns what is entered of a printer that takes everything.
fn printer(name: &str, uri: &str, media: &str) -> Value {
    json!({ "name": name, "uri": uri, "media": media, "papers": PAPERS })
}

/// Names a printer and returns its number.
async fn named(app: &TestApp, entry: Value) -> i64 {
    let (status, made) = app.act(Owner, "/api/printers", entry).await;
    assert_eq!(status, 201, "{made}");
    made["number"].as_i64().expect("a number")
}

/// Returns the request for a kit's label.
fn kit_label(printer: i64, kit: &str) -> Value {
    json!({ "printer": printer, "what": { "labels": { "kind": "kit", "ids": [kit] } } })
}

/// Puts a print into the queue and returns its job's number.
async fn queued(app: &TestApp, wish: Value) -> i64 {
    let (status, job) = app.act(Owner, "/api/print-jobs", wish).await;
    assert_eq!(status, 201, "{job}");
    job["number"].as_i64().expect("a number")
}

/// Waits until a job stands at one of `states`, and returns it.
async fn wait(app: &TestApp, job: i64, states: &[&str]) -> Value {
    wait_until(app, job, |it| states.contains(&text(&it["state"]).as_str())).await
}

async fn wait_until(app: &TestApp, job: i64, is_there: impl Fn(&Value) -> bool) -> Value {
    let began = Instant::now();
    loop {
        let now = app.look(&format!("/api/print-jobs/{job}")).await;
        if is_there(&now) {
            return now;
        }
        assert!(began.elapsed() < Duration::from_secs(40), "it stands at {now:#}");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

/// Does something to a job and returns status and answer.
async fn act(app: &TestApp, job: i64, act: &str, body: Value) -> (u16, Value) {
    app.act(Owner, &format!("/api/print-jobs/{job}/{act}"), body).await
}

async fn document(app: &TestApp, job: i64) -> Vec<u8> {
    let path = format!("/api/print-jobs/{job}/document");
    let request = app.request(Some(Owner), reqwest::Method::GET, &path);
    let answer = request.send().await.expect("an answer");
    assert_eq!(answer.status(), 200);
    answer.bytes().await.expect("a PDF").to_vec()
}
