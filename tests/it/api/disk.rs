//! A disk that is full or may only be read: a clear answer, and nothing lost. SQLite is told so by
//! settings of its own; PostgreSQL's disk is not ours to fill.

use diesel::connection::SimpleConnection;
use insta::assert_snapshot;
use kitwright::domain::people::Role::Owner;
use kitwright::store::Who;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::books::on_postgres;
use crate::support::builders::{key, text};

const PATH: &str = "/api/stock/corrections";

/// Tells the connection that writes how to take the disk.
fn tell(app: &TestApp, pragma: &str) {
    let tell = app.books().write(Who::Program, |tx| Ok(tx.conn.batch_execute(pragma)?));
    tell.expect("the setting is taken");
}

/// A correction so wordy that it needs room of its own.
fn wordy() -> Value {
    json!({
        "request_key": key(), "part_number": "PK101H", "from": "P-04-1Q", "to": "scrap",
        "quantity": 1, "reason": "flooded ".repeat(4_000),
    })
}

async fn told(app: &TestApp, correction: &Value) -> String {
    let (status, body) = app.post(Owner, PATH, correction.clone()).await;
    format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
}

#[actix_web::test]
async fn a_full_disk_is_told_and_the_same_request_goes_through_once_there_is_room() {
    if on_postgres() {
        return;
    }
    let app = TestApp::start();
    let before = app.count("PK101H", "P-04-1Q").await;
    assert_eq!(app.post(Owner, PATH, wordy()).await.0, 201);
    tell(&app, "PRAGMA max_page_count = 1");
    let correction = wordy();
    assert_snapshot!(told(&app, &correction).await, @"507 disk.full: the disk that holds the books is full, and nothing was changed: make room on it, then send this again");
    assert_eq!(app.count("PK101H", "P-04-1Q").await, before - 1, "what was answered before stands");
    tell(&app, "PRAGMA max_page_count = 1000000");
    assert_eq!(app.post(Owner, PATH, correction.clone()).await.0, 201);
    assert_eq!(app.post(Owner, PATH, correction).await.0, 201);
    assert_eq!(app.count("PK101H", "P-04-1Q").await, before - 2);
}

#[actix_web::test]
async fn books_that_may_only_be_read_are_read_on() {
    if on_postgres() {
        return;
    }
    let app = TestApp::start();
    let before = app.count("PK101H", "P-04-1Q").await;
    tell(&app, "PRAGMA query_only = ON");
    let correction = wordy();
    assert_snapshot!(told(&app, &correction).await, @"503 disk.read_only: the books may only be read, not written, and nothing was changed: let the service write to their file and its folder, then send this again");
    assert_eq!(app.count("PK101H", "P-04-1Q").await, before);
    tell(&app, "PRAGMA query_only = OFF");
    assert_eq!(app.post(Owner, PATH, correction).await.0, 201);
    assert_eq!(app.count("PK101H", "P-04-1Q").await, before - 1);
}
