//! Bills of materials over HTTP: revisions that hold from a day, and kits that keep theirs.

use insta::assert_snapshot;
use kitwright::domain::people::Role;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

const HEADING: &str = "record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,\
                       check,caution,valid_from\n";

fn faults((status, body): (u16, Value)) -> String {
    assert_eq!((status, body["code"].as_str()), (422, Some("import.faults")), "{body}");
    let lines = rows(&body["faults"])
        .iter()
        .map(|it| format!("{} {}: {}", it["line"], text(&it["column"]), text(&it["message"])));
    lines.collect::<Vec<_>>().join("\n")
}

/// Returns the rows of a revision of the peg bag with that many nuts.
fn peg(revision: &str, from: &str, nuts: u32) -> String {
    format!(
        "kit,PEG,,Peg bag,HB104P,{revision},,,,,,,,,{from}\n\
         line,PEG,10,,PG1033,{revision},,8,,,2,,,,\nline,PEG,20,,PG1041,{revision},,8,,,4,,,,\n\
         line,PEG,30,,PG1050,{revision},,8,,,{nuts},,,,\n"
    )
}

async fn import(app: &TestApp, rows: &str) -> (u16, Value) {
    app.import("kits", &format!("{HEADING}{rows}")).await
}

async fn taken(app: &TestApp, rows: &str) {
    let (status, body) = import(app, rows).await;
    assert_eq!(status, 200, "{body}");
}

/// Orders a bike on a day.
async fn order(app: &TestApp, number: &str, day: &str) {
    let file = format!(
        "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity,build,size,\
         colour,ski,language\n{number},{day},2027-03-01,Wren,rider,,Lane,GB,TARVET,1,T12,M,soot black,\
         95,en\n"
    );
    let (status, body) = app.import("orders", &file).await;
    assert_eq!(status, 200, "{body}");
}

/// Returns how many pieces the pegs' step of an order's first kit counts, those in its bag included.
async fn at_pegs(app: &TestApp, order: &str) -> i64 {
    let order = app.look(&format!("/api/orders/{order}")).await;
    let cells = &order["kits"][0]["strip"]["cells"];
    let cell = rows(cells).iter().find(|it| it["number"] == 8).expect("step 8");
    cell["total"].as_i64().expect("a count")
}

#[actix_web::test]
async fn an_order_keeps_the_revision_that_it_was_promised() {
    let app = TestApp::start();
    order(&app, "T-1", "2026-11-24").await;
    taken(&app, &peg("B", "2026-11-26", 3)).await;
    taken(&app, &peg("C", "draft", 9)).await;
    order(&app, "T-2", "2026-11-26").await;
    assert_eq!((at_pegs(&app, "T-1").await, at_pegs(&app, "T-2").await), (12, 13));
    let exported = text(&app.look("/api/exports/kits").await);
    assert!(exported.contains("kit,PEG,,Peg bag,HB104P,C,,,,,,,,,draft"), "{exported}");
    let (status, body) = app.import("kits", &exported).await;
    assert_eq!(status, 200, "{body}");
    assert_eq!(text(&app.look("/api/exports/kits").await), exported);
}

#[actix_web::test]
async fn a_promised_revision_is_not_overwritten() {
    let app = TestApp::start();
    let before = text(&app.look("/api/exports/kits").await);
    assert_snapshot!(faults(import(&app, &peg("A", "", 3)).await), @"2 revision: revision A of PEG is promised to 56 kits: give the changed bill a revision of its own and a date from which it holds");
    assert_snapshot!(faults(import(&app, &peg("A", "draft", 2)).await), @"2 valid_from: revision A of PEG is promised to 56 kits: give the changed bill a revision of its own and a date from which it holds");
    assert_snapshot!(faults(import(&app, &peg("B", "2026-11-01", 3)).await), @"2 valid_from: revision B would take the place of revision A of PEG in 37 kits promised already: let it hold from 2026-11-25 or later");
    assert_snapshot!(faults(import(&app, &peg("B", "", 3)).await), @"2 valid_from: revision B of PEG is new: write the day from which it holds, or draft");
    assert_snapshot!(faults(import(&app, &peg("B", "2026-02-02", 3)).await), @"
    2 valid_from: revision A of PEG holds from the same day: give one of the two another
    2 valid_from: revision B would take the place of revision A of PEG in 56 kits promised already: let it hold from 2026-11-25 or later
    ");
    let other = peg("B", "2027-01-01", 3).replace("HB104P", "HB105N");
    assert_snapshot!(faults(import(&app, &other).await), @"
    2 part: each revision of PEG makes the same part number: give what makes another one a code of its own
    2 part: kit MOUNT makes HB105N already: a part number has one bill
    ");
    assert_eq!(text(&app.look("/api/exports/kits").await), before);
    // The same content again is no change, and an earlier day takes nothing from anybody.
    taken(&app, &peg("A", "", 2)).await;
    taken(&app, &peg("A", "2026-01-01", 2)).await;
    // A revision that nobody was promised yet may still change.
    taken(&app, &peg("B", "2027-01-01", 3)).await;
    taken(&app, &peg("B", "2027-01-02", 4)).await;
}

#[actix_web::test]
async fn a_draft_is_not_sold() {
    let app = TestApp::start();
    taken(
        &app,
        "kit,SLED,,Sled,,A,,,,,,,,,draft\nstep,SLED,1,Open,,,,,,,,,,,\nline,SLED,10,,BS111L,,,1,,,1,1,,,\n",
    )
    .await;
    let file = "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity\n\
                T-1,2026-11-25,2027-03-01,Wren,rider,,Lane,GB,SLED,1\n";
    assert_snapshot!(faults(app.import("orders", file).await), @"2 kit: kit 'SLED' is a draft as yet: release it first");
}

#[actix_web::test]
async fn a_ring_with_bills_that_are_here_already_is_refused_with_its_path() {
    let app = TestApp::start();
    let call = |code: &str, called: &str, from: &str| {
        format!("kit,{code},,Set,,A,,,,,,,,,{from}\nline,{code},10,,{called},,,,,,1,,,,\n")
    };
    taken(&app, &call("LOOP-B", "BS111L", "2026-01-01")).await;
    taken(&app, &call("LOOP-A", "LOOP-B", "2026-01-01")).await;
    // Today LOOP-B holds no kit; from next year on it would hold the one that calls for it.
    let later = call("LOOP-B", "LOOP-A", "2027-01-01").replace(",A,,", ",B,,");
    assert_snapshot!(faults(import(&app, &later).await), @"2 part: kits call for each other in a ring: LOOP-B > LOOP-A > LOOP-B");
    let draft = later.replace("2027-01-01", "draft");
    assert_snapshot!(faults(import(&app, &draft).await), @"2 part: kits call for each other in a ring: LOOP-B > LOOP-A > LOOP-B");
    // A bag that would hold itself by its part number.
    let bag = "kit,PEG,,Peg bag,HB104P,B,,,,,,,,,2027-01-01\nline,PEG,10,,HB104P,,,8,,,1,,,,\n";
    assert_snapshot!(faults(import(&app, bag).await), @"2 part: kits call for each other in a ring: PEG > PEG");
}

#[actix_web::test]
async fn the_reference_kit_costs_what_its_story_says() {
    let app = TestApp::start();
    let cost = app
        .look(
            "/api/bills-of-materials/TARVET/C/cost?options=build=T15;size=M;colour=lichen%20green;\
             ski=105;language=en",
        )
        .await;
    // The work stated in the bar set (4.36) and in the cut fork (2.55) is the difference.
    assert_eq!((&cost["stated_cents"], &cost["parts_cents"]), (&json!(108_589), &json!(107_898)));
    let line = |words: &str| find(&cost["lines"], "part_number", words).clone();
    let bar = line("BS106F");
    assert_eq!((&bar["stated_cents"], &bar["parts_cents"]), (&json!(4_800), &json!(4_364)));
    let fork = line("FK107D");
    assert_eq!((&fork["stated_cents"], &fork["parts_cents"]), (&json!(24_100), &json!(23_845)));
    let path = "/api/bills-of-materials/TARVET/C/cost?options=size=XL";
    let (status, body) = app.get(Role::Owner, path).await;
    assert_eq!((status, &body["code"]), (422, &json!("kits.value_unknown")), "{body}");
    let (status, _) = app.get(Role::Owner, "/api/bills-of-materials/TARVET/Q/cost").await;
    assert_eq!(status, 404);
}

#[actix_web::test]
async fn revisions_are_listed_compared_and_parts_found_in_them() {
    let app = TestApp::start();
    let bill = app.look("/api/bills-of-materials/TARVET").await;
    let of = |it: &Value| {
        format!("{} {} {} {}", it["revision"], it["valid_from"], it["stands"], it["kits"])
    };
    let revisions: Vec<String> = rows(&bill["revisions"]).iter().map(of).collect();
    assert_eq!(
        revisions,
        [r#""C" "2026-09-14" "in force" 56"#, r#""B" "2026-02-02" "superseded" 0"#,]
    );
    let differs = app.look("/api/bills-of-materials/TARVET/B/compare/C").await;
    let of = |it: &Value| {
        format!(
            "{} {}: {} > {}",
            text(&it["of"]),
            text(&it["field"]),
            text(&it["from"]),
            text(&it["to"])
        )
    };
    let differs: Vec<String> = rows(&differs).iter().map(of).collect();
    assert_snapshot!(differs.join("\n"), @"
    step 1 check: Scan the packing list and count the bags: six here, one with the skis. > Scan the packing list and count the bags: six here, one with the skis. Photograph a crushed or pierced wall before anything is taken out.
    line 260 :  > 1 × PK1067 at step 0
    line 270 quantity: 5 > 6
    ");
    let uses = app.look("/api/parts/BS112J/where-used").await;
    let of = |it: &Value| format!("{} {} {}", it["path"], text(&it["when"]), it["quantity"]);
    let uses: Vec<String> = rows(&uses).iter().map(of).collect();
    assert_snapshot!(uses.join("\n"), @r#"
    [["TARVET","C"],["BAR-L","A"]] size=L 4
    [["TARVET","C"],["BAR-M","A"]] size=M 4
    [["TARVET","C"],["BAR-S","A"]] size=S 4
    [["TARVET","C"],["HEAD-30","A"]] build=T12 2
    [["TARVET","C"],["HEAD-40","A"]] build=T15 2
    "#);
}

#[actix_web::test]
async fn a_draft_is_released_once_and_takes_nothing_from_kits_promised() {
    let app = TestApp::start();
    taken(&app, &peg("B", "draft", 3)).await;
    let path = "/api/bills-of-materials/PEG/B/release";
    let release = |day: &str| app.act(Role::Owner, path, json!({ "valid_from": day }));
    let (status, body) = release("2026-11-01").await;
    assert_eq!((status, &body["code"]), (409, &json!("bills.promised")), "{body}");
    let (status, body) = release("2026-02-02").await;
    assert_eq!((status, &body["code"]), (409, &json!("bills.same_day")), "{body}");
    let (status, body) = release("2026-11-26").await;
    assert_eq!(status, 204, "{body}");
    let (status, body) = release("2026-11-27").await;
    assert_eq!((status, &body["code"]), (409, &json!("bills.released")), "{body}");
    // A ring that a day to come would close keeps a draft a draft.
    order(&app, "T-1", "2026-11-26").await;
    assert_eq!(at_pegs(&app, "T-1").await, 13);
}

#[actix_web::test]
async fn an_open_kit_moves_to_newer_bills_once_somebody_says_so() {
    let app = TestApp::start();
    // Promised the earlier revision: without the guard, and with less paper in the box.
    order(&app, "T-1", "2026-08-01").await;
    let kit = app.kit_of("T-1").await;
    let path = format!("/api/kits/{kit}/newer-bills");
    let moving = app.look(&path).await;
    assert_eq!(
        (&moving["from"], &moving["to"], &moving["refused"]),
        (&json!("B"), &json!("C"), &json!(""))
    );
    let of = |it: &Value| format!("{} {} > {}", text(&it["part_number"]), it["from"], it["to"]);
    let parts: Vec<String> = rows(&moving["parts"]).iter().map(of).collect();
    assert_eq!(parts, ["PK1067 0 > 1", "PK110F 5 > 6"]);
    let (status, body) = app.act(Role::Owner, &path, json!({})).await;
    assert_eq!((status, &body["revision"]), (200, &json!("C")), "{body}");
    let moved = app.look("/api/orders/T-1").await;
    assert_eq!(moved["kits"][0]["revision"], "C");
    let again = app.look(&path).await;
    assert_eq!((&again["bill"], &again["parts"]), (&json!([]), &json!([])));
    // Once somebody picks it, it stays as it is.
    order(&app, "T-2", "2026-08-01").await;
    let kit = app.kit_of("T-2").await;
    app.pick_list(&[&kit]).await;
    let path = format!("/api/kits/{kit}/newer-bills");
    let (status, body) = app.act(Role::Owner, &path, json!({})).await;
    assert_eq!((status, &body["code"]), (409, &json!("bills.not_movable")), "{body}");
    assert_eq!(app.look("/api/orders/T-2").await["kits"][0]["revision"], "B");
}
