//! Two people at once: what there is one of, one of them gets.

use kitwright::domain::people::Role::{Owner, Receiver, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, key, rows, text};

/// Sends requests at the same time, each from a thread and over a connection of its own; returns
/// their answers in order.
async fn together(app: &TestApp, requests: Vec<(&str, Value)>) -> Vec<(u16, Value)> {
    let threads: Vec<_> = requests
        .into_iter()
        .map(|(path, body)| {
            let (url, token) = (app.url(path), app.token(Owner).to_owned());
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
    threads.into_iter().map(|it| it.join().expect("the request was answered")).collect()
}

#[actix_web::test]
async fn two_pickers_never_both_take_the_last_piece() {
    let app = TestApp::start();
    let fork = "FK104J";
    let (first, second) = (app.kit_of("SO-26-0872").await, app.kit_of("SO-26-0876").await);
    let lists = [app.pick_list(&[&first]).await, app.pick_list(&[&second]).await];
    let bin = {
        let view = app.look(&format!("/api/pick-lists/{}", lists[0])).await;
        text(&find(&view["stops"], "part_number", fork)["bin"])
    };
    let serial = text(&app.held(fork, &bin).await[0]["serial"]);
    for _ in 0..3 {
        let mut scans = Vec::new();
        let mut paths = Vec::new();
        for list in &lists {
            let view = app.look(&format!("/api/pick-lists/{list}")).await;
            let take = rows(&view["stops"]).iter().find(|it| it["part_number"] == fork);
            let take = take.map(|it| it["takes"][0]["take"].clone());
            paths.push(format!("/api/pick-lists/{list}/scans"));
            scans.push(json!({ "request_key": key(), "code": serial, "bin": bin, "take": take }));
        }
        let asked = paths.iter().map(String::as_str).zip(scans).collect();
        let answers = together(&app, asked).await;
        let taken = answers.iter().filter(|it| it.1["code"] == "pick.taken").count();
        assert!(taken <= 1, "{answers:?}");
    }
    let held = app.look(&format!("/api/parts/{fork}")).await["balances"].clone();
    let places = rows(&held).iter().filter(|it| it["serial"] == serial.as_str()).count();
    assert_eq!(places, 1, "{held}");
    let in_totes = app.count(fork, &first).await + app.count(fork, &second).await;
    assert_eq!(in_totes, 1);
}

#[actix_web::test]
async fn the_last_pieces_of_a_bin_leave_it_once() {
    let app = TestApp::start();
    let all = app.count("PK101H", "P-04-1Q").await;
    let asked = (0..8).map(|_| {
        let correction = json!({
            "request_key": key(), "part_number": "PK101H", "from": "P-04-1Q", "to": "scrap",
            "quantity": all, "reason": "flooded",
        });
        ("/api/stock/corrections", correction)
    });
    let answers = together(&app, asked.collect()).await;
    let posted = answers.iter().filter(|it| it.0 == 201).count();
    let refused = answers.iter().filter(|it| it.1["code"] == "stock.not_enough").count();
    assert_eq!((posted, refused), (1, 7), "{answers:?}");
    assert_eq!(app.count("PK101H", "P-04-1Q").await, 0);
}

#[actix_web::test]
async fn the_same_request_from_two_devices_is_done_once() {
    let app = TestApp::start();
    let before = app.count("PK101H", "P-04-1Q").await;
    let path = "/api/purchase-orders/PO-26-162/counts";
    let body = json!({ "request_key": key(), "line": 1, "good": 10 });
    let answers = together(&app, vec![(path, body); 6]).await;
    assert!(answers.iter().all(|it| *it == answers[0] && it.0 == 201), "{answers:?}");
    assert_eq!(app.count("PK101H", "P-04-1Q").await, before + 10);
    assert_eq!(app.get(Receiver, path).await.0, 405);
}

#[actix_web::test]
async fn a_kit_goes_on_one_of_two_lists() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0872").await;
    let asked = (0..4).map(|_| ("/api/pick-lists", json!({ "request_key": key(), "kits": [kit] })));
    let answers = together(&app, asked.collect()).await;
    assert_eq!(answers.iter().filter(|it| it.0 == 201).count(), 1, "{answers:?}");
    assert_eq!(app.post(Warehouse, "/api/pick-lists", json!({})).await.0, 422);
}
