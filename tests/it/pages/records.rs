//! Air charts, words, rules about parts that stand in, and facts in rows, as the shop edits them by
//! its own pages.

use kitwright::domain::people::Role::{Owner, Warehouse};

use crate::support::app::TestApp;
use crate::support::builders::text;
use crate::support::desk::{Desk, Page};

/// The file of a kind, which must come back as it is.
async fn round_trip(app: &TestApp, desk: &Desk<'_>, kind: &str) -> String {
    let file = text(&app.look(&format!("/api/exports/{kind}")).await);
    let checked = desk.import(kind, "check", &file).await;
    checked.says("Nothing: the shop holds every record of it just so.");
    file
}

/// Checks that a field of a refused form has its fault beside it.
#[track_caller]
fn faulty(page: &Page, field: &str) {
    assert_eq!(page.status, 422);
    let mark = format!("id=\"x-{field}\"");
    assert!(page.html.contains(&mark), "{field} has no fault beside it:\n{}", page.words());
}

#[actix_web::test]
async fn an_air_chart_is_read_row_by_row_and_stays_while_a_card_needs_it() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    desk.open("/parts").await.says("Air charts");
    desk.open("/air-charts").await.says("AIR-T12").says("50 kg to 115 kg, in 6 rows");
    let new = "/air-charts/new";
    let form = desk.open(new).await.form(new);
    let form = form
        .fill("chart", "AIR-X")
        .fill("part", "Fork, steerer uncut 220")
        .fill("maximum", "8 bar");
    let empty = desk.send(&form).await;
    faulty(&empty, "source");
    faulty(&empty, "pressure.1");
    let form = empty
        .form(new)
        .fill("source", "sheet 1, edition 2")
        .fill("mass_from.1", "50 kg")
        .fill("mass_to.1", "60 kg")
        .fill("pressure.1", "130 psi")
        .fill("mass_from.2", "61 kg")
        .fill("mass_to.2", "154 lb")
        .fill("pressure.2", "5,5 bar");
    let refused = desk.send(&form).await;
    faulty(&refused, "pressure.1");
    faulty(&refused, "mass_from.2");
    refused
        .says("2 fields are to mend")
        .says("130 psi is above the maker's maximum of 8 bar")
        .says("The row begins at 61 kg, and the row before ends at 60 kg");
    let more = desk.send(&refused.form(new).with("do", "more")).await;
    let form = more.form(new);
    assert_eq!(
        (form.fields["mass_to.2"].as_str(), form.fields["mass_from.4"].as_str()),
        ("154 lb", "")
    );
    let form = form.fill("pressure.1", "60 psi").fill("mass_from.2", "60 kg");
    desk.send(&form).await.says("AIR-X is made");
    let file = round_trip(&app, &desk, "air-charts").await;
    let row =
        "AIR-X,\"Fork, steerer uncut 220\",,8 bar,\"sheet 1, edition 2\",60 kg,154 lb,5.5 bar";
    assert!(file.contains(row), "{file}");
    let edit = "/air-charts/AIR%2DX/edit";
    let form =
        desk.open(edit).await.form(edit).fill("pressure.2", "6 bar").fill("maximum", "9 bar");
    desk.send(&form).await.says("AIR-X is changed: maximum, row 2 pressure");
    let form = desk.open(edit).await.form(edit);
    let form = form.fill("mass_from.2", "").fill("mass_to.2", "").fill("pressure.2", "");
    desk.send(&form).await.says("AIR-X is changed: row 2");
    let page = desk.open(edit).await;
    page.says("Never above 8 bar 9 bar").says("row 2 pressure 5.5 bar 6 bar");
    let gone = desk.send(&page.form("/air-charts/AIR%2DX/remove")).await;
    gone.says("AIR-X is taken out");
    assert_eq!(desk.open(edit).await.status, 404);
    assert!(!round_trip(&app, &desk, "air-charts").await.contains("AIR-X"));
    let needed = desk.open("/air-charts/AIR%2DT12/edit").await;
    let refused = desk.send(&needed.form("/air-charts/AIR%2DT12/remove")).await;
    refused.says("AIR-T12 stands on the assembly cards of kits that have not left");
}

#[actix_web::test]
async fn two_people_on_one_chart_see_each_other_s_rows() {
    let app = TestApp::start();
    let (one, two) = (Desk::sign_in(&app, Owner).await, Desk::sign_in(&app, Owner).await);
    let edit = "/air-charts/AIR%2DT12/edit";
    let mine = one.open(edit).await.form(edit);
    let theirs = two.open(edit).await.form(edit);
    let stale = two.open(edit).await.form("/air-charts/AIR%2DT12/remove");
    let theirs = theirs
        .fill("pressure.3", "70 psi")
        .fill("mass_from.7", "115 kg")
        .fill("mass_to.7", "130 kg")
        .fill("pressure.7", "115 psi");
    two.send(&theirs).await.says("AIR-T12 is changed: row 3 pressure, row 7");
    let refused = one.send(&mine.fill("pressure.4", "80 psi")).await;
    assert_eq!(refused.status, 422);
    refused
        .says("Ilka Trevanion has changed AIR-T12 since this was loaded")
        .says("Ilka Trevanion has made “70 psi” of “72 psi” meanwhile; you had left it")
        .says("Ilka Trevanion has added row 7 meanwhile: mass_from 115 kg");
    let again = refused.form(edit);
    let held = (again.fields["pressure.3"].as_str(), again.fields["pressure.4"].as_str());
    assert_eq!(held, ("70 psi", "80 psi"));
    two.send(&stale).await.says("has changed AIR-T12 since this was loaded");
}

#[actix_web::test]
async fn words_in_german_and_french_are_written_on_one_page_and_what_lacks_them_is_listed() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let before = desk.open("/glossary/missing").await;
    assert!(!before.words().contains("lichen green"));
    let edit = "/glossary/lichen%20green/edit";
    let page = desk.open(edit).await;
    let form = page.form(edit);
    assert_eq!(form.fields["words.1"], "flechtengrün");
    desk.send(&form.fill("words.2", "")).await.says("“lichen green” is changed: fr");
    let missing = desk.open("/glossary/missing").await;
    missing.says("lichen green value of an option French");
    assert!(missing.html.contains(&format!("href=\"{edit}\"")), "its form is linked");
    let page = desk.open(edit).await;
    page.says("French language fr, words vert lichen –");
    desk.send(&page.form("/glossary/lichen%20green/remove"))
        .await
        .says("“lichen green” is taken out");
    let missing = desk.open("/glossary/missing").await;
    missing.says("lichen green value of an option German, French");
    let link = "/glossary/new?text=lichen%20green";
    assert!(missing.html.contains(&format!("href=\"{link}\"")), "a new form is linked");
    let new = "/glossary/new";
    let form = desk.open(link).await.form(new);
    assert_eq!(form.fields["text"], "lichen green");
    faulty(&desk.send(&form).await, "words.1");
    let wrong = desk.send(&form.fill("text", "moss green").fill("words.1", "moosgrün")).await;
    faulty(&wrong, "text");
    wrong.says("Nothing in the catalogue is called 'moss green': check its spelling");
    let form = wrong.form(new).fill("text", "lichen green").fill("words.1", "=grün, „Flechte“");
    desk.send(&form).await.says("“lichen green” is made");
    let file = round_trip(&app, &desk, "glossary").await;
    assert!(file.contains("lichen green,de,\"'=grün, „Flechte“\"\n"), "{file}");
    assert_eq!(desk.open(edit).await.form(edit).fields["words.1"], "=grün, „Flechte“");
    let form = desk.open(new).await.form(new).fill("text", "lichen green").fill("words.1", "x");
    desk.send(&form).await.says("There is glossary entry lichen green already");
    let found = desk.open("/glossary?q=flechte").await;
    found.says("lichen green =grün");
    assert!(!found.words().contains("rußschwarz"));
}

#[actix_web::test]
async fn a_rule_that_the_trade_forbids_is_refused_at_its_field_with_the_reason() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let new = "/substitutions/new";
    let page = desk.open("/parts/HS112C").await;
    assert!(page.html.contains("/substitutions/new?from=HS112C"), "the part leads to a new rule");
    let form = desk.open(&format!("{new}?from=HS112C")).await.form(new);
    assert_eq!(form.fields["from"], "HS112C");
    assert_eq!(form.fields["valid_from"], "2026-11-25");
    let form = form.fill("reason", "same cap").fill("source", "shop rule 12");
    let unknown = desk.send(&form.fill("to", "ZZ101C")).await;
    faulty(&unknown, "to");
    let form = unknown.form(new).fill("to", "MT108R");
    let never = desk.send(&form).await;
    faulty(&never, "to");
    never.says("MT108R never stands in for HS112C");
    let form = never.form(new).fill("to", "HS113A").fill("direction", "both ways");
    let weak = desk.send(&form).await;
    faulty(&weak, "consent");
    weak.says("HS113A for HS112C takes at least customer's word: colour");
    let form = weak.form(new).fill("consent", "customer's word").fill("until", "soon");
    let day = desk.send(&form).await;
    faulty(&day, "until");
    desk.send(&day.form(new).fill("until", "2026-12-31")).await.says("HS112C > HS113A is made");
    let file = round_trip(&app, &desk, "substitutions").await;
    let row = "HS112C,HS113A,may stand in,both ways,customer's word,2026-11-25,2026-12-31,same cap,\
               shop rule 12";
    assert!(file.contains(row), "{file}");
    desk.open("/parts/HS113A").await.says("same cap");
    let edit = "/substitutions/HS112C%20%3E%20HS113A/edit";
    let page = desk.open(edit).await;
    page.says("Top cap (lichen green)");
    let form = page.form(edit).fill("kind", "superseded by");
    let refused = desk.send(&form).await;
    faulty(&refused, "direction");
    refused.says("A part is superseded for good: write one way");
    let form = refused.form(edit).fill("kind", "may stand in").fill("until", "");
    desk.send(&form).await.says("HS112C > HS113A is changed: until");
    let page = desk.open(edit).await;
    page.says("Until 2026-12-31 –");
    desk.send(&page.form("/substitutions/HS112C%20%3E%20HS113A/remove"))
        .await
        .says("HS112C > HS113A is taken out");
    assert!(!round_trip(&app, &desk, "substitutions").await.contains("shop rule 12"));
    let floor = Desk::sign_in(&app, Warehouse).await;
    floor.open("/substitutions").await.says("the cap is seen from the saddle");
    assert_eq!(floor.open(new).await.status, 403);
    assert_eq!(floor.open("/glossary/black/edit").await.status, 403);
    assert!(!floor.open("/glossary/missing").await.html.contains("/row?"));
}

#[actix_web::test]
async fn facts_are_stated_in_rows_with_measures_as_people_write_them() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let edit = "/parts/SE102F/edit";
    let form = desk.open(edit).await.form(edit);
    let held = (form.fields["fact.1"].as_str(), form.fields["value.1"].as_str());
    assert_eq!(held, ("role", "seat post"));
    let form = form
        .fill("value.5", "31,8 mm")
        .fill("fact.6", "length")
        .fill("value.6", "5")
        .fill("value.2", "wide")
        .fill("facts_source", "drawing 7");
    let refused = desk.send(&form).await;
    faulty(&refused, "fact.5");
    faulty(&refused, "fact.6");
    faulty(&refused, "value.2");
    refused
        .says("3 fields are to mend")
        .says("Choose what this value states")
        .says("'wide' is not what diameter states: write mm, such as 28.6");
    let form = refused.form(edit).fill("value.2", "30.9").fill("value.6", "");
    let form = form.fill("fact.5", "bore").fill("value.5", "1-1/8 in");
    desk.send(&form).await.says("SE102F is changed: facts, facts_source");
    let file = round_trip(&app, &desk, "parts").await;
    assert!(file.contains("; bore=28.575; "), "{file}");
    let page = desk.open(edit).await;
    let form = page.form(edit);
    let place = (1..9).find(|it| form.fields[&format!("fact.{it}")] == "bore").expect("a bore");
    page.says("Value, mm");
    let other = Desk::sign_in(&app, Owner).await;
    let theirs = other.open(edit).await.form(edit);
    desk.send(&form.fill(&format!("value.{place}"), "")).await.says("SE102F is changed: facts");
    assert!(!text(&app.look("/api/exports/parts").await).contains("bore=28.575"));
    let refused = other.send(&theirs.fill("unit_cost", "9")).await;
    refused.says("you had left them, so they stand here now");
    other.send(&refused.form(edit)).await.says("SE102F is changed: unit_cost");
    assert!(!text(&app.look("/api/exports/parts").await).contains("bore=28.575"));
}

#[actix_web::test]
async fn a_released_revision_takes_words_in_other_languages_and_nothing_else() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let row = "/drafts/TARVET/C/row";
    let page = desk.open(&format!("{row}?row=words%203%20de")).await;
    page.says("Missing translations");
    let bills = app.look("/api/bills-of-materials").await;
    let gone = desk.send(&page.form("/drafts/TARVET/C/drop")).await;
    assert_eq!(gone.path, "/glossary/missing", "{}", gone.words());
    gone.says("Words 3 de is taken out")
        .says("Steps and joints of TARVET C , in force")
        .says("Step 3");
    let link = format!("{row}?record=words&#38;number=3&#38;language=de");
    assert!(gone.html.contains(&link), "its form is linked: {}", gone.html);
    let form = desk.open(&format!("{row}?record=words&number=3&language=de")).await.form(row);
    let held = (form.fields["number"].as_str(), form.fields["language"].as_str());
    assert_eq!(held, ("3", "de"));
    let form =
        form.fill("name", "Sattel").fill("check", "Strich verdeckt").fill("caution", "Achtung");
    desk.send(&form).await.says("Words 3 de is added");
    let kits = text(&app.look("/api/exports/kits").await);
    assert!(kits.contains("Sattel,,C"), "{kits}");
    assert_eq!(
        app.look("/api/bills-of-materials").await,
        bills,
        "its lines and steps are as before"
    );
    let form = form.with("request_key", "another-key-7").with("row", "line 50");
    desk.send(&form).await.says("Revision C of TARVET is released");
    let form = form.with("request_key", "another-key-8").fill("row", "").fill("record", "line");
    let refused =
        desk.send(&form.with("part", "MT108R").with("quantity", "1").with("step", "3")).await;
    refused.says("Revision C of TARVET is released");
    assert_eq!(desk.open(&format!("{row}?row=line%2050")).await.status, 409);
}
