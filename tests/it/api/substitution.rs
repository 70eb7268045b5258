//! Parts that stand in for others, with whose word, and parts that take another's place.

use insta::assert_snapshot;
use kitwright::domain::people::Role::Owner;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

const RULES: &str = "from,to,kind,direction,consent,valid_from,until,reason,source\n";
const PARTS: &str = "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,tracking,\
                     class,supplier,supplier_item,unit_cost,pack,minimum_order,reorder_point,\
                     order_quantity,bin\n";
const BILLS: &str = "record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,check,\
                     caution,valid_from\n";
const STOCK: &str = "part_number,bin,quantity,lot,use_by,serial\n";

/// Bolts alike but for their class: 8.8, 10.9, 12.9.
const WEAK: &str = "ZB101A";
const STRONG: &str = "ZB1028";
const STRONGEST: &str = "ZB1036";

fn faults((status, body): (u16, Value)) -> String {
    assert_eq!((status, body["code"].as_str()), (422, Some("import.faults")), "{body}");
    let lines = rows(&body["faults"])
        .iter()
        .map(|it| format!("{} {}: {}", it["line"], text(&it["column"]), text(&it["message"])));
    lines.collect::<Vec<_>>().join("\n")
}

async fn taken(app: &TestApp, kind: &str, file: String) {
    let (status, body) = app.import(kind, &file).await;
    assert_eq!(status, 200, "{body}");
}

/// A shop with bolts of three strengths, and a sled that needs eight of the weakest.
async fn bolts(stock: &[(&str, i64)]) -> TestApp {
    let app = TestApp::start();
    let part = |(number, class): (&str, &str)| {
        format!(
            "{number},Sled bolt M6x1.0x20,class {class},\"cap head, class {class}, zinc-nickel\",,5,\
             0.1,,none,S,TF,,0.2,100,100,0,100,B-01-13\n"
        )
    };
    let parts: String = [(WEAK, "8.8"), (STRONG, "10.9"), (STRONGEST, "12.9")].map(part).concat();
    taken(&app, "parts", format!("{PARTS}{parts}")).await;
    let bill = format!(
        "{BILLS}kit,SLED,,Sled,,A,,,,,,,,,2026-01-01\nstep,SLED,1,Bolt,,,,,,,,,,,\n\
         line,SLED,10,,{WEAK},,,1,,,4,1,,,\nline,SLED,20,,{WEAK},,,1,,,4,1,,,\n\
         line,SLED,30,,HS113A,,,1,,,1,1,,,\n"
    );
    taken(&app, "kits", bill).await;
    for (part, pieces) in stock {
        taken(&app, "stock", format!("{STOCK}{part},B-01-13,{pieces},,,\n")).await;
    }
    app
}

async fn rule(app: &TestApp, kind: &str, until: &str) {
    let row = format!(
        "{WEAK},{STRONG},{kind},one way,standing rule,2026-06-01,{until},stronger,shop rule 1\n"
    );
    taken(app, "substitutions", format!("{RULES}{row}")).await;
}

/// Orders sleds on a day; returns the first kit's number.
async fn order(app: &TestApp, number: &str, day: &str, kits: u32) -> String {
    let file = format!(
        "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity\n\
         {number},{day},2027-03-01,Wren,rider,,Lane,GB,SLED,{kits}\n"
    );
    taken(app, "orders", file).await;
    app.kit_of(number).await
}

async fn exchange(app: &TestApp, kit: &str, body: Value) -> (u16, Value) {
    app.act(Owner, &format!("/api/kits/{kit}/substitutions"), body).await
}

async fn view(app: &TestApp, kit: &str) -> Value {
    app.look(&format!("/api/kits/{kit}/substitutions")).await
}

/// Returns the part numbers that stand in lines of an order's kit.
async fn standing_in(app: &TestApp, order: &str, kit: usize) -> Vec<String> {
    let order = app.look(&format!("/api/orders/{order}")).await;
    rows(&order["kits"][kit]["in_place"]).iter().map(|it| text(&it["part_number"])).collect()
}

#[actix_web::test]
async fn a_rule_that_the_trade_forbids_is_refused_with_the_reason() {
    let app = bolts(&[]).await;
    let row = |from: &str, to: &str, kind: &str, direction: &str, consent: &str| {
        format!("{from},{to},{kind},{direction},{consent},2026-01-01,,why,where\n")
    };
    let file = [
        row(STRONG, WEAK, "may stand in", "one way", "standing rule"),
        row(WEAK, STRONG, "may stand in", "both ways", "standing rule"),
        row(STRONG, STRONGEST, "may stand in", "one way", "customer's word"),
        row("HS113A", "HS112C", "may stand in", "one way", "standing rule"),
        row("MT1016", "MT1024", "may stand in", "one way", "customer's word"),
        row("SP1036", "SP1052", "may stand in", "one way", "customer's word"),
        row("ZB9995", WEAK, "may stand in", "one way", "none"),
        row("HS113A", "HS111E", "perhaps", "sideways", "loudly"),
        row("HS112C", "HS111E", "superseded by", "both ways", "customer's word"),
    ];
    let file = format!("{RULES}{}", file.concat());
    assert_snapshot!(faults(app.import("substitutions", &file).await), @"
    2 to: ZB101A never stands in for ZB1028: class 8.8 is weaker than class 10.9: a class goes up, never down
    3 to: ZB101A never stands in for ZB1028: class 8.8 is weaker than class 10.9: a class goes up, never down
    4 to: ZB1036 never stands in for ZB1028: class 12.9 under a zinc coating may break without warning outdoors (hydrogen)
    5 consent: HS112C for HS113A takes at least customer's word: colour lichen green for rowan red
    6 to: MT1024 never stands in for MT1016: position rear for front: front and rear are never taken for each other
    7 to: SP1052 never stands in for SP1036: height 5 for 3: a stack of another height is a matter of the kit's spacers, never of one part
    8 from: there is no part number 'ZB9995': import parts first
    9 consent: 'loudly' is no consent: write one of none, standing rule, customer's word
    9 direction: 'sideways' is no direction: write one way or both ways
    9 kind: 'perhaps' is no kind of rule: write one of superseded by, may stand in
    10 direction: a part is superseded for good: write one way
    ");
    rule(&app, "superseded by", "").await;
    taken(&app, "parts", {
        let twin = "ZB1044,Sled bolt M6x1.0x20,class 10.9 long,\"cap head, class 10.9, zinc-nickel\",,5,\
                    0.1,,none,S,TF,,0.2,100,100,0,100,B-01-13\n";
        format!("{PARTS}{twin}")
    })
    .await;
    let ring = row(STRONG, "ZB1044", "superseded by", "one way", "none")
        + &row("ZB1044", STRONG, "superseded by", "one way", "none");
    let found = faults(app.import("substitutions", &format!("{RULES}{ring}")).await);
    assert!(found.contains("supersede each other in a ring: ZB1028 > ZB1044 > ZB1028"), "{found}");
    let exported = text(&app.look("/api/exports/substitutions").await);
    taken(&app, "substitutions", exported.clone()).await;
    assert_eq!(text(&app.look("/api/exports/substitutions").await), exported);
}

#[actix_web::test]
async fn a_stronger_bolt_goes_in_by_the_owner_s_rule_for_all_lines_at_once() {
    let app = bolts(&[(WEAK, 4), (STRONG, 12)]).await;
    rule(&app, "may stand in", "").await;
    let kit = order(&app, "T-1", "2026-11-25", 1).await;
    let alerts = app.look("/api/orders/T-1").await["alerts"].clone();
    let words =
        "12 of Sled bolt M6x1.0x20 (class 10.9) (ZB1028) may stand in by the owner's standing rule";
    assert_eq!(find(&alerts, "part_number", WEAK)["stand_ins"], json!([words]));
    let offers = view(&app, &kit).await["offers"].clone();
    let offer = find(&offers, "from", WEAK);
    let numbers = (&offer["needed"], &offer["free"], &offer["refused"]);
    assert_eq!(numbers, (&json!(8), &json!(12), &json!("")));
    assert_eq!(offer["reason"], "stronger; class 10.9 for 8.8: tighten it as the weaker one");
    let (status, body) = exchange(&app, &kit, json!({ "from": STRONG, "to": WEAK })).await;
    assert_eq!(status, 404, "{body}");
    let (status, body) = exchange(&app, &kit, json!({ "from": WEAK, "to": STRONGEST })).await;
    assert_eq!((status, &body["code"]), (409, &json!("substitution.refused")), "{body}");
    let (status, body) = exchange(&app, &kit, json!({ "from": WEAK, "to": STRONG })).await;
    assert_eq!(status, 200, "{body}");
    let order = app.look("/api/orders/T-1").await;
    assert_eq!(order["alerts"], json!([]));
    let in_place: Vec<String> =
        rows(&order["kits"][0]["in_place"]).iter().map(|it| text(&it["words"])).collect();
    assert_snapshot!(in_place.join("\n"), @"
    4 × Sled bolt M6x1.0x20 (class 10.9) (ZB1028) stands in for Sled bolt M6x1.0x20 (class 8.8) (ZB101A): stronger; class 10.9 for 8.8: tighten it as the weaker one (noted by Ilka Trevanion)
    4 × Sled bolt M6x1.0x20 (class 10.9) (ZB1028) stands in for Sled bolt M6x1.0x20 (class 8.8) (ZB101A): stronger; class 10.9 for 8.8: tighten it as the weaker one (noted by Ilka Trevanion)
    ");
    // What was held of the old part is free again, and the new part is held.
    let parts = app.look("/api/parts").await;
    let held = |number: &str| find(&parts, "part_number", number)["reserved"].clone();
    assert_eq!((held(WEAK), held(STRONG)), (json!(0), json!(8)));
}

#[actix_web::test]
async fn a_line_takes_one_part_number_whole() {
    let app = bolts(&[(STRONG, 3)]).await;
    rule(&app, "may stand in", "").await;
    let kit = order(&app, "T-1", "2026-11-25", 1).await;
    let (status, body) = exchange(&app, &kit, json!({ "from": WEAK, "to": STRONG })).await;
    assert_eq!(status, 409);
    assert_snapshot!(text(&body["title"]), @"ZB1028 can't stand in for ZB101A: 3 of ZB1028 are free and the kit needs 8: a line takes one part number whole");
    let alerts = app.look("/api/orders/T-1").await["alerts"].clone();
    assert_eq!(find(&alerts, "part_number", WEAK)["stand_ins"], json!([]));
}

#[actix_web::test]
async fn a_colour_goes_in_with_the_customer_s_word_alone() {
    let app = bolts(&[(WEAK, 8)]).await;
    let kit = order(&app, "T-1", "2026-11-25", 1).await;
    let swap = |by: &str, on: Value| json!({ "from": "HS113A", "to": "HS111E", "said_by": by, "said_on": on });
    let wanting = [("", json!("2026-11-24")), ("Wren", Value::Null), ("Wren", json!("2026-11-26"))];
    for (by, on) in wanting {
        let (status, body) = exchange(&app, &kit, swap(by, on)).await;
        assert_eq!((status, &body["code"]), (422, &json!("substitution.consent")), "{body}");
    }
    assert_eq!(view(&app, &kit).await["in_place"], json!([]));
    let (status, body) = exchange(&app, &kit, swap("Wren", json!("2026-11-24"))).await;
    assert_eq!(status, 200, "{body}");
    let in_place = view(&app, &kit).await["in_place"].clone();
    assert_snapshot!(text(&in_place[0]["words"]), @"1 × Top cap (soot black) (HS111E) stands in for Top cap (rowan red) (HS113A), with the word of Wren on 2026-11-24: the cap is seen from the saddle; colour soot black for rowan red (noted by Ilka Trevanion)");
    // Back again: the line holds what the bill asks for, so nothing stands in.
    let back =
        json!({ "from": "HS111E", "to": "HS113A", "said_by": "Wren", "said_on": "2026-11-25" });
    let (status, body) = exchange(&app, &kit, back).await;
    assert_eq!(status, 200, "{body}");
    assert_eq!(view(&app, &kit).await["in_place"], json!([]));
}

#[actix_web::test]
async fn what_is_picked_is_not_exchanged() {
    let app = bolts(&[(WEAK, 8), (STRONG, 8)]).await;
    rule(&app, "may stand in", "").await;
    let kit = order(&app, "T-1", "2026-11-25", 1).await;
    let list = app.pick_list(&[&kit]).await;
    let swap =
        json!({ "from": "HS113A", "to": "HS111E", "said_by": "Wren", "said_on": "2026-11-24" });
    let (status, body) = exchange(&app, &kit, swap).await;
    assert_eq!(status, 200, "{body}");
    app.walk(&list).await;
    let (status, body) = exchange(&app, &kit, json!({ "from": WEAK, "to": STRONG })).await;
    assert_eq!(status, 409);
    assert_snapshot!(text(&body["title"]), @"ZB1028 can't stand in for ZB101A: pieces of it are picked: put them back first");
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    let line = find(&bench["cartons"][0]["lines"], "part_number", "HS111E");
    assert_eq!((&line["in_place_of"], &line["picked"]), (&json!("HS113A"), &json!(1)));
}

#[actix_web::test]
async fn a_superseded_part_gives_way_for_orders_from_its_day_on() {
    let app = bolts(&[(WEAK, 12), (STRONG, 20)]).await;
    rule(&app, "superseded by", "used up").await;
    let none: [&str; 0] = [];
    order(&app, "T-1", "2026-05-31", 1).await;
    assert_eq!(standing_in(&app, "T-1", 0).await, none);
    // Eight of twelve are held for the first; four do not cover a kit, so the next takes the new.
    order(&app, "T-2", "2026-06-01", 1).await;
    assert_eq!(standing_in(&app, "T-2", 0).await, [STRONG, STRONG]);
    let words = app.look("/api/orders/T-2").await["kits"][0]["in_place"][0]["words"].clone();
    assert_snapshot!(text(&words), @"4 × Sled bolt M6x1.0x20 (class 10.9) (ZB1028) stands in for Sled bolt M6x1.0x20 (class 8.8) (ZB101A): superseded since 2026-06-01: stronger (noted by Ilka Trevanion)");
    // Of two kits of one order, the first uses up what is free.
    taken(&app, "stock", format!("{STOCK}{WEAK},B-01-13,5,,,\n")).await;
    order(&app, "T-3", "2026-11-25", 2).await;
    assert_eq!(standing_in(&app, "T-3", 0).await, none);
    assert_eq!(standing_in(&app, "T-3", 1).await, [STRONG, STRONG]);
}

#[actix_web::test]
async fn what_the_customer_said_holds_when_a_kit_moves_to_newer_bills() {
    let app = bolts(&[(WEAK, 20), (STRONG, 20)]).await;
    let kit = order(&app, "T-1", "2026-05-01", 1).await;
    let swap =
        json!({ "from": "HS113A", "to": "HS111E", "said_by": "Wren", "said_on": "2026-11-24" });
    let (status, body) = exchange(&app, &kit, swap).await;
    assert_eq!(status, 200, "{body}");
    let newer = app.look(&format!("/api/kits/{kit}/newer-bills")).await;
    assert_eq!(newer["parts"], json!([]), "the word alone is nothing that a newer bill changes");
    // A revision with a line before all others: what was line 3 is line 4 now.
    let bill = format!(
        "{BILLS}kit,SLED,,Sled,,B,,,,,,,,,2026-06-01\nstep,SLED,1,Bolt,,,,,,,,,,,\n\
         line,SLED,5,,HS112C,,,1,,,1,1,,,\n\
         line,SLED,10,,{WEAK},,,1,,,4,1,,,\nline,SLED,20,,{WEAK},,,1,,,4,1,,,\n\
         line,SLED,30,,HS113A,,,1,,,1,1,,,\n"
    );
    taken(&app, "kits", bill).await;
    let path = format!("/api/kits/{kit}/newer-bills");
    let of = |it: &Value| format!("{} {} > {}", text(&it["part_number"]), it["from"], it["to"]);
    let parts: Vec<String> = rows(&app.look(&path).await["parts"]).iter().map(of).collect();
    assert_eq!(parts, ["HS112C 0 > 1"]);
    let (status, body) = app.act(Owner, &path, json!({})).await;
    assert_eq!((status, &body["revision"]), (200, &json!("B")), "{body}");
    let order = app.look("/api/orders/T-1").await;
    let it = &order["kits"][0]["in_place"][0];
    assert_eq!(
        (&it["line"], &it["in_place_of"], &it["said_by"], &it["said_on"]),
        (&json!(4), &json!("HS113A"), &json!("Wren"), &json!("2026-11-24"))
    );
    assert_eq!(standing_in(&app, "T-1", 0).await, ["HS111E"]);
}
