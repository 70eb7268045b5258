//! Bags of another revision than the kit was promised: judged by what their own run put into them.

use kitwright::demo;
use kitwright::domain::people::Role::{Owner, Warehouse};
use kitwright::exchange::Kind;
use reqwest::Method;
use serde_json::json;

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

const SKI_BAG: &str = "HB106L";
const ORDER: &str = "SO-26-0990";
/// A thicker plate of the mounts, and inserts that can be used deeper.
const THICK: (&str, &str) = ("holes_across=40; thickness=5", "holes_across=40; thickness=7");
const DEEP: (&str, &str) = ("depth=7.5", "depth=10");

/// Takes in the demo's parts with texts in place of others.
async fn restate(app: &TestApp, changes: &[(&str, &str)]) {
    let mut file = demo::file(Kind::Parts).to_owned();
    for (old, new) in changes {
        assert!(file.contains(old), "{old}");
        file = file.replace(old, new);
    }
    let (status, body) = app.import("parts", &file).await;
    assert_eq!(status, 200, "{body}");
}

/// Takes away all ski bags, and makes some by the revision in force.
async fn make_alone(app: &TestApp, pieces: i64) -> String {
    for lot in ["RUN-SKI-46", "RUN-SKI-47"] {
        let held = app.held(SKI_BAG, "K-08-1G").await;
        let held = held.iter().find(|it| it["lot"] == lot).expect("it lies there");
        let body = json!({
            "part_number": SKI_BAG, "from": "K-08-1G", "to": "scrap", "lot": lot,
            "reason": "test", "quantity": held["quantity"],
        });
        let (status, body) = app.act(Owner, "/api/stock/corrections", body).await;
        assert_eq!(status, 201, "{body}");
    }
    make(app, pieces).await
}

async fn make(app: &TestApp, pieces: i64) -> String {
    let run = json!({ "part_number": SKI_BAG, "pieces": pieces });
    let (status, body) = app.act(Warehouse, "/api/bench/runs", run).await;
    assert_eq!(status, 201, "{body}");
    text(&body["number"])
}

/// Takes in revision B of the ski bag, with bolts of 16 mm, and an order that is promised it before
/// all others; returns its kit.
async fn longer_bolts(app: &TestApp) -> String {
    let file = demo::file(Kind::Kits);
    let heading = file.lines().next().expect("a heading");
    let dated = heading.split(',').position(|it| it == "valid_from").expect("a column");
    let rows = file.lines().filter(|it| it.split(',').nth(1) == Some("SKI")).map(|row| {
        let mut cells: Vec<&str> = row.split(',').collect();
        cells.resize(heading.split(',').count(), "");
        if cells[0] == "kit" {
            (cells[5], cells[dated]) = ("B", "2026-11-25");
        }
        cells.join(",").replace("SK1074", "SK109Z") + "\n"
    });
    let bill = format!("{heading}\n{}", rows.collect::<String>());
    let (status, body) = app.import("kits", &bill).await;
    assert_eq!(status, 200, "{body}");
    let heading = demo::file(Kind::Orders).lines().next().expect("a heading");
    let order = format!(
        "{heading}\n{ORDER},2026-11-25,2026-11-25,Ada Nordskar,rider,a.n@mail.example,Lia 3,NO,\
         TARVET,1,T12,M,soot black,105,en\n"
    );
    let (status, body) = app.import("orders", &order).await;
    assert_eq!(status, 200, "{body}");
    app.kit_of(ORDER).await
}

/// Returns the card of a kit as the rider's phone shows it.
async fn card(app: &TestApp, kit: &str) -> String {
    let url = text(&app.look(&format!("/api/kits/{kit}/box-link")).await["url"]);
    let path = url.strip_prefix("https://box.skarnholt.example").expect("the shop's own address");
    let page = app.request(None, Method::GET, &format!("{path}/card?language=en"));
    text(&app.send(page).await.1)
}

#[actix_web::test]
async fn a_kit_is_judged_and_explained_by_the_bag_that_it_holds() {
    let app = TestApp::start();
    let run = make_alone(&app, 40).await;
    restate(&app, &[DEEP]).await;
    let kit = longer_bolts(&app).await;
    // Both bolts hold in the deeper inserts, so the older bags serve the newer promise.
    let page = card(&app, &kit).await;
    assert!(page.contains("SK1074") && !page.contains("SK109Z"));
    assert!(page.contains("In the insert: 14 mm − 1.6 mm (washer) − 5 mm (plate) = 7.4 mm."));
    let list = app.pick_list(&[&kit]).await;
    // By the promise it would still fit: 16 less 7 and 1.6 reaches 7.4 mm.
    restate(&app, &[DEEP, THICK]).await;
    let short = "too short: 14 mm less plate 7 mm, washer 1.6 mm";
    let walk = app.look(&format!("/api/pick-lists/{list}")).await;
    let stop = find(&walk["stops"], "part_number", SKI_BAG);
    let (take, bin) = (&stop["takes"][0]["take"], &stop["bin"]);
    let scan = json!({ "code": format!("1T{run}"), "take": take, "bin": bin });
    let answer = app.pick_scan(&list, scan).await;
    assert_eq!((&answer["code"], &answer["moved"]), (&json!("pick.bag_unfit"), &json!(0)));
    assert!(text(&answer["words"]).contains(short), "{answer}");
    let swap =
        json!({ "from": "SE104B", "to": "SE1059", "said_by": "Ada", "said_on": "2026-11-24" });
    let (status, body) = app.act(Owner, &format!("/api/kits/{kit}/substitutions"), swap).await;
    assert_eq!((status, &body["code"]), (409, &json!("kits.does_not_fit")), "{body}");
    let (why, made_by) =
        (text(&body["title"]), format!("of run {run} was made by revision A of SKI"));
    assert!(why.contains(short) && why.contains(&made_by), "{why}");
    let fit = app.look(&format!("/api/kits/{kit}/fit")).await;
    assert_eq!(fit["words"], "does not fit: 1 rule, fits: 20 rules");
    let (status, body) = app.act(Warehouse, &format!("/api/kits/{kit}/take-off"), json!({})).await;
    assert_eq!(status, 200, "{body}");
    let order = app.look(&format!("/api/orders/{ORDER}")).await;
    assert_eq!(find(&order["alerts"], "part_number", SKI_BAG)["quantity"], 1, "it is not held now");
}

#[actix_web::test]
async fn bags_that_do_not_fit_a_kit_are_not_held_for_it_and_its_alert_says_why() {
    let app = TestApp::start();
    let run = make_alone(&app, 3).await;
    restate(&app, &[THICK]).await;
    let kit = longer_bolts(&app).await;
    let order = app.look(&format!("/api/orders/{ORDER}")).await;
    assert_eq!(order["kits"][0]["fit"]["words"], "fits: 21 rules", "by what it was promised");
    let alert = find(&order["alerts"], "part_number", SKI_BAG).clone();
    assert_eq!(alert["quantity"], 1);
    let note = text(&alert["note"]);
    let begin =
        format!("those of run {run}, made by revision A of SKI, do not fit this kit: screw");
    assert!(note.starts_with(&begin), "{note}");
    assert!(note.contains("too short: 14 mm less plate 7 mm"), "{note}");
    assert!(card(&app, &kit).await.contains("SK109Z"), "what it is promised");
    let newer = make(&app, 1).await;
    let order = app.look(&format!("/api/orders/{ORDER}")).await;
    let short = rows(&order["alerts"]).iter().any(|it| it["part_number"] == SKI_BAG);
    assert!(!short, "the bag of {newer} is held for it");
}
