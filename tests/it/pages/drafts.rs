//! Bills of materials that the shop changes by its own pages: draft, look, release.

use kitwright::domain::people::Role::{Owner, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{rows, text};
use crate::support::desk::{Desk, Page};

const DRAFT: &str = "/drafts/TARVET/D";

/// Begins draft D of the bill TARVET.
async fn begun(desk: &Desk<'_>) -> Page {
    let list = desk.open("/drafts").await;
    let page = desk.send(&list.form("/drafts/begin").fill("code", "TARVET")).await;
    assert_eq!(page.path, DRAFT, "{}", page.words());
    page
}

async fn row(desk: &Desk<'_>, query: &str) -> Page {
    desk.open(&format!("{DRAFT}/row?{query}")).await
}

fn order(number: &str, day: &str) -> String {
    format!(
        "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity,build,size,colour,ski,language\n\
         {number},{day},2026-12-24,Wren,rider,,Lane,GB,TARVET,1,T15,M,soot black,105,en\n"
    )
}

/// How many pieces an order's kit has.
async fn pieces(app: &TestApp, order: &str) -> i64 {
    let order = app.look(&format!("/api/orders/{order}")).await;
    order["kits"][0]["pieces"].as_i64().expect("a count")
}

/// A bill's revision as the API shows it.
async fn bill(app: &TestApp, revision: &str) -> Value {
    let bills = app.look("/api/bills-of-materials").await;
    let wanted = |it: &&Value| it["code"] == "TARVET" && it["revision"] == revision;
    rows(&bills).iter().find(wanted).expect("the revision is there").clone()
}

#[actix_web::test]
async fn a_bill_is_changed_by_a_draft_and_orders_after_its_day_take_it() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    begun(&desk)
        .await
        .says("draft D")
        .says("Revision C is in force")
        .says("Its rows agree with one another");
    let address = "/drafts/TARVET/D/row";
    let form = row(&desk, "record=line").await.form(address);
    let refused =
        desk.send(&form.fill("part", "MT108Q").fill("when", "ski").fill("quantity", "0")).await;
    assert_eq!(refused.status, 422);
    refused
        .says("3 things are to mend")
        .says("'MT108Q' has a wrong character")
        .says("'ski' is not a name, = and a value")
        .says("The quantity is 0");
    let again = refused.form(address);
    assert_eq!((again.fields["part"].as_str(), again.fields["when"].as_str()), ("MT108Q", "ski"));
    let number = again.fields["number"].clone();
    let saved = desk
        .send(
            &again
                .fill("part", "Sledge horn")
                .fill("when", "ski=200")
                .fill("quantity", "2")
                .fill("step", "3"),
        )
        .await;
    assert_eq!(saved.path, DRAFT, "{}", saved.words());
    saved
        .says(&format!("Line {number} is added"))
        .says("2 things are to mend before it can be released")
        .says("there is no part or kit of the name 'Sledge horn'")
        .says("'200' is no ski: the kit has");
    saved.says("5.5 N·m (5–6), printed 5.5 N·m (5–6) | 49 in·lbf (45–53)");
    let look = desk.open(&format!("{DRAFT}/preview")).await;
    let refused =
        desk.send(&look.form("/drafts/TARVET/D/release").fill("from", "2026-12-01")).await;
    assert_eq!(refused.status, 422);
    refused.says("Why it can’t be released").says("Sledge horn");
    let form = row(&desk, &format!("row=line%20{number}")).await.form(address);
    desk.send(&form.fill("part", "MT108R").fill("when", "build=T15")).await.says("Its rows agree");
    let look = desk.open(&format!("{DRAFT}/preview?o.build=T15&o.size=M")).await;
    look.says("What differs from revision C").says(&format!("line {number}")).says("MT108R");
    assert!(look.html.contains("class=\"strip full\""), "the strip is shown");
    let (status, body) = app.import("orders", &order("EARLY", "2026-11-25")).await;
    assert_eq!(status, 200, "{body}");
    let released =
        desk.send(&look.form("/drafts/TARVET/D/release").fill("from", "2026-12-01")).await;
    released.says("Revision D of TARVET holds from 2026-12-01");
    let (status, body) = app.import("orders", &order("LATE", "2026-12-01")).await;
    assert_eq!(status, 200, "{body}");
    let (early, late) = (pieces(&app, "EARLY").await, pieces(&app, "LATE").await);
    assert_eq!(late, early + 2);
    desk.open(DRAFT).await.says("Revision D of TARVET is released and holds from 2026-12-01");
    assert_eq!(bill(&app, "D").await["valid_from"], json!("2026-12-01"));
}

#[actix_web::test]
async fn a_step_that_moves_takes_its_lines_along() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    begun(&desk).await;
    let at = |bill: &Value, step: i64| -> Vec<String> {
        let lines = rows(&bill["lines"]).iter().filter(|it| it["step"] == step);
        lines.map(|it| text(&it["item"])).collect()
    };
    let title = |bill: &Value, step: i64| {
        let found = rows(&bill["steps"]).iter().find(|it| it["number"] == step);
        found.map(|it| text(&it["title"])).unwrap_or_default()
    };
    let before = bill(&app, "D").await;
    let address = "/drafts/TARVET/D/row";
    let form = row(&desk, "row=step%204").await.form(address);
    desk.send(&form.fill("number", "2")).await.says("Step 2 is changed").says("Its rows agree");
    let after = bill(&app, "D").await;
    for (old, new) in [(1, 1), (2, 3), (3, 4), (4, 2), (5, 5), (6, 6)] {
        assert_eq!(title(&after, new), title(&before, old), "step {old} is {new} now");
        assert_eq!(at(&after, new), at(&before, old), "step {old} is {new} now");
    }
    let form = row(&desk, "record=step").await.form(address);
    desk.send(&form.fill("number", "2").fill("name", "New step")).await.says("Step 2 is added");
    let after = bill(&app, "D").await;
    assert_eq!((title(&after, 2), title(&after, 3)), ("New step".to_owned(), title(&before, 4)));
    assert_eq!((at(&after, 2), at(&after, 3)), (vec![], at(&before, 4)));
    let page = row(&desk, "row=step%203").await;
    let form = page.form("/drafts/TARVET/D/drop").fill("to", "2");
    desk.send(&form).await.says("Step 3 is taken out").says("Its rows agree");
    assert_eq!(at(&bill(&app, "D").await, 2), at(&before, 4));
    let form = desk.open(DRAFT).await.form("/drafts/TARVET/D/renumber");
    desk.send(&form).await.says("The lines are numbered anew");
    let numbers = bill(&app, "D").await;
    let numbers: Vec<i64> =
        rows(&numbers["lines"]).iter().filter_map(|it| it["number"].as_i64()).collect();
    assert!(numbers.iter().zip(1..).all(|(it, nth)| *it == nth * 10), "{numbers:?}");
    assert_eq!(bill(&app, "C").await["steps"], before["steps"], "what is in force is as it was");
}

#[actix_web::test]
async fn two_people_on_one_draft_are_told_where_they_meet() {
    let app = TestApp::start();
    let (one, two) = (Desk::sign_in(&app, Owner).await, Desk::sign_in(&app, Owner).await);
    begun(&one).await;
    let address = "/drafts/TARVET/D/row";
    let mine = row(&one, "row=step%203").await.form(address);
    let theirs = row(&two, "row=step%203").await.form(address);
    let other = row(&two, "row=step%204").await.form(address);
    two.send(&theirs.fill("name", "Saddle, their way")).await.says("Step 3 is changed");
    let refused = one.send(&mine.fill("name", "Saddle, my way")).await;
    assert_eq!(refused.status, 422);
    refused
        .says("Ilka Trevanion has changed this since it was loaded")
        .says("to “Saddle, their way”");
    let again = refused.form(address);
    assert_eq!(again.fields["name"], "Saddle, my way");
    two.send(&other.fill("caution", "Mind the bearing."))
        .await
        .says("has changed this since it was loaded");
    one.send(&again).await.says("Step 3 is changed");
    let mine = row(&one, "row=line%2050").await.form(address);
    let theirs = row(&two, "row=line%2060").await.form(address);
    one.send(&mine.fill("quantity", "2")).await.says("Line 50 is changed");
    two.send(&theirs.fill("quantity", "3")).await.says("Line 60 is changed");
}

#[actix_web::test]
async fn a_draft_that_some_choice_breaks_stays_a_draft_and_can_be_discarded() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    begun(&desk).await;
    let address = "/drafts/TARVET/D/row";
    let form = row(&desk, "record=line").await.form(address);
    let form =
        form.fill("part", "Frame, cups pressed in").fill("choose", "size={size}; colour=pale pink");
    desk.send(&form.fill("step", "3")).await.says("Its rows agree");
    let look = desk.open(&format!("{DRAFT}/preview")).await;
    let refused = desk.send(&look.form("/drafts/TARVET/D/release")).await;
    assert_eq!(refused.status, 422);
    refused.says("more choices").says("pale pink");
    desk.open(DRAFT).await.says("draft D");
    let gone = desk.send(&desk.open(DRAFT).await.form("/drafts/TARVET/D/discard")).await;
    gone.says("The draft D of TARVET is discarded");
    assert_eq!(desk.open(DRAFT).await.status, 404);
}

#[actix_web::test]
async fn a_draft_with_a_settled_torque_can_be_discarded() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    begun(&desk).await;
    let form = row(&desk, "record=torque").await.form("/drafts/TARVET/D/row");
    let form = form.fill("number", "9").fill("torque", "6.2 N·m").fill("source", "sticker");
    let page = desk.send(&form).await;
    assert_eq!(page.path, DRAFT, "{}", page.words());
    let wish = json!({
        "bom": "TARVET", "revision": "D", "joint": 9, "statement": 1, "reason": "asked the maker",
    });
    let (status, body) = app.act(Owner, "/api/torques/settle", wish).await;
    assert_eq!(status, 200, "{body}");
    assert_ne!(body["settled"], "");
    let gone = desk.send(&desk.open(DRAFT).await.form("/drafts/TARVET/D/discard")).await;
    gone.says("The draft D of TARVET is discarded");
    // A new draft of the same name begins without the word that was said of the other.
    begun(&desk).await;
    let torques = app.look("/api/torques").await;
    let of_draft = |it: &&Value| it["revision"] == "D" && it["joint"] == 9;
    let joint = rows(&torques).iter().find(of_draft).expect("the joint is there");
    assert_eq!(joint["settled"], "");
}

#[actix_web::test]
async fn a_draft_whose_parts_do_not_fit_is_not_released_and_says_why() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    begun(&desk).await;
    desk.open(&format!("{DRAFT}/preview")).await.says("fits: ");
    let address = "/parts/SE102F/edit";
    let form = desk.open(address).await.form(address);
    let row = (1..9).find(|it| form.fields[&format!("value.{it}")] == "30.9").expect("a diameter");
    let form = form.fill(&format!("value.{row}"), "31,6 mm");
    desk.send(&form).await.says("SE102F is changed: facts");
    let look = desk.open(&format!("{DRAFT}/preview")).await;
    look.says("Does not fit").says("31.6");
    let refused = desk.send(&look.form("/drafts/TARVET/D/release")).await;
    assert_eq!(refused.status, 422);
    refused.says("Why it can’t be released").says("more choices").says("31.6");
}

#[actix_web::test]
async fn a_new_bill_begins_empty_and_only_the_owner_may_make_one() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let form =
        desk.open("/drafts").await.form("/drafts/new").fill("code", "TARVET").fill("name", "Ä bag");
    let refused = desk.send(&form).await;
    refused.says("There is a bill TARVET already");
    let form = refused.form("/drafts/new");
    assert_eq!(form.fields["name"], "Ä bag");
    desk.send(&form.fill("code", "BAG/9 ü")).await.says("Ä bag, draft A");
    let address = "/drafts/BAG%2F9%20%C3%BC/A/row";
    let form = desk.open(&format!("{address}?record=option")).await.form(address);
    desk.send(&form.fill("name", "size").fill("values", "S||M")).await.says("has an empty value");
    let floor = Desk::sign_in(&app, Warehouse).await;
    assert_eq!(floor.open(&format!("{address}?record=option")).await.status, 403);
    assert!(!floor.open("/drafts").await.html.contains("/drafts/begin"));
}

#[actix_web::test]
async fn options_steps_and_lines_change_places_by_one() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    begun(&desk).await;
    let address = "/drafts/TARVET/D/move";
    let moved = async |row: &str, to: &str| {
        let form = desk.open(DRAFT).await.form(address);
        desk.send(&form.fill("row", row).with("to", to)).await
    };
    let names = |bill: &Value| -> Vec<String> {
        rows(&bill["options"]).iter().map(|it| text(&it[0])).collect()
    };
    let before = bill(&app, "D").await;
    let old = names(&before);
    moved("option 2", "earlier").await.says("Option 2 and option 1 have changed places");
    moved("option 1", "earlier").await.says("Option 1 is the first already");
    moved("option 2", "later").await.says("Option 2 and option 3 have changed places");
    let new = names(&bill(&app, "D").await);
    assert_eq!(new.iter().take(3).collect::<Vec<_>>(), [&old[1], &old[2], &old[0]]);
    moved("step 1", "later")
        .await
        .says("Step 1 and step 2 have changed places")
        .says("Its rows agree");
    let steps = bill(&app, "D").await;
    assert_eq!(steps["steps"][0]["title"], before["steps"][1]["title"]);
    let at = |bill: &Value, step: i64| -> Vec<(i64, String)> {
        let lines = rows(&bill["lines"]).iter().filter(|it| it["step"] == step);
        lines.map(|it| (it["number"].as_i64().expect("a number"), text(&it["item"]))).collect()
    };
    let items = |lines: &[(i64, String)]| lines.iter().map(|it| it.1.clone()).collect::<Vec<_>>();
    assert_eq!(items(&at(&steps, 2)), items(&at(&before, 1)));
    let step = (3..9).find(|it| 1 < at(&steps, *it).len()).expect("a step with two lines");
    let lines = at(&steps, step);
    moved(&format!("line {}", lines[0].0), "later").await.says("have changed places");
    let after = at(&bill(&app, "D").await, step);
    assert_eq!(after[0], (lines[0].0, lines[1].1.clone()));
    assert_eq!(after[1], (lines[1].0, lines[0].1.clone()));
    moved(&format!("line {}", lines[0].0), "earlier")
        .await
        .says("is the first of its step already");
    moved("torque 1", "later").await.says("There is no row 'torque 1'");
    assert_eq!(names(&bill(&app, "C").await), old, "what is in force is as it was");
}

#[actix_web::test]
async fn a_draft_says_what_it_becomes_and_its_release_names_the_orders() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    begun(&desk)
        .await
        .says("Once it is released, it is revision D of TARVET")
        .says("2026-11-26 is proposed");
    let (status, body) = app.import("orders", &order("AHEAD", "2026-12-05")).await;
    assert_eq!(status, 200, "{body}");
    let kit = app.kit_of("AHEAD").await;
    let look = desk.open(&format!("{DRAFT}/preview")).await;
    look.says("Served by revision D Each order that comes in after the release")
        .says(&format!("Order AHEAD: {kit}"))
        .says(&format!("AHEAD revision C: {kit}"))
        .says("SO-26-0871 revision C: KT0000019 KT0000027");
    let form = look.form("/drafts/TARVET/D/release");
    assert_eq!(form.fields["from"], "2026-11-26");
    desk.send(&form).await.says("Revision D of TARVET holds from 2026-11-26");
    let list = desk.open("/drafts").await;
    let again = desk.send(&list.form("/drafts/begin").fill("code", "TARVET")).await;
    again.says("Revision D is released already and takes its place on 2026-11-26");
    let list = desk.open("/drafts").await;
    let nested = desk.send(&list.form("/drafts/begin").fill("code", "MOUNT-SET")).await;
    nested.says("2026-12-06 is proposed").says("follow the bills of days up to 2026-12-05");
    let address = format!("{}/preview", nested.path);
    let release = format!("{}/release", nested.path);
    let look = desk.open(&address).await;
    look.says("It goes into TARVET").says(&format!("AHEAD revision A: {kit}"));
    let form = look.form(&release);
    assert_eq!(form.fields["from"], "2026-12-06");
    let refused = desk.send(&form.fill("from", "2026-12-05")).await;
    assert_eq!(refused.status, 422);
    desk.send(&refused.form(&release).fill("from", "2026-12-06"))
        .await
        .says("of MOUNT-SET holds from 2026-12-06");
}
