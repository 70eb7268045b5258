//! What happened, told to other systems: every event is judged by the official schemas, and by what
//! the ledger says.

use std::collections::{BTreeMap, BTreeSet};

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Owner, Receiver, Warehouse};
use kitwright::exchange::epcis::judge;
use kitwright::exchange::ubl::read_advice;
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{rows, text};
use crate::support::referee::ask;

const ORDER: &str = "SO-26-0872";

/// Returns all events of the shop, page by page, and checks each page.
async fn all(app: &TestApp, limit: usize) -> Vec<Value> {
    let mut next = format!("/api/events?limit={limit}");
    let mut events = Vec::new();
    loop {
        let response = app.request(Some(Owner), Method::GET, &next).send().await.expect("a page");
        assert_eq!(response.status(), 200);
        assert_eq!(response.headers()["content-type"], "application/ld+json");
        let link = response.headers()["link"].to_str().expect("text").to_owned();
        let document: Value = response.json().await.expect("JSON");
        let page = rows(&document["epcisBody"]["eventList"]).to_vec();
        let (address, rel) = link.split_once(">; ").expect("a link");
        assert_eq!(rel, "rel=\"next\"");
        let address = address.trim_start_matches('<').to_owned();
        if address.split('&').next() == next.split('&').next() {
            assert_eq!(page, Vec::<Value>::new(), "the same cursor means that nothing is new");
            return events;
        }
        events.extend(page);
        next = address;
    }
}

fn document(events: &[Value]) -> Value {
    json!({
        "@context": ["https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"],
        "type": "EPCISDocument", "schemaVersion": "2.0", "creationDate": "2026-11-25T10:00:00Z",
        "epcisBody": { "eventList": events },
    })
}

/// Returns the documents' faults by the official schemas.
fn judged(lines: &[Value]) -> Vec<Vec<String>> {
    let faults = |it: &Value| rows(&it["faults"]).iter().map(text).collect();
    ask("schemas.py", lines).iter().map(faults).collect()
}

#[track_caller]
fn hold(documents: &[Value]) {
    for (document, faults) in documents.iter().zip(judged(documents)) {
        assert_eq!(faults, Vec::<String>::new(), "{document:#}");
    }
}

/// Says how many events there are of each kind, step and action.
fn counted(events: &[Value]) -> String {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for it in events {
        let error = if it["errorDeclaration"].is_null() { "" } else { " (error)" };
        let words = format!("{} {} {}{error}", it["type"], it["bizStep"], it["action"]);
        *counts.entry(words.replace('"', "").replace(" null", "")).or_default() += 1;
    }
    counts.iter().map(|(words, count)| format!("{count} × {words}\n")).collect()
}

fn ids(events: &[Value]) -> Vec<&str> {
    events.iter().map(|it| it["eventID"].as_str().expect("an id")).collect()
}

fn of_step<'a>(events: &'a [Value], step: &'a str) -> impl Iterator<Item = &'a Value> {
    events.iter().filter(move |it| it["bizStep"] == step)
}

async fn book(app: &TestApp, order: &str, count: Value) {
    let path = format!("/api/purchase-orders/{order}/counts");
    let (status, body) = app.act(Receiver, &path, count).await;
    assert_eq!(status, 201, "{body}");
}

#[actix_web::test]
async fn a_kit_from_the_shelf_to_the_carrier_holds_by_the_official_schemas() {
    let app = TestApp::start();
    let before = all(&app, 500).await;
    let kit = app.despatch(ORDER).await;
    let (status, of_kit) = app.get(Owner, &format!("/api/kits/{kit}/events")).await;
    assert_eq!(status, 200, "{of_kit}");
    hold(&[json!({ "epcis": of_kit })]);
    let events = rows(&of_kit["epcisBody"]["eventList"]).to_vec();
    assert_snapshot!(counted(&events), @"
    2 × AggregationEvent packing ADD
    43 × ObjectEvent picking OBSERVE
    1 × ObjectEvent shipping OBSERVE
    ");

    // All that was picked is in the cartons, by part and lot or piece by piece, and nothing else.
    let goods = |it: &Value, epcs: &str, amounts: &str| -> BTreeMap<String, i64> {
        let mut all = BTreeMap::new();
        for epc in it[epcs].as_array().into_iter().flatten() {
            *all.entry(text(epc)).or_default() += 1;
        }
        for amount in it[amounts].as_array().into_iter().flatten() {
            let count = amount["quantity"].as_i64().expect("a count");
            *all.entry(text(&amount["epcClass"])).or_default() += count;
        }
        all
    };
    let sum = |all: Vec<BTreeMap<String, i64>>| -> BTreeMap<String, i64> {
        let mut sums = BTreeMap::new();
        for (class, count) in all.into_iter().flatten() {
            *sums.entry(class).or_default() += count;
        }
        sums
    };
    let picked = of_step(&events, "picking").map(|it| goods(it, "epcList", "quantityList"));
    let packed = of_step(&events, "packing").map(|it| goods(it, "childEPCs", "childQuantityList"));
    assert_eq!(sum(picked.collect()), sum(packed.collect()));

    // The cartons that were packed are the ones that left, each under its SSCC.
    let parents: BTreeSet<&str> =
        of_step(&events, "packing").filter_map(|it| it["parentID"].as_str()).collect();
    let left = of_step(&events, "shipping").next().expect("it left");
    let left: BTreeSet<&str> = rows(&left["epcList"]).iter().filter_map(Value::as_str).collect();
    assert_eq!(parents, left);
    assert!(left.iter().all(|it| it.starts_with("https://id.gs1.org/00/09521234")), "{left:?}");

    // The shop's list goes on from where it was, tells the same, and tells it again alike.
    let after = all(&app, 500).await;
    assert_eq!(after[..before.len()], before[..]);
    assert_eq!(after[before.len()..], events[..]);
    let small = all(&app, 7).await;
    assert_eq!(ids(&small), ids(&after));
    assert_eq!(ids(&after).iter().collect::<BTreeSet<_>>().len(), after.len(), "each has its own");
    hold(&[json!({ "epcis": document(&after) })]);
}

#[actix_web::test]
async fn what_is_received_made_taken_apart_thrown_away_and_reversed_is_told() {
    let app = TestApp::start();
    let before = all(&app, 500).await.len();
    let lot = json!({ "line": 1, "good": 2000, "lot": "TF-2647", "use_by": "2027-11-30" });
    book(&app, "PO-26-156", lot).await;
    book(
        &app,
        "PO-26-141",
        json!({ "line": 1, "good": 1, "damaged": 1, "serials": ["PW-1", "4711"], "note": "bent" }),
    )
    .await;
    book(&app, "PO-26-162", json!({ "line": 1, "good": 60 })).await;
    let bags = json!({ "part_number": "HB106L", "pieces": 2 });
    let (status, run) = app.act(Warehouse, "/api/bench/runs", bags).await;
    assert_eq!(status, 201, "{run}");
    let run = text(&run["number"]);
    let path = format!("/api/bench/runs/{run}/take-apart");
    let (status, body) = app.act(Warehouse, &path, json!({ "pieces": 1 })).await;
    assert!(status < 300, "{body}");
    let part = app.look("/api/parts/PK101H").await;
    let movement = &rows(&part["movements"])[0]["movement"];
    let (status, body) =
        app.act(Owner, "/api/stock/reversals", json!({ "movement": movement })).await;
    assert_eq!(status, 201, "{body}");
    let scrap = json!({ "part_number": "PK1059", "from": "P-05-1N", "to": "scrap", "quantity": 1, "reason": "torn" });
    let bin = text(&rows(&app.look("/api/parts/PK1059").await["balances"])[0]["place"]);
    let mut scrap = scrap;
    scrap["from"] = json!(bin);
    let (status, body) = app.act(Owner, "/api/stock/corrections", scrap).await;
    assert_eq!(status, 201, "{body}");

    let events = all(&app, 3).await[before..].to_vec();
    hold(&[json!({ "epcis": document(&events) })]);
    assert_snapshot!(counted(&events), @"
    2 × ObjectEvent commissioning ADD
    1 × ObjectEvent creating_class_instance ADD
    1 × ObjectEvent destroying DELETE
    4 × ObjectEvent receiving OBSERVE
    1 × ObjectEvent receiving OBSERVE (error)
    1 × TransformationEvent creating_class_instance
    1 × TransformationEvent disassembling
    ");

    // The lot's number begins with its receipt, and says its last day.
    let lot = of_step(&events, "creating_class_instance").next().expect("the lot");
    assert_eq!(lot["ilmd"]["cbvmda:lotNumber"], "TF-2647");
    assert_eq!(lot["ilmd"]["cbvmda:itemExpirationDate"], "2027-11-30");
    // One fork is fit, the other set apart as damaged; a number in digits is one of GS1's.
    let forks: Vec<&Value> =
        of_step(&events, "receiving").filter(|it| it["epcList"].is_array()).collect();
    assert_eq!(forks[0]["epcList"][0], "https://box.skarnholt.example/id/part/FK101P/serial/PW-1");
    assert_eq!(forks[1]["epcList"][0], "https://id.gs1.org/8010/9521234FK101P/8011/4711");
    assert_eq!(
        (&forks[0]["disposition"], &forks[1]["disposition"]),
        (&json!("in_progress"), &json!("damaged"))
    );
    assert_eq!(
        forks[0]["bizTransactionList"][0]["bizTransaction"],
        "https://box.skarnholt.example/id/purchase-order/PO-26-141"
    );
    // What was reversed is told again under its own number, as an error.
    let wrong: Vec<&Value> = events.iter().filter(|it| !it["errorDeclaration"].is_null()).collect();
    assert_eq!(wrong.len(), 1);
    let first = events.iter().find(|it| it["eventID"] == wrong[0]["eventID"]).expect("the event");
    let mut again = wrong[0].clone();
    again.as_object_mut().expect("an event").remove("errorDeclaration");
    assert_eq!(&again, first, "an error declaration repeats the event");
    // Bags were made of their parts, and what came out of one went back.
    let made: Vec<&Value> =
        events.iter().filter(|it| it["type"] == "TransformationEvent").collect();
    assert_eq!(made[0]["outputQuantityList"], made[1]["inputQuantityList"].as_array().map(|_| json!([{ "epcClass": made[1]["inputQuantityList"][0]["epcClass"], "quantity": 2 }])).expect("a bag"));
    assert_eq!(made[1]["inputQuantityList"][0]["quantity"], 1);
}

#[actix_web::test]
async fn a_carton_that_is_opened_and_sealed_again_is_told_as_it_was() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let list = app.pick_list(&[&kit]).await;
    app.walk(&list).await;
    app.pack(&kit).await;
    app.seal(&kit).await;
    let sealed = all(&app, 500).await.len();
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    let line = rows(&bench["cartons"][0]["lines"])[0].clone();
    let path = format!("/api/kits/{kit}/take-out");
    let (status, body) = app.act(Warehouse, &path, json!({ "line": line["line"] })).await;
    assert_eq!(status, 200, "{body}");
    app.pack(&kit).await;
    let (status, body) =
        app.act(Warehouse, &format!("/api/kits/{kit}/cartons/1/seal"), json!({})).await;
    assert_eq!(status, 204, "{body}");
    let events = all(&app, 500).await[sealed..].to_vec();
    hold(&[json!({ "epcis": document(&events) })]);
    assert_snapshot!(counted(&events), @"
    1 × AggregationEvent packing ADD
    1 × AggregationEvent unpacking DELETE
    ");
    let (out, back) = (&events[0], &events[1]);
    assert_eq!(out["parentID"], back["parentID"]);
    assert_eq!(out["childQuantityList"], back["childQuantityList"]);
    assert_eq!(out["childEPCs"], back["childEPCs"]);
}

#[actix_web::test]
async fn a_wrong_cursor_or_limit_is_refused() {
    let app = TestApp::start();
    let wrong = async |query: &str| {
        let (status, body) = app.get(Owner, &format!("/api/events?{query}")).await;
        format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
    };
    assert_snapshot!(wrong("since=yesterday").await, @"422 events.since: since: 'yesterday' is neither a cursor, such as 120.3, nor a time with its zone, such as 2026-11-25T00:00:00Z");
    assert_snapshot!(wrong("since=-1.0").await, @"422 events.since: since: '-1.0' is neither a cursor, such as 120.3, nor a time with its zone, such as 2026-11-25T00:00:00Z");
    assert_snapshot!(wrong("limit=0").await, @"422 events.limit: limit: 0 is not from 1 to 2000 movements");
    let (_, from) = app.get(Owner, "/api/events?since=2026-11-26T00:00:00%2B01:00").await;
    assert_eq!(from["epcisBody"]["eventList"], json!([]), "nothing is of tomorrow");
}

#[actix_web::test]
async fn orders_and_despatch_advices_hold_by_the_official_schemas_and_spoiled_ones_do_not() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let (status, body) = app.get(Owner, &format!("/api/kits/{kit}/despatch-advice")).await;
    assert_eq!((status, text(&body["code"]).as_str()), (409, "ubl.not_left"));
    app.despatch(ORDER).await;
    let advice = text(&app.get(Owner, &format!("/api/kits/{kit}/despatch-advice")).await.1);
    let orders = app.look("/api/purchase-orders").await;
    let mut documents = vec![json!({ "ubl": advice })];
    for order in rows(&orders) {
        let path = format!("/api/purchase-orders/{}/order", text(&order["number"]));
        documents.push(json!({ "ubl": text(&app.get(Owner, &path).await.1) }));
    }
    hold(&documents);
    assert!(1 < documents.len());
    let bolts = text(&app.get(Owner, "/api/purchase-orders/PO-26-156/order").await.1);
    assert!(
        bolts.contains("<cbc:PriceAmount currencyID=\"USD\">0.15</cbc:PriceAmount>"),
        "{bolts}"
    );

    // Our own reader finds in it what was packed.
    let read = read_advice(advice.as_bytes()).expect("our own advice reads");
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    let packed: i64 = rows(&bench["cartons"])
        .iter()
        .flat_map(|it| rows(&it["lines"]))
        .filter_map(|it| it["packed"].as_i64())
        .sum();
    assert_eq!(read.lines.iter().map(|it| it.quantity.pieces()).sum::<i64>(), packed);
    assert!(read.lines.iter().all(|it| it.unit.starts_with("09521234")), "each in its carton");
    assert!(read.lines.iter().any(|it| !it.lot.is_empty()));
    assert!(read.lines.iter().any(|it| !it.serials.is_empty()));

    // A judge that takes anything proves nothing.
    let events = app.get(Owner, &format!("/api/kits/{kit}/events")).await.1;
    let spoil = |pointer: &str, to: Value| {
        let mut spoiled = events.clone();
        *spoiled.pointer_mut(pointer).expect("it is there") = to;
        assert!(!judge(&spoiled).is_empty(), "{pointer}");
        json!({ "epcis": spoiled })
    };
    let first = "/epcisBody/eventList/0";
    let spoiled = [
        spoil(&format!("{first}/bizStep"), json!("kitting")),
        spoil(&format!("{first}/eventTime"), json!("2026-11-25 09:30")),
        spoil(&format!("{first}/readPoint/id"), json!("H-04-4Z")),
        spoil(&format!("{first}/eventTimeZoneOffset"), json!("Z")),
        json!({ "ubl": advice.replacen("<cbc:IssueDate>2026-11-25", "<cbc:IssueDate>2026-11-31", 1) }),
        json!({ "ubl": advice.replacen("cbc:IssueDate>", "cbc:IssueDay>", 2) }),
        json!({ "ubl": advice.replacen("</cbc:ID>", "</cbc:ID><cbc:ID>2</cbc:ID>", 1) }),
    ];
    for (document, faults) in spoiled.iter().zip(judged(&spoiled)) {
        assert!(!faults.is_empty(), "{document:#} passes");
        if let Some(text) = document["ubl"].as_str() {
            assert!(read_advice(text.as_bytes()).is_err(), "{text}");
        }
    }
}

#[test]
fn the_schemas_judge_the_listed_documents_as_they_are_said_to() {
    let list = |text: &str| -> Vec<Value> {
        rows(&serde_json::from_str::<Value>(text).expect("JSON")["cases"]).to_vec()
    };
    let events = list(include_str!("../../data/epcis.json"));
    let papers = list(include_str!("../../data/ubl.json"));
    let lines: Vec<Value> = events
        .iter()
        .map(|it| json!({ "epcis": it["document"] }))
        .chain(papers.iter().map(|it| json!({ "ubl": it["document"] })))
        .collect();
    for (case, faults) in events.iter().chain(&papers).zip(judged(&lines)) {
        assert_eq!(faults.is_empty(), case["valid"] == true, "{}: {faults:?}", case["id"]);
    }
}
