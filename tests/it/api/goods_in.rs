//! Goods-in: what comes, and how it differs.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Owner, Receiver};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{key, rows, text};

/// Books a count and returns the answer in one line.
async fn book(app: &TestApp, order: &str, count: Value) -> String {
    let path = format!("/api/purchase-orders/{order}/counts");
    let (status, body) = app.act(Receiver, &path, count).await;
    match status {
        201 => text(&body["words"]),
        _ => format!("{status} {}: {}", text(&body["code"]), text(&body["title"])),
    }
}

async fn line(app: &TestApp, order: &str, number: usize) -> Value {
    app.look(&format!("/api/purchase-orders/{order}")).await["lines"][number - 1].clone()
}

#[actix_web::test]
async fn books_short_then_the_rest_then_over() {
    let app = TestApp::start();
    let order = "PO-26-162";
    let before = app.count("PK101H", "P-04-1Q").await;
    assert_snapshot!(book(&app, order, json!({ "line": 1 })).await, @"422 receiving.nothing: PK101H: enter how many pieces came, good or damaged");
    assert_snapshot!(book(&app, order, json!({ "line": 9, "good": 1 })).await, @"404 not_found: there is no purchase order line '9': check the number");
    assert_snapshot!(book(&app, order, json!({ "line": 1, "good": 60, "delivery_note": "D 7" })).await, @"PK101H: 60 booked, short by 40");
    assert_snapshot!(text(&line(&app, order, 1).await["words"]), @"short by 40");
    assert_snapshot!(book(&app, order, json!({ "line": 1, "good": 45 })).await, @"422 receiving.over_needs_note: PK101H: 5 more than was ordered: write in the note who agreed to keep them");
    assert_snapshot!(
        book(&app, order, json!({ "line": 1, "good": 45, "note": "the owner keeps them" })).await,
        @"PK101H: 45 booked, over by 5"
    );
    assert_snapshot!(text(&line(&app, order, 1).await["words"]), @"over by 5");
    assert_eq!(app.count("PK101H", "P-04-1Q").await, before + 105);
    let receipts = app.look(&format!("/api/purchase-orders/{order}")).await["receipts"].clone();
    assert_eq!(receipts[1]["delivery_note"], "D 7", "{receipts}");
}

#[actix_web::test]
async fn damaged_pieces_go_to_quarantine_and_the_rest_can_be_closed() {
    let app = TestApp::start();
    let order = "PO-26-162";
    let count = json!({ "line": 1, "good": 50, "damaged": 10, "note": "wet", "close": true });
    assert_snapshot!(book(&app, order, count).await, @"PK101H: 50 booked, 10 damaged to quarantine, short by 40");
    assert_snapshot!(text(&line(&app, order, 1).await["words"]), @"closed, 40 not delivered");
    let part = app.look("/api/parts/PK101H").await;
    let kinds = rows(&part["balances"]).iter().filter(|it| it["kind"] == "quarantine");
    let held: i64 = kinds.filter_map(|it| it["quantity"].as_i64()).sum();
    assert_eq!(held, 10);
}

#[actix_web::test]
async fn a_booking_that_is_reversed_is_open_again() {
    let app = TestApp::start();
    let order = "PO-26-162";
    let count = json!({ "line": 1, "good": 50, "damaged": 10, "note": "wet" });
    book(&app, order, count).await;
    assert_snapshot!(text(&line(&app, order, 1).await["words"]), @"short by 40");
    let part = app.look("/api/parts/PK101H").await;
    for movement in rows(&part["movements"]).iter().take(2) {
        let body = json!({ "movement": movement["movement"] });
        let (status, _) = app.act(Owner, "/api/stock/reversals", body).await;
        assert_eq!(status, 201);
    }
    assert_snapshot!(text(&line(&app, order, 1).await["words"]), @"nothing received yet");
}

#[actix_web::test]
async fn a_lot_or_serial_number_is_asked_for_and_taken_once() {
    let app = TestApp::start();
    assert_snapshot!(book(&app, "PO-26-156", json!({ "line": 1, "good": 2000 })).await, @"422 receiving.no_lot: SK1074 is tracked by lot: enter the lot on the supplier's label");
    let lot = json!({ "line": 1, "good": 2000, "lot": "TF-2647", "use_by": null });
    assert_snapshot!(book(&app, "PO-26-156", lot).await, @"SK1074: 2000 booked, complete");
    assert_eq!(
        app.held("SK1074", "H-04-4Z").await.iter().filter(|it| it["lot"] == "TF-2647").count(),
        1
    );

    let forks = |serials: Value| json!({ "line": 1, "good": 2, "serials": serials });
    assert_snapshot!(book(&app, "PO-26-141", forks(json!(["PW-1"]))).await, @"422 receiving.serial_count: FK101P is tracked by serial number: 2 came, and 1 were entered");
    assert_snapshot!(book(&app, "PO-26-141", forks(json!(["PW-1", "PW-1"]))).await, @"422 receiving.serial_twice: FK101P: serial number PW-1 was entered twice");
    assert_snapshot!(book(&app, "PO-26-141", forks(json!(["PW-1", "PW-2"]))).await, @"FK101P: 2 booked, short by 38");
    assert_snapshot!(book(&app, "PO-26-141", forks(json!(["PW-3", "PW-2"]))).await, @"422 receiving.serial_known: FK101P: serial number PW-2 was received before: read the piece again");
    assert_eq!(
        rows(&app.look("/api/parts/FK101P").await["balances"])
            .iter()
            .filter(|it| it["serial"].as_str().is_some_and(|it| it.starts_with("PW-")))
            .count(),
        2
    );
}

#[actix_web::test]
async fn what_comes_in_serves_who_waits_for_it() {
    let app = TestApp::start();
    let badges = async || {
        let alerts = app.look("/api/alerts").await;
        rows(&alerts).iter().filter(|it| it["part_number"] == "FR110M").count()
    };
    assert_eq!(badges().await, 2);
    assert_snapshot!(book(&app, "PO-26-168", json!({ "line": 1, "good": 1 })).await, @"FR110M: 1 booked, short by 299");
    assert_eq!(badges().await, 1);
}

#[actix_web::test]
async fn a_count_sent_twice_is_booked_once() {
    let app = TestApp::start();
    let path = "/api/purchase-orders/PO-26-162/counts";
    let before = app.count("PK101H", "P-04-1Q").await;
    let mut count = json!({ "request_key": key(), "line": 1, "good": 10 });
    let first = app.post(Receiver, path, count.clone()).await;
    assert_eq!(first.0, 201);
    assert_eq!(app.post(Receiver, path, count.clone()).await, first);
    assert_eq!(app.count("PK101H", "P-04-1Q").await, before + 10);
    count["good"] = json!(11);
    let (status, body) = app.post(Receiver, path, count).await;
    assert_eq!((status, &body["code"]), (409, &json!("request_key.reused")));
}
