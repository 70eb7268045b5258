//! The bench: what goes into a carton, when it is sealed, and what may stay behind.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Owner, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

const ORDER: &str = "SO-26-0872";

fn told(answer: &Value) -> String {
    format!("{}: {}", text(&answer["code"]), text(&answer["words"]))
}

fn problem((status, body): (u16, Value)) -> String {
    format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
}

/// Returns the service with the first kit of an order picked.
async fn picked(order: &str) -> (TestApp, String) {
    let app = TestApp::start();
    let kit = app.kit_of(order).await;
    let list = app.pick_list(&[&kit]).await;
    app.walk(&list).await;
    (app, kit)
}

async fn line_of(app: &TestApp, kit: &str, part: &str) -> Value {
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    let cartons = rows(&bench["cartons"]).iter().flat_map(|it| rows(&it["lines"]));
    let lines: Vec<Value> = cartons.cloned().collect();
    find(&json!(lines), "part_number", part).clone()
}

#[actix_web::test]
async fn refuses_what_does_not_belong_in_the_carton() {
    let (app, kit) = picked(ORDER).await;
    let scan = async |code: &str, carton: u32, quantity: Option<i64>| {
        let scan = json!({ "code": code, "carton": carton, "quantity": quantity });
        told(&app.pack_scan(&kit, scan).await)
    };
    assert_snapshot!(scan("BS107D", 1, None).await, @"pack.wrong_size: wrong size: this is L, 60/50 Bar set: bar, stem, grips (BS107D), and the kit takes M, 45/50 Bar set: bar, stem, grips (BS106F)");
    assert_snapshot!(scan("MT1112", 1, None).await, @"pack.not_in_kit: wrong part: Pivot bushing and thrust washer set (MT1112) is not in this kit");
    assert_snapshot!(scan("SK101G", 1, None).await, @"pack.other_carton: wrong carton: 95 front Ski (SK101G) goes into carton 2");
    assert_snapshot!(scan("PK110F", 1, Some(7)).await, @"pack.too_many: too many: 7 were entered and the tote holds 6");
    assert_snapshot!(scan("PK110F", 1, Some(0)).await, @"pack.no_pieces: enter how many go into the carton, 1 or more");
    assert_snapshot!(scan("PK110F", 1, Some(4)).await, @"pack.packed: 4 × Paper void fill, 1 m: in carton 1");
    assert_snapshot!(scan("PK110F", 1, None).await, @"pack.packed: 1 × Paper void fill, 1 m: in carton 1");
    assert_snapshot!(scan("PK110F", 1, None).await, @"pack.packed: 1 × Paper void fill, 1 m: in carton 1");
    assert_snapshot!(scan("PK110F", 1, None).await, @"pack.packed_already: Paper void fill, 1 m (PK110F) is packed already: nothing was added");
    assert_snapshot!(scan("FK104J", 1, None).await, @"pack.scan_serial: right part; scan its serial number");
    assert_snapshot!(scan("SNOBODYS", 1, None).await, @"pack.unknown: 'SNOBODYS' is not known here: scan the part, its lot or its serial number");
    assert_snapshot!(scan("B-15-4A", 1, None).await, @"pack.unknown: 'B-15-4A' is not known here: scan the part, its lot or its serial number");
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    let second = text(&bench["cartons"][1]["number"]);
    assert_snapshot!(scan(&second, 1, None).await, @"pack.carton_chosen: carton 2: scan what goes in");
    assert_snapshot!(scan("SK101G", 2, None).await, @"pack.packed: 1 × Ski (95 front): in carton 2");
}

#[actix_web::test]
async fn a_carton_is_sealed_when_each_line_has_its_proof() {
    let (app, kit) = picked(ORDER).await;
    let seal = |carton: u32| app_seal(&app, &kit, carton);
    app.pack_scan(&kit, json!({ "code": "SK101G", "carton": 2 })).await;
    let (status, body) = seal(2).await;
    assert_eq!((status, &body["code"]), (409, &json!("carton.unproved")));
    assert_snapshot!(text(&body["title"]), @"the carton can't be sealed yet: Bag SKI: 1 of 1 not scanned into the carton; Ski (95 rear): 1 of 1 not scanned into the carton; Carton (C2 skis up to 105): 1 of 1 not scanned into the carton");
    let path = format!("/api/kits/{kit}/cartons/2/packing-list");
    assert_snapshot!(problem(app.get(Owner, &path).await), @"409 papers.not_sealed: carton CN0000002T is not sealed: its packing list is printed after that");
    let over = format!("/api/kits/{kit}/hand-over");
    assert_snapshot!(problem(app.act(Warehouse, &over, json!({})).await), @"409 packing.not_sealed: kit KT0000131 has a carton that is not sealed");

    app.pack(&kit).await;
    app.seal(&kit).await;
    assert_eq!(seal(2).await.0, 204, "sealing it again changes nothing");
    assert_snapshot!(problem(seal(3).await), @"404 not_found: there is no carton of the kit '3': check the number");
    let (status, body) = app.get(Owner, &path).await;
    assert!(status == 200 && body.as_str().is_some_and(|it| it.starts_with("%PDF-")));
    assert_eq!(app.look(&format!("/api/orders/{ORDER}")).await["leave"], "ready");

    let line = line_of(&app, &kit, "SK101G").await;
    let out = json!({ "line": line["line"] });
    let path = format!("/api/kits/{kit}/take-out");
    let (status, body) = app.act(Warehouse, &path, out.clone()).await;
    assert_eq!(status, 200, "{body}");
    assert_snapshot!(problem(app.act(Warehouse, &path, out).await), @"409 packing.not_in_carton: carton CN0000002T holds no Ski (95 front)");
    assert_snapshot!(problem(app.act(Warehouse, &over, json!({})).await), @"409 packing.not_sealed: kit KT0000131 has a carton that is not sealed");
    app.pack(&kit).await;
    assert_eq!(seal(2).await.0, 204);

    assert_eq!(app.act(Warehouse, &over, json!({})).await.0, 204);
    assert_snapshot!(problem(app.act(Warehouse, &over, json!({})).await), @"409 packing.not_sealed: kit KT0000131 has left already");
    let scan = json!({ "code": "SK101G", "carton": 2 });
    let scans = format!("/api/kits/{kit}/scans");
    assert_snapshot!(problem(app.act(Warehouse, &scans, scan).await), @"409 packing.left: kit KT0000131 has left the house");
    assert_eq!(app.look(&format!("/api/orders/{ORDER}")).await["leave"], "left");
    assert_eq!(app.count("SK101G", &kit).await, 0);
}

async fn app_seal(app: &TestApp, kit: &str, carton: u32) -> (u16, Value) {
    app.act(Warehouse, &format!("/api/kits/{kit}/cartons/{carton}/seal"), json!({})).await
}

#[actix_web::test]
async fn only_looks_stay_behind_on_a_packers_word_and_papers_never() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0904").await;
    let list = app.pick_list(&[&kit]).await;
    app.walk(&list).await;
    let path = format!("/api/kits/{kit}/short");
    let short = async |role, part: &str, reason: &str| {
        let line = line_of(&app, &kit, part).await;
        let body = json!({ "line": line["line"], "reason": reason });
        app.act(role, &path, body).await
    };
    let badge = "FR110M";
    assert_snapshot!(problem(short(Warehouse, badge, " ").await), @"422 short.no_reason: state why Head badge is left out and when it follows: the receiver reads it on the packing list");
    assert_eq!(short(Warehouse, badge, "follows by letter in December").await.0, 204);
    assert_snapshot!(problem(short(Warehouse, badge, "again").await), @"422 short.too_many: Head badge: 1 can't be left out, 0 are not yet picked");
    let bag = "HB102T";
    assert_snapshot!(problem(short(Warehouse, bag, "follows").await), @"422 short.owner_only: Bag HEAD (30, for T12) stops the build: only the owner may let the box leave without it");
    assert_eq!(short(Owner, bag, "the rider has one, by telephone").await.0, 204);
    assert_snapshot!(problem(short(Owner, "HB109F", "follows").await), @"422 short.never: Bag DOC (de) must not be left out: no box leaves without it");
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    assert_snapshot!(text(&line_of(&app, &kit, badge).await["proof"]), @"1 left out: follows by letter in December");
    assert_eq!(bench["state"], "picking");

    let back = json!({ "line": line_of(&app, &kit, bag).await["line"] });
    let path = format!("/api/kits/{kit}/not-short");
    assert_eq!(app.act(Warehouse, &path, back).await.0, 204);
    assert_eq!(line_of(&app, &kit, bag).await["short"], 0);
}

#[actix_web::test]
async fn a_box_leaves_short_with_its_reason_on_the_order() {
    let app = TestApp::start();
    let order = "SO-26-0872";
    let kit = app.kit_of(order).await;
    let list = app.pick_list(&[&kit]).await;
    let badge = line_of(&app, &kit, "FR110M").await;
    let body = json!({ "line": badge["line"], "reason": "none left with good lettering" });
    let (status, body) = app.act(Warehouse, &format!("/api/kits/{kit}/short"), body).await;
    assert_eq!(status, 204, "{body}");
    app.walk(&list).await;
    app.pack(&kit).await;
    app.seal(&kit).await;
    let path = format!("/api/kits/{kit}/not-short");
    let back = json!({ "line": badge["line"] });
    assert_snapshot!(problem(app.act(Warehouse, &path, back).await), @"409 packing.sealed: carton 1 is sealed: take a part out to open it");
    assert_eq!(app.act(Warehouse, &format!("/api/kits/{kit}/hand-over"), json!({})).await.0, 204);
    let alerts = app.look(&format!("/api/orders/{order}")).await["alerts"].clone();
    assert_eq!(rows(&alerts).len(), 1);
    let alert = &alerts[0];
    assert_snapshot!(format!("{} {}: {}", text(&alert["cause"]), text(&alert["part"]), text(&alert["note"])), @"left_out Head badge: none left with good lettering");
}

#[actix_web::test]
async fn a_kit_that_nobody_picked_is_not_packed() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let scan = json!({ "code": "PK110F" });
    let path = format!("/api/kits/{kit}/scans");
    assert_snapshot!(problem(app.act(Warehouse, &path, scan).await), @"409 packing.not_picked: kit KT0000131 has not been picked: put it on a pick list first");
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    assert_eq!(bench["not_leaving"], json!(["nobody has begun to pick it"]));
}
