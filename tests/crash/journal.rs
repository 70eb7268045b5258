//! What was asked of the shop and what it answered, kept apart from it, and held against its books.

use std::collections::BTreeMap;
use std::io;
#[cfg(feature = "postgres")]
use std::time::Duration;

use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Text};
use kitwright::ops::RequestKey;
use kitwright::store::{Conn, DatabaseUrl};
use serde_json::{Value, json};

use crate::wire::Device;

/// A request and its answer, if one came.
#[derive(Debug, Clone)]
pub struct Entry {
    key: String,
    path: String,
    body: Value,
    answer: Option<(u16, Value)>,
}

impl Entry {
    /// Returns a request with a fresh key.
    pub fn new(path: &str, mut body: Value) -> Self {
        let key = RequestKey::fresh().as_str().to_owned();
        body["request_key"] = json!(key);
        Self { key, path: path.to_owned(), body, answer: None }
    }

    /// Returns the same request once more, as of a device that lost the answer.
    pub fn again(&self) -> Self {
        Self { answer: None, ..self.clone() }
    }

    /// Sends it and keeps the answer.
    pub fn send(&mut self, device: &mut Device) -> io::Result<()> {
        let answer = device.send("POST", &self.path, &self.body)?;
        assert!(answer.0 < 500, "{}: {answer:?}", self.path);
        self.answer = Some(answer);
        Ok(())
    }

    /// Sends it again and again until the shop answers and means it, or there is no more use;
    /// keeps the answer. What the shop says of its own troubles is no answer.
    #[cfg(feature = "postgres")]
    pub fn insist(&mut self, device: &mut Device, is_over: impl Fn() -> bool) {
        loop {
            match device.send("POST", &self.path, &self.body) {
                Ok(answer) if answer.0 < 500 => {
                    self.answer = Some(answer);
                    return;
                }
                _ if is_over() => return,
                _ => std::thread::sleep(Duration::from_millis(10)),
            }
        }
    }

    /// Returns whether the shop has answered.
    #[cfg(feature = "postgres")]
    pub fn is_answered(&self) -> bool {
        self.answer.is_some()
    }

    /// Returns whether the shop said that the walk has changed since.
    pub fn is_out_of_date(&self) -> bool {
        let code = self.answer.as_ref().map(|it| &it.1["code"]);
        code.is_some_and(|it| *it == "pick.take_done" || *it == "picking.nothing_left")
    }

    fn is_done(&self) -> bool {
        matches!(self.answer, Some((200..300, _)))
    }

    /// Returns the pieces that the answer says were moved.
    fn moved(&self) -> i64 {
        match &self.answer {
            Some((201, answer)) if answer["movement"].is_i64() => {
                self.body["quantity"].as_i64().expect("a number")
            }
            Some((200, answer)) => answer["moved"].as_i64().unwrap_or(0),
            _ => 0,
        }
    }
}

/// All requests by key.
#[derive(Default)]
pub struct Journal(BTreeMap<String, Entry>);

#[derive(QueryableByName)]
struct Kept {
    #[diesel(sql_type = Text)]
    key: String,
    #[diesel(sql_type = Text)]
    answer: String,
    #[diesel(sql_type = BigInt)]
    movements: i64,
    #[diesel(sql_type = BigInt)]
    pieces: i64,
}

#[derive(QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    count: i64,
}

fn connect(books: &DatabaseUrl) -> Conn {
    books.connect().expect("the books open")
}

/// Returns how many movements the books hold.
pub fn movements(books: &DatabaseUrl) -> i64 {
    let count: Count = sql_query("SELECT COUNT(*) AS count FROM movements")
        .get_result(&mut connect(books))
        .expect("a number");
    count.count
}

/// Loads what the books keep under each request key.
fn kept(books: &DatabaseUrl) -> BTreeMap<String, Kept> {
    let rows: Vec<Kept> = sql_query(
        "SELECT k.key, k.answer, COUNT(m.id) AS movements,
            CAST(COALESCE(SUM(m.quantity), 0) AS BIGINT) AS pieces
         FROM request_keys k LEFT JOIN movements m ON m.request_key = k.key
         GROUP BY k.key, k.answer",
    )
    .load(&mut connect(books))
    .expect("rows");
    rows.into_iter().map(|it| (it.key.clone(), it)).collect()
}

impl Journal {
    /// Keeps a request; one that was done before must have been answered alike.
    pub fn note(&mut self, entry: Entry) {
        let Some(known) = self.0.get_mut(&entry.key) else {
            self.0.insert(entry.key.clone(), entry);
            return;
        };
        match (&known.answer, &entry.answer) {
            (Some(first), Some(second)) if known.is_done() => assert_eq!(first, second),
            (_, Some(_)) if !known.is_done() => known.answer = entry.answer,
            _ => {}
        }
    }

    /// Returns the requests that got no answer.
    pub fn unanswered(&mut self) -> impl Iterator<Item = &mut Entry> {
        self.0.values_mut().filter(|it| it.answer.is_none())
    }

    /// Returns how many pieces were moved by what was acknowledged.
    pub fn moved(&self) -> i64 {
        self.0.values().map(Entry::moved).sum()
    }

    /// Returns where the campaign stands, in words.
    pub fn words(&self) -> String {
        let done = self.0.values().filter(|it| it.is_done()).count();
        format!("{done} of {} requests done, {} pieces moved", self.0.len(), self.moved())
    }

    /// Checks that whatever is in the books is whole, answered or not.
    pub fn none_half(&self, books: &DatabaseUrl) {
        for (key, it) in kept(books) {
            assert!(!it.answer.is_empty(), "request {key} was begun and not finished");
            let answer: Value = serde_json::from_str(&it.answer).expect("JSON");
            if let Some(moved) = answer["moved"].as_i64() {
                assert_eq!(it.pieces, moved, "request {key} is half done: {answer}");
            }
        }
    }

    /// Checks that the books hold what was acknowledged, each once, and nothing that nobody asked for.
    pub fn agrees(&self, books: &DatabaseUrl, before: i64) {
        let kept = kept(books);
        let mut all = before;
        for (key, entry) in &self.0 {
            let moved = entry.moved();
            let (movements, pieces) = kept.get(key).map_or((0, 0), |it| (it.movements, it.pieces));
            assert_eq!(pieces, moved, "{entry:?}");
            let put_back = entry.path.ends_with("/put-back");
            assert!(put_back || movements == i64::from(0 < moved), "{movements} of {entry:?}");
            assert_eq!(entry.is_done(), kept.contains_key(key), "{entry:?}");
            all += movements;
        }
        assert_eq!(movements(books), all, "movements that nobody asked for");
    }
}
