//! Open pages that learn of changes.

use std::time::Duration;

use kitwright::domain::people::Role::{Owner, Receiver};
use reqwest::Response;
use serde_json::json;

use crate::support::app::TestApp;
use crate::support::books::on_postgres;
use crate::support::desk::{Desk, Page};

/// Returns the next mark that a stream tells.
pub async fn mark(stream: &mut Response) -> String {
    loop {
        let chunk = tokio::time::timeout(Duration::from_secs(20), stream.chunk()).await;
        let chunk = chunk.expect("something comes").expect("a stream").expect("it goes on");
        let text = String::from_utf8(chunk.to_vec()).expect("text");
        // A line with a colon alone keeps the connection.
        if let Some(mark) = text.strip_prefix("data: ") {
            return mark.trim_end().to_owned();
        }
    }
}

/// Reads a stream until it tells another mark than `known`.
pub async fn another_mark(stream: &mut Response, known: &str) -> String {
    loop {
        let now = mark(stream).await;
        if now != known {
            return now;
        }
    }
}

fn mark_of(page: &Page) -> String {
    let (_, rest) = page.html.split_once("data-live=\"").expect("it keeps itself up to date");
    rest.split('"').next().expect("an end").to_owned()
}

#[actix_web::test]
async fn a_change_by_any_instance_reaches_open_pages() {
    let app = TestApp::start();
    // SQLite has one instance, which tells its own pages.
    let other = on_postgres().then(|| app.beside());
    let other = other.as_ref().unwrap_or(&app);
    let owner = Desk::sign_in(&app, Owner).await;
    for path in ["/", "/orders", "/picking", "/goods-in", "/printers/queue", "/messages"] {
        mark_of(&owner.open(path).await);
    }
    let mut stream = owner.stream("/live").await;
    assert_eq!(stream.headers()["content-type"], "text/event-stream");
    let mut known = mark(&mut stream).await;
    let path = "/api/purchase-orders/PO-26-162/counts";
    let body = json!({ "request_key": "a-key-of-this-test", "line": 1, "good": 1 });
    assert_eq!(other.post(Receiver, path, body.clone()).await.0, 201);
    if on_postgres() {
        // Whoever begins to listen has everything looked at once, which may come first.
        known = another_mark(&mut stream, &known).await;
        assert_eq!(other.act(Receiver, path, json!({ "line": 1, "good": 1 })).await.0, 201);
        another_mark(&mut stream, &known).await;
        return;
    }
    let now = another_mark(&mut stream, &known).await;
    // What changes nothing is not told: the same once more, and what is refused.
    assert_eq!(app.post(Receiver, path, body).await.0, 201);
    assert_eq!(app.act(Receiver, path, json!({ "line": 99, "good": 1 })).await.0, 404);
    assert_eq!(mark_of(&owner.open("/goods-in").await), now);
    // A stream is for people who are signed in.
    let form = owner.open("/").await.form("/sign-out");
    owner.send(&form).await;
    assert_eq!(owner.stream("/live").await.url().path(), "/sign-in");
}
