//! From a lot or serial number to every kit that has a piece of it, and what is still in the house.

use std::collections::BTreeMap;

use insta::assert_snapshot;
use kitwright::domain::codes::check_char;
use kitwright::domain::people::Role::{Owner, Warehouse};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};
use crate::support::service::Demo;

const BOLT: &str = "SK1074";
const SKI_BAG: &str = "HB106L";

fn path(codes: &[&str], part: &str) -> String {
    let coded = |text: &str| utf8_percent_encode(text, NON_ALPHANUMERIC).to_string();
    format!("/api/trace?codes={}&part_number={part}", coded(&codes.join("\n")))
}

async fn trace(app: &TestApp, codes: &[&str], part: &str) -> Value {
    app.look(&path(codes, part)).await
}

fn fates(view: &Value) -> BTreeMap<String, i64> {
    assert_eq!(view["unexplained"], 0, "{view}");
    let fates: BTreeMap<String, i64> = rows(&view["fates"])
        .iter()
        .map(|it| (text(&it["fate"]), it["pieces"].as_i64().expect("a count")))
        .collect();
    assert_eq!(json!(fates.values().sum::<i64>()), view["came_in"], "every piece has one fate");
    fates
}

async fn taken(app: &TestApp, kind: &str, file: &str) {
    let (status, body) = app.import(kind, file).await;
    assert_eq!(status, 200, "{body}");
}

async fn corrected(app: &TestApp, body: Value) {
    let (status, body) = app.act(Owner, "/api/stock/corrections", body).await;
    assert_eq!(status, 201, "{body}");
}

/// The recall of an invented fork: of 240 pieces received, 64 are suspect, and they must add up.
#[actix_web::test]
async fn sixty_four_suspect_forks_are_all_found() {
    let app = TestApp::start();
    let fork = format!("ZF101{}", check_char("ZF101").expect("letters and digits"));
    taken(
        &app,
        "parts",
        &format!(
            "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,tracking,class,\
             supplier,supplier_item,unit_cost,pack,minimum_order,reorder_point,order_quantity,bin\n\
             {fork},Sled fork,,,,2100,10,,serial,S,TF,,90,1,1,0,10,B-01-13\n"
        ),
    )
    .await;
    taken(
        &app,
        "kits",
        &format!(
            "record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,check,caution,\
             valid_from\nkit,SLED,,Sled,,A,,,,,,,,,2026-01-01\nstep,SLED,1,Fork,,,,,,,,,,,\n\
             line,SLED,10,,{fork},,,1,,,1,1,,,\n"
        ),
    )
    .await;
    let serials: Vec<String> = (1..=80).map(|it| format!("RC-{it:03}")).collect();
    let rows_of: String = serials.iter().map(|it| format!("{fork},B-01-13,1,,,{it}\n")).collect();
    taken(&app, "stock", &format!("part_number,bin,quantity,lot,use_by,serial\n{rows_of}")).await;
    for (order, kits) in [("T-1", 43), ("T-2", 9)] {
        let file = format!(
            "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity\n\
             {order},2026-11-25,2026-12-20,\"=Wren Ångström\",rider,wren@rider.example,Lane 1,GB,SLED,{kits}\n"
        );
        taken(&app, "orders", &file).await;
        let view = app.look(&format!("/api/orders/{order}")).await;
        for kit in rows(&view["kits"]) {
            let kit = text(&kit["number"]);
            let list = app.pick_list(&[&kit]).await;
            app.walk(&list).await;
            app.pack(&kit).await;
            if order == "T-1" {
                app.seal(&kit).await;
                let path = format!("/api/kits/{kit}/hand-over");
                let (status, body) = app.act(Warehouse, &path, json!({})).await;
                assert_eq!(status, 204, "{body}");
            }
        }
    }
    let all: Vec<&str> = serials.iter().map(String::as_str).collect();
    let with_riders = trace(&app, &all, "").await;
    let kits: Vec<(String, String)> = rows(&with_riders["kits"])
        .iter()
        .map(|it| (text(&it["order"]), text(&it["code"])))
        .collect();
    let of = |order: &str| -> Vec<&str> {
        kits.iter().filter(|it| it.0 == order).map(|it| it.1.as_str()).collect()
    };
    let (shipped, packed) = (of("T-1"), of("T-2"));
    assert_eq!((shipped.len(), packed.len()), (43, 9));
    for serial in &shipped[..2] {
        corrected(
            &app,
            json!({
                "part_number": fork, "from": "rider", "to": "R-01-16", "quantity": 1, "lot": "",
                "serial": serial, "reason": "came back",
            }),
        )
        .await;
    }
    let on_rack = all.iter().filter(|it| kits.iter().all(|(_, code)| code != *it)).take(12);
    let mut suspect: Vec<&str> = on_rack.copied().collect();
    suspect.extend(shipped.iter().chain(&packed));
    assert_eq!(suspect.len(), 64);
    let view = trace(&app, &suspect, &fork).await;
    let wanted =
        [("with riders", 41), ("packed, not handed over", 9), ("in bins", 12), ("came back", 2)];
    let wanted: BTreeMap<String, i64> =
        wanted.into_iter().map(|(fate, pieces)| (fate.to_owned(), pieces)).collect();
    assert_eq!(fates(&view), wanted);
    assert_eq!((&view["came_in"], rows(&view["kits"]).len()), (&json!(64), 50));
    let first = &view["kits"][0];
    assert_eq!(
        (&first["customer"], &first["email"], &first["handed_over_on"], &first["certain"]),
        (
            &json!("=Wren Ångström"),
            &json!("wren@rider.example"),
            &json!("2026-11-25"),
            &json!(true)
        )
    );
    assert!(text(&first["carton"]).starts_with("CN"), "{first}");
    let letters = path(&suspect, &fork).replace("/api/trace?", "/api/trace/letters?");
    let request = app.request(Some(Owner), reqwest::Method::GET, &letters);
    let file = request.send().await.expect("an answer").text().await.expect("a file");
    assert_eq!(file.lines().count(), 51);
    // A name that a spreadsheet would run is made harmless.
    assert_eq!(file.matches(",'=Wren Ångström,rider,wren@rider.example,Lane 1,GB,").count(), 50);
}

#[actix_web::test]
async fn a_lot_of_bolts_is_found_inside_of_bags() {
    let app = TestApp::start();
    let before = trace(&app, &["TF-2629-512"], BOLT).await;
    let came_in = before["came_in"].as_i64().expect("a count");
    assert_eq!(fates(&before), BTreeMap::from([("in bins".to_owned(), came_in)]));
    for lot in ["RUN-SKI-46", "RUN-SKI-47"] {
        for held in app.held(SKI_BAG, "K-08-1G").await {
            if held["lot"] == lot {
                corrected(
                    &app,
                    json!({
                        "part_number": SKI_BAG, "from": "K-08-1G", "to": "scrap", "lot": lot,
                        "serial": "", "reason": "test", "quantity": held["quantity"],
                    }),
                )
                .await;
            }
        }
    }
    let run = json!({ "part_number": SKI_BAG, "pieces": 40 });
    let (status, body) = app.act(Warehouse, "/api/bench/runs", run).await;
    assert_eq!(status, 201, "{body}");
    let run = text(&body["number"]);
    let kit = app.despatch("SO-26-0872").await;
    let view = trace(&app, &["TF-2629-512"], "").await;
    let found = fates(&view);
    assert_eq!((found["with riders"], found["in bins"]), (8, came_in - 8));
    let holder = &view["kits"][0];
    assert_eq!(
        (&holder["kit"], &holder["part_number"], &holder["code"], &holder["through"]),
        (&json!(kit), &json!(SKI_BAG), &json!(run), &json!([run]))
    );
    // Bolts in the bin, and 39 bags with 8 of them each.
    let bags = find(&view["in_house"], "part_number", SKI_BAG);
    assert_eq!((&bags["pieces"], &bags["certain"]), (&json!(39 * 8), &json!(true)));
    // The run itself, by its number: what is looked for is then the bags.
    let of_run = trace(&app, &[&run], "").await;
    assert_eq!((fates(&of_run)["with riders"], &of_run["came_in"]), (1, &json!(40)));
    // Bolts and the bags that they are in, asked for together, are not counted twice.
    let both = trace(&app, &["TF-2629-512", &run], "").await;
    assert_eq!((&both["came_in"], rows(&both["items"]).len()), (&view["came_in"], 1));
    // Ten bags taken apart give their bolts back.
    let apart = json!({ "pieces": 10 });
    let (status, body) =
        app.act(Warehouse, &format!("/api/bench/runs/{run}/take-apart"), apart).await;
    assert_eq!(status, 201, "{body}");
    let view = trace(&app, &["TF-2629-512"], "").await;
    assert_eq!((fates(&view)["with riders"], fates(&view)["in bins"]), (8, came_in - 8));
    assert_eq!(find(&view["in_house"], "part_number", SKI_BAG)["pieces"], 29 * 8);
}

#[actix_web::test]
async fn a_run_of_two_lots_says_perhaps() {
    let app = TestApp::start();
    let held = app.held(BOLT, "H-04-4Z").await;
    let of = |lot: &str| find(&json!(held), "lot", lot)["quantity"].as_i64().expect("a count");
    let first = of("TF-2629-512");
    corrected(
        &app,
        json!({
            "part_number": BOLT, "from": "H-04-4Z", "to": "scrap", "lot": "TF-2629-512", "serial": "",
            "quantity": first - 12, "reason": "test",
        }),
    )
    .await;
    let run = json!({ "part_number": SKI_BAG, "pieces": 4 });
    let (status, body) = app.act(Warehouse, "/api/bench/runs", run).await;
    assert_eq!(status, 201, "{body}");
    let run = text(&body["number"]);
    let view = trace(&app, &["TF-2629-512"], BOLT).await;
    let found = fates(&view);
    let mixed = format!("in pieces of run {run}, which used several lots");
    assert_eq!((found["scrapped"], found[&mixed]), (first - 12, 12));
    let bags = find(&view["in_house"], "part_number", SKI_BAG);
    assert_eq!((&bags["certain"], &bags["pieces"]), (&json!(false), &json!(32)));
}

#[actix_web::test]
async fn a_cut_fork_is_one_piece_with_its_uncut_one() {
    let app = TestApp::start();
    let serial = "PD-T12-26-1600";
    let run = json!({ "part_number": "FK104J", "pieces": 1, "serials": [serial] });
    let (status, body) = app.act(Warehouse, "/api/bench/runs", run).await;
    assert_eq!(status, 201, "{body}");
    // Both parts have the number; it is one fork. A scanned label finds it too.
    for code in [serial.to_owned(), format!("S{serial}")] {
        let view = trace(&app, &[&code], "").await;
        assert_eq!(fates(&view), BTreeMap::from([("in bins".to_owned(), 1)]));
        assert_eq!(rows(&view["items"]).len(), 1);
        assert_eq!(view["items"][0]["part_number"], "FK101P");
        assert_eq!(view["in_house"][0]["part_number"], "FK104J");
    }
}

#[actix_web::test]
async fn what_is_not_known_is_said() {
    let app = TestApp::start();
    let view = trace(&app, &["NO-SUCH-LOT", "TF-2629-512"], "FK101P").await;
    assert_eq!(view["unknown"], json!(["NO-SUCH-LOT", "TF-2629-512"]));
    assert_eq!((&view["came_in"], &view["items"]), (&json!(0), &json!([])));
    let (status, body) = app.get(Owner, "/api/trace?codes=%20%0A").await;
    assert_eq!(status, 422);
    assert_snapshot!(text(&body["title"]), @"codes: enter lots, serial numbers or runs, one on a line");
    let many: Vec<String> = (0..5_001).map(|it| it.to_string()).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    let (status, body) = app.get(Owner, &path(&many, "")).await;
    assert_eq!((status, &body["code"]), (422, &json!("trace.too_many")), "{body}");
}

#[actix_web::test]
async fn the_command_line_says_where_pieces_are_and_writes_letters() {
    let service = Demo::start();
    let letters = service.folder().path().join("letters.csv");
    let file = letters.to_str().expect("a path");
    let run = service.run(&["trace", "TF-2629-512", "--part", BOLT, "--letters", file]);
    let said = String::from_utf8_lossy(&run.stdout).into_owned();
    assert!(run.status.success() && said.contains("in bins"), "{said}");
    assert!(std::fs::read_to_string(&letters).expect("a file").starts_with("order,kit,carton,"));
    let run = service.run(&["trace", "NO-SUCH-LOT"]);
    assert!(!run.status.success());
    assert!(String::from_utf8_lossy(&run.stdout).contains("not known: NO-SUCH-LOT"));
}
