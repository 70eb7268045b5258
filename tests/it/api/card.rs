//! Assembly cards over HTTP: what is printed, what holds a card back, and who settles it.

use insta::assert_snapshot;
use kitwright::demo;
use kitwright::domain::people::Role;
use kitwright::exchange::Kind;
use reqwest::Method;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};
use crate::support::decode::{Seen, look};

const ORDER: &str = "SO-26-0872";
const CONFLICT: &str = "torque,TARVET,9,,,C,,,,,,,,,,,,,,,,,,6.2 N·m,sticker of the mount\n";

async fn pdf(app: &TestApp, kit: &str, query: &str) -> Vec<u8> {
    let path = format!("/api/kits/{kit}/assembly-card{query}");
    let response = app.request(Some(Role::Warehouse), Method::GET, &path).send().await;
    let response = response.expect("an answer");
    assert_eq!(response.status().as_u16(), 200, "{path}");
    response.bytes().await.expect("bytes").to_vec()
}

/// Returns the words of a PDF on one line each, with single blanks.
fn words(seen: &Seen) -> String {
    seen.words.split_whitespace().collect::<Vec<_>>().join(" ")
}

async fn page(app: &TestApp, path: &str) -> (u16, String) {
    let (status, body) = app.send(app.request(None, Method::GET, path)).await;
    (status, body.as_str().unwrap_or_default().to_owned())
}

async fn link(app: &TestApp, kit: &str) -> String {
    let url = text(&app.look(&format!("/api/kits/{kit}/box-link")).await["url"]);
    url.strip_prefix("https://box.skarnholt.example").expect("the shop's own address").to_owned()
}

async fn disagree(app: &TestApp) {
    let file = format!("{}{CONFLICT}", demo::file(Kind::Kits));
    let (status, body) = app.import("kits", &file).await;
    assert_eq!(status, 200, "{body}");
}

#[actix_web::test]
async fn the_card_is_read_back_in_each_language() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let address = format!("https://box.skarnholt.example{}", link(&app, &kit).await);
    let bands = [
        "6 N·m (5.5–6.5) | 53 in·lbf (49–57)",
        "5.5 N·m (5–6) | 49 in·lbf (45–53)",
        "6.5 N·m (6–7) | 58 in·lbf (54–61)",
        "8.5 N·m (8–9) | 75 in·lbf (71–79)",
        "4 N·m (3.5–4.5) | 35 in·lbf (31–39)",
        "18 N·m (16–20) | 159 in·lbf (142–177)",
        "35 N·m (32–38) | 310 in·lbf (284–336)",
        "14 N·m (12.5–15.5) | 124 in·lbf (111–137)",
    ];
    let said = [
        ("en", ["Assembly card", "at most 22 in·lbf", "the manual is right", "the preset key"]),
        ("de", ["Montagekarte", "höchstens 22 in·lbf", "gilt die Anleitung", "fest eingestellte"]),
        ("fr", ["Fiche de montage", "au plus 22 in·lbf", "la notice a raison", "clé préréglée"]),
    ];
    // Looking at pages takes longer than an idle connection is kept, so all are fetched first.
    let mut cards = Vec::new();
    for (language, _) in said {
        cards.push(pdf(&app, &kit, &format!("?language={language}")).await);
    }
    for ((language, wanted), bytes) in said.into_iter().zip(cards) {
        let seen = look(&format!("assembly-card-{language}"), &bytes);
        let codes: Vec<&str> = seen.symbols[0].iter().map(|it| it.text.as_str()).collect();
        assert!(codes.contains(&address.as_str()), "{codes:?}");
        assert!(codes.contains(&kit.as_str()), "{codes:?}");
        let words = words(&seen);
        for it in wanted {
            assert!(words.contains(it), "{language}: '{it}' is not on the card:\n{words}");
        }
        for band in bands {
            let band = if language == "en" { band.to_owned() } else { band.replace('.', ",") };
            // In a column of the page the two units stand on lines of their own.
            for unit in band.split(" | ") {
                assert!(words.contains(unit), "{language}: '{unit}' is not on the card:\n{words}");
            }
        }
        if language != "en" {
            for left in ["Washer", "Bolt", "bolt ", "black", "green", "front", "Step ", "Bag "] {
                assert!(!words.contains(left), "{language}: '{left}' is left over:\n{words}");
            }
        }
    }
}

#[actix_web::test]
async fn the_pressure_follows_the_kit_s_own_fork_and_the_rider() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let wrong = async |query: &str| {
        let path = format!("/api/kits/{kit}/assembly-card?{query}");
        let (status, body) = app.get(Role::Warehouse, &path).await;
        format!("{status} {}: {}", text(&body["code"]), text(&body["title"]))
    };
    assert_snapshot!(wrong("rider_mass=82").await, @"422 card.rider_mass: rider_mass: '82' is no rider's mass, such as 82 kg or 180 lb");
    assert_snapshot!(wrong("language=it").await, @"422 card.language: language: 'it' is no language of the messages: write en, de or fr");
    let queries = ["&rider_mass=82%20kg", "&rider_mass=180%20lb", "&rider_mass=120%20kg", ""];
    let mut cards = Vec::new();
    for query in queries {
        cards.push(pdf(&app, &kit, &format!("?language=en{query}")).await);
    }
    let cards: Vec<String> = cards.iter().map(|it| words(&look("card-air", it))).collect();
    let [told, in_pounds, heavy, untold] = cards.as_slice() else { panic!("four cards") };
    assert!(told.contains("fork sheet T12"), "{told}");
    assert!(!told.contains("fork sheet T15"), "the other fork's chart can't be chosen");
    assert!(told.contains("For 82 kg: 5.6 bar / 82 psi"), "{told}");
    assert!(told.contains("Never above 8.2 bar / 120 psi"), "{told}");
    assert!(in_pounds.contains("For 180 lb: 5.6 bar / 82 psi"), "{in_pounds}");
    assert!(heavy.contains("states no pressure for this weight"), "{heavy}");
    assert!(untold.contains("80–90 kg / 176–198 lb: 5.6 bar / 82 psi"), "{untold}");
}

#[actix_web::test]
async fn two_documents_that_disagree_hold_the_card_back_until_the_owner_settles_it() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let link = link(&app, &kit).await;
    disagree(&app).await;
    let path = format!("/api/kits/{kit}/assembly-card");
    let (status, body) = app.get(Role::Warehouse, &path).await;
    assert_eq!((status, &body["code"]), (409, &json!("card.torque_conflict")));
    assert_snapshot!(text(&body["title"]), @"the assembly card of TARVET C is held back until somebody settles which torque holds: joint 9, Pinch bolts of the slip joints: Skarnholt torque sheet TS-15, issue C says 75 in·lbf, and sticker of the mount says 6.2 N·m; '75 in·lbf' is 8.474 N·m, and '6.2 N·m' is 54.87 in·lbf: they differ by 2.274 N·m (20.13 in·lbf), 26.8 %");
    let (status, held) = page(&app, &format!("{link}/card?language=de")).await;
    assert!(status == 200 && held.contains("wird zurückgehalten"), "{held}");
    assert!(!held.contains("6.2"), "a rider is not asked to choose");

    let torques = app.look("/api/torques").await;
    let joint = &rows(&torques)[0];
    assert_eq!((&joint["joint"], &joint["bom"]), (&json!(9), &json!("TARVET")), "conflicts first");
    let revision = joint["revision"].clone();
    let wish = |statement: usize, reason: &str| {
        let (bom, joint) = ("TARVET", 9);
        json!({ "bom": bom, "revision": revision, "joint": joint, "statement": statement, "reason": reason })
    };
    let settle = async |role, wish: Value| app.act(role, "/api/torques/settle", wish).await;
    assert_eq!(settle(Role::Warehouse, wish(1, "seems usual")).await.0, 403);
    let (status, body) = settle(Role::Owner, wish(1, " ")).await;
    assert_eq!((status, &body["code"]), (422, &json!("card.no_reason")));
    assert_eq!(settle(Role::Owner, wish(4, "asked")).await.0, 404);
    let (status, body) = settle(Role::Owner, wish(1, "asked Marrick Forge by letter")).await;
    assert_eq!(status, 200, "{body}");
    assert_eq!(body["conflict"], "");
    assert!(text(&body["settled"]).contains("asked Marrick Forge by letter"));

    let settled = pdf(&app, &kit, "?language=en").await;
    let (status, body) = settle(
        Role::Owner,
        json!({ "bom": "TARVET", "revision": revision,
        "joint": 2, "statement": 1, "reason": "no need" }),
    )
    .await;
    assert_eq!((status, &body["code"]), (409, &json!("card.nothing_to_settle")));

    let file = demo::file(Kind::Kits).replace("75 in·lbf,", "74 in·lbf,");
    let (status, body) = app.import("kits", &format!("{file}{CONFLICT}")).await;
    assert_eq!(status, 200, "{body}");
    let status = app.get(Role::Warehouse, &path).await.0;
    assert_eq!(status, 409, "a settlement holds for the statements that it was made over");
    let words = words(&look("card-settled", &settled));
    assert!(words.contains("8.5 N·m (8–9)") && words.contains("75 in·lbf (71–79)"), "{words}");
}

#[actix_web::test]
async fn the_phone_page_speaks_the_kit_s_language_and_takes_a_weight() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let link = link(&app, &kit).await;
    let (status, html) = page(&app, &format!("{link}/card?language=de&weight=180%20lb")).await;
    assert_eq!(status, 200);
    for words in
        ["lang=\"de\"", "Montagekarte", "Für 180 lb: 5,6 bar / 82 psi", "<svg", "value=\"180 lb\""]
    {
        assert!(html.contains(words), "{words}");
    }
    let (_, refused) = page(&app, &format!("{link}/card?language=fr&weight=lourd")).await;
    assert!(refused.contains("Ce poids est illisible"), "{refused}");
    assert!(refused.contains("value=\"lourd\""), "what was typed stays");
    let (_, html) = page(&app, &format!("{link}?language=de")).await;
    for words in [
        "Ist alles in der Schachtel?",
        "Fangleine",
        "aus Beutel SKI",
        "Unteres Lager auf die Gabel",
    ] {
        assert!(html.contains(words), "{words}:\n{html}");
    }
    let wrong = link.replace(&kit, "KT0000019");
    let (status, html) = page(&app, &format!("{wrong}/card")).await;
    assert_eq!(status, 404);
    assert!(
        html.contains("lässt sich nicht öffnen") && html.contains("ne s'ouvre pas")
            || html.contains("ne s&#39;ouvre pas"),
        "{html}"
    );
    let bytes =
        app.request(None, Method::GET, &format!("{link}/card.pdf?language=fr")).send().await;
    assert_eq!(bytes.expect("an answer").status().as_u16(), 200);
}

#[actix_web::test]
async fn faults_of_the_card_s_files_are_named_by_line_and_column() {
    let app = TestApp::start();
    let faults = async |kind: &str, file: &str| {
        let (status, body) = app.import(kind, file).await;
        assert_eq!(status, 422, "{body}");
        let line = |it: &Value| {
            format!("{} {}: {}", it["line"], text(&it["column"]), text(&it["message"]))
        };
        rows(&body["faults"]).iter().map(line).collect::<Vec<_>>().join("\n")
    };
    let chart =
        |rows: &str| format!("chart,part,choose,maximum,source,mass_from,mass_to,pressure\n{rows}");
    let fork = "\"Fork, cut, race and star nut in\"";
    assert_snapshot!(faults("air-charts", &chart(&format!("NEW,{fork},build=T12,120 psi,sheet,50 kg,60 kg,121 psi\nNEW,{fork},build=T12,120 psi,sheet,61 kg,60 kg,50\n"))).await, @"
    2 part: FK103L answers to chart AIR-T12 already: a part has one
    2 part: FK104J answers to chart AIR-T12 already: a part has one
    2 part: FK105H answers to chart AIR-T12 already: a part has one
    2 pressure: 121 psi is above the maker's maximum of 120 psi: check the row against the maker's sheet
    3 pressure: '50' has no unit: write a pressure, such as 6.9 bar or 100 psi
    ");
    assert_snapshot!(faults("air-charts", &chart(&format!("NEW,{fork},build=T12,120 psi,sheet,50 kg,60 kg,50 psi\n"))).await, @"
    2 part: FK103L answers to chart AIR-T12 already: a part has one
    2 part: FK104J answers to chart AIR-T12 already: a part has one
    2 part: FK105H answers to chart AIR-T12 already: a part has one
    ");
    assert_snapshot!(faults("air-charts", &chart("NEW,Frame pump,,120 psi,sheet,50 kg,60 kg,50 psi\n")).await, @"2 part: no part of the catalogue is 'Frame pump' with these attributes");
    assert_snapshot!(faults("glossary", "text,language,words\nPinch blot,de,Schraube\nLeash,en,Leash\n").await, @"
    2 text: nothing in the catalogue is called 'Pinch blot': check its spelling
    3 language: the catalogue itself is in en: write de or fr
    ");
    let kits = demo::file(Kind::Kits);
    let heading = kits.lines().next().expect("a heading");
    let more = |row: &str| format!("{kits}{row}\n");
    let row = |cells: &[(&str, &str)]| {
        let cell = |column: &str| cells.iter().find(|it| it.0 == column).map_or("", |it| it.1);
        heading.split(',').map(cell).collect::<Vec<_>>().join(",")
    };
    let joint = [
        ("record", "joint"),
        ("kit", "TARVET"),
        ("revision", "C"),
        ("number", "20"),
        ("name", "Rack"),
        ("step", "19"),
        ("bolts", "2"),
        ("pattern", "spiral"),
        ("condition", "dry"),
    ];
    assert_snapshot!(faults("kits", &more(&row(&joint))).await, @"410 pattern: 'spiral' is no pattern: write one of single, alternate, cross, left-right-left, hold-nut, preload");
    let torque = [
        ("record", "torque"),
        ("kit", "TARVET"),
        ("revision", "C"),
        ("number", "77"),
        ("torque", "5 N·m"),
        ("source", "x"),
    ];
    assert_snapshot!(faults("kits", &more(&row(&torque))).await, @"410 number: kit TARVET has no joint 77");
    let tool = kits.replace("TO103R|CO101K", "TO103R|TO108H");
    assert_snapshot!(faults("kits", &tool).await, @"
    2 tools: TO108H is in no bag or line of kit TARVET: add it
    145 tools: TO108H is in no bag or line of kit TARVET: add it
    ");
    let exported = app.request(Some(Role::Owner), Method::GET, "/api/exports/kits").send().await;
    let exported = exported.expect("an answer").text().await.expect("text");
    assert_eq!(app.import("kits", &exported).await.0, 200, "what goes out comes in again");
    let again = app.request(Some(Role::Owner), Method::GET, "/api/exports/kits").send().await;
    assert_eq!(again.expect("an answer").text().await.expect("text"), exported);
    let joints = app.look("/api/torques").await;
    assert_eq!(find(&joints, "name", "Bar faceplate")["set_by_maker"], true);
}
