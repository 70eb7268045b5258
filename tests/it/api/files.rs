//! Files in and out: every fault by line and column, and nothing of a faulty file.

use insta::assert_snapshot;
use kitwright::domain::people::Role::Owner;
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{rows, text};

const KINDS: [&str; 7] =
    ["suppliers", "bins", "parts", "kits", "stock", "orders", "purchase-orders"];

async fn exported(app: &TestApp, kind: &str) -> String {
    text(&app.look(&format!("/api/exports/{kind}")).await)
}

async fn everything(app: &TestApp) -> Vec<String> {
    let mut all = Vec::new();
    for kind in KINDS {
        all.push(exported(app, kind).await);
    }
    all
}

fn faults((status, body): (u16, Value)) -> String {
    assert_eq!((status, body["code"].as_str()), (422, Some("import.faults")), "{body}");
    let lines = rows(&body["faults"])
        .iter()
        .map(|it| format!("{} {}: {}", it["line"], text(&it["column"]), text(&it["message"])));
    lines.collect::<Vec<_>>().join("\n")
}

#[actix_web::test]
async fn each_kind_of_file_names_its_faults_and_imports_nothing() {
    let app = TestApp::start();
    let before = everything(&app).await;
    let suppliers =
        "code,name,email,lead_days,lead_sd_days\nNEW,New one,a@b.example,7,1\nQN,,x,-1,z\n";
    assert_snapshot!(faults(app.import("suppliers", suppliers).await), @r#"
    3 email: 'x' is not an email address: write one, such as orders@shop.example
    3 lead_days: '-1' is not a whole number from 0 to 1000000, such as 12
    3 lead_sd_days: 'z' is not a number with at most one decimal, such as 6 or 0.5
    3 name: this field is empty: fill it in
    "#);
    let bins = "bin,kind,walk_order,zone\nB-01-1K,bin,10,new\nnowhere,shelf,first,\n";
    assert_snapshot!(faults(app.import("bins", bins).await), @r#"
    2 bin: 'B-01-1K' has a wrong character: the last one does not match the others, so read the label again
    3 bin: 'nowhere' is not a bin code: it should look like B-03-2U
    3 kind: 'shelf' is not a kind of bin: write one of bin, quarantine, returns
    3 walk_order: 'first' is not a whole number from 0 to 1000000, such as 12
    3 zone: this field is empty: fill it in
    "#);
    let parts = "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,tracking,\
        class,supplier,supplier_item,unit_cost,pack,minimum_order,reorder_point,order_quantity,bin\n\
        MT108Q,Bolt,,,,7.9,0.05,,lot,R,ZZ,,0.17,200,1000,1,1,B-99-9\n\
        MT108R,Pinch bolt,,,,heavy,0.05,,none,X,ZZ,,0.17,0,1000,1,1,B-99-9\n";
    assert_snapshot!(faults(app.import("parts", parts).await), @r#"
    2 bin: 'B-99-9' is not a bin code: it should look like B-03-2U
    2 part_number: 'MT108Q' has a wrong character: the last one does not match the others, so read the label again
    3 bin: 'B-99-9' is not a bin code: it should look like B-03-2U
    3 class: 'X' is not a class: write one of S (stops the build), R (stops the ride), C (looks only), D (must not leave without)
    3 mass_g: 'heavy' is not a number of grams, such as 3480 or 0.44
    3 pack: the quantity is 0: write at least 1, or remove the line
    "#);
    let kits = "record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,check,caution\n\
        kit,NEW,,New kit,,A,,,,,,,,\nline,NEW,10,,NO-SUCH-PART,,,0,,,1,1,,\nline,NEW,20,,MT108R,,,0,,,none,1,,\n";
    assert_snapshot!(faults(app.import("kits", kits).await), @"
    3 part: there is no part or kit of the name 'NO-SUCH-PART'
    4 quantity: 'none' is not a whole number of pieces from 0 to 10000000, such as 8
    ");
    let stock = "part_number,bin,quantity,lot,use_by,serial\nPK101H,P-04-1Q,5,,,\n\
        PK101H,P-04-1Q,-5,,,\nMT108R,H-01-1I,5,,,\nFK103L,F-01-1D,1,,,\nZZ999Z,P-04-1Q,1,,,\n";
    assert_snapshot!(faults(app.import("stock", stock).await), @"
    3 quantity: '-5' is not a whole number of pieces from 0 to 10000000, such as 8
    4 lot: MT108R is tracked by lot: enter it
    5 serial: FK103L is tracked by serial number: one row with its number for each piece
    6 part_number: 'ZZ999Z' has a wrong character: the last one does not match the others, so read the label again
    ");
    let orders = "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity,build,size,colour,ski,language\n\
        T-1,2026-11-25,2026-13-26,Wren,rider,,Lane,GB,TARVET,1,T12,M,soot black,95,en\n\
        T-2,2026-11-25,2026-11-26,Wren,club,,Lane,GB,TARVET,0,T13,M,soot black,95,en\n\
        T-3,2026-11-25,2026-11-26,Wren,rider,,Lane,GB,HEAD-40,1,,,,,\n";
    assert_snapshot!(faults(app.import("orders", orders).await), @"
    2 promised_on: '2026-13-26' is not a day: write year-month-day, such as 2026-11-26
    3 channel: 'club' is not a channel: write one of rider, dealer
    3 quantity: the quantity is 0: write at least 1, or remove the line
    4 kit: 'HEAD-40' is part of a kit and not sold by itself
    ");
    let purchases = "purchase_order,supplier,ordered_on,due_on,part_number,quantity,unit_price\n\
        P-1,ZZ,2026-11-25,2026-12-25,PK101H,5,1.5\nP-2,BP,2026-11-25,2026-12-25,PK101H,0,1.5\n\
        PO-26-162,BP,2026-11-25,2026-12-25,ZZ999Z,5,1.5\n";
    assert_snapshot!(faults(app.import("purchase-orders", purchases).await), @"
    2 supplier: there is no supplier 'ZZ': import suppliers first
    3 quantity: the quantity is 0: write at least 1, or remove the line
    4 part_number: 'ZZ999Z' has a wrong character: the last one does not match the others, so read the label again
    4 purchase_order: purchase order 'PO-26-162' is here already: leave it out of the file
    ");
    assert_snapshot!(faults(app.import("stock", "").await), @"1 : the file is empty: its first line should be part_number,bin,quantity,lot,use_by,serial");
    assert_snapshot!(faults(app.import("stock", "part,place\n1,2\n").await), @r#"
    1 bin: this column is missing: add it to the first line
    1 lot: this column is missing: add it to the first line
    1 part: unknown column: the columns are part_number, bin, quantity, lot, use_by, serial
    1 part_number: this column is missing: add it to the first line
    1 place: unknown column: the columns are part_number, bin, quantity, lot, use_by, serial
    1 quantity: this column is missing: add it to the first line
    1 serial: this column is missing: add it to the first line
    1 use_by: this column is missing: add it to the first line
    "#);
    assert_eq!(everything(&app).await, before);
}

#[actix_web::test]
async fn what_a_file_refers_to_must_be_there() {
    let app = TestApp::start();
    let before = everything(&app).await;
    let parts = "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,tracking,\
        class,supplier,supplier_item,unit_cost,pack,minimum_order,reorder_point,order_quantity,bin\n\
        MT108R,Pinch bolt,,,,7.9,0.05,,none,R,ZZ,,0.17,200,1000,1,1,B-99-9T\n";
    assert_snapshot!(faults(app.import("parts", parts).await), @r#"
    2 bin: there is no bin 'B-99-9T': import bins first
    2 supplier: there is no supplier 'ZZ': import suppliers first
    2 tracking: MT108R has moved already, so its tracking stays 'lot'
    "#);
    let kits = "record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,check,caution\n\
        kit,NEW,,New kit,,A,,,,,,,,\nstep,NEW,1,Look,,,,,,,,,Look.,\n\
        line,NEW,10,,NO-SUCH-PART,,,1,,,1,1,,\nline,NEW,20,,MT999U,,,1,,,1,1,,\n";
    assert_snapshot!(faults(app.import("kits", kits).await), @r#"
    4 part: there is no part or kit of the name 'NO-SUCH-PART'
    5 part: there is no part number 'MT999U': import parts first
    "#);
    let stock = "part_number,bin,quantity,lot,use_by,serial\nPK101H,B-99-9T,5,,,\nPK101H,P-04-1Q,1,L-1,,\n\
        MT108R,H-01-1I,5,,,\nFK103L,F-01-1D,1,,,\n";
    assert_snapshot!(faults(app.import("stock", stock).await), @r#"
    2 bin: there is no bin 'B-99-9T': import bins first
    3 lot: PK101H is not tracked by lot: leave it empty
    4 lot: MT108R is tracked by lot: enter it
    5 serial: FK103L is tracked by serial number: one row with its number for each piece
    "#);
    let serial = text(&app.held("FK103L", "F-01-1D").await[0]["serial"]);
    let stock =
        format!("part_number,bin,quantity,lot,use_by,serial\nFK103L,F-01-1D,1,,,{serial}\n");
    assert_snapshot!(faults(app.import("stock", &stock).await), @"2 serial: serial number 'PD-T12-26-1100' is in the books already: read it again");
    let orders = "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity,build,size,colour,ski,language\n\
        T-1,2026-11-25,2026-11-26,Wren,rider,,Lane,GB,TARVET,1,T13,M,,95,en\n\
        T-2,2026-11-25,2026-11-26,Wren,rider,,Lane,GB,HEAD-40,1,,,,,\n\
        T-3,2026-11-25,2026-11-26,Wren,rider,,Lane,GB,SLED-9,1,,,,,\n\
        T-4,2026-11-25,2026-11-26,Wren,rider,,Lane,GB,TARVET,501,T12,M,soot black,95,en\n\
        SO-26-0872,2026-11-25,2026-11-26,Wren,rider,,Lane,GB,TARVET,1,T12,M,soot black,95,en\n";
    assert_snapshot!(faults(app.import("orders", orders).await), @r#"
    2 build: 'T13' is no build of kit TARVET: choose one of T12, T15
    2 colour: kit TARVET needs a choice of 'colour': one of soot black, lichen green, rowan red
    3 kit: 'HEAD-40' is part of a kit and not sold by itself
    4 kit: there is no kit 'SLED-9': check the code, or import the kit first
    5 quantity: order from 1 to 500 kits on one line
    6 order: order 'SO-26-0872' is here already: leave it out of the file
    "#);
    let purchases = "purchase_order,supplier,ordered_on,due_on,part_number,quantity,unit_price\n\
        P-1,ZZ,2026-11-25,2026-12-25,PK101H,5,1.5\n\
        PO-26-162,BP,2026-11-25,2026-12-25,PK101H,5,1.5\n";
    assert_snapshot!(faults(app.import("purchase-orders", purchases).await), @r#"
    2 supplier: there is no supplier 'ZZ': import suppliers first
    3 purchase_order: purchase order 'PO-26-162' is here already: leave it out of the file
    "#);
    assert_eq!(everything(&app).await, before);
}

#[actix_web::test]
async fn a_dry_run_tells_what_would_come_of_it_and_changes_nothing() {
    let app = TestApp::start();
    let before = everything(&app).await;
    let file = "part_number,bin,quantity,lot,use_by,serial\nPK101H,P-04-1Q,5,,,\n";
    let path = "/api/imports/stock?dry_run=true";
    let dry = app.request(Some(Owner), Method::POST, path).header("content-type", "text/csv");
    let rehearsed = app.send(dry.body(file)).await;
    assert_eq!(rehearsed.0, 200);
    assert_eq!(everything(&app).await, before);
    assert_eq!(app.import("stock", file).await, rehearsed, "it came so");
    assert_ne!(everything(&app).await, before);
}

#[actix_web::test]
async fn what_is_exported_imports_again_and_says_the_same() {
    let app = TestApp::start();
    for kind in ["suppliers", "bins", "parts", "kits"] {
        let before = exported(&app, kind).await;
        let (status, body) = app.import(kind, &before).await;
        assert_eq!(status, 200, "{kind}: {body}");
        assert_eq!(exported(&app, kind).await, before, "{kind}");
    }
}

#[actix_web::test]
async fn exported_stock_leaves_out_totes_and_cartons() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    app.walk(&list).await;
    app.pack(&kit).await;
    let stock = exported(&app, "stock").await;
    let places = stock.lines().skip(1).filter_map(|it| it.split(',').nth(1));
    let bins = exported(&app, "bins").await;
    for place in places {
        assert!(bins.lines().any(|it| it.split(',').next() == Some(place)), "{place} is a bin");
    }
}

#[actix_web::test]
async fn labels_come_as_pdf_or_with_the_reason_why_not() {
    let app = TestApp::start();
    let print = async |body: Value| app.post(Owner, "/api/labels", body).await;
    let wrong = async |body: Value| {
        let (status, body) = print(body).await;
        format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
    };
    let sheet = json!({ "a4": { "columns": 3, "rows": 7, "start": 15 } });
    for body in [
        json!({ "kind": "part", "ids": ["MT108R", "PK101H"], "copies": 2 }),
        json!({ "kind": "bin", "ids": ["P-04-1Q"], "paper": "roll" }),
        json!({ "kind": "part", "ids": ["MT108R"], "copies": 30, "paper": sheet }),
    ] {
        let (status, body) = print(body).await;
        assert!(status == 200 && body.as_str().is_some_and(|it| it.starts_with("%PDF-")), "{body}");
    }
    assert_snapshot!(wrong(json!({ "kind": "shelf", "ids": ["MT108R"] })).await, @"422 labels.kind: kind: 'shelf' is no kind of label: choose part, bin, two-bin, lot, serial, quarantine, bag, kit, carton");
    assert_snapshot!(wrong(json!({ "kind": "part", "ids": [] })).await, @"422 labels.none: name at least one thing to label, and from 1 to 500 copies of each");
    assert_snapshot!(wrong(json!({ "kind": "part", "ids": ["MT108R"], "copies": 501 })).await, @"422 labels.none: name at least one thing to label, and from 1 to 500 copies of each");
    let many = vec!["MT108R"; 50];
    assert_snapshot!(wrong(json!({ "kind": "part", "ids": many, "copies": 500 })).await, @"422 labels.too_many: 25000 labels in one print: print 20000 at most");
    assert_snapshot!(wrong(json!({ "kind": "lot", "ids": ["MT108R"] })).await, @"422 labels.identity: 'MT108R': write the part number, a slash, and the lot or serial number");
    let sheet = json!({ "a4": { "columns": 9, "rows": 7 } });
    let body = json!({ "kind": "part", "ids": ["MT108R"], "paper": sheet });
    assert_snapshot!(wrong(body).await, @"422 paper.unprintable: 9 by 7 labels of this size do not fit the sheet 'A4': it holds at most 3 by 7");
}
