//! Suppliers' own codes: asked for once, confirmed by a second person, then known.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Buyer, Owner, Receiver, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, key, text};

const ORDER: &str = "PO-26-156";
/// The content of a box of ski bolts, with count, lot and last day, as its GS1-128 code says it.
const LABEL: &str = "]C10209520123456788172812003724\u{1d}107731";

async fn read(app: &TestApp, scans: &[&str]) -> Value {
    let path = format!("/api/purchase-orders/{ORDER}/label");
    let (status, view) = app.post(Receiver, &path, json!({ "scans": scans })).await;
    assert_eq!(status, 200, "{view}");
    view
}

async fn said(app: &TestApp, scans: &[&str]) -> String {
    let view = read(app, scans).await;
    format!("{}: {}", text(&view["outcome"]), text(&view["words"]))
}

/// Learns or confirms, and returns the answer in one line.
async fn act(
    app: &TestApp,
    role: kitwright::domain::people::Role,
    path: &str,
    body: Value,
) -> String {
    let (status, answer) = app.act(role, path, body).await;
    match status {
        201 => format!("{}: {}", answer["confirmed"], text(&answer["words"])),
        _ => format!("{status} {}: {}", text(&answer["code"]), text(&answer["title"])),
    }
}

async fn learn(app: &TestApp, code: Value) -> String {
    act(app, Receiver, &format!("/api/purchase-orders/{ORDER}/codes"), code).await
}

#[actix_web::test]
async fn an_unknown_label_is_asked_for_once_and_confirmed_by_a_second_person() {
    let app = TestApp::start();
    assert_snapshot!(said(&app, &[LABEL]).await, @"unknown: 09520123456788 has not been seen from Trennick Fasteners before: say which line it is");
    let code = json!({ "kind": "gtin", "code": "09520123456788", "line": 1 });
    assert_snapshot!(learn(&app, code.clone()).await, @"false: 09520123456788 of Trennick Fasteners is said to be SK1074: waiting for a second person to confirm it");
    assert_snapshot!(said(&app, &[LABEL]).await, @"waiting: GTIN 09520123456788 is said by Sunniva Karatay to be SK1074: waiting for a second person");
    let number = app.look("/api/supplier-codes").await[0]["number"].clone();
    let confirm = format!("/api/supplier-codes/{number}/confirmations");
    assert_snapshot!(act(&app, Receiver, &confirm, json!({})).await, @"409 supplier_codes.same_person: you said yourself what 09520123456788 is: a second person has to confirm it");
    assert_snapshot!(act(&app, Warehouse, &confirm, json!({})).await, @"403 people.forbidden: as warehouse you may not confirm a supplier's code: ask the owner");
    assert_snapshot!(act(&app, Buyer, &confirm, json!({})).await, @"true: 09520123456788 of Trennick Fasteners is known from now on: SK1074");
    let view = read(&app, &[LABEL]).await;
    assert_eq!(view["outcome"], "known");
    assert_eq!((&view["line"], &view["part_number"]), (&json!(1), &json!("SK1074")));
    assert_eq!((&view["lot"], &view["count"]), (&json!("7731"), &json!(24)));
    assert_eq!(view["use_by"], "2028-12-31", "day 00 is the last of the month");
    assert_snapshot!(learn(&app, code).await, @"true: 09520123456788 is known to be SK1074");
    let other = json!({ "kind": "gtin", "code": "09520123456788", "line": 2 });
    assert_snapshot!(learn(&app, other).await, @"409 supplier_codes.other_part: 09520123456788 was said by Sunniva Karatay to be SK1074: let that be forgotten first, if it is wrong");
    let (status, _) = app
        .send(
            app.request(
                Some(Owner),
                reqwest::Method::DELETE,
                &format!("/api/supplier-codes/{number}"),
            )
            .json(&json!({ "request_key": key() })),
        )
        .await;
    assert_eq!(status, 204);
    assert_eq!(read(&app, &[LABEL]).await["outcome"], "unknown");
}

#[actix_web::test]
async fn two_people_who_say_the_same_confirm_each_other() {
    let app = TestApp::start();
    let code = json!({ "kind": "item", "code": "BOLT-14", "line": 1 });
    learn(&app, code.clone()).await;
    let path = format!("/api/purchase-orders/{ORDER}/codes");
    assert_snapshot!(act(&app, Owner, &path, code).await, @"true: BOLT-14 of Trennick Fasteners is known from now on: SK1074");
    let wrong = json!({ "kind": "gtin", "code": "09520123456780", "line": 1 });
    assert_snapshot!(learn(&app, wrong).await, @"422 supplier_codes.code: '09520123456780' ends in 0, and its other digits ask for 8: read the GTIN again");
    let none = json!({ "kind": "item", "code": "BOLT-15", "line": 77 });
    assert_snapshot!(learn(&app, none).await, @"404 not_found: there is no purchase order line '77': check the number");
}

#[actix_web::test]
async fn labels_of_every_standard_are_read_on_goods_in() {
    let app = TestApp::start();
    let path = format!("/api/purchase-orders/{ORDER}/codes");
    let code = json!({ "kind": "item", "code": "BOLT-14", "line": 1 });
    app.act(Receiver, &path, code.clone()).await;
    app.act(Owner, &path, code).await;
    let envelope = "[)>\u{1e}06\u{1d}1PBOLT-14\u{1d}Q500\u{1d}1T7731\u{1d}KPO-1\u{1e}\u{4}";
    assert_snapshot!(said(&app, &[envelope]).await, @"known: line 1: x14 Ski bolt M6x1.0; the label names order PO-1, not PO-26-156");
    assert_eq!(read(&app, &["1PBOLT-14", "Q500", "1T7731"]).await["lot"], "7731");
    assert_eq!(read(&app, &["Q500", "BOLT-14"]).await["count"], 500);
    assert_snapshot!(said(&app, &["Q500"]).await, @"no_goods: the label does not say which part this is: scan its item code too");
    assert_snapshot!(said(&app, &["SK1074"]).await, @"known: line 1: x14 Ski bolt M6x1.0");
    assert_snapshot!(said(&app, &["MT108R"]).await, @"elsewhere: this is MT108R, which is not on PO-26-156: look at the delivery note");
    assert_snapshot!(said(&app, &["]C10109520123456789"]).await, @"unreadable: this GS1 label can't be read: at character 16: (01) GTIN: the check digit of 0952012345678 is 8: read it again");
    assert_snapshot!(said(&app, &["H-04-4Z"]).await, @"unreadable: H-04-4Z is a bin: scan the supplier's label");
}

#[actix_web::test]
async fn a_known_supplier_label_is_taken_on_a_walk() {
    let app = TestApp::start();
    let path = "/api/purchase-orders/PO-26-162/codes";
    let code = json!({ "kind": "gtin", "code": "09520123456788", "line": 3 });
    app.act(Receiver, path, code.clone()).await;
    let kit = app.kit_of("SO-26-0874").await;
    let list = app.pick_list(&[&kit]).await;
    let view = app.look(&format!("/api/pick-lists/{list}")).await;
    let at = |part: &str, code: &str| {
        let stop = find(&view["stops"], "part_number", part);
        json!({ "code": code, "take": stop["takes"][0]["take"], "bin": stop["bin"] })
    };
    let said = async |scan: Value| {
        let answer = app.pick_scan(&list, scan).await;
        format!("{}: {}", text(&answer["code"]), text(&answer["words"]))
    };
    let scan = at("PK110F", "(01)09520123456788");
    assert_snapshot!(said(scan.clone()).await, @"pick.unknown: 'GTIN 09520123456788' is not known: scan the label on the bin or the part");
    app.act(Owner, path, code).await;
    assert_snapshot!(said(scan).await, @"pick.taken: 6 × Paper void fill, 1 m (PK110F): into tote 1 (KT000015Y)");
    let stop = find(&view["stops"], "tracking", "lot");
    let part = text(&stop["part_number"]);
    let lot = |code: &str| at(&part, &format!("(01)09520999111026(241){part}(10){code}"));
    assert_snapshot!(said(lot("OTHER")).await, @"pick.unknown: 'GTIN 09520999111026, CUST. PART No. SK104A, BATCH/LOT OTHER' is not known: scan the label on the bin or the part");
    assert_snapshot!(said(lot(&text(&stop["lot"]))).await, @"pick.taken: 1 × 105 rear Ski (SK104A): into tote 1 (KT000015Y)");
}
