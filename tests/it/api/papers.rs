//! Purchase orders and goods receipts from the books, over HTTP, as pages and the API offer them.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Buyer, Owner, Receiver, Warehouse};
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::text;
use crate::support::decode::{Seen, look};
use crate::support::desk::Desk;

async fn paper(app: &TestApp, path: &str, name: &str) -> Seen {
    let answer = app.request(Some(Owner), Method::GET, path).send().await.expect("an answer");
    assert_eq!(answer.status(), 200, "{path}");
    look(name, &answer.bytes().await.expect("a body"))
}

#[track_caller]
fn says(seen: &Seen, all: &[&str]) {
    for words in all {
        assert!(seen.words.contains(words), "'{words}' is not on the paper:\n{}", seen.words);
    }
}

#[actix_web::test]
async fn a_purchase_order_says_what_the_supplier_needs() {
    let app = TestApp::start();
    let order = "/api/purchase-orders/PO-26-165";
    let note = json!({ "note": "Bags of 250,\n one lot each." });
    assert_eq!(app.act(Receiver, &format!("{order}/note"), note.clone()).await.0, 403);
    assert_eq!(app.act(Buyer, &format!("{order}/note"), note).await.0, 204);
    let long = json!({ "note": "é".repeat(2_001) });
    let (status, body) = app.act(Buyer, &format!("{order}/note"), long).await;
    assert_snapshot!(format!("{status} {}", text(&body["title"])), @"422 the note has 2001 characters: shorten it to 2000");
    let seen = paper(&app, &format!("{order}/paper"), "purchase-order-books").await;
    assert_eq!(seen.symbols[0].len(), 1);
    assert_eq!(seen.symbols[0][0].text, "PO-26-165");
    says(
        &seen,
        &[
            "Trennick Fasteners (TF)",
            "Thread Yard 8",
            "orders@trennick.example",
            "Skarnveien 7",
            "Bags of 250, one lot each.",
            "HS1148",
            "2026-12-01",
            "2026-12-09",
            "Total USD 265.00",
        ],
    );
    assert_eq!(app.get(Owner, "/api/purchase-orders/PO-0/paper").await.0, 404);
}

#[actix_web::test]
async fn a_goods_receipt_says_what_was_counted_where_it_went_and_what_was_taken_back() {
    let app = TestApp::start();
    let order = "/api/purchase-orders/PO-26-156";
    let book = async |count: Value| app.act(Receiver, &format!("{order}/counts"), count).await;
    let lot = json!({ "line": 1, "good": 1500, "damaged": 20, "lot": "TF-2647", "delivery_note": "DN-881", "note": "one box torn" });
    assert_eq!(book(lot).await.0, 201);
    assert_eq!(book(json!({ "line": 2, "good": 2000, "lot": "TF-2648" })).await.0, 201);
    let movements = app.look("/api/parts/LE102H").await["movements"].clone();
    let reversal = json!({ "movement": movements[0]["movement"] });
    assert_eq!(app.act(Owner, "/api/stock/reversals", reversal).await.0, 201);
    let seen = paper(&app, &format!("{order}/goods-receipt"), "goods-receipt-books").await;
    assert_eq!(seen.symbols[0][0].text, "PO-26-156");
    says(
        &seen,
        &[
            "Ordered: 2000. Received: 1520, 20 of them damaged. Short by 480.",
            "lot TF-2647",
            "bin H-04-4Z: 1500",
            "quarantine Q-",
            "one box torn",
            "DN-881",
            "2026-11-25 09:00",
            "reversed",
            "-2000",
            "Nothing received yet",
        ],
    );
}

#[actix_web::test]
async fn each_serial_number_stands_on_the_receipt_and_a_damaged_one_says_so() {
    let app = TestApp::start();
    let order = "/api/purchase-orders/PO-26-141";
    let count =
        json!({ "line": 1, "good": 1, "damaged": 1, "serials": ["PW-1", "PW-2"], "note": "bent" });
    assert_eq!(app.act(Receiver, &format!("{order}/counts"), count).await.0, 201);
    let seen = paper(&app, &format!("{order}/goods-receipt"), "goods-receipt-serials").await;
    says(&seen, &["serial numbers PW-1,", "PW-2 (damaged)", "Short by 38"]);
}

#[actix_web::test]
async fn the_page_of_a_purchase_order_offers_both_papers_and_keeps_the_note() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Buyer).await;
    let page = desk.open("/goods-in/PO-26-156").await;
    page.says("Goods receipt").says("Note to the supplier");
    for paper in ["purchase-order.pdf", "goods-receipt.pdf"] {
        assert!(page.html.contains(&format!("/goods-in/PO-26-156/{paper}")), "{paper}");
    }
    let form = page.form("/goods-in/PO-26-156/note").fill("note", "Ring before you come.");
    desk.send(&form).await.says("The note is kept").says("Ring before you come.");
    let picker = Desk::sign_in(&app, Warehouse).await;
    picker.open("/goods-in/PO-26-156").await.says("Note to the supplier: Ring before you come.");
}
