//! Two instances of the service on the same books.

use std::collections::BTreeSet;

use kitwright::domain::people::Role::{Owner, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{key, rows, text};
use crate::support::desk::Desk;

fn pair() -> (TestApp, TestApp) {
    let first = TestApp::start();
    let second = first.beside();
    (first, second)
}

/// Posts each body at the same time, in turn to one and the other instance.
async fn together(both: [&TestApp; 2], path: &str, bodies: Vec<Value>) -> Vec<(u16, Value)> {
    let threads: Vec<_> = bodies
        .into_iter()
        .zip([0, 1].into_iter().cycle())
        .map(|(body, at)| {
            let (url, token) = (both[at].url(path), both[at].token(Owner).to_owned());
            std::thread::spawn(move || {
                actix_web::rt::System::new().block_on(async move {
                    let request = reqwest::Client::new().post(url).bearer_auth(token).json(&body);
                    let response = request.send().await.expect("an answer");
                    let status = response.status().as_u16();
                    (status, response.json().await.unwrap_or(Value::Null))
                })
            })
        })
        .collect();
    threads.into_iter().map(|it| it.join().expect("an answer")).collect()
}

#[actix_web::test]
async fn who_logs_in_at_one_is_logged_in_at_the_other() {
    let (first, second) = pair();
    let desk = Desk::sign_in(&first, Warehouse).await;
    let other = desk.at(&second);
    assert_eq!(other.open("/picking").await.status, 200);
    other.open("/picking").await.says("Sign out");
    // The form's token is good at either, and who signs out is out of both.
    let form = desk.open("/picking").await.form("/sign-out");
    other.send(&form).await;
    assert_eq!(desk.open("/picking").await.path, "/sign-in");
}

#[actix_web::test]
async fn a_request_sent_to_both_is_done_once() {
    let (first, second) = pair();
    let before = first.count("PK101H", "P-04-1Q").await;
    let path = "/api/purchase-orders/PO-26-162/counts";
    let body = json!({ "request_key": key(), "line": 1, "good": 10 });
    let answers = together([&first, &second], path, vec![body; 8]).await;
    assert!(answers.iter().all(|it| *it == answers[0] && it.0 == 201), "{answers:?}");
    assert_eq!(second.count("PK101H", "P-04-1Q").await, before + 10);
}

#[actix_web::test]
async fn numbers_are_never_given_twice() {
    let (first, second) = pair();
    let orders = first.look("/api/orders").await;
    let mut kits = Vec::new();
    for order in rows(&orders).iter().take(16) {
        kits.push(first.kit_of(&text(&order["number"])).await);
    }
    let asked = kits.iter().map(|it| json!({ "request_key": key(), "kits": [it] })).collect();
    let answers = together([&first, &second], "/api/pick-lists", asked).await;
    let made = answers.iter().filter(|it| it.0 == 201);
    let numbers: Vec<String> = made.map(|it| text(&it.1["number"])).collect();
    assert!(8 < numbers.len(), "{answers:?}");
    assert!(answers.iter().all(|it| it.0 < 500), "{answers:?}");
    assert_eq!(numbers.iter().collect::<BTreeSet<_>>().len(), numbers.len(), "{numbers:?}");
}
