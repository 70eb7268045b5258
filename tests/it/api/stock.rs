//! Corrections and reversals: the book follows the shelf, and never loses its past.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Owner, Receiver, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{key, rows, text};

const PART: &str = "PK101H";
const BIN: &str = "P-04-1Q";

fn moved(from: &str, to: &str, quantity: i64) -> Value {
    json!({
        "part_number": PART, "from": from, "to": to, "quantity": quantity, "reason": "counted",
    })
}

async fn correct(app: &TestApp, correction: Value) -> (u16, Value) {
    app.act(Owner, "/api/stock/corrections", correction).await
}

async fn refused(app: &TestApp, correction: Value) -> String {
    let (status, body) = correct(app, correction).await;
    format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
}

async fn reversed(app: &TestApp, movement: &Value) -> (u16, Value) {
    app.act(Owner, "/api/stock/reversals", json!({ "movement": movement })).await
}

#[actix_web::test]
async fn a_correction_is_a_movement_and_is_undone_by_another_once() {
    let app = TestApp::start();
    let before = app.count(PART, BIN).await;
    let (status, posted) = correct(&app, moved(BIN, "count difference", 3)).await;
    assert_eq!(status, 201, "{posted}");
    assert_eq!(app.count(PART, BIN).await, before - 3);
    let part = app.look(&format!("/api/parts/{PART}")).await;
    let newest = &part["movements"][0];
    assert_eq!(newest["movement"], posted["movement"]);
    assert_eq!((&newest["document"], &newest["reversible"]), (&json!("counted"), &json!(true)));

    let (status, undone) = reversed(&app, &posted["movement"]).await;
    assert_eq!(status, 201, "{undone}");
    assert_eq!(app.count(PART, BIN).await, before);
    for movement in [&posted["movement"], &undone["movement"]] {
        let (status, body) = reversed(&app, movement).await;
        assert_eq!((status, &body["code"]), (409, &json!("stock.reversed")));
    }
    assert_eq!(reversed(&app, &json!(999_999)).await.0, 404);
    let part = app.look(&format!("/api/parts/{PART}")).await;
    let reversible = rows(&part["movements"]).iter().take(2).any(|it| it["reversible"] == true);
    assert!(!reversible, "neither can be reversed again");
}

#[actix_web::test]
async fn says_why_a_correction_is_refused() {
    let app = TestApp::start();
    let all = app.count(PART, BIN).await;
    assert_snapshot!(refused(&app, moved(BIN, "scrap", all + 1)).await, @"409 stock.not_enough: PK101H: 209 were asked for, and P-04-1Q holds 208");
    assert_snapshot!(refused(&app, moved(BIN, BIN, 1)).await, @"409 stock.same_place: a movement needs two different places");
    assert_snapshot!(refused(&app, moved(BIN, "scrap", 0)).await, @"409 stock.no_pieces: a movement needs at least one piece");
    assert_snapshot!(refused(&app, moved("supplier", "scrap", 1)).await, @"422 stock.outside: from, to: one of the two places must be a bin of the house");
    assert_snapshot!(refused(&app, moved(BIN, "P-99-9", 1)).await, @"404 not_found: there is no place 'P-99-9': check the number");
    let mut silent = moved(BIN, "scrap", 1);
    silent["reason"] = json!("  ");
    assert_snapshot!(refused(&app, silent).await, @"422 stock.no_reason: reason: say why the stock is corrected");
    let mut tracked = moved(BIN, "scrap", 1);
    tracked["lot"] = json!("L-1");
    assert_snapshot!(refused(&app, tracked).await, @"422 stock.identity: PK101H is not tracked: leave lot and serial empty");
    let mut lot = moved("H-01-1I", "scrap", 1);
    lot["part_number"] = json!("MT108R");
    assert_snapshot!(refused(&app, lot.clone()).await, @"422 stock.identity: MT108R is tracked by lot: enter it");
    lot["lot"] = json!("L-NOBODY");
    assert_snapshot!(refused(&app, lot).await, @"422 stock.identity: MT108R has no lot 'L-NOBODY': read the lot label again");
    assert_eq!(app.count(PART, BIN).await, all);
}

#[actix_web::test]
async fn a_serial_number_is_never_in_the_house_twice() {
    let app = TestApp::start();
    let held = app.held("FK103L", "F-01-1D").await;
    let serial = &held[0]["serial"];
    let fork = |from: &str, to: &str| {
        json!({
            "part_number": "FK103L", "from": from, "to": to, "quantity": 1, "serial": serial,
            "reason": "found",
        })
    };
    let again = refused(&app, fork("count difference", "F-03-15")).await;
    assert!(again.starts_with("409 stock.serial_in_house"), "{again}");
    let mut two = fork("F-01-1D", "scrap");
    two["quantity"] = json!(2);
    assert!(refused(&app, two).await.starts_with("409 stock.serial_is_one"));

    let (_, lost) = correct(&app, fork("F-01-1D", "count difference")).await;
    assert_eq!(correct(&app, fork("rider", "F-03-15")).await.0, 201, "it came back");
    let (status, body) = reversed(&app, &lost["movement"]).await;
    assert_eq!((status, &body["code"]), (409, &json!("stock.serial_in_house")), "{body}");
}

#[actix_web::test]
async fn a_movement_of_a_kit_is_undone_on_the_kits_page() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    app.walk(&list).await;
    let part = app.look("/api/parts/PK110F").await;
    let picked = &part["movements"][0];
    assert_eq!(picked["reversible"], false);
    let (status, body) = reversed(&app, &picked["movement"]).await;
    assert_eq!((status, &body["code"]), (409, &json!("stock.belongs_to_kit")));
    let mut out = moved(&kit, "scrap", 1);
    out["part_number"] = json!("PK110F");
    let (status, body) = correct(&app, out).await;
    assert_eq!((status, &body["code"]), (422, &json!("stock.kit_place")));
}

#[actix_web::test]
async fn a_receipt_that_has_gone_on_is_not_reversed() {
    let app = TestApp::start();
    let count = json!({ "line": 1, "good": 40 });
    let path = "/api/purchase-orders/PO-26-162/counts";
    assert_eq!(app.act(Receiver, path, count).await.0, 201);
    let part = app.look(&format!("/api/parts/{PART}")).await;
    let receipt = part["movements"][0]["movement"].clone();
    let all = app.count(PART, BIN).await;
    assert_eq!(correct(&app, moved(BIN, "scrap", all - 39)).await.0, 201);
    let (status, body) = reversed(&app, &receipt).await;
    assert_eq!((status, &body["code"]), (409, &json!("stock.not_enough")));
}

#[actix_web::test]
async fn pieces_held_for_kits_are_given_up_in_the_order_of_promises() {
    let app = TestApp::start();
    let list = app.pick_list(&[&app.kit_of("SO-26-0872").await]).await;
    let all = app.count(PART, BIN).await;
    assert_eq!(correct(&app, moved(BIN, "scrap", all - 1)).await.0, 201);
    let alerts = app.look("/api/alerts").await;
    let short = rows(&alerts).iter().filter(|it| it["part_number"] == PART);
    assert!(short.clone().count() > 10, "nearly everybody waits for a carton");
    assert!(short.clone().all(|it| it["order"] != "SO-26-0872"), "the first promise keeps its own");
    app.walk(&list).await;
    let scan = json!({ "request_key": key(), "code": PART });
    let (status, _) = app.post(Warehouse, &format!("/api/pick-lists/{list}/scans"), scan).await;
    assert_eq!(status, 409);
}
