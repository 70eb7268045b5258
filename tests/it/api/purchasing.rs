//! The life of a purchase order over HTTP, what its deliveries cost, and what the stock is worth.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{self, Buyer, Owner, Receiver};
use kitwright::ops::outbox::{self, MailServerEntry};
use kitwright::store::Who;
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};
use crate::support::decode::look;
use crate::support::referee::ask;

async fn tell(app: &TestApp, role: Role, path: &str, body: Value) -> String {
    let (status, body) = app.act(role, path, body).await;
    match body["words"].as_str() {
        Some(words) => words.to_owned(),
        None => format!("{status} {}: {}", text(&body["code"]), text(&body["title"])),
    }
}

async fn draft(app: &TestApp, supplier: &str, lines: Value) -> String {
    let body = json!({ "supplier": supplier, "lines": lines });
    let (status, body) = app.act(Buyer, "/api/purchasing/drafts", body).await;
    match status {
        201 => text(&body["number"]),
        _ => format!("{status} {}: {}", text(&body["code"]), text(&body["title"])),
    }
}

async fn raw(app: &TestApp, path: &str) -> Vec<u8> {
    let answer = app.request(Some(Buyer), Method::GET, path).send().await.expect("an answer");
    assert_eq!(answer.status(), 200, "{path}");
    answer.bytes().await.expect("bytes").to_vec()
}

/// The parts of Trennick Fasteners: pinch bolts in packs of 500, M5 bolts.
#[actix_web::test]
async fn an_order_goes_from_draft_to_the_last_delivery() {
    let app = TestApp::start();
    let bolts = json!([{ "part_number": "HS1148", "quantity": 1000, "reason": "season",
        "price_per_thousand_cents": 10_500 }]);
    let number = draft(&app, "HP", bolts.clone()).await;
    assert!(number.starts_with("422 purchasing.other_supplier"), "{number}");
    let odd = json!([{ "part_number": "HS1148", "quantity": 7 }]);
    let refused = draft(&app, "TF", odd).await;
    assert!(refused.starts_with("422 purchasing.no_whole_packs"), "{refused}");
    let number = draft(&app, "TF", bolts.clone()).await;
    assert_eq!(draft(&app, "TF", bolts).await, number, "the open draft takes more");
    let at = format!("/api/purchasing/orders/{number}");
    let line = app.look(&at).await["lines"][0].clone();
    assert_eq!((&line["ordered"], &line["amount_cents"]), (&json!(2000), &json!(21_000)), "{line}");
    let due = app.look("/api/purchase-orders").await;
    assert!(rows(&due).iter().all(|it| it["number"] != *number), "a draft is not on its way");
    let part = app.look("/api/parts/HS1148").await;
    assert!(!part.to_string().contains(&number), "nor does it end a shortage");

    let path = |act: &str| format!("{at}/{act}");
    let count = json!({ "line": 1, "good": 10 });
    let counted =
        tell(&app, Receiver, &format!("/api/purchase-orders/{number}/counts"), count).await;
    assert!(counted.starts_with("422 receiving.not_sent"), "{counted}");
    assert_snapshot!(tell(&app, Buyer, &path("sent"), json!({ "words": "by post" })).await, @"409 purchasing.state: purchase order PO00001 is draft: have it approved first");
    assert_snapshot!(tell(&app, Owner, &path("approve"), json!({})).await, @"422 purchasing.below_minimum: it comes to 210, and the supplier takes orders from 500 on: order more, or say that they take it all the same");
    let agreed = json!({ "below_minimum_agreed": true });
    assert_snapshot!(tell(&app, Buyer, &path("approve"), agreed.clone()).await, @"422 purchasing.own_work: who wrote or changed it does not approve it: ask another buyer or the owner");
    assert_snapshot!(tell(&app, Owner, &path("approve"), agreed).await, @"purchase order PO00001: revision 1 approved, USD 210.00");
    assert_snapshot!(tell(&app, Buyer, &path("mail"), json!({})).await, @"409 outbox.no_server: the shop has no mail server yet: the owner names one under Messages");
    let server = MailServerEntry {
        server: Some("127.0.0.1:9".to_owned()),
        security: Some("none".to_owned()),
        from: Some("shop@skarnholt.example".to_owned()),
        ..MailServerEntry::default()
    };
    let named = app.books().write(Who::Program, |tx| outbox::set_mail_server(tx, &server));
    named.expect("the server is named");
    assert_snapshot!(tell(&app, Buyer, &path("mail"), json!({})).await, @"purchase order PO00001: revision 1 sent to orders@trennick.example by e-mail; Messages says when it has left");
    let messages = app.look("/api/messages").await;
    let mail = find(&messages, "about", &format!("purchase order {number}")).clone();
    assert_snapshot!(format!("{} {} {}", mail["address"], mail["subject"], mail["files"]).replace(&number, "PO"), @r#""orders@trennick.example" "Purchase order PO, Skarnholt Works" ["PO.pdf","PO.xml"]"#);

    // The supplier promises; a change makes the next revision, and the promise is void.
    let promise = json!([{ "line": 1, "quantity": 1500, "promised_on": "2026-12-20" }]);
    let promise = json!({ "reference": "AB 17", "lines": promise });
    assert_snapshot!(tell(&app, Buyer, &path("confirm"), promise.clone()).await.replace(&number, "PO"), @"purchase order PO confirmed by AB 17: line 1: 1500 on 2026-12-20");
    assert_eq!(app.look(&at).await["state"], "confirmed");
    let less = json!({ "line": 1, "quantity": 1000 });
    assert_snapshot!(tell(&app, Buyer, &path("lines"), less).await.replace(&number, "PO"), @"purchase order PO, line 1, HS1148: 1000 pieces instead of 2000");
    let now = app.look(&at).await;
    assert_eq!(
        (&now["state"], &now["revision"], &now["changed"]),
        (&json!("sent"), &json!(2), &json!(true))
    );
    assert!(tell(&app, Buyer, &path("confirm"), promise).await.starts_with("409 purchasing.state"));
    tell(&app, Owner, &path("approve"), json!({})).await;
    tell(&app, Buyer, &path("mail"), json!({})).await;
    let xml = String::from_utf8(raw(&app, &format!("/api/purchase-orders/{number}/order")).await);
    let xml = xml.expect("text");
    for part in ["<OrderChange ", "SequenceNumberID>1<", "LineStatusCode>Revised<", "BaseQuantity"]
    {
        assert!(xml.contains(part), "{part} in {xml}");
    }
    let pdf = raw(&app, &format!("/api/purchase-orders/{number}/paper")).await;

    // A part of it comes; what has come is not changed, the rest is closed.
    let counts = format!("/api/purchase-orders/{number}/counts");
    let count = json!({ "line": 1, "good": 400, "delivery_note": "D 1", "lot": "L1" });
    assert_snapshot!(tell(&app, Receiver, &counts, count).await, @"HS1148: 400 booked, short by 600");
    assert_eq!(app.look(&at).await["state"], "partly received");
    for (edit, code) in [
        (json!({ "line": 1, "quantity": 0 }), "has_come"),
        (json!({ "line": 1, "quantity": 2000, "price_cents": 9 }), "price_has_come"),
    ] {
        let answer = tell(&app, Buyer, &path("lines"), edit).await;
        assert!(answer.starts_with(&format!("422 purchasing.{code}")), "{answer}");
    }
    assert!(tell(&app, Buyer, &path("cancel"), json!({ "words": "x" })).await.starts_with("409"));
    let close = json!({ "words": "the maker stopped it" });
    assert_snapshot!(tell(&app, Buyer, &path("lines/1/close"), close).await.replace(&number, "PO"), @"purchase order PO, line 1, HS1148: closed, 600 will not come: the maker stopped it");
    assert_eq!(app.look(&at).await["state"], "closed short");
    let history = app.look(&at).await["history"].clone();
    let kinds: Vec<String> = rows(&history).iter().rev().map(|it| text(&it["kind"])).collect();
    assert_eq!(
        kinds.join(", "),
        "drafted, changed, changed, approved, sent, confirmed, changed, approved, sent, line closed"
    );

    let seen = look("purchase-order-change", &pdf).words;
    assert!(seen.contains("Change 1: it takes the place"), "{seen}");
    assert!(seen.contains("1.05") && seen.contains("for 10"), "{seen}");
    let judged = ask("schemas.py", &[json!({ "ubl": xml })]);
    assert_eq!(judged[0]["faults"], json!([]), "{xml}");
}

/// Trade page: demo orders due before the shop's day, 25 November 2026, are none; PO-26-156 is due
/// on the 27th and was sent on the 6th, so nobody has confirmed it for 19 days.
#[actix_web::test]
async fn late_lines_name_who_waits_and_a_supplier_is_asked_once_a_day() {
    let app = TestApp::start();
    let late = app.look("/api/purchasing/late").await;
    let told = find(&late, "part_number", "SK1074");
    assert_eq!((&told["kind"], &told["days"]), (&json!("unconfirmed"), &json!(19)), "{told}");
    let badge = find(&late, "part_number", "FR110M");
    assert_eq!(rows(&badge["waiting"]).len(), 2, "{badge}");
    let path = "/api/purchasing/orders/PO-26-156/chase";
    let asked = json!({ "words": "called them: on the lorry" });
    assert_snapshot!(tell(&app, Buyer, path, asked.clone()).await, @"Trennick Fasteners was asked by hand about PO-26-156");
    assert_snapshot!(tell(&app, Buyer, path, asked).await, @"409 purchasing.chased: Trennick Fasteners was asked about PO-26-156 today: say why they are asked again, or wait");
    let again = json!({ "words": "called", "again_because": "a kit leaves today" });
    assert_snapshot!(tell(&app, Buyer, path, again).await, @"Trennick Fasteners was asked by hand about PO-26-156");
    let late = app.look("/api/purchasing/late").await;
    let told = find(&late, "part_number", "SK1074");
    assert_eq!(told["chased_on"], json!(["2026-11-25", "2026-11-25"]));
}

/// Worked by hand: PK101H is opened with the catalogue's 8.90 each. 60 come at 8.90 (534.00) with
/// freight 10.00, PK110F 100 at 0.07 (7.00) on the same note; by value freight is 9.87 and 0.13.
#[actix_web::test]
async fn charges_add_up_and_the_month_ties_to_the_ledger() {
    let app = TestApp::start();
    let counts = "/api/purchase-orders/PO-26-162/counts";
    for (line, good) in [(1, 60), (3, 100)] {
        let count = json!({ "line": line, "good": good, "delivery_note": "D 9" });
        tell(&app, Receiver, counts, count).await;
    }
    let charges = "/api/purchasing/orders/PO-26-162/charges";
    let freight = json!({ "delivery_note": "D 9", "kind": "freight", "amount_cents": 1000,
        "basis": "value", "document": "F 1" });
    assert_snapshot!(tell(&app, Buyer, charges, freight.clone()).await, @"freight of 10.00 shared among PK101H, PK110F by value");
    let mut wrong = freight;
    wrong["basis"] = json!("size");
    assert_snapshot!(tell(&app, Buyer, charges, wrong).await, @"422 purchasing.charge: basis: take value, mass or pieces, not 'size'");
    let shares = app.look(charges).await[0]["shares"].clone();
    assert_eq!((&shares[0]["amount_cents"], &shares[1]["amount_cents"]), (&json!(987), &json!(13)));
    app.despatch("SO-26-0872").await;
    let part = app.look("/api/parts/PK110F").await;
    let first = find(&part["movements"], "from", "supplier").clone();
    let back = json!({ "movement": first["movement"] });
    assert_eq!(app.act(Owner, "/api/stock/reversals", back).await.0, 201, "{first}");
    for method in ["average", "fifo"] {
        let it = app.look(&format!("/api/stock-value?month=2026-11&method={method}")).await;
        assert_eq!(it["ties"], true, "{}", it["total"]);
        // Received 534.00, as the 7.00 were booked wrongly; freight 10.00, of which the 0.13 on them
        // are a variance.
        let of = |line: &Value, kind: usize| line["changes_cents"][kind].as_i64().expect("cents");
        let total = &it["total"];
        assert_eq!((of(total, 0), of(total, 1), of(total, 7)), (53_400, 1_000, -13));
        // 164 + 60 cartons, or however many lay there, cost what they cost together.
        let carton = find(&it["lines"], "part_number", "PK101H");
        let pieces = |kind: usize| carton["changes_pieces"][kind].as_i64().expect("pieces");
        let (found, shipped) = (pieces(6), -pieces(4));
        assert_eq!(shipped, 1);
        assert_eq!(of(carton, 6), 890 * found);
        let all = 890 * found + 53_400 + 987;
        let each = match method {
            "average" => (2 * all + (found + 60)) / (2 * (found + 60)),
            _ => 890,
        };
        assert_eq!(of(carton, 4), -each);
        assert_eq!(carton["closing_cents"], json!(all - each));
        let next = app.look(&format!("/api/stock-value?month=2026-12&method={method}")).await;
        assert_eq!(next["total"]["opening_cents"], total["closing_cents"]);
        assert_eq!(next["ties"], true);
        let file = format!("/api/stock-value/file?month=2026-11&method={method}");
        let file = String::from_utf8(raw(&app, &file).await).expect("text");
        let row = file.lines().find(|it| it.starts_with("PK101H,")).expect("its row");
        assert!(row.ends_with(&format!(",{0}", carton["ledger_pieces"])), "{row}");
    }
    let pdf = raw(&app, "/api/stock-value/paper?month=2026-11").await;
    let (status, body) = app.get(Buyer, "/api/stock-value?month=soon").await;
    assert_eq!((status, &body["code"]), (422, &json!("valuation.month")));
    let (status, body) = app.get(Buyer, "/api/stock-value?method=lifo").await;
    assert_eq!((status, &body["code"]), (422, &json!("valuation.method")));
    let words = look("stock-value", &pdf).words;
    assert!(words.contains("they tie") && words.contains("PK101H"), "{words}");
}
