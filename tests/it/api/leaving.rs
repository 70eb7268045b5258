//! What can leave: the shop's worked example, brought in by its files beside the demo's own orders.

use kitwright::domain::codes::PartNumber;
use kitwright::domain::people::Role::{Owner, Receiver};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, key, rows, text};
use crate::support::desk::Desk;

/// The example's parts in groups of one base part, each with its stock: frame, fork cut for the
/// frame's size, skis, lower bearing of the fork, pinch bolts.
const PARTS: [(&str, &str, i64); 17] = [
    ("Frame J", "M green", 3),
    ("Frame J", "S black", 4),
    ("Frame J", "L red", 3),
    ("Frame J", "M black", 3),
    ("Frame J", "L black", 5),
    ("Frame J", "S green", 3),
    ("Fork J", "T15 M", 5),
    ("Fork J", "T12 M", 5),
    ("Fork J", "T12 S", 3),
    ("Fork J", "T15 L", 5),
    ("Fork J", "T12 L", 5),
    ("Skis J", "105", 4),
    ("Skis J", "95", 4),
    ("Skis J", "115", 3),
    ("Bearing J", "T15", 6),
    ("Bearing J", "T12", 1),
    ("Pinch bolt J", "", 45),
];

const ORDERS: [&str; 12] = [
    "M green T15 105",
    "M green T12 95",
    "S black T12 95",
    "M green T15 105",
    "L red T15 115",
    "M black T12 105",
    "M green T15 105",
    "L black T12 105",
    "M black T15 115",
    "S green T12 95",
    "M green T15 95",
    "L red T15 105",
];

fn number(at: usize) -> String {
    let body = format!("ZJ{:03}", 101 + at);
    let check = (b'0'..=b'9').chain(b'A'..=b'Z').map(char::from);
    let numbers = check.map(|it| format!("{body}{it}"));
    numbers.into_iter().find(|it| it.parse::<PartNumber>().is_ok()).expect("one is right")
}

/// Returns the number of the part of this name and variant.
fn part(name: &str, variant: &str) -> String {
    let at = PARTS.iter().position(|it| it.0 == name && it.1 == variant);
    number(at.expect("a part of the example"))
}

/// Brings in twelve orders by promise, each for one bike of five parts, and the stock for them.
async fn bring_in(app: &TestApp) {
    let mut parts = "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,\
        tracking,class,supplier,supplier_item,unit_cost,pack,minimum_order,reorder_point,\
        order_quantity,bin,facts,facts_source\n"
        .to_owned();
    let mut stock = "part_number,bin,quantity,lot,use_by,serial\n".to_owned();
    let mut kits = "record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,\
        check,caution,valid_from\nkit,JAY,,Jay ski bike,,A,,,,,,,,,2026-02-02\n\
        option,JAY,1,size,,A,S|M|L,,,,,,,,\noption,JAY,2,colour,,A,green|black|red,,,,,,,,\n\
        option,JAY,3,build,,A,T12|T15,,,,,,,,\noption,JAY,4,ski,,A,95|105|115,,,,,,,,\n\
        step,JAY,1,Build it,,A,,,,,,,,,\n\
        line,JAY,10,,Frame J,A,,1,size={size}; colour={colour},,1,1,,,\n\
        line,JAY,20,,Fork J,A,,1,build={build}; size={size},,1,1,,,\n\
        line,JAY,30,,Skis J,A,,1,ski={ski},,1,1,,,\n\
        line,JAY,40,,Bearing J,A,,1,build={build},,1,1,,,\n"
        .to_owned();
    kits.push_str(&format!("line,JAY,50,,{},A,,1,,,4,1,,,\n", part("Pinch bolt J", "")));
    for (at, (name, variant, pieces)) in PARTS.iter().enumerate() {
        let words: Vec<&str> = variant.split(' ').collect();
        let attributes = match (*name, words.as_slice()) {
            ("Frame J", [size, colour]) => format!("size={size}; colour={colour}"),
            ("Fork J", [build, size]) => format!("build={build}; size={size}"),
            ("Skis J", [ski]) => format!("ski={ski}"),
            ("Bearing J", [build]) => format!("build={build}"),
            _ => String::new(),
        };
        let number = number(at);
        parts.push_str(&format!(
            "{number},{name},{variant},,{attributes},100,1,10x10x10,none,S,QN,,5.40,1,1,0,1,B-05-3K,,\n"
        ));
        stock.push_str(&format!("{number},B-05-3K,{pieces},,,\n"));
    }
    let mut orders = "order,placed_on,promised_on,customer,channel,email,address,country,kit,\
        quantity,size,colour,build,ski\n"
        .to_owned();
    for (at, line) in (1..).zip(ORDERS) {
        let chosen = line.replace(' ', ",");
        orders.push_str(&format!(
            "J{at:02},2026-11-02,2026-12-{at:02},Rider {at},rider,,Lane,GB,JAY,1,{chosen}\n"
        ));
    }
    for (kind, file) in [("parts", parts), ("kits", kits), ("stock", stock), ("orders", orders)] {
        let (status, body) = app.import(kind, &file).await;
        assert_eq!(status, 200, "{kind}: {body}");
    }
}

/// Returns those of a list of orders that are of the example.
fn ours(list: &Value) -> Vec<String> {
    let mut ours: Vec<String> =
        rows(list).iter().map(text).filter(|it| it.starts_with('J')).collect();
    ours.sort();
    ours
}

#[actix_web::test]
async fn six_leave_by_promise_seven_at_best_and_the_best_is_allocated_with_one_request() {
    let app = TestApp::start();
    bring_in(&app).await;
    let view = app.look("/api/leaving").await;
    assert_eq!(view["proved"], true, "{view}");
    let (best, strict) = (&view["best"], &view["strict"]);
    assert_eq!(ours(&strict["orders"]), ["J01", "J02", "J04", "J05", "J09", "J12"]);
    assert_eq!(ours(&best["orders"]).len(), 7);
    let delayed = ours(&best["orders"]);
    let said: Vec<String> = rows(&view["delayed"]).iter().map(|it| text(&it["order"])).collect();
    for order in ours(&strict["orders"]) {
        assert_eq!(said.contains(&order), !delayed.contains(&order), "{order}");
    }
    // One lower bearing more lets one more leave, two let two; they cost 5.40 each.
    let bearing = find(&view["holds_back"], "part_number", &part("Bearing J", "T12"));
    let more = |nth: usize, what: &str| bearing["more"][nth][what].as_i64().expect("a number");
    let now = |of: &Value| of["kits"].as_i64().expect("a number");
    let strict_gains: Vec<i64> = (0..3).map(|nth| more(nth, "strict") - now(strict)).collect();
    let best_gains: Vec<i64> = (0..3).map(|nth| more(nth, "best") - now(best)).collect();
    assert_eq!((strict_gains, best_gains), (vec![1, 2, 3], vec![1, 2, 3]));
    assert_eq!((more(0, "cost_cents"), more(1, "cost_cents")), (540, 1080));

    // Promise order alone lets early orders sit on parts that others wait for.
    let orders = rows(&best["orders"]).to_vec();
    let body = json!({ "orders": orders, "request_key": key() });
    let (status, refused) = app.post(Receiver, "/api/leaving", body.clone()).await;
    assert_eq!(status, 403, "{refused}");
    let (status, done) = app.post(Owner, "/api/leaving", body.clone()).await;
    assert_eq!((status, &done["orders"]), (200, &json!(orders.len())), "{done}");
    assert_eq!(app.post(Owner, "/api/leaving", body).await, (200, done));
    for order in ours(&best["orders"]) {
        let order = app.look(&format!("/api/orders/{order}")).await;
        assert_eq!((&order["leave"], &order["alerts"]), (&json!("can_leave"), &json!([])));
    }
    let chosen = &app.look("/api/leaving").await["chosen"];
    assert_eq!(rows(&chosen["orders"]).len(), orders.len());

    // The choice outlives whatever holds stock anew; a set that stock does not cover is refused whole.
    let (status, _) = app.act(Owner, "/api/orders/J07/cancel", json!({})).await;
    assert!(status < 300 || !ours(&best["orders"]).contains(&"J07".to_owned()));
    let every: Vec<String> = (1..=12).filter(|it| *it != 7).map(|it| format!("J{it:02}")).collect();
    let (status, fault) = app.act(Owner, "/api/leaving", json!({ "orders": every })).await;
    assert_eq!((status, text(&fault["code"]).as_str()), (409, "leaving.changed"), "{fault}");
    assert_eq!(app.look("/api/leaving").await["chosen"], *chosen);
    let (status, none) = app.act(Owner, "/api/leaving", json!({ "orders": [] })).await;
    assert_eq!((status, &none["orders"]), (200, &json!(0)));
    assert_eq!(app.look("/api/leaving").await["chosen"], Value::Null);
}

#[actix_web::test]
async fn a_new_order_is_promised_for_the_day_on_which_its_last_part_comes() {
    let app = TestApp::start();
    let ask = |quantity: i64, ski: &str| {
        json!({ "kit": "TARVET", "quantity": quantity, "options": { "build": "T12", "size": "M",
            "colour": "soot black", "ski": ski, "language": "en" } })
    };
    // Its HEAD bag is made here, of a bearing that comes on the third.
    let (status, promise) = app.post(Owner, "/api/leaving/promise", ask(1, "105")).await;
    assert_eq!((status, &promise["on"]), (200, &json!("2026-12-03")), "{promise}");
    let last = &promise["parts"][0];
    assert_eq!(
        (&last["part_number"], &last["because"]),
        (&json!("HS105A"), &json!("comes on PO-26-153"),)
    );
    let desk = Desk::sign_in(&app, Owner).await;
    desk.open("/leaving/promise?kit=TARVET&build=T12&size=M&colour=soot+black&ski=105&language=en&quantity=1")
        .await
        .says("It can be promised for Thu 3 Dec")
        .says("comes on PO-26-153");
    desk.open(
        "/leaving/promise?kit=TARVET&build=T12&size=M&colour=red&ski=105&language=en&quantity=1",
    )
    .await
    .says("Not done");
    desk.open("/").await.says("Which set of orders lets most leave?");
    desk.open("/leaving?after=yes")
        .await
        .says("47 kits can leave today, 47 in strict promise order")
        .says("Proved: no other set of whole orders lets more leave.")
        .says("Bag HEAD (30, for T12)");
    for (wrong, code) in [(ask(0, "105"), "leaving.quantity"), (ask(1, "106"), "leaving.options")] {
        let (status, fault) = app.post(Owner, "/api/leaving/promise", wrong).await;
        assert_eq!((status, text(&fault["code"]).as_str()), (422, code), "{fault}");
    }
}
