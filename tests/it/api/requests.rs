//! Requests that can't be read: each is answered as a problem that says what and how to mend it.

use insta::assert_snapshot;
use kitwright::domain::people::Role::Owner;
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{key, text as text_of};

const LISTS: &str = "/api/pick-lists";

/// Sends a text and returns the answer in one line: status, code and title.
async fn sent(app: &TestApp, method: &str, path: &str, kind: &str, text: &str) -> String {
    let request = app.request(Some(Owner), method.parse().expect("a method"), path);
    let request = request.header("content-type", kind).body(text.to_owned());
    let response = request.send().await.expect("an answer");
    let (status, headers) = (response.status(), response.headers().clone());
    assert_eq!(headers["content-type"], "application/problem+json");
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(body["status"], status.as_u16());
    let allow = headers.get("allow").map_or("", |it| it.to_str().expect("text"));
    let (code, title) = (text_of(&body["code"]), text_of(&body["title"]));
    let line = format!("{} {code}: {title}", status.as_u16());
    if allow.is_empty() { line } else { format!("{line} [{allow}]") }
}

#[actix_web::test]
async fn says_what_is_wrong_with_a_body() {
    let app = TestApp::start();
    let json = |text| sent(&app, "POST", LISTS, "application/json", text);
    assert_snapshot!(json("{").await, @"400 request.malformed_json: the body is no JSON: EOF while parsing an object at line 1 column 1");
    assert_snapshot!(json("").await, @"400 request.malformed_json: the body is no JSON: EOF while parsing a value at line 1 column 0");
    assert_snapshot!(json("[1]").await, @"422 request.wrong_field: the body is not what this address takes: invalid type: integer `1`, expected a string at line 1 column 2");
    assert_snapshot!(json(r#"{"request_key":"12345678","kits":[],"kit":1}"#).await, @"422 request.wrong_field: the body is not what this address takes: unknown field `kit`, expected `request_key` or `kits` at line 1 column 41");
    assert_snapshot!(json(r#"{"request_key":"12345678"}"#).await, @"422 request.wrong_field: the body is not what this address takes: missing field `kits` at line 1 column 26");
    assert_snapshot!(json(r#"{"request_key":"short","kits":["KT0000131"]}"#).await, @"422 request_key.form: request_key: make one of 8 to 100 visible ASCII characters for each request, such as a random UUID");
    assert_snapshot!(json(r#"{"request_key":"12345678","kits":[]}"#).await, @"422 picking.no_kits: kits: choose at least one kit");
    assert_snapshot!(sent(&app, "POST", LISTS, "text/plain", "{}").await, @"415 request.content_type: send the body with content type application/json, not 'text/plain'");
    let huge = format!("{{\"request_key\":\"{}\"}}", "k".repeat(300_000));
    assert_snapshot!(json(&huge).await, @"413 request.too_large: the body has more than 262144 bytes: send less at once");
    let huge = "x".repeat(9 * 1024 * 1024);
    assert_snapshot!(sent(&app, "POST", "/api/imports/parts", "text/csv", &huge).await, @"413 request.too_large: the body has more than 8388608 bytes: send less at once");
}

#[actix_web::test]
async fn says_what_is_wrong_with_an_address() {
    let app = TestApp::start();
    let get = |path| sent(&app, "GET", path, "application/json", "");
    assert_snapshot!(get("/api/nothing").await, @"404 request.no_address: there is no '/api/nothing': /openapi.json lists the addresses");
    assert_snapshot!(get("/api").await, @"404 request.no_address: there is no '/api': /openapi.json lists the addresses");
    assert_snapshot!(get("/api/parts?p=fork").await, @"422 request.wrong_query: the query after '?' can't be read: unknown field `p`, expected `q` or `after`");
    assert_snapshot!(get("/api/pick-lists?all=perhaps").await, @"422 request.wrong_query: the query after '?' can't be read: provided string was not `true` or `false`");
    assert_snapshot!(get("/api/kits/KT0000131/cartons/first/packing-list").await, @r#"404 request.wrong_path: '/api/kits/KT0000131/cartons/first/packing-list' is no address here: can not parse "first" to a u32"#);
    assert_snapshot!(get("/api/orders/SO-1").await, @"404 not_found: there is no order 'SO-1': check the number");
    assert_snapshot!(get("/api/parts/MT108Q").await, @"404 not_found: there is no part number 'MT108Q': check the number");
    assert_snapshot!(get("/api/exports/bolts").await, @"404 files.unknown_kind: 'bolts' is no kind of file: write one of parts, suppliers, bins, stock, kits, glossary, air-charts, substitutions, policies, plan, demand-history, orders, purchase-orders");
    assert_snapshot!(sent(&app, "DELETE", LISTS, "text/plain", "").await, @"405 request.wrong_method: '/api/pick-lists' takes GET, POST, not DELETE [GET, POST]");
    assert_snapshot!(sent(&app, "PATCH", "/api/parts/MT108R", "text/plain", "").await, @"405 request.wrong_method: '/api/parts/MT108R' takes GET, PUT, not PATCH [GET, PUT]");
}

#[actix_web::test]
async fn a_large_file_without_a_token_is_answered_unread() {
    let app = TestApp::start();
    let request = app.request(None, Method::POST, "/api/imports/parts");
    let request = request.header("content-type", "text/csv").body("x".repeat(9 * 1024 * 1024));
    let (status, body) = app.send(request).await;
    assert_eq!((status, &body["code"]), (401, &json!("people.signed_out")));
}

#[actix_web::test]
async fn a_quantity_below_zero_or_past_ten_million_is_refused_everywhere() {
    let app = TestApp::start();
    for quantity in [json!(-1), json!(10_000_001), json!(1.5), json!("4"), json!(i64::MAX)] {
        let count = json!({ "request_key": key(), "line": 1, "good": quantity, "damaged": 10 });
        let (status, body) = app.post(Owner, "/api/purchase-orders/PO-26-162/counts", count).await;
        assert_eq!((status, &body["code"]), (422, &json!("request.wrong_field")), "{body}");
    }
}

#[actix_web::test]
async fn the_character_that_no_text_may_hold_is_refused_everywhere() {
    let app = TestApp::start();
    let json = |text| sent(&app, "POST", LISTS, "application/json", text);
    assert_snapshot!(json(r#"{"request_key":"12345678","kits":["KT\u0000"]}"#).await, @"422 request.nul: a text of the body has the character U+0000: leave it out");
    assert_snapshot!(json(r#"{"request_key":"12345678","kits":["KT\\u0000"]}"#).await, @r"404 not_found: there is no kit 'KT\u0000': check the number");
    let get = |path| sent(&app, "GET", path, "application/json", "");
    assert_snapshot!(get("/api/orders/SO%00").await, @"400 request.nul: the address has the character U+0000 (%00): leave it out");
    assert_snapshot!(get("/api/parts?q=%00").await, @"400 request.nul: the address has the character U+0000 (%00): leave it out");
    let form = app.request(None, Method::POST, "/sign-in");
    let form = form.header("content-type", "application/x-www-form-urlencoded");
    let (status, page) = app.send(form.body("name=a%00b&password=c&next=")).await;
    assert!(status < 500 && page.to_string().contains("password is wrong"), "{status} {page}");
}
