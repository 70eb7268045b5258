//! Parts, suppliers and bins that the shop makes and changes by its own pages, and by files.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Owner, Warehouse};
use reqwest::Method;
use serde_json::json;

use crate::support::app::TestApp;
use crate::support::builders::{key, rows, text};
use crate::support::desk::Desk;

#[actix_web::test]
async fn a_new_part_takes_its_family_s_next_number_and_faults_keep_what_was_typed() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let page = desk.open("/parts/new?family=mt").await;
    let form = page.form("/parts/new");
    let number = form.fields["part_number"].clone();
    assert_snapshot!(number, @"MT112Z");
    let form = form
        .fill("part", "Pinch bolt <long>")
        .fill("variant", "M6×40 ✗")
        .fill("mass_g", "12,5")
        .fill("unit_cost", "1E+05")
        .fill("pack", "0")
        .fill("supplier", "LC")
        .fill("class", "R")
        .fill("bin", "H-99-9");
    let refused = desk.send(&form).await;
    assert_eq!(refused.status, 422);
    refused
        .says("4 fields are to mend")
        .says("'12,5' is not a number of grams, such as 3480 or 0.44: the decimal sign is a point, so write 12.5")
        .says("a spreadsheet has shortened this number")
        .says("The quantity is 0: write at least 1")
        .says("'H-99-9' is not a bin code");
    let again = refused.form("/parts/new");
    assert_eq!(again.fields["part"], "Pinch bolt <long>");
    assert_eq!(again.fields["variant"], "M6×40 ✗");
    assert_eq!(again.fields["supplier"], "LC");
    assert_eq!(
        app.request(Some(Owner), Method::GET, &format!("/api/parts/{number}"))
            .send()
            .await
            .unwrap()
            .status(),
        404
    );
    let good =
        again.fill("mass_g", "12.5").fill("unit_cost", "0.21").fill("pack", "100").fill("bin", "");
    let made = desk.send(&good).await;
    assert_eq!((made.status, made.path.as_str()), (200, format!("/parts/{number}").as_str()));
    made.says("is made").says("Pinch bolt <long>").says("Ilka Trevanion").says("12.5 g");
    let twice = desk.send(&good).await;
    twice.says("is made");
    let other = desk.open(&format!("/parts/new?like={number}")).await.form("/parts/new");
    assert_eq!(other.fields["part"], "Pinch bolt <long>");
    assert_ne!(other.fields["part_number"], number);
    desk.send(&other.fill("part_number", &number)).await.says("already: take another, or edit it");
    let part = app.look(&format!("/api/parts/{number}")).await;
    assert_eq!((&part["mass_mg"], &part["pack"]), (&json!(12500), &json!(100)));
}

#[actix_web::test]
async fn a_change_is_kept_with_who_made_it_and_what_moved_stays_tracked_as_it_was() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let form = desk.open("/parts/MT108R/edit").await.form("/parts/MT108R/edit");
    let refused = desk.send(&form.fill("tracking", "none")).await;
    refused.says("MT108R has moved already, so its tracking stays 'lot'");
    let form = refused.form("/parts/MT108R/edit").fill("tracking", "lot").fill("unit_cost", "0.19");
    desk.send(&form.fill("reorder_point", "99"))
        .await
        .says("MT108R is changed: unit_cost, reorder_point");
    let part = app.look("/api/parts/MT108R").await;
    let seen: Vec<String> = rows(&part["changes"])
        .iter()
        .take(2)
        .map(|it| {
            format!(
                "{} {} > {} by {} {}",
                text(&it["field"]),
                text(&it["from"]),
                text(&it["to"]),
                text(&it["person"]),
                it["by_file"]
            )
        })
        .collect();
    assert_snapshot!(seen.join("\n"), @"
    reorder_point 1438 > 99 by Ilka Trevanion false
    unit_cost 0.17 > 0.19 by Ilka Trevanion false
    ");
    desk.open("/parts/MT108R").await.says("Costs each 0.17 0.19");
    let form = desk.open("/parts/MT108R/edit").await.form("/parts/MT108R/edit");
    desk.send(&form).await.says("MT108R is as it was");
    assert_eq!(app.look("/api/parts/MT108R").await["changes"], part["changes"]);
}

#[actix_web::test]
async fn two_people_on_one_part_see_each_other_s_changes_before_either_is_lost() {
    let app = TestApp::start();
    let (one, two) = (Desk::sign_in(&app, Owner).await, Desk::sign_in(&app, Owner).await);
    let address = "/parts/MT108R/edit";
    let mine = one.open(address).await.form(address);
    let theirs = two.open(address).await.form(address);
    two.send(&theirs.fill("unit_cost", "0.25").fill("pack", "500")).await.says("is changed");
    let refused =
        one.send(&mine.fill("unit_cost", "0.18").fill("specification", "new words")).await;
    assert_eq!(refused.status, 422);
    refused
        .says("Ilka Trevanion has changed MT108R since this was loaded (pack, unit_cost)")
        .says("Ilka Trevanion has made “0.25” of “0.17” meanwhile; what you typed is kept here")
        .says("Ilka Trevanion has made “500” of “200” meanwhile; you had left it");
    let part = app.look("/api/parts/MT108R").await;
    assert_eq!((&part["unit_cost_cents"], &part["pack"]), (&json!(25), &json!(500)));
    let again = refused.form(address);
    assert_eq!(
        (again.fields["unit_cost"].as_str(), again.fields["pack"].as_str()),
        ("0.18", "500")
    );
    assert_eq!(again.fields["specification"], "new words");
    one.send(&again).await.says("MT108R is changed: specification, unit_cost");
}

#[actix_web::test]
async fn a_base_part_s_last_number_keeps_the_name_that_a_kit_calls_for() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let parts = text(&app.look("/api/exports/parts").await);
    let renamed = parts.replace("\"Frame, cups pressed in\"", "Chassis");
    assert_ne!(renamed, parts);
    let refused = desk.import("parts", "check", &renamed).await;
    refused.says(
        "FRAME-SET calls for 'Frame, cups pressed in', and no part number would keep that name",
    );
    let address = "/parts/FR101O/edit";
    let form = desk.open(address).await.form(address).fill("part", "Chassis");
    desk.send(&form).await.says("FR101O is changed: part");
}

#[actix_web::test]
async fn suppliers_and_bins_are_made_and_changed_on_their_pages() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let form = desk.open("/suppliers/new").await.form("/suppliers/new");
    let form = form
        .fill("code", "Ž/1")
        .fill("name", "Žlutý & syn")
        .fill("lead_days", "x")
        .fill("lead_sd_days", "0.5");
    let refused = desk.send(&form).await;
    refused.says("'x' is not a whole number");
    let made = desk.send(&refused.form("/suppliers/new").fill("lead_days", "7")).await;
    made.says("Ž/1 is made").says("Žlutý & syn");
    let address = "/suppliers/%C5%BD%2F1/edit";
    let form = desk.open(address).await.form(address).fill("email", "a@b.example");
    desk.send(&form).await.says("Ž/1 is changed: email").says("a@b.example");
    let form = desk.open("/bins/new").await.form("/bins/new");
    let form = form.fill("bin", "B-99-9T").fill("walk_order", "999").fill("zone", "attic");
    desk.send(&form).await.says("B-99-9T is made").says("attic");
    desk.send(&form.with("request_key", "another-key-1"))
        .await
        .says("There is bin B-99-9T already");
}

#[actix_web::test]
async fn whoever_may_not_change_the_catalogue_is_told_so() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Warehouse).await;
    let page = desk.open("/parts/MT108R/edit").await;
    assert_eq!(page.status, 403);
    page.says("As warehouse you may not change parts, suppliers, bins or bills of materials");
    assert!(!desk.open("/parts/MT108R").await.html.contains("/edit"));
    assert!(!desk.open("/parts").await.html.contains("/parts/new"));
    let fields = json!({ "request_key": key(), "fields": { "pack": "9" } });
    let (status, _) = app
        .send(app.request(Some(Warehouse), Method::PUT, "/api/parts/MT108R").json(&fields))
        .await;
    assert_eq!(status, 403);
}

#[actix_web::test]
async fn a_device_changes_single_fields_and_learns_of_changes_meanwhile() {
    let app = TestApp::start();
    let put = async |path: &str, body: serde_json::Value| {
        let mut body = body;
        body["request_key"] = json!(key());
        app.send(app.request(Some(Owner), Method::PUT, path).json(&body)).await
    };
    let version = app.look("/api/parts/MT108R").await["version"].clone();
    let change = |cost: &str| json!({ "version": version, "fields": { "unit_cost": cost } });
    let (status, body) = put("/api/parts/MT108R", change("0.2")).await;
    assert_eq!((status, &body["new"]), (200, &json!(false)), "{body}");
    let (status, body) = put("/api/parts/MT108R", change("0.3")).await;
    assert_eq!((status, &body["code"]), (409, &json!("catalog.changed")), "{body}");
    let (status, body) = put("/api/parts/MT108R", json!({ "fields": { "colour": "red" } })).await;
    assert_eq!((status, &body["code"]), (422, &json!("catalog.unknown_field")), "{body}");
    let (status, body) = put("/api/parts/MT108R", json!({ "fields": { "pack": "1.5" } })).await;
    assert_eq!((status, &body["code"]), (422, &json!("catalog.entry")), "{body}");
    assert_snapshot!(format!("{} {}", text(&body["title"]), text(&body["faults"][0]["column"])), @"1 field to mend: pack: '1.5' is not a whole number of pieces from 0 to 10000000, such as 8 pack");
    let supplier = json!({ "fields": { "name": "New", "lead_days": "3", "lead_sd_days": "1" } });
    assert_eq!(put("/api/suppliers/NEW", supplier).await.0, 201);
    let bin = json!({ "fields": { "kind": "bin", "zone": "attic", "walk_order": "4" } });
    assert_eq!(put("/api/bins/B-99-9T", bin).await.0, 201);
    let part = app.look("/api/parts/MT108R").await;
    assert_eq!((&part["unit_cost_cents"], &part["pack"]), (&json!(20), &json!(200)));
}

#[actix_web::test]
async fn a_file_s_changes_are_listed_before_they_are_made_and_after() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let all = text(&app.look("/api/exports/parts").await);
    let heading = all.lines().next().unwrap();
    let line = all.lines().find(|it| it.starts_with("MT108R")).unwrap();
    let new = line.replace("MT108R", "MT999U").replace("Pinch bolt", "Great bolt");
    let file = format!(
        "{heading}\n{}\n{new}\n{}\n",
        line.replace(",0.17,", ",0.19,"),
        all.lines().find(|it| it.starts_with("SK1074")).unwrap()
    );
    let checked = desk.import("parts", "check", &file).await;
    checked
        .says("What the file would change")
        .says("MT108R unit_cost 0.17 0.19")
        .says("MT999U new")
        .says("1 record is as before.")
        .says("records that the file lacks stay as they are");
    assert_eq!(text(&app.look("/api/exports/parts").await), all);
    let done = desk.import("parts", "import", &file).await;
    done.says("What the file changed").says("MT108R unit_cost 0.17 0.19");
    desk.open("/parts/MT108R").await.says("Ilka Trevanion, by a file Costs each 0.17 0.19");
    desk.import("parts", "check", &file)
        .await
        .says("Nothing: the shop holds every record of it just so.");
    let kits = text(&app.look("/api/exports/kits").await);
    // Nobody was promised revision B, the first of the file.
    let changed = kits.replacen("Tarvet ski bike", "\"Tarvet, long\"", 1);
    assert_ne!(changed, kits);
    desk.import("kits", "check", &changed)
        .await
        .says("TARVET revision B kit name Tarvet ski bike Tarvet, long");
}

#[actix_web::test]
async fn what_spreadsheets_do_to_a_file_is_survived_or_named() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let page = desk.open("/export/suppliers.csv").await.html;
    assert!(page.starts_with('\u{feff}'), "a spreadsheet learns that the file is UTF-8");
    let semicolons = format!(
        "\u{feff}{}",
        text(&app.look("/api/exports/suppliers").await).replace(',', ";").replace('\n', "\r\n")
    );
    desk.import("suppliers", "check", &semicolons)
        .await
        .says("Nothing: the shop holds every record of it just so.");
    for sign in ["=1+1", "+41 1", "-x", "@a", "'=b", "''", "＝1"] {
        let name = format!("{sign} Ø");
        let form =
            desk.open("/suppliers/QN/edit").await.form("/suppliers/QN/edit").fill("name", &name);
        desk.send(&form).await.says("QN is changed: name");
        let file = text(&app.look("/api/exports/suppliers").await);
        let cell = file
            .lines()
            .find(|it| it.starts_with("QN,"))
            .unwrap()
            .split(',')
            .nth(1)
            .unwrap()
            .to_owned();
        assert!(!cell.starts_with(['=', '+', '-', '@', '＝']), "{cell} is no formula");
        desk.import("suppliers", "import", &file)
            .await
            .says("Nothing: the shop holds every record");
        let kept = desk.open("/suppliers/QN/edit").await.form("/suppliers/QN/edit");
        assert_eq!(kept.fields["name"], name);
    }
    let file = "code,name,email,lead_days,lead_sd_days\nQN,\"Quennick\nFrameworks\",,9E+01,1,5\n";
    desk.import("suppliers", "check", file)
        .await
        .says("this line has 6 fields, and the first line has 5");
    let file =
        "code,name,email,lead_days,lead_sd_days\nQN,\"Quennick\nFrameworks\",,9E+01,\"1,5\"\n";
    desk.import("suppliers", "check", file)
        .await
        .says("a line break or another control character")
        .says("a spreadsheet has shortened this number")
        .says("so write 1.5");
}
