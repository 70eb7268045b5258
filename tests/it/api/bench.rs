//! Bench work: runs made from stock, what stops them, what they hold, and taking them apart.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Buyer, Owner, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, key, rows, text};

const SKI_BAG: &str = "HB106L";
const BOLT: &str = "SK1074";

async fn make(app: &TestApp, run: Value) -> (u16, Value) {
    app.act(Warehouse, "/api/bench/runs", run).await
}

async fn made(app: &TestApp, run: Value) -> String {
    let (status, body) = make(app, run).await;
    assert_eq!(status, 201, "{body}");
    text(&body["number"])
}

fn refusal((status, body): (u16, Value)) -> String {
    format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
}

async fn apart(app: &TestApp, run: &str, body: Value) -> (u16, Value) {
    app.act(Warehouse, &format!("/api/bench/runs/{run}/take-apart"), body).await
}

async fn on_hand(app: &TestApp, part: &str) -> i64 {
    app.look(&format!("/api/parts/{part}")).await["part"]["on_hand"].as_i64().expect("a count")
}

/// Throws away what a bin holds of a lot, until `left` are there.
async fn leave(app: &TestApp, part: &str, bin: &str, lot: &str, left: i64) {
    let held = app.held(part, bin).await;
    let held = held.iter().find(|it| it["lot"] == lot || lot.is_empty()).expect("it lies there");
    let body = json!({
        "part_number": part, "from": bin, "to": "scrap", "lot": lot, "reason": "test",
        "quantity": held["quantity"].as_i64().expect("a count") - left,
    });
    let (status, body) = app.act(Owner, "/api/stock/corrections", body).await;
    assert_eq!(status, 201, "{body}");
}

#[actix_web::test]
async fn forty_ski_bags_take_their_parts_by_lot_and_carry_the_runs_number() {
    let app = TestApp::start();
    let plan = app.look(&format!("/api/bench/parts/{SKI_BAG}/plan?pieces=40")).await;
    assert_eq!(plan["lacks"], json!([]));
    let of = |part: &str| -> i64 {
        let takes = rows(&plan["takes"]).iter().filter(|it| it["part_number"] == part);
        takes.filter_map(|it| it["quantity"].as_i64()).sum()
    };
    let parts = [BOLT, "SK110E", "LE101J", "LE102H", "LE103F"];
    assert_eq!(parts.map(of), [320, 320, 80, 80, 80]);
    let first = find(&plan["takes"], "part_number", BOLT);
    assert_eq!((&first["lot"], &first["quantity"]), (&json!("TF-2629-512"), &json!(320)));

    let mut before = Vec::new();
    for part in parts {
        before.push(on_hand(&app, part).await);
    }
    let bags = on_hand(&app, SKI_BAG).await;
    let run = made(&app, json!({ "part_number": SKI_BAG, "pieces": 40 })).await;
    assert_eq!(run, "RN0000014");
    for (part, (before, used)) in parts.iter().zip(before.iter().zip([320, 320, 80, 80, 80])) {
        assert_eq!(on_hand(&app, part).await, before - used, "{part}");
    }
    assert_eq!(on_hand(&app, SKI_BAG).await, bags + 40);
    let shelf = app.held(SKI_BAG, "K-08-1G").await;
    assert!(shelf.iter().any(|it| it["lot"] == *run && it["quantity"] == 40), "{shelf:?}");
    let view = app.look(&format!("/api/bench/runs/{run}")).await;
    assert_eq!(rows(&view["parts"]).len(), 5, "four lots and one part that has none");
    assert_eq!(find(&view["parts"], "part_number", BOLT)["identity"], "TF-2629-512");
    assert_eq!(view["head"]["revision"], "A");

    let label = json!({ "kind": "lot", "ids": [format!("{SKI_BAG}/{run}")], "copies": 40 });
    let (status, _) = app.post(Warehouse, "/api/labels", label).await;
    assert_eq!(status, 200, "the labels of the run can be printed");
}

#[actix_web::test]
async fn the_kits_with_a_run_are_found() {
    let app = TestApp::start();
    for lot in ["RUN-SKI-46", "RUN-SKI-47"] {
        leave(&app, SKI_BAG, "K-08-1G", lot, 0).await;
    }
    let alerts = app.look("/api/alerts").await;
    let alert = find(&alerts, "part_number", SKI_BAG);
    assert!(0 < alert["make_now"]["possible"].as_i64().expect("a count"), "{alert}");
    assert_eq!(alert["make_now"]["stops"], json!([]));
    let short = alert["make_now"]["short"].clone();
    let listed = app.look("/api/bench/parts").await;
    assert_ne!(rows(&listed)[0]["short"], 0, "what kits wait for stands first");
    assert_eq!(find(&listed, "part_number", SKI_BAG)["short"], short);

    let run = made(&app, json!({ "part_number": SKI_BAG, "pieces": short })).await;
    let alerts = app.look("/api/alerts").await;
    assert!(rows(&alerts).iter().all(|it| it["part_number"] != SKI_BAG), "kits hold them now");
    let kit = app.despatch("SO-26-0872").await;
    let view = app.look(&format!("/api/bench/runs/{run}")).await;
    let all = short.as_i64().expect("a count");
    assert_eq!(
        view["kits"],
        json!([{ "kit": kit, "order": "SO-26-0872", "state": "despatched", "quantity": 1 }])
    );
    assert_eq!((&view["places"][0]["quantity"], &view["elsewhere"]), (&json!(all - 1), &json!(0)));
}

#[actix_web::test]
async fn a_shortage_is_an_answer_and_what_kits_hold_is_not_free() {
    let app = TestApp::start();
    leave(&app, BOLT, "H-04-4Z", "TF-2643-518", 0).await;
    leave(&app, BOLT, "H-04-4Z", "TF-2629-512", 136).await;
    let plan = app.look(&format!("/api/bench/parts/{SKI_BAG}/plan?pieces=20")).await;
    assert_snapshot!(text(&plan["words"]), @"parts for 17 of 20; Ski bolt M6x1.0 (x14) (SK1074) is 24 short");
    assert_snapshot!(plan["lacks"][0]["covered_by"], @r#""PO-26-156""#);
    let run = json!({ "part_number": SKI_BAG, "pieces": 20 });
    assert_snapshot!(refusal(make(&app, run).await), @"409 bench.short: parts for 17 of 20: Ski bolt M6x1.0 (x14) (SK1074) is 24 short");
    let run = json!({ "part_number": SKI_BAG, "pieces": 0 });
    assert_snapshot!(refusal(make(&app, run).await), @"422 bench.no_pieces: pieces: enter 1 or more");
    let run = json!({ "part_number": BOLT, "pieces": 1 });
    assert_snapshot!(refusal(make(&app, run).await), @"422 bench.not_made_here: SK1074 is not made here: no bill of materials makes it");
    let (status, _) =
        app.act(Buyer, "/api/bench/runs", json!({ "part_number": SKI_BAG, "pieces": 1 })).await;
    assert_eq!(status, 403);
}

#[actix_web::test]
async fn what_was_taken_and_lost_can_differ_from_the_plan() {
    let app = TestApp::start();
    let take = |part: &str, bin: &str, lot: &str, quantity: i64| {
        json!({
            "part_number": part, "bin": bin, "lot": lot, "quantity": quantity,
        })
    };
    let others = [
        take("SK110E", "H-05-3X", "TF-2643-212", 16),
        take("LE101J", "B-02-4U", "LC-2632-128", 4),
        take("LE102H", "H-04-24", "TF-2631-640", 4),
        take("LE103F", "H-02-56", "", 4),
    ];
    let run = |bolts: Value| {
        let takes: Vec<Value> =
            rows(&bolts).iter().cloned().chain(others.iter().cloned()).collect();
        json!({ "part_number": SKI_BAG, "pieces": 2, "takes": takes })
    };
    let few = run(json!([take(BOLT, "H-04-4Z", "TF-2643-518", 15)]));
    assert_snapshot!(refusal(make(&app, few).await), @"422 bench.wrong_take: SK1074: 16 go into the run, and 15 were taken");
    let strange = run(json!([take("MT108R", "H-01-1I", "", 16)]));
    assert_snapshot!(refusal(make(&app, strange).await), @"422 bench.not_in_run: MT108R is not a part of this run: check the number");
    let mut right = run(json!([
        take(BOLT, "H-04-4Z", "TF-2643-518", 10),
        take(BOLT, "H-04-4Z", "TF-2629-512", 6),
    ]));
    right["lost"] = json!([take(BOLT, "H-04-4Z", "TF-2643-518", 1)]);
    right["lost"][0]["reason"] = json!("");
    assert_snapshot!(refusal(make(&app, right.clone()).await), @"422 bench.lost_needs_reason: SK1074: write down how the pieces were lost");
    right["lost"][0]["reason"] = json!("fell through the grating");
    let before = on_hand(&app, BOLT).await;
    let number = made(&app, right).await;
    assert_eq!(on_hand(&app, BOLT).await, before - 17);
    let view = app.look(&format!("/api/bench/runs/{number}")).await;
    assert_eq!(view["lost"][0]["reason"], "fell through the grating");

    let two = json!({ "pieces": 1 });
    assert_snapshot!(refusal(apart(&app, &number, two).await), @"422 bench.which_lot: SK1074: the run drew from several lots: say how many come back of each, 10 at most of TF-2643-518, 6 at most of TF-2629-512");
    let back = |lot: &str, quantity: i64, to: &str| {
        json!({
            "part_number": BOLT, "lot": lot, "quantity": quantity, "to": to,
        })
    };
    let wrong = json!({ "pieces": 1, "back": [back("TF-2629-512", 8, "bin")] });
    assert_snapshot!(refusal(apart(&app, &number, wrong).await), @"422 bench.lot_used_up: SK1074: 8 of lot TF-2629-512 were entered, and the run still holds 6 of it");
    let right = json!({
        "pieces": 1,
        "back": [back("TF-2629-512", 6, "bin"), back("TF-2643-518", 1, "scrap"), back("TF-2643-518", 1, "quarantine")],
    });
    let (status, body) = apart(&app, &number, right).await;
    assert_eq!(status, 201, "{body}");
    assert_eq!(on_hand(&app, BOLT).await, before - 17 + 6, "quarantine is not on hand");
    // The second bag holds the rest, so nobody needs to say which lots come back.
    assert_eq!(apart(&app, &number, json!({ "pieces": 1 })).await.0, 201);
    assert_eq!(on_hand(&app, BOLT).await, before - 17 + 14);
    assert_snapshot!(refusal(apart(&app, &number, json!({ "pieces": 1 })).await), @"409 bench.too_many: 1 were to be taken apart, and 0 of the run 2 are left to take apart");
}

#[actix_web::test]
async fn a_fork_is_cut_once_and_keeps_its_serial_number() {
    let app = TestApp::start();
    let serial = "PD-T12-26-1600";
    let cut = |serials: Value, pieces: i64| {
        json!({
            "part_number": "FK104J", "pieces": pieces, "serials": serials,
        })
    };
    assert_snapshot!(refusal(make(&app, cut(json!([]), 1)).await), @"422 bench.serial_count: 1 pieces, and 0 serial numbers: scan each piece's serial number");
    assert_snapshot!(refusal(make(&app, cut(json!([serial, serial]), 2)).await), @"422 bench.serial_twice: serial number PD-T12-26-1600 was entered twice");
    assert_snapshot!(refusal(make(&app, cut(json!(["PD-NONE"]), 1)).await), @"409 bench.serial: FK101P: serial number PD-NONE is not known: read the piece again");
    let run = made(&app, cut(json!([format!("S{serial}")]), 1)).await;
    assert_snapshot!(refusal(make(&app, cut(json!([serial]), 1)).await), @"409 bench.serial: FK101P: serial number PD-T12-26-1600 is not in the house: it has been used or has left");
    assert_eq!(
        app.held("FK104J", "F-03-15").await.iter().filter(|it| it["serial"] == serial).count(),
        1
    );
    let view = app.look(&format!("/api/bench/runs/{run}")).await;
    assert_eq!(find(&view["parts"], "part_number", "FK101P")["piece"], serial);
    assert_eq!(view["places"][0]["serial"], serial);

    let movements = app.look("/api/parts/FK104J").await["movements"].clone();
    assert_eq!(movements[0]["reversible"], false);
    let body = json!({ "movement": movements[0]["movement"] });
    let (status, body) = app.act(Owner, "/api/stock/reversals", body).await;
    assert_eq!((status, &body["code"]), (409, &json!("bench.belongs_to_run")), "{body}");

    let back = json!([{ "part_number": "FK101P", "quantity": 1, "to": "quarantine" }]);
    let body = json!({ "pieces": 1, "serials": [serial], "back": back });
    let (status, body) = apart(&app, &run, body).await;
    assert_eq!(status, 201, "{body}");
    let uncut = app.look("/api/parts/FK101P").await;
    let held = find(&uncut["balances"], "serial", serial).clone();
    assert_eq!(held["kind"], "quarantine");
    let again = json!({ "pieces": 1, "serials": [serial] });
    assert_eq!(apart(&app, &run, again).await.1["code"], "bench.too_many");
}

#[actix_web::test]
async fn a_run_sent_twice_is_made_once() {
    let app = TestApp::start();
    let mut run = json!({ "request_key": key(), "part_number": "HB103R", "pieces": 5 });
    let before = on_hand(&app, "HB103R").await;
    let first = app.post(Warehouse, "/api/bench/runs", run.clone()).await;
    assert_eq!(first.0, 201, "{}", first.1);
    assert_eq!(app.post(Warehouse, "/api/bench/runs", run.clone()).await, first);
    assert_eq!(on_hand(&app, "HB103R").await, before + 5);
    run["pieces"] = json!(6);
    let (status, body) = app.post(Warehouse, "/api/bench/runs", run).await;
    assert_eq!((status, &body["code"]), (409, &json!("request_key.reused")));
    assert_eq!(rows(&app.look("/api/bench/runs").await).len(), 1);
}

#[actix_web::test]
async fn bags_that_kits_wait_for_ask_for_their_parts_on_the_reorder_list() {
    let app = TestApp::start();
    for lot in ["RUN-SKI-46", "RUN-SKI-47"] {
        leave(&app, SKI_BAG, "K-08-1G", lot, 0).await;
    }
    leave(&app, BOLT, "H-04-4Z", "TF-2643-518", 0).await;
    let desk = app.look("/api/reorder").await;
    let bag = find(&desk["made"], "part_number", SKI_BAG);
    let bolt = app.look(&format!("/api/reorder/parts/{BOLT}")).await["suggestion"].clone();
    let waited_for = bag["needed"].as_i64().expect("a count");
    assert!(0 < waited_for, "{bag}");
    assert_eq!(bolt["to_be_made"], json!(8 * waited_for));
    assert!(text(&bolt["because"]).contains("go into bags and sets yet to be made"), "{bolt}");
}
