//! What a scan of a printed label tells: which print it is, whether it is void, where its piece
//! went, and how many pieces it states.

use kitwright::domain::people::Role::{Owner, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{rows, text};
use crate::support::decode::look;
use crate::support::desk::Desk;

/// Returns the first take of a walk whose part is tracked like that and that takes so many at least.
async fn stop(app: &TestApp, list: &str, tracking: &str, least: i64) -> (Value, Value) {
    let view = app.look(&format!("/api/pick-lists/{list}")).await;
    for stop in rows(&view["stops"]) {
        let take = rows(&stop["takes"])[0].clone();
        if stop["tracking"] == tracking && least <= take["quantity"].as_i64().expect("a count") {
            return (stop.clone(), take["take"].clone());
        }
    }
    panic!("no stop of {list} is tracked by {tracking}");
}

/// Prints a label and returns what a reader finds on it.
async fn print(app: &TestApp, kind: &str, id: &str, name: &str) -> Vec<String> {
    let body = json!({ "kind": kind, "ids": [id] });
    let request = app.request(Some(Warehouse), reqwest::Method::POST, "/api/labels").json(&body);
    let answer = request.send().await.expect("an answer");
    assert_eq!(answer.status(), 200);
    let seen = look(name, &answer.bytes().await.expect("a PDF"));
    seen.symbols[0].iter().map(|it| it.text.clone()).collect()
}

/// Returns code and words of an answer, with what the demo shop's days are called left in.
fn said(answer: &Value) -> (String, String) {
    (text(&answer["code"]), text(&answer["words"]))
}

#[actix_web::test]
async fn a_label_that_was_printed_again_is_void_and_a_used_number_tells_where_it_went() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    let (stop, take) = stop(&app, &list, "serial", 1).await;
    let (part, bin) = (text(&stop["part_number"]), text(&stop["bin"]));
    let serial = text(&app.held(&part, &bin).await[0]["serial"]);
    let id = format!("{part}/{serial}");
    let bars = format!("S{serial}");
    assert_eq!(print(&app, "serial", &id, "print-1").await, [bars.clone(), format!("{bars}+Z1")]);
    assert_eq!(print(&app, "serial", &id, "print-2").await, [bars.clone(), format!("{bars}+Z2")]);

    app.pick_scan(&list, json!({ "code": bin, "take": take })).await;
    let scan = async |code: String| {
        let scan = json!({ "code": code, "take": take, "bin": bin });
        app.pick_scan(&list, scan).await
    };
    let (code, words) = said(&scan(format!("{bars}+Z1")).await);
    assert_eq!(code, "scan.void_label");
    for part_of in [
        &format!("this is the first label of serial number {serial} of "),
        "and it is void: copy 2 was printed on 2026-11-25 at 09:00 by ",
    ] {
        assert!(words.contains(part_of), "'{part_of}' is not said: {words}");
    }
    let (code, words) = said(&scan(format!("{bars}+Z3")).await);
    assert_eq!(code, "scan.void_label");
    assert!(words.contains("says that it is print 3"), "{words}");
    assert_eq!(app.held(&part, &bin).await[0]["serial"], serial.as_str(), "nothing moved");
    assert_eq!(said(&scan(format!("{bars}+Z2")).await).0, "pick.taken");

    app.walk(&list).await;
    app.pack(&kit).await;
    let again = app.pack_scan(&kit, json!({ "code": format!("{bars}+Z2") })).await;
    let (code, words) = said(&again);
    assert_eq!((code.as_str(), &again["outcome"]), ("pack.packed_already", &json!("refused")));
    let start = format!("serial number {serial} was packed already in kit {kit}, carton CN");
    assert!(words.starts_with(&start), "{words}");
    assert!(words.contains("; this is copy 2, printed on 2026-11-25 at 09:00 by "), "{words}");
    let plain = app.pack_scan(&kit, json!({ "code": bars })).await;
    assert!(said(&plain).1.contains("; 2 labels of it were printed"), "{plain}");

    let other = app.kit_of("SO-26-0875").await;
    let list = app.pick_list(&[&other]).await;
    let (stop, take) = self::stop(&app, &list, "serial", 1).await;
    let scan = json!({ "code": format!("{bars}+Z2"), "take": take, "bin": stop["bin"] });
    let answer = app.pick_scan(&list, scan).await;
    assert_eq!(answer["outcome"], "refused", "{answer}");
    assert!(said(&answer).1.starts_with(&start), "{answer}");
}

#[actix_web::test]
async fn a_makers_number_that_only_ends_like_a_print_stays_what_it_is() {
    let app = TestApp::start();
    let order = "/api/purchase-orders/PO-26-141/counts";
    let count = json!({ "line": 1, "good": 1, "serials": ["PW-1+Z7"] });
    assert_eq!(app.act(Owner, order, count).await.0, 201);
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    let (stop, take) = stop(&app, &list, "serial", 1).await;
    let scan = json!({ "code": "SPW-1+Z7", "take": take, "bin": stop["bin"] });
    let answer = app.pick_scan(&list, scan).await;
    assert!(said(&answer).1.contains("FK101P") || said(&answer).1.contains("PW-1+Z7"), "{answer}");
    assert_ne!(said(&answer).0, "pick.unknown", "{answer}");
}

#[actix_web::test]
async fn a_kits_label_is_void_once_it_is_printed_again() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    for nth in 1..=2 {
        let codes = print(&app, "kit", &kit, "print-kit").await;
        assert_eq!(codes, [kit.clone(), format!("{kit}+Z{nth}")]);
    }
    let (_, take) = stop(&app, &list, "none", 1).await;
    let tote =
        async |code: String| app.pick_scan(&list, json!({ "code": code, "take": take })).await;
    assert_eq!(said(&tote(format!("{kit}+Z1")).await).0, "scan.void_label");
    assert_eq!(said(&tote(format!("{kit}+Z2")).await).0, "pick.tote_confirmed");
    assert_eq!(said(&tote(kit.clone()).await).0, "pick.tote_confirmed");
    let desk = Desk::sign_in(&app, Owner).await;
    desk.open(&format!("/labels/prints?q={kit}%2BZ2")).await.says(&kit);
    desk.open(&format!("/orders?q={kit}%2BZ2")).await.says("SO-26-0872");
}

#[actix_web::test]
async fn a_count_on_the_label_sets_the_quantity_and_never_more_than_is_wanted() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    let (bags, take) = stop(&app, &list, "none", 2).await;
    let (part, bin) = (text(&bags["part_number"]), text(&bags["bin"]));
    let wanted = rows(&bags["takes"])[0]["quantity"].as_i64().expect("a count");
    let fields =
        |what: &str, count: i64| format!("[)>\u{1e}06\u{1d}{what}\u{1d}Q{count}\u{1e}\u{4}");
    let ours = format!("P{part}");
    let scan = async |code: String| {
        app.pick_scan(&list, json!({ "code": code, "take": take, "bin": bin })).await
    };
    let all = |count: i64| {
        format!("; the label states 500, and {count} is all that was wanted: put the rest back")
    };
    let before = app.count(&part, &bin).await;
    let one = scan(fields(&ours, 1)).await;
    assert_eq!((&one["code"], &one["moved"]), (&json!("pick.taken"), &json!(1)), "{one}");
    assert!(said(&one).1.ends_with("; as many as the label states"), "{one}");
    let rest = scan(fields(&ours, 500)).await;
    assert_eq!(rest["moved"], wanted - 1, "{rest}");
    assert!(said(&rest).1.ends_with(&all(wanted - 1)), "{rest}");
    assert_eq!(app.count(&part, &bin).await, before - wanted);

    let (lot_stop, take) = stop(&app, &list, "lot", 1).await;
    let (lot, bin) = (format!("1T{}", text(&lot_stop["lot"])), text(&lot_stop["bin"]));
    let scan = json!({ "code": fields(&lot, 500), "take": take, "bin": bin });
    let taken = app.pick_scan(&list, scan).await;
    let asked = rows(&lot_stop["takes"])[0]["quantity"].as_i64().expect("a count");
    assert!(said(&taken).1.ends_with(&all(asked)), "{taken}");

    app.walk(&list).await;
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    let carton_of = |part: &str| {
        let cartons = rows(&bench["cartons"]).iter();
        let mut of =
            cartons.filter(|it| rows(&it["lines"]).iter().any(|line| line["part_number"] == part));
        of.next().expect("a carton takes the part")["position"].clone()
    };
    let pack = async |code: String, part: &str| {
        app.pack_scan(&kit, json!({ "code": code, "carton": carton_of(part) })).await
    };
    let one = pack(fields(&ours, 1), &part).await;
    assert_eq!((&one["code"], &one["moved"]), (&json!("pack.packed"), &json!(1)), "{one}");
    let rest = pack(fields(&ours, 500), &part).await;
    assert_eq!(rest["moved"], wanted - 1, "{rest}");
    assert!(said(&rest).1.ends_with(&all(wanted - 1)), "{rest}");
    let of_lot = text(&lot_stop["part_number"]);
    let elements = format!("(10){}(30)1", text(&lot_stop["lot"]));
    let packed = pack(elements, &of_lot).await;
    assert!(said(&packed).1.ends_with("; as many as the label states"), "{packed}");
}
