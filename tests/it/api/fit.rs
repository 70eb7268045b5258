//! Whether the parts of a kit fit each other, before anybody walks for them.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use kitwright::demo;
use kitwright::domain::kits::every_choice;
use kitwright::domain::people::Role;
use kitwright::exchange::Kind;
use kitwright::ops::fit::{Fitter, choosable, judge_options};
use kitwright::store::kits::boms_on;
use serde_json::json;

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

/// An order for one T12 kit, and one for a T15 kit.
const T12: &str = "SO-26-0872";
const T15: &str = "SO-26-0873";

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day")
}

/// Takes in the demo's parts with one text in place of another.
async fn restate(app: &TestApp, old: &str, new: &str) {
    let file = demo::file(Kind::Parts);
    assert!(file.contains(old), "{old}");
    let (status, body) = app.import("parts", &file.replace(old, new)).await;
    assert_eq!(status, 200, "{body}");
}

/// Takes in a new revision of a bag's bill with one text in place of another, and an order that is
/// promised it; returns the order's number. What was promised before keeps the bill it had.
async fn order_after(app: &TestApp, bag: &str, old: &str, new: &str, build: &str) -> String {
    let file = demo::file(Kind::Kits);
    let heading = file.lines().next().expect("a heading");
    let dated = heading.split(',').position(|it| it == "valid_from").expect("a column");
    let rows = file.lines().filter(|it| it.split(',').nth(1) == Some(bag)).map(|row| {
        let mut cells: Vec<&str> = row.split(',').collect();
        cells.resize(heading.split(',').count(), "");
        if cells[0] == "kit" {
            (cells[5], cells[dated]) = ("Z", "2026-11-25");
        }
        cells.join(",")
    });
    let bill: String = rows.map(|it| it + "\n").collect();
    assert!(bill.contains(old), "{old} in {bill}");
    let (status, body) =
        app.import("kits", &format!("{heading}\n{}", bill.replace(old, new))).await;
    assert_eq!(status, 200, "{body}");
    let heading = demo::file(Kind::Orders).lines().next().expect("a heading");
    let order = format!(
        "{heading}\nSO-26-0990,2026-11-25,2026-12-20,Ada Nordskar,rider,a.n@mail.example,Lia 3,NO,\
         TARVET,1,{build},M,soot black,105,en\n"
    );
    let (status, body) = app.import("orders", &order).await;
    assert_eq!(status, 200, "{body}");
    "SO-26-0990".to_owned()
}

/// Returns why a pick list over an order's first kit is refused.
async fn refused(app: &TestApp, order: &str) -> String {
    let kit = app.kit_of(order).await;
    let (status, body) =
        app.act(Role::Warehouse, "/api/pick-lists", json!({ "kits": [kit] })).await;
    assert_eq!((status, &body["code"]), (409, &json!("kits.does_not_fit")), "{body}");
    let after = app.look(&format!("/api/orders/{order}")).await;
    assert_eq!(after["kits"][0]["state"], "open", "nobody has begun");
    assert_eq!(after["leave"], "held");
    text(&body["title"])
}

#[actix_web::test]
async fn every_choice_of_the_demo_fits_by_facts_that_are_all_known() {
    let app = TestApp::start();
    let rules = app
        .books()
        .read(|conn| {
            let boms = boms_on(conn, today())?;
            let (fitter, parts) = (Fitter::load(conn, [])?, choosable(conn)?);
            let choices = every_choice(&boms["TARVET"].options, 10_000).expect("few");
            assert_eq!(choices.len(), 162);
            let mut rules = BTreeSet::new();
            for options in choices {
                let findings =
                    fitter.options(&boms, "TARVET", &options, &parts).expect("it is laid out");
                for it in &findings {
                    assert_eq!(it.verdict, "fits", "{options:?} {}: {}", it.rule, it.reason);
                }
                rules.insert(findings.len());
            }
            Ok(rules)
        })
        .expect("the books can be read");
    assert_eq!(rules, BTreeSet::from([21]));
}

#[actix_web::test]
async fn a_kit_tells_each_rule_with_its_reason_and_source() {
    let app = TestApp::start();
    let kit = app.kit_of(T15).await;
    let fit = app.look(&format!("/api/kits/{kit}/fit")).await;
    assert_eq!(fit["words"], "fits: 21 rules");
    let clearance = find(&fit["findings"], "rule", "clearance under the top cap");
    assert_eq!(
        clearance["reason"],
        "3.5 mm stays free under the cap, 2.3 mm to 4.7 mm by root-sum-square; 2 mm to 5 mm is \
         wanted; by worst-case sum ± 2.3 mm"
    );
    assert!(text(&clearance["source"]).starts_with("ISO 4210-2, 4.7.4"));
    assert!(rows(&clearance["documents"]).contains(&json!("Quennick drawing QF-101 rev C")));
    assert!(rows(&clearance["parts"]).contains(&json!("HS104C")));
    let order = app.look(&format!("/api/orders/{T15}")).await;
    assert_eq!(order["kits"][0]["fit"], fit);
    let listed = app.look("/api/orders").await;
    let listed = &find(&listed, "number", T15)["kits"][0]["fit"];
    assert_eq!(*listed, json!({ "words": "fits: 21 rules", "findings": [] }));
    let (status, _) = app.get(Role::Owner, "/api/kits/KT9999999/fit").await;
    assert_eq!(status, 404);
}

#[actix_web::test]
async fn a_crown_race_of_the_other_fork_is_refused_before_anybody_walks() {
    let app = TestApp::start();
    restate(&app, "role=crown race; race=30", "role=crown race; race=40").await;
    let why = refused(&app, T12).await;
    assert!(
        why.contains("the race of 40 mm is 10 mm larger than the crown seat of 30 mm"),
        "{why}"
    );
    // The other build is none the worse for it.
    let kit = app.kit_of(T15).await;
    let fit = app.look(&format!("/api/kits/{kit}/fit")).await;
    assert_eq!(fit["words"], "fits: 21 rules");
}

#[actix_web::test]
async fn a_ski_bag_without_washers_is_refused() {
    let app = TestApp::start();
    let row = format!("line,SKI,20,,SK110E,,,10,,,8{}\n", ",".repeat(14));
    let order = order_after(&app, "SKI", &row, "", "T12").await;
    let why = refused(&app, &order).await;
    assert!(
        why.contains(
            "screw in its insert: bottoms out: 14 mm less plate 5 mm, washer 0 mm and riser 0 mm \
             reaches 9 mm, and the insert is usable to 7.5 mm"
        ),
        "{why}"
    );
}

#[actix_web::test]
async fn a_ski_bag_that_is_one_washer_short_is_refused_too() {
    let app = TestApp::start();
    let order = order_after(&app, "SKI", "SK110E,,,10,,,8,", "SK110E,,,10,,,7,", "T15").await;
    assert!(refused(&app, &order).await.contains("bottoms out: 14 mm"));
}

#[actix_web::test]
async fn a_ski_bolt_of_the_next_length_is_refused() {
    let app = TestApp::start();
    let order = order_after(&app, "SKI", "SK1074", "SK109Z", "T15").await;
    assert!(
        refused(&app, &order).await.contains("bottoms out: 16 mm less plate 5 mm, washer 1.6 mm")
    );
}

#[actix_web::test]
async fn the_other_builds_bearing_in_a_bag_is_refused_though_it_drops_into_the_cup() {
    let app = TestApp::start();
    let order = order_after(&app, "HEAD-40", "HS104C", "HS105A", "T15").await;
    let why = refused(&app, &order).await;
    assert!(
        why.contains("the lower bearing is for a race of 30 mm, and the fork's race is 40 mm"),
        "{why}"
    );
    let page = app.look(&format!("/api/orders/{order}")).await;
    let misfit = find(&page["kits"][0]["fit"]["findings"], "verdict", "does not fit");
    assert_eq!(misfit["rule"], "bearing and its seats");
}

#[actix_web::test]
async fn a_spacer_pack_of_the_other_build_is_refused() {
    let app = TestApp::start();
    let order = order_after(&app, "HEAD-40", "SP1036,,,6,,,2,", "SP1036,,,6,,,1,", "T15").await;
    let why = refused(&app, &order).await;
    assert!(why.contains("clearance under the top cap: 0.5 mm stays free under the cap"), "{why}");
}

#[actix_web::test]
async fn what_nobody_has_stated_is_shown_and_lets_the_kit_pass() {
    let app = TestApp::start();
    restate(&app, "head_tube=115; ", "").await;
    let kit = app.kit_of(T12).await;
    let fit = app.look(&format!("/api/kits/{kit}/fit")).await;
    assert_eq!(fit["words"], "fits: 20 rules, not known: 1 rule");
    let unknown = find(&fit["findings"], "verdict", "not known");
    assert!(text(&unknown["reason"]).starts_with("the length of the head tube of Frame"), "{fit}");
    app.pick_list(&[&kit]).await;
}

#[actix_web::test]
async fn a_file_without_the_facts_columns_leaves_what_is_stated() {
    let app = TestApp::start();
    let part = "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,tracking,\
                class,supplier,supplier_item,unit_cost,pack,minimum_order,reorder_point,\
                order_quantity,bin\nSK110E,Washer M6,,,,1,0.02,60x60x20,lot,S,TF,11770-00,0.02,\
                1000,5000,2876,5000,H-05-3X\n";
    assert_eq!(app.import("parts", part).await.0, 200);
    let kit = app.kit_of(T12).await;
    let fit = app.look(&format!("/api/kits/{kit}/fit")).await;
    assert_eq!(fit["words"], "fits: 21 rules");
}

#[actix_web::test]
async fn a_fact_that_is_none_is_a_fault_of_the_file_with_the_names_there_are() {
    let app = TestApp::start();
    let file = demo::file(Kind::Parts).replace("role=riser; thickness=2", "role=riser; tall=2");
    let (status, body) = app.import("parts", &file).await;
    assert_eq!(status, 422, "{body}");
    let faults = rows(&body["faults"]);
    assert_eq!(faults.len(), 1, "{body}");
    assert_eq!(faults[0]["column"], "facts");
    assert!(
        text(&faults[0]["message"])
            .starts_with("'tall' is not the name of a fact: write one of role")
    );
}

#[actix_web::test]
async fn a_bill_can_be_judged_before_it_is_released() {
    let app = TestApp::start();
    let judged = app.books().read(|conn| {
        let mut boms = boms_on(conn, today())?;
        let head = boms.get_mut("HEAD-30").expect("a bag");
        head.lines.retain(|it| it.number != 70);
        let options: BTreeMap<String, String> = [
            ("build", "T12"),
            ("size", "M"),
            ("colour", "rowan red"),
            ("ski", "95"),
            ("language", "en"),
        ]
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .into();
        let one = judge_options(conn, &boms, "TARVET", &options)?;
        let missing = judge_options(conn, &boms, "TARVET", &BTreeMap::new());
        assert_eq!(missing.expect_err("no options").code(), "kits.option_missing");
        Ok(one)
    });
    let one = judged.expect("it can be judged");
    let misfits: Vec<&str> =
        one.iter().filter(|it| it.verdict == "does not fit").map(|it| it.rule.as_str()).collect();
    assert_eq!(misfits, ["clearance under the top cap"]);
}

#[actix_web::test]
async fn the_list_of_orders_says_what_does_not_fit_and_holds_them_back() {
    let app = TestApp::start();
    let order = order_after(&app, "SKI", "SK1074", "SK1082", "T12").await;
    let list = app.look("/api/orders").await;
    let held = find(&list, "number", &order);
    assert_eq!(held["leave"], "held");
    let fit = &held["kits"][0]["fit"];
    assert_eq!(fit["words"], "does not fit: 1 rule, fits: 20 rules");
    let reason = text(&fit["findings"][0]["reason"]);
    assert!(reason.starts_with("too short: 12 mm less plate 5 mm"), "{reason}");
    // What was promised before keeps the bag that it was promised.
    let before = find(&list, "number", T12);
    assert_eq!(before["kits"][0]["fit"]["words"], "fits: 21 rules");
}
