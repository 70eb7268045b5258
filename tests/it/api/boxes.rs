//! The box at the rider's: its signed link, and what is said through it.

use insta::assert_snapshot;
use kitwright::ops::RequestKey;
use kitwright::ops::verification::all_here;
use kitwright::store::Who;
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{key, rows, text};

const ORDER: &str = "SO-26-0872";

async fn link(app: &TestApp, kit: &str) -> String {
    let url = text(&app.look(&format!("/api/kits/{kit}/box-link")).await["url"]);
    let path = url.strip_prefix("https://box.skarnholt.example").expect("the shop's own address");
    format!("/api{path}")
}

async fn open(app: &TestApp, link: &str) -> (u16, Value) {
    app.send(app.request(None, Method::GET, link)).await
}

async fn say(app: &TestApp, link: &str, lines: Value) -> (u16, Value) {
    let body = json!({ "request_key": key(), "lines": lines });
    app.send(app.request(None, Method::POST, link).json(&body)).await
}

fn line_of(view: &Value, part: &str) -> Value {
    let lines = rows(&view["steps"]).iter().flat_map(|it| rows(&it["lines"]));
    lines.into_iter().find(|it| it["part_number"] == part).expect("the box holds it").clone()
}

#[actix_web::test]
async fn whoever_opens_the_box_reports_and_the_order_shows_it() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let link = link(&app, &kit).await;
    let (status, early) = open(&app, &link).await;
    assert_eq!((status, &early["despatched"]), (200, &json!(false)));
    let (status, body) = say(&app, &link, json!([{ "line": 1, "outcome": "here" }])).await;
    assert_eq!((status, &body["code"]), (409, &json!("report.not_despatched")));

    app.despatch(ORDER).await;
    let (_, view) = open(&app, &link).await;
    assert!(!view.to_string().contains("Østervang"), "the link names nobody");
    let (badge, saddle) = (line_of(&view, "FR110M"), line_of(&view, "FK104J"));
    let lines = json!([
        { "line": badge["line"], "outcome": "missing", "note": "no badge in the bag" },
        { "line": saddle["line"], "outcome": "damaged", "quantity": 1 },
    ]);
    let (status, view) = say(&app, &link, lines).await;
    assert_eq!(status, 200, "{view}");
    assert_eq!(line_of(&view, "FR110M")["outcome"], "missing");
    assert_eq!(view["finished"], false);
    let order = app.look(&format!("/api/orders/{ORDER}")).await;
    let told: Vec<String> = rows(&order["alerts"])
        .iter()
        .map(|it| format!("{} {}: {}", text(&it["cause"]), text(&it["part"]), text(&it["note"])))
        .collect();
    assert_snapshot!(told.join("\n"), @"
    reported_missing Head badge: no badge in the bag
    reported_damaged Fork, cut, race and star nut in (T12 M, steerer 195):
    ");
    assert_snapshot!(text(&order["kits"][0]["receiver"]), @"0 of 34 lines confirmed, 1 missing, 1 damaged");

    let found =
        json!([{ "line": badge["line"], "outcome": "here", "note": "it was in the manual" }]);
    assert_eq!(say(&app, &link, found).await.0, 200);
    let order = app.look(&format!("/api/orders/{ORDER}")).await;
    assert_eq!(rows(&order["alerts"]).len(), 1, "the newest word counts");

    let every: Vec<Value> = rows(&view["steps"])
        .iter()
        .flat_map(|it| rows(&it["lines"]))
        .map(|it| json!({ "line": it["line"], "outcome": "here" }))
        .collect();
    let (_, view) = say(&app, &link, json!(every)).await;
    assert_eq!(view["finished"], true);
    let cells = rows(&view["strip"]["cells"]);
    assert!(cells.iter().all(|it| it["done"] == it["total"]), "{cells:#?}");
}

#[actix_web::test]
async fn confirming_a_step_overruled_what_was_reported_missing() {
    let app = TestApp::start();
    let kit = app.despatch(ORDER).await;
    let link = link(&app, &kit).await;
    let (_, view) = open(&app, &link).await;
    let badge = line_of(&view, "FR110M");
    let (_, view) =
        say(&app, &link, json!([{ "line": badge["line"], "outcome": "missing" }])).await;
    let step = rows(&view["steps"])
        .iter()
        .find(|it| rows(&it["lines"]).contains(&line_of(&view, "FR110M")));
    let step = step.and_then(|it| it["number"].as_u64()).expect("a step needs the badge");
    let step = u32::try_from(step).expect("steps are few");
    let again: RequestKey = key().parse().expect("a key");
    for _ in 0..2 {
        let said = app.books().write(Who::Receiver, |tx| all_here(tx, &again, &kit, step));
        said.expect("the step is confirmed, and the same request answers alike");
    }
    let (_, view) = open(&app, &link).await;
    assert_eq!(line_of(&view, "FR110M")["outcome"], "missing");
    assert_eq!(line_of(&view, "FR105G")["outcome"], "here");
}

#[actix_web::test]
async fn a_report_is_taken_whole_or_not_at_all() {
    let app = TestApp::start();
    let kit = app.despatch(ORDER).await;
    let link = link(&app, &kit).await;
    let wrong = async |second: Value| {
        let lines = json!([{ "line": 2, "outcome": "missing" }, second]);
        let (status, body) = say(&app, &link, lines).await;
        format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
    };
    assert_snapshot!(wrong(json!({ "line": 999, "outcome": "here" })).await, @"422 report.not_in_box: this part is not in the box: scan the code on the packing list again");
    assert_snapshot!(wrong(json!({ "line": 1, "outcome": "lost" })).await, @"422 report.outcome: outcome: 'lost' is not here, missing or damaged");
    assert_snapshot!(wrong(json!({ "line": 1, "outcome": "missing", "quantity": 5 })).await, @"422 report.quantity: the box should hold 1 of these: enter from 1 to 1, not 5");
    assert_snapshot!(wrong(json!({ "line": 1, "outcome": "missing", "quantity": 0 })).await, @"422 report.quantity: the box should hold 1 of these: enter from 1 to 1, not 0");
    let long = "a".repeat(1001);
    assert_snapshot!(wrong(json!({ "line": 1, "outcome": "here", "note": long })).await, @"422 report.long_note: the note has 1001 characters: shorten it to 1000");
    let (_, view) = open(&app, &link).await;
    let lines = rows(&view["steps"]).iter().flat_map(|it| rows(&it["lines"]));
    assert!(lines.into_iter().all(|it| it["outcome"] == ""), "nothing was taken");
}

#[actix_web::test]
async fn a_link_with_one_wrong_character_opens_nothing() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let right = link(&app, &kit).await;
    let other = app.kit_of("SO-26-0874").await;
    let wrong_kit = right.replace(&kit, &other);
    let expires = right.split('/').nth(4).expect("its last day").to_owned();
    let later = right.replace(&expires, "20991231");
    let short: String = right.chars().take(right.len() - 1).collect();
    for path in [wrong_kit, later, short] {
        let (status, body) = open(&app, &path).await;
        assert_eq!((status, &body["code"]), (404, &json!("link.wrong")), "{path}");
        let (status, body) = say(&app, &path, json!([])).await;
        assert_eq!((status, &body["code"]), (404, &json!("link.wrong")), "{path}");
    }
}
