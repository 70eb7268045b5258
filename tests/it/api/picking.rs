//! The walk: what a scan takes, and what it refuses.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Owner, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, key, rows, text};

/// Søren's kit: T12, size M, lichen green, skis 95; all of it is in the house.
const ORDER: &str = "SO-26-0872";

/// A kit on a pick list of its own.
struct Walk {
    app: TestApp,
    kit: String,
    list: String,
}

impl Walk {
    async fn begin() -> Self {
        let app = TestApp::start();
        let kit = app.kit_of(ORDER).await;
        let list = app.pick_list(&[&kit]).await;
        Self { app, kit, list }
    }

    async fn stop_of(&self, part: &str) -> Value {
        let view = self.app.look(&format!("/api/pick-lists/{}", self.list)).await;
        find(&view["stops"], "part_number", part).clone()
    }

    /// Scans at the stop of a part, whose bin has been scanned; returns code and words.
    async fn at(&self, part: &str, code: &str, quantity: Option<i64>) -> String {
        let stop = self.stop_of(part).await;
        let (take, bin) = (&stop["takes"][0]["take"], &stop["bin"]);
        let scan = json!({ "code": code, "take": take, "bin": bin, "quantity": quantity });
        told(&self.app.pick_scan(&self.list, scan).await)
    }
}

fn told(answer: &Value) -> String {
    format!("{}: {}", text(&answer["code"]), text(&answer["words"]))
}

#[actix_web::test]
async fn refuses_what_is_wrong_and_moves_nothing() {
    let walk = Walk::begin().await;
    let bar_set = walk.stop_of("BS106F").await;
    let lot = text(&bar_set["lot"]);
    let take = &bar_set["takes"][0]["take"];
    let blind = walk.app.pick_scan(&walk.list, json!({ "code": "BS106F", "take": take })).await;
    assert_snapshot!(told(&blind), @"pick.bin_first: scan the bin first: B-15-4A");
    assert_snapshot!(walk.at("BS106F", "B-11-4Q", None).await, @"pick.wrong_bin: wrong bin: this is B-11-4Q, go to B-15-4A");
    assert_snapshot!(walk.at("BS106F", "PG1017", None).await, @"pick.wrong_part: wrong part: this is left Foot peg (PG1017), take M, 45/50 Bar set: bar, stem, grips (BS106F)");
    assert_snapshot!(walk.at("BS106F", "BS107D", None).await, @"pick.wrong_size: wrong size: this is L, 60/50 Bar set: bar, stem, grips (BS107D), take M, 45/50 Bar set: bar, stem, grips (BS106F)");
    assert_snapshot!(walk.at("BS106F", "BS106F", Some(2)).await, @"pick.too_many: too many: 2 were entered and 1 are still to be taken for KT0000131");
    assert_snapshot!(walk.at("BS106F", "BS106F", Some(0)).await, @"pick.no_pieces: enter how many were taken, 1 or more");
    assert_snapshot!(walk.at("BS106F", "1TL-NOBODY", None).await, @"pick.unknown: '1TL-NOBODY' is not known: scan the label on the bin or the part");
    assert_snapshot!(walk.at("BS106F", "BS1060", None).await, @"scan.unreadable: 'BS1060' has a wrong character: the last one does not match the others, so read the label again");
    assert_snapshot!(walk.at("BS106F", "KT000015Y", None).await, @"pick.wrong_tote: wrong tote: this is KT000015Y, put them in KT0000131");
    assert_snapshot!(walk.at("BS106F", "", None).await, @"scan.unreadable: nothing was scanned: scan again");
    assert_eq!(walk.app.count("BS106F", &walk.kit).await, 0);
    assert!(walk.at("BS106F", &format!("1T{lot}"), None).await.starts_with("pick.taken"));
    assert_eq!(walk.app.count("BS106F", &walk.kit).await, 1);
}

#[actix_web::test]
async fn asks_for_the_lot_where_a_bin_holds_two_and_refuses_the_newer() {
    let app = TestApp::start();
    let stock =
        "part_number,bin,quantity,lot,use_by,serial\nBS106F,B-15-4A,3,L-NEWER,2030-01-01,\n";
    let (status, body) = app.import("stock", stock).await;
    assert_eq!(status, 200, "{body}");
    let kit = app.kit_of(ORDER).await;
    let list = app.pick_list(&[&kit]).await;
    let walk = Walk { app, kit, list };
    let wanted = text(&walk.stop_of("BS106F").await["lot"]);
    assert_snapshot!(walk.at("BS106F", "BS106F", None).await, @"pick.scan_lot: right part; this bin holds more than one lot: scan lot L-NEWER");
    let other = if wanted == "L-NEWER" {
        let held = walk.app.held("BS106F", "B-15-4A").await;
        text(&held.iter().find(|it| it["lot"] != "L-NEWER").expect("the older lot")["lot"])
    } else {
        "L-NEWER".to_owned()
    };
    assert_snapshot!(walk.at("BS106F", &format!("1T{other}"), None).await, @"pick.wrong_lot: wrong lot: this is BAR-2646-M, take lot L-NEWER, which is to be used first");
    assert_snapshot!(walk.at("BS106F", &format!("1T{wanted}"), None).await, @"pick.taken: 1 × M, 45/50 Bar set: bar, stem, grips (BS106F): into tote 1 (KT0000131)");
}

#[actix_web::test]
async fn takes_one_serial_number_of_the_bin_and_no_other() {
    let walk = Walk::begin().await;
    let fork = "FK104J";
    assert_snapshot!(walk.at(fork, fork, None).await, @"pick.scan_serial: right part; scan its serial number");
    let other_size = walk.app.held("FK103L", "F-01-1D").await;
    let serial = text(&other_size[0]["serial"]);
    assert_snapshot!(walk.at(fork, &format!("S{serial}"), None).await, @"pick.wrong_size: wrong size: this is T12 S, steerer 185 Fork, cut, race and star nut in (FK103L), take T12 M, steerer 195 Fork, cut, race and star nut in (FK104J)");
    let bin = text(&walk.stop_of(fork).await["bin"]);
    let held = walk.app.held(fork, &bin).await;
    let away = text(&held[0]["serial"]);
    let correction = json!({
        "part_number": fork, "from": bin, "to": "scrap", "quantity": 1, "serial": away,
        "reason": "steerer scratched",
    });
    let (status, body) = walk.app.act(Owner, "/api/stock/corrections", correction).await;
    assert_eq!(status, 201, "{body}");
    assert_snapshot!(walk.at(fork, &format!("S{away}"), None).await, @"pick.serial_elsewhere: serial number PD-T12-26-1200 is not in F-03-15: by the book it is no longer in the house");
    let serial = text(&held[1]["serial"]);
    assert_snapshot!(walk.at(fork, &serial, None).await, @"pick.taken: 1 × T12 M, steerer 195 Fork, cut, race and star nut in (FK104J), serial number PD-T12-26-1201: into tote 1 (KT0000131)");
}

#[actix_web::test]
async fn the_same_key_moves_pieces_once_and_another_request_under_it_is_refused() {
    let walk = Walk::begin().await;
    let stop = walk.stop_of("PK110F").await;
    let path = format!("/api/pick-lists/{}/scans", walk.list);
    let key = key();
    let mut scan = json!({
        "request_key": key, "code": "PK110F", "take": stop["takes"][0]["take"],
        "bin": stop["bin"], "quantity": 2,
    });
    let first = walk.app.post(Warehouse, &path, scan.clone()).await;
    assert_eq!(first.1["moved"], 2, "{}", first.1);
    assert_eq!(walk.app.post(Warehouse, &path, scan.clone()).await, first);
    assert_eq!(walk.app.count("PK110F", &walk.kit).await, 2);
    let part = walk.app.look("/api/parts/PK110F").await;
    let to_tote = rows(&part["movements"]).iter().filter(|it| it["to"] == walk.kit.as_str());
    assert_eq!(to_tote.count(), 1);
    scan["quantity"] = json!(3);
    let (status, body) = walk.app.post(Warehouse, &path, scan).await;
    assert_eq!((status, &body["code"]), (409, &json!("request_key.reused")));
    let elsewhere = json!({ "request_key": key, "line": 1 });
    let path = format!("/api/kits/{}/put-back", walk.kit);
    let (status, body) = walk.app.post(Warehouse, &path, elsewhere).await;
    assert_eq!((status, &body["code"]), (409, &json!("request_key.reused")));
}

#[actix_web::test]
async fn what_was_put_back_lies_where_it_came_from_and_is_to_be_taken_again() {
    let walk = Walk::begin().await;
    let before = walk.app.look(&format!("/api/pick-lists/{}", walk.list)).await;
    walk.app.walk(&walk.list).await;
    let (status, body) = walk.app.get(Owner, &format!("/api/pick-lists/{}/paper", walk.list)).await;
    assert!(status == 200 && body.as_str().is_some_and(|it| it.starts_with("%PDF-")));
    let done = walk.app.look(&format!("/api/pick-lists/{}", walk.list)).await;
    assert_eq!((&done["left"], &done["picked"]), (&json!(0), &before["left"]));
    let scan = json!({ "code": "PK110F", "request_key": key() });
    let path = format!("/api/pick-lists/{}/scans", walk.list);
    let (status, body) = walk.app.post(Warehouse, &path, scan).await;
    assert_eq!((status, &body["code"]), (409, &json!("picking.nothing_left")));

    let bench = walk.app.look(&format!("/api/kits/{}", walk.kit)).await;
    let mut lines: Vec<i64> = Vec::new();
    for carton in rows(&bench["cartons"]) {
        lines.extend(rows(&carton["lines"]).iter().filter_map(|it| it["line"].as_i64()));
    }
    let path = format!("/api/kits/{}/put-back", walk.kit);
    for line in lines {
        let (status, body) = walk.app.act(Warehouse, &path, json!({ "line": line })).await;
        assert_eq!(status, 200, "{body}");
    }
    let (status, body) = walk.app.act(Warehouse, &path, json!({ "line": 1 })).await;
    assert_eq!((status, &body["code"]), (409, &json!("picking.nothing_to_put_back")));
    let after = walk.app.look(&format!("/api/pick-lists/{}", walk.list)).await;
    let places = |view: &Value| -> Vec<(String, String, i64)> {
        let stops = rows(&view["stops"]).iter();
        stops
            .map(|it| {
                let quantity = it["quantity"].as_i64().expect("a number");
                (text(&it["bin"]), text(&it["part_number"]), quantity)
            })
            .collect()
    };
    assert_eq!(places(&after), places(&before));
}

#[actix_web::test]
async fn a_bin_that_holds_less_corrects_the_book_and_raises_the_alert() {
    let walk = Walk::begin().await;
    let stop = walk.stop_of("PK110F").await;
    let path = format!("/api/pick-lists/{}/bin-holds-less", walk.list);
    let count = |there: i64| json!({ "take": stop["takes"][0]["take"], "there": there });
    let (status, body) = walk.app.act(Warehouse, &path, count(10_000_000)).await;
    assert_eq!((status, &body["code"]), (422, &json!("picking.not_short")));
    let (status, body) = walk.app.act(Warehouse, &path, count(4)).await;
    assert_eq!(status, 200, "{body}");
    assert_snapshot!(told(&body), @"pick.book_corrected: P-05-2K: the book now says 4 of PK110F");
    let alerts = walk.app.look("/api/alerts").await;
    let mine = rows(&alerts).iter().find(|it| it["kit"] == walk.kit.as_str());
    let mine = mine.expect("the kit lacks the rest");
    let covered = format!("{} × {}, {}", mine["quantity"], mine["part"], mine["covered_by"]);
    assert_snapshot!(covered, @r#"2 × "Paper void fill, 1 m", "PO-26-162""#);
    assert_eq!(walk.stop_of("PK110F").await["quantity"], 4);
    let fork = walk.stop_of("FK104J").await;
    let body = json!({ "take": fork["takes"][0]["take"], "there": 0 });
    let (status, body) = walk.app.act(Warehouse, &path, body).await;
    assert_eq!((status, &body["code"]), (422, &json!("picking.serial_short")));
}

#[actix_web::test]
async fn a_kit_stands_on_one_list_only() {
    let walk = Walk::begin().await;
    let body = json!({ "kits": [walk.kit] });
    let (status, body) = walk.app.act(Warehouse, "/api/pick-lists", body).await;
    assert_eq!((status, &body["code"]), (409, &json!("picking.not_open")));
    let other = walk.app.kit_of("SO-26-0874").await;
    let body = json!({ "kits": [other, other] });
    let (status, body) = walk.app.act(Warehouse, "/api/pick-lists", body).await;
    assert_eq!((status, &body["code"]), (409, &json!("picking.not_open")));
    let lists = walk.app.look("/api/pick-lists").await;
    assert_eq!(rows(&lists).len(), 1, "a list that was refused leaves nothing behind");
    let pickable = walk.app.look("/api/picking/kits").await;
    assert!(rows(&pickable).iter().all(|it| it["kit"] != walk.kit.as_str()));
    assert!(rows(&pickable).iter().any(|it| it["kit"] == other.as_str()));
}

#[actix_web::test]
async fn a_scanner_that_triggers_twice_fills_one_tote_and_writes_nothing_off() {
    let app = TestApp::start();
    let kits = [app.kit_of(ORDER).await, app.kit_of("SO-26-0874").await];
    let list = app.pick_list(&[&kits[0], &kits[1]]).await;
    let view = app.look(&format!("/api/pick-lists/{list}")).await;
    let stop = find(&view["stops"], "part_number", "FR110M").clone();
    assert_eq!(rows(&stop["takes"]).len(), 2, "a stop that serves both totes");
    let take = &stop["takes"][0]["take"];
    let scan = json!({ "code": "FR110M", "take": take, "bin": stop["bin"] });
    let first = app.pick_scan(&list, scan.clone()).await;
    assert_eq!(first["code"], "pick.taken");
    let second = app.pick_scan(&list, scan).await;
    assert_snapshot!(told(&second), @"pick.take_done: that was taken already, or the walk has changed: look what comes next");
    let path = format!("/api/pick-lists/{list}/bin-holds-less");
    let (status, body) = app.act(Warehouse, &path, json!({ "take": take, "there": 0 })).await;
    assert_eq!((status, &body["code"]), (409, &json!("picking.take_done")));
    let view = app.look(&format!("/api/pick-lists/{list}")).await;
    assert_eq!(rows(&find(&view["stops"], "part_number", "FR110M")["takes"]).len(), 1);
}

#[actix_web::test]
async fn a_kit_that_nobody_has_begun_comes_off_its_list() {
    let walk = Walk::begin().await;
    let path = format!("/api/kits/{}/take-off", walk.kit);
    walk.at("PK1163", "PK1163", None).await;
    let (status, body) = walk.app.act(Warehouse, &path, json!({})).await;
    assert_eq!((status, &body["code"]), (409, &json!("picking.begun")));
    let kit = walk.app.look(&format!("/api/kits/{}", walk.kit)).await;
    let lines = rows(&kit["cartons"]).iter().flat_map(|it| rows(&it["lines"]));
    let line = lines.into_iter().find(|it| it["part_number"] == "PK1163").expect("it is there");
    let back = format!("/api/kits/{}/put-back", walk.kit);
    walk.app.act(Warehouse, &back, json!({ "line": line["line"] })).await;
    let (status, body) = walk.app.act(Warehouse, &path, json!({})).await;
    assert_eq!(status, 200, "{body}");
    let again = walk.app.pick_list(&[&walk.kit]).await;
    walk.app.walk(&again).await;
    walk.app.pack(&walk.kit).await;
    walk.app.seal(&walk.kit).await;
}
