//! Who may do what: nobody without a token, and each role its own work.

use kitwright::domain::people::Role::{self, Buyer, Owner, Receiver, Warehouse};
use reqwest::Method;
use serde_json::json;

use super::document::operations;
use crate::support::app::TestApp;
use crate::support::builders::key;

const EVERYBODY: &[Role] = &[Warehouse, Receiver, Buyer, Owner];
const FLOOR: &[Role] = &[Warehouse, Owner];
const OFFICE: &[Role] = &[Owner];

/// Each operation that takes a token, and the roles that may do it.
const MAY: &[(&str, &str, &[Role])] = &[
    ("GET", "/api/parts", EVERYBODY),
    ("GET", "/api/parts/{part_number}", EVERYBODY),
    ("PUT", "/api/parts/{part_number}", OFFICE),
    ("PUT", "/api/suppliers/{code}", OFFICE),
    ("PUT", "/api/bins/{code}", OFFICE),
    ("GET", "/api/bills-of-materials", EVERYBODY),
    ("GET", "/api/bills-of-materials/{code}", EVERYBODY),
    ("GET", "/api/bills-of-materials/{code}/{revision}", EVERYBODY),
    ("GET", "/api/bills-of-materials/{code}/{revision}/compare/{other}", EVERYBODY),
    ("GET", "/api/bills-of-materials/{code}/{revision}/cost", EVERYBODY),
    ("POST", "/api/bills-of-materials/{code}/{revision}/release", OFFICE),
    ("GET", "/api/parts/{part_number}/where-used", EVERYBODY),
    ("GET", "/api/kits/{number}/newer-bills", EVERYBODY),
    ("GET", "/api/kits/{number}/substitutions", EVERYBODY),
    ("POST", "/api/kits/{number}/substitutions", OFFICE),
    ("GET", "/api/parts/{part_number}/substitutions", EVERYBODY),
    ("POST", "/api/kits/{number}/newer-bills", OFFICE),
    ("GET", "/api/trace", EVERYBODY),
    ("GET", "/api/trace/letters", OFFICE),
    ("POST", "/api/stock/corrections", OFFICE),
    ("POST", "/api/stock/reversals", OFFICE),
    ("POST", "/api/imports/{kind}", OFFICE),
    ("GET", "/api/exports/{kind}", OFFICE),
    ("GET", "/api/events", EVERYBODY),
    ("GET", "/api/kits/{number}/events", EVERYBODY),
    ("GET", "/api/kits/{number}/despatch-advice", EVERYBODY),
    ("GET", "/api/purchase-orders/{number}/order", EVERYBODY),
    ("POST", "/api/despatch-advices", &[Receiver, Buyer, Owner]),
    ("GET", "/api/despatch-advices/units/{number}", EVERYBODY),
    ("GET", "/api/orders", EVERYBODY),
    ("GET", "/api/orders/{number}", EVERYBODY),
    ("POST", "/api/orders/reserve", OFFICE),
    ("POST", "/api/orders/{number}/cancel", OFFICE),
    ("GET", "/api/alerts", EVERYBODY),
    ("GET", "/api/picking/kits", EVERYBODY),
    ("GET", "/api/pick-lists", EVERYBODY),
    ("POST", "/api/pick-lists", FLOOR),
    ("GET", "/api/pick-lists/{number}", EVERYBODY),
    ("POST", "/api/pick-lists/{number}/scans", FLOOR),
    ("POST", "/api/pick-lists/{number}/bin-holds-less", FLOOR),
    ("GET", "/api/pick-lists/{number}/paper", EVERYBODY),
    ("GET", "/api/kits/{number}", EVERYBODY),
    ("GET", "/api/kits/{number}/fit", EVERYBODY),
    ("POST", "/api/kits/{number}/put-back", FLOOR),
    ("POST", "/api/kits/{number}/take-off", FLOOR),
    ("POST", "/api/kits/{number}/scans", FLOOR),
    ("POST", "/api/kits/{number}/take-out", FLOOR),
    ("POST", "/api/kits/{number}/short", FLOOR),
    ("POST", "/api/kits/{number}/not-short", FLOOR),
    ("POST", "/api/kits/{number}/cartons/{position}/seal", FLOOR),
    ("POST", "/api/kits/{number}/hand-over", FLOOR),
    ("GET", "/api/kits/{number}/cartons/{position}/packing-list", EVERYBODY),
    ("GET", "/api/kits/{number}/assembly-card", EVERYBODY),
    ("GET", "/api/torques", EVERYBODY),
    ("POST", "/api/torques/settle", OFFICE),
    ("GET", "/api/kits/{number}/box-link", EVERYBODY),
    ("GET", "/api/bench/parts", EVERYBODY),
    ("GET", "/api/bench/parts/{part_number}/plan", EVERYBODY),
    ("GET", "/api/bench/runs", EVERYBODY),
    ("POST", "/api/bench/runs", FLOOR),
    ("GET", "/api/bench/runs/{number}", EVERYBODY),
    ("POST", "/api/bench/runs/{number}/take-apart", FLOOR),
    ("GET", "/api/purchase-orders", EVERYBODY),
    ("GET", "/api/purchase-orders/{number}", EVERYBODY),
    ("GET", "/api/purchase-orders/{number}/paper", EVERYBODY),
    ("GET", "/api/purchase-orders/{number}/goods-receipt", EVERYBODY),
    ("POST", "/api/purchase-orders/{number}/note", &[Buyer, Owner]),
    ("POST", "/api/purchase-orders/{number}/counts", &[Receiver, Owner]),
    ("POST", "/api/purchase-orders/{number}/label", EVERYBODY),
    ("POST", "/api/purchase-orders/{number}/codes", &[Receiver, Owner]),
    ("GET", "/api/supplier-codes", EVERYBODY),
    ("POST", "/api/supplier-codes/{id}/confirmations", &[Receiver, Buyer, Owner]),
    ("DELETE", "/api/supplier-codes/{id}", &[Receiver, Buyer, Owner]),
    ("GET", "/api/reorder", &[Buyer, Owner]),
    ("GET", "/api/reorder/classes", &[Buyer, Owner]),
    ("GET", "/api/reorder/releases", EVERYBODY),
    ("GET", "/api/reorder/parts/{part_number}", &[Buyer, Owner]),
    ("POST", "/api/reorder/orders", &[Buyer, Owner]),
    ("POST", "/api/reorder/put-off", &[Buyer, Owner]),
    ("GET", "/api/reorder/parts/{part_number}/runway", EVERYBODY),
    ("GET", "/api/reorder/shortages", EVERYBODY),
    ("GET", "/api/reorder/wall", EVERYBODY),
    ("POST", "/api/reorder/cards", &[Buyer, Owner]),
    ("GET", "/api/reorder/spend", &[Buyer, Owner]),
    ("GET", "/api/reorder/dead-stock", &[Buyer, Owner]),
    ("GET", "/api/leaving", EVERYBODY),
    ("POST", "/api/leaving", OFFICE),
    ("POST", "/api/leaving/promise", EVERYBODY),
    ("PUT", "/api/policies/{for}", &[Buyer, Owner]),
    ("PUT", "/api/plan/{kit}/{month}", &[Buyer, Owner]),
    ("GET", "/api/purchasing/orders", &[Buyer, Owner]),
    ("GET", "/api/purchasing/orders/{number}", &[Buyer, Owner]),
    ("GET", "/api/purchasing/late", &[Buyer, Owner]),
    ("GET", "/api/purchasing/limit", &[Buyer, Owner]),
    ("PUT", "/api/purchasing/limit", OFFICE),
    ("POST", "/api/purchasing/drafts", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/lines", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/lines/{line}/close", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/lines/{line}/reopen", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/approve", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/sent", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/mail", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/confirm", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/chase", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/cancel", &[Buyer, Owner]),
    ("POST", "/api/purchasing/orders/{number}/charges", &[Buyer, Owner]),
    ("GET", "/api/purchasing/orders/{number}/charges", &[Buyer, Owner]),
    ("GET", "/api/stock-value", &[Buyer, Owner]),
    ("GET", "/api/stock-value/paper", &[Buyer, Owner]),
    ("GET", "/api/stock-value/file", &[Buyer, Owner]),
    ("POST", "/api/labels", EVERYBODY),
    ("GET", "/api/labels/prints", EVERYBODY),
    ("GET", "/api/printers", EVERYBODY),
    ("POST", "/api/printers", OFFICE),
    ("PUT", "/api/printers/{id}", OFFICE),
    ("POST", "/api/printers/{id}/try", OFFICE),
    ("GET", "/api/print-jobs", EVERYBODY),
    ("POST", "/api/print-jobs", EVERYBODY),
    ("GET", "/api/print-jobs/{id}", EVERYBODY),
    ("GET", "/api/print-jobs/{id}/document", EVERYBODY),
    ("POST", "/api/print-jobs/{id}/cancel", EVERYBODY),
    ("POST", "/api/print-jobs/{id}/retry", EVERYBODY),
    ("POST", "/api/print-jobs/{id}/answer", EVERYBODY),
    ("GET", "/api/messages", OFFICE),
    ("GET", "/api/messages/{id}", OFFICE),
    ("POST", "/api/messages/{id}/retry", OFFICE),
    ("POST", "/api/messages/{id}/give-up", OFFICE),
    ("POST", "/api/messages/{id}/answer", OFFICE),
    ("GET", "/api/people", OFFICE),
    ("POST", "/api/people", OFFICE),
    ("POST", "/api/people/{login}/active", OFFICE),
    ("POST", "/api/people/{login}/password", OFFICE),
    ("GET", "/api/tokens", OFFICE),
    ("POST", "/api/tokens", OFFICE),
    ("DELETE", "/api/tokens/{id}", OFFICE),
];

/// Returns an address with something in each of its blanks.
fn filled(path: &str) -> String {
    let parts = path.split('/').map(|it| match it {
        "{position}" | "{id}" | "{line}" => "1",
        it if it.starts_with('{') => "nothing-of-this-name",
        it => it,
    });
    parts.collect::<Vec<_>>().join("/")
}

#[actix_web::test]
async fn each_role_may_do_its_own_work_and_no_other() {
    let app = TestApp::start();
    for (method, path, may) in MAY {
        let method: Method = method.parse().expect("a method");
        let path = filled(path);
        let (status, body) = app.send(app.request(None, method.clone(), &path)).await;
        assert_eq!((status, &body["code"]), (401, &json!("people.signed_out")), "{path}");
        for role in Role::ALL {
            // Revoking the first token as the owner would end the walk.
            if method == Method::DELETE && role == Owner {
                continue;
            }
            let (status, body) = app.send(app.request(Some(role), method.clone(), &path)).await;
            let refused = (status, &body["code"]) == (403, &json!("people.forbidden"));
            assert_eq!(!refused, may.contains(&role), "{role:?} {method} {path}: {status} {body}");
        }
    }
}

#[actix_web::test]
async fn the_table_above_names_each_operation() {
    let app = TestApp::start();
    let mut described: Vec<(String, String)> = operations(&app.look("/openapi.json").await)
        .into_iter()
        .map(|(method, path, _)| (method.to_string(), path))
        .filter(|(_, path)| !path.starts_with("/api/box/"))
        .collect();
    let mut named: Vec<(String, String)> =
        MAY.iter().map(|it| (it.0.to_owned(), it.1.to_owned())).collect();
    described.sort();
    named.sort();
    assert_eq!(named, described);
}

#[actix_web::test]
async fn a_token_opens_until_it_is_revoked_or_its_person_leaves() {
    let app = TestApp::start();
    let orders = |token: String| {
        let request = app.request(None, Method::GET, "/api/alerts");
        app.send(request.header("authorization", format!("bearer {token}")))
    };
    let new =
        json!({ "login": "nell", "name": "Nell", "role": "receiver", "password": "0123456789" });
    assert_eq!(app.post(Owner, "/api/people", new.clone()).await.0, 204);
    let (status, body) = app.post(Owner, "/api/people", new).await;
    assert_eq!((status, &body["code"]), (409, &json!("people.login_taken")));

    let device = json!({ "login": "nell", "device": "dock scanner" });
    let (status, made) = app.post(Owner, "/api/tokens", device.clone()).await;
    assert_eq!(status, 201);
    let token = made["token"].as_str().expect("a token").to_owned();
    assert_eq!(orders(token.clone()).await.0, 200);
    let tokens = app.look("/api/tokens").await;
    assert_eq!(tokens[0]["device"], "dock scanner");
    assert!(!tokens.to_string().contains(&token), "a token is shown once");
    let path = format!("/api/tokens/{}", tokens[0]["id"]);
    assert_eq!(app.send(app.request(Some(Owner), Method::DELETE, &path)).await.0, 204);
    assert_eq!(orders(token).await.0, 401);

    let (_, made) = app.post(Owner, "/api/tokens", device).await;
    let token = made["token"].as_str().expect("a token").to_owned();
    let off = json!({ "active": false });
    assert_eq!(app.post(Owner, "/api/people/nell/active", off.clone()).await.0, 204);
    assert_eq!(orders(token).await.0, 401);
    let (status, body) = app.post(Owner, "/api/people/owner/active", off).await;
    assert_eq!((status, &body["code"]), (409, &json!("people.own_account")));
}

#[actix_web::test]
async fn an_unreadable_body_tells_a_stranger_nothing() {
    let app = TestApp::start();
    let path = "/api/stock/corrections";
    let body = json!({ "request_key": key(), "nonsense": 1 });
    let (status, _) = app.send(app.request(None, Method::POST, path).json(&body)).await;
    assert_eq!(status, 401);
    assert_eq!(app.post(Buyer, path, body.clone()).await.0, 403);
    assert_eq!(app.post(Owner, path, body).await.0, 422);
}
