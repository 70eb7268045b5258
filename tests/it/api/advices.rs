//! Suppliers' despatch advices: read, matched, taken in once, counted, and what is wrong with one.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{self, Buyer, Owner, Receiver, Warehouse};
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

/// A line of an advice: our line, pieces, the lot, and elements that name the part.
type Line<'a> = (&'a str, &'a str, &'a str, &'a str);

const BOLTS: Line<'_> = ("1", "2000", "TF-2647", "");
const LEASH_BOLTS: Line<'_> = ("2", "1500", "TF-2650", "");
pub const SSCC: &str = "395212340000000014";

/// Returns an advice of the supplier of PO-26-156, whose first line lies in one box.
pub fn advice(number: &str, order: &str, lines: &[Line<'_>]) -> String {
    let lines: String = (1..)
        .zip(lines)
        .map(|(nth, (line, pieces, lot, part))| {
            let unit = if nth == 1 {
                format!("<cac:Shipment><cbc:ID>S1</cbc:ID><cac:TransportHandlingUnit><cbc:ID>{SSCC}</cbc:ID></cac:TransportHandlingUnit></cac:Shipment>")
            } else {
                String::new()
            };
            format!(
                "<cac:DespatchLine><cbc:ID>{nth}</cbc:ID>\
                 <cbc:DeliveredQuantity unitCode=\"H87\">{pieces}</cbc:DeliveredQuantity>\
                 <cac:OrderLineReference><cbc:LineID>{line}</cbc:LineID></cac:OrderLineReference>\
                 <cac:Item><cbc:Name>x</cbc:Name>{part}<cac:ItemInstance><cac:LotIdentification>\
                 <cbc:LotNumberID>{lot}</cbc:LotNumberID></cac:LotIdentification></cac:ItemInstance>\
                 </cac:Item>{unit}</cac:DespatchLine>\n"
            )
        })
        .collect();
    let space = "urn:oasis:names:specification:ubl:schema:xsd:";
    format!(
        "<DespatchAdvice xmlns=\"{space}DespatchAdvice-2\" \
         xmlns:cac=\"{space}CommonAggregateComponents-2\" \
         xmlns:cbc=\"{space}CommonBasicComponents-2\">\n<cbc:ID>{number}</cbc:ID>\
         <cbc:IssueDate>2026-11-25</cbc:IssueDate>\n<cac:OrderReference><cbc:ID>{order}</cbc:ID>\
         </cac:OrderReference><cac:DespatchSupplierParty><cac:Party><cac:PartyName><cbc:Name>\
         Trennick Fasteners</cbc:Name></cac:PartyName></cac:Party></cac:DespatchSupplierParty>\
         <cac:DeliveryCustomerParty/>\n{lines}</DespatchAdvice>\n"
    )
}

async fn send(app: &TestApp, role: Role, query: &str, text: &str) -> (u16, Value) {
    let request = app.request(Some(role), Method::POST, &format!("/api/despatch-advices{query}"));
    app.send(request.header("content-type", "application/xml").body(text.to_owned())).await
}

/// Sends an advice; returns the answer in words.
async fn said(app: &TestApp, text_of: &str) -> String {
    let (status, body) = send(app, Buyer, "", text_of).await;
    if let Some(words) = body["words"].as_str() {
        let notes = rows(&body["notes"]).iter().map(|it| format!("\nnote: {}", text(it)));
        return format!("{status} {words}{}", notes.collect::<String>());
    }
    let faults = body["faults"].as_array().cloned().unwrap_or_default();
    let faults = faults
        .iter()
        .map(|it| format!("\n{} {}: {}", it["line"], text(&it["column"]), text(&it["message"])));
    let (code, title) = (text(&body["code"]), text(&body["title"]));
    format!("{status} {code}: {title}{}", faults.collect::<String>())
}

async fn announced(app: &TestApp, order: &str) -> Vec<Value> {
    rows(&app.look(&format!("/api/purchase-orders/{order}")).await["announced"]).to_vec()
}

async fn book(app: &TestApp, count: Value) -> (u16, Value) {
    app.act(Receiver, "/api/purchase-orders/PO-26-156/counts", count).await
}

#[actix_web::test]
async fn an_advice_is_looked_at_taken_in_once_and_counted() {
    let app = TestApp::start();
    let text_of = advice("ASN-55", "PO-26-156", &[BOLTS, LEASH_BOLTS]);
    let (status, looked) = send(&app, Receiver, "?dry_run=true", &text_of).await;
    assert_eq!(status, 200, "{looked}");
    assert_eq!(rows(&looked["lines"]).len(), 2);
    assert!(announced(&app, "PO-26-156").await.is_empty(), "to look changes nothing");

    assert_snapshot!(said(&app, &text_of).await, @"201 advice ASN-55 of Trennick Fasteners: 3500 pieces announced; nothing is booked until they are counted");
    assert_snapshot!(said(&app, &text_of).await, @"200 advice ASN-55 of Trennick Fasteners was taken in on 2026-11-25 by Teodor Lindqvale: nothing was changed");
    assert_snapshot!(said(&app, &text_of.replace("2000", "1999")).await, @"409 advices.other_content: another advice ASN-55 of Trennick Fasteners was taken in on 2026-11-25 by Teodor Lindqvale: ask Trennick Fasteners for one with a number of its own");
    let all = announced(&app, "PO-26-156").await;
    let (bolts, leash) = (&all[0], &all[1]);
    assert_eq!(
        (&bolts["quantity"], &bolts["lot"], &bolts["unit"]),
        (&json!(2000), &json!("TF-2647"), &json!(SSCC))
    );
    assert_eq!((&leash["quantity"], &leash["unit"]), (&json!(1500), &json!("")));
    let order = app.look("/api/purchase-orders/PO-26-156").await;
    assert_eq!(order["lines"][0]["received"], 0, "an advice books nothing");

    // The box is found by its number, and by what a scanner reads from its label.
    for code in [SSCC.to_owned(), format!("%5DC100{SSCC}")] {
        let found = app.look(&format!("/api/despatch-advices/units/{code}")).await;
        assert_eq!(found, json!({ "unit": SSCC, "orders": ["PO-26-156"] }));
    }
    assert_eq!(app.get(Owner, "/api/despatch-advices/units/1").await.0, 404);

    // What was counted is booked, and says how it differs from what was announced.
    let count = |good: i64, announced: &Value| json!({ "line": 1, "good": good, "lot": "TF-2647", "announced": announced });
    let (status, body) = book(&app, count(1998, &leash["announced"])).await;
    assert_eq!((status, text(&body["code"]).as_str()), (404, "not_found"), "another line's");
    let (status, body) = book(&app, count(1998, &bolts["announced"])).await;
    assert_eq!(status, 201, "{body}");
    assert_snapshot!(text(&body["words"]), @"SK1074: 1998 booked, short by 2; advice ASN-55 says 2000");
    assert_eq!(announced(&app, "PO-26-156").await[0]["booked"], true);
    let (status, body) = book(&app, count(2, &bolts["announced"])).await;
    assert_eq!(status, 409);
    assert_snapshot!(text(&body["title"]), @"SK1074: what advice ASN-55 announces here has been booked: load the page anew");

    // A booking that is reversed waits again.
    let part = app.look("/api/parts/SK1074").await;
    let movement = json!({ "movement": rows(&part["movements"])[0]["movement"] });
    assert_eq!(app.act(Owner, "/api/stock/reversals", movement).await.0, 201);
    assert_eq!(announced(&app, "PO-26-156").await[0]["booked"], false);
    let (status, body) = book(&app, count(2000, &bolts["announced"])).await;
    assert_eq!(status, 201, "{body}");
    assert_snapshot!(text(&body["words"]), @"SK1074: 2000 booked, complete, as advice ASN-55 says");
}

#[actix_web::test]
async fn lines_are_matched_by_whatever_names_the_part() {
    let app = TestApp::start();
    let orders = app.look("/api/purchase-orders").await;
    let order = find(&orders, "number", "PO-26-156");
    let item = text(&order["lines"][1]["supplier_item"]);
    let by = |name: &str, id: &str| {
        format!(
            "<cac:{name}ItemIdentification><cbc:ID>{id}</cbc:ID></cac:{name}ItemIdentification>"
        )
    };
    let one = async |number: &str, line: &str, part: String| {
        said(&app, &advice(number, "PO-26-156", &[(line, "10", "L-1", &part)])).await
    };
    assert_snapshot!(one("A1", "9", by("Buyers", "LE102H")).await, @"
    201 advice A1 of Trennick Fasteners: 10 pieces announced; nothing is booked until they are counted
    note: line 1: PO-26-156 has no line '9'; it is taken as line 2 by its part, LE102H
    ");
    assert_snapshot!(one("A2", "", by("Sellers", &item)).await, @"
    201 advice A2 of Trennick Fasteners: 10 pieces announced; nothing is booked until they are counted
    note: line 1: it names no line of ours; it is taken as line 2 by its part, LE102H
    ");
    assert_snapshot!(one("A3", "1", by("Sellers", "NEVER-SEEN")).await, @"
    201 advice A3 of Trennick Fasteners: 10 pieces announced; nothing is booked until they are counted
    note: line 1: their item NEVER-SEEN is not known here yet; it is taken as SK1074 by our line number
    ");
    assert_snapshot!(one("A4", "1", by("Buyers", "LE102H")).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    4 DespatchLine[1]: it refers to our line 1, which is SK1074, and names our LE102H: ask which is meant
    ");
    assert_snapshot!(one("A5", "1", by("Buyers", "SK107X")).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    4 DespatchLine[1]: 'SK107X' is no part number of ours: ask which is meant
    ");
    assert_snapshot!(one("A6", "9", String::new()).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    4 DespatchLine[1]: PO-26-156 has no line '9', and nothing says which part it is: ask for our line or part number
    ");
    assert_snapshot!(one("A7", "9", by("Buyers", "FR110M")).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    4 DespatchLine[1]: our FR110M is not on purchase order PO-26-156: ask why it is sent
    ");
    let both = by("Buyers", "SK1074") + &by("Sellers", &item);
    assert_snapshot!(one("A8", "1", both).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    4 DespatchLine[1]: our SK1074 and their 12714-00 are two parts: ask which is meant
    ");

    // A GTIN counts once two people have said what it is.
    let gtin = "<cac:StandardItemIdentification><cbc:ID>09520123456788</cbc:ID></cac:StandardItemIdentification>";
    assert!(one("A9", "9", gtin.to_owned()).await.starts_with("422"), "nobody knows it yet");
    let code = json!({ "kind": "gtin", "code": "09520123456788", "line": 1 });
    for role in [Receiver, Owner] {
        let (status, body) =
            app.act(role, "/api/purchase-orders/PO-26-156/codes", code.clone()).await;
        assert!(status < 300, "{body}");
    }
    assert_snapshot!(one("A9", "9", gtin.to_owned()).await, @"
    201 advice A9 of Trennick Fasteners: 10 pieces announced; nothing is booked until they are counted
    note: line 1: PO-26-156 has no line '9'; it is taken as line 1 by its part, SK1074
    ");
}

#[actix_web::test]
async fn what_is_wrong_or_odd_is_said_and_nothing_of_it_taken() {
    let app = TestApp::start();
    let of = async |lines: &[Line<'_>]| said(&app, &advice("B1", "PO-26-156", lines)).await;
    assert_snapshot!(of(&[("1", "-5", "L-1", ""), ("7", "1", "L-1", "")]).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    4 DespatchLine[1]/DeliveredQuantity: -5 is below zero: nobody sends fewer than no pieces
    ");
    assert_snapshot!(of(&[]).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    1 : <DespatchLine> is missing in DespatchAdvice: ask for it
    ");
    assert_snapshot!(of(&[("1", "0", "L-1", "")]).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    1 DespatchLine: it announces no piece: there is nothing to wait for
    ");
    assert_snapshot!(said(&app, &advice("B1", "PO-1", &[BOLTS])).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    1 OrderReference/ID: there is no purchase order 'PO-1': check with them
    ");
    let text_of = advice("B1", "PO-26-156", &[BOLTS]);
    assert_snapshot!(said(&app, &text_of.replace(" unitCode=\"H87\"", "")).await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    4 DespatchLine[1]/DeliveredQuantity: unitCode is missing: 12 of what? Ask for C62, H87 or EA for pieces
    ");
    let two =
        "</cac:OrderReference><cac:OrderReference><cbc:ID>PO-26-162</cbc:ID></cac:OrderReference>";
    assert_snapshot!(said(&app, &text_of.replace("</cac:OrderReference>", two)).await, @"422 advices.two_suppliers: its purchase orders went to Trennick Fasteners and to Harledge Packaging: an advice comes from one supplier");
    assert_snapshot!(said(&app, "no XML").await, @"
    422 import.faults: the file has 1 fault, and nothing was imported
    1 : there is text outside the document
    ");
    assert_eq!(announced(&app, "PO-26-156").await, Vec::<Value>::new());

    // Odd, and taken: the receiver is told what to look at.
    let odd = advice("B2", "PO-26-156", &[("1", "2100", "", ""), ("2", "1", "L", "")]);
    let odd =
        odd.replace("Trennick Fasteners", "Somebody else").replace(SSCC, "395212340000000015");
    let odd = odd.replacen(
        "<cbc:LotNumberID></cbc:LotNumberID>",
        "<cbc:ExpiryDate>2025-01-01</cbc:ExpiryDate>",
        1,
    );
    assert_snapshot!(said(&app, &odd).await, @"
    201 advice B2 of Trennick Fasteners: 2101 pieces announced; nothing is booked until they are counted
    note: it comes from Somebody else, and the purchase order went to Trennick Fasteners
    note: line 1: SK1074 is tracked by lot, and none is named: read the label
    note: line 1: SK1074: 2025-01-01 is past, and the pieces may not be booked
    note: line 1: 395212340000000015 is no SSCC, its check digit is wrong: a scan will not find it
    note: SK1074: announced 2100, still to come 2000: 100 more than was ordered
    ");
    assert_snapshot!(of(&[("1", "1", "L-9", "")]).await, @"
    201 advice B1 of Trennick Fasteners: 1 piece announced; nothing is booked until it is counted
    note: SK1074: announced 1, 2100 were announced before, still to come 2000: 101 more than was ordered
    ");
}

#[actix_web::test]
async fn only_who_buys_or_receives_sends_one_as_xml_and_not_too_long() {
    let app = TestApp::start();
    let text_of = advice("C1", "PO-26-156", &[BOLTS]);
    assert_eq!(send(&app, Warehouse, "", &text_of).await.0, 403);
    let request = app.request(Some(Owner), Method::POST, "/api/despatch-advices");
    let (status, body) = app.send(request.header("content-type", "text/csv").body("x")).await;
    assert_eq!((status, &body["code"]), (415, &json!("request.content_type")));
    let long = " ".repeat(1024 * 1024 + 1);
    let (status, body) = send(&app, Owner, "", &long).await;
    assert_eq!((status, &body["code"]), (413, &json!("request.too_large")));
}
