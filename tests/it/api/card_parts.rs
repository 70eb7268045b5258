//! What the assembly card says of a kit's own parts: measures, drawings, stand-ins, typography.

use kitwright::demo;
use kitwright::domain::people::Role::{Owner, Warehouse};
use kitwright::exchange::Kind;
use reqwest::Method;
use serde_json::json;

use crate::support::app::TestApp;
use crate::support::builders::text;
use crate::support::decode::look;

/// A T12 kit with 95 mm skis.
const ORDER: &str = "SO-26-0872";

/// Returns the card of a kit as the rider's phone shows it.
async fn card(app: &TestApp, kit: &str, language: &str) -> String {
    let url = text(&app.look(&format!("/api/kits/{kit}/box-link")).await["url"]);
    let path = url.strip_prefix("https://box.skarnholt.example").expect("the shop's own address");
    let page = app.request(None, Method::GET, &format!("{path}/card?language={language}"));
    text(&app.send(page).await.1)
}

#[actix_web::test]
async fn the_drawings_tell_this_kit_s_own_measures_in_each_language() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let told = [
        (
            "en",
            [
                "Spacers: 20 + 10 = 30 mm.",
                "which is 26.5 mm more than the stem&#39;s 40 mm.",
                "Free under the cap: 30 mm − 26.5 mm = 3.5 mm; wanted 2 to 5 mm.",
                "To be expected: 2.3 mm to 4.7 mm, tolerances added as root of squares (all at their worst: ± 2.2 mm).",
                "In the insert: 14 mm − 1.6 mm (washer) − 5 mm (plate) = 7.4 mm.",
                "can be used to 7.5 mm, so 0.1 mm is left before the screw bottoms out.",
                ">M6 × 14 mm<",
                ">spacer 20 mm<",
            ],
        ),
        (
            "de",
            [
                "Distanzringe: 20 + 10 = 30 mm.",
                "das sind 26,5 mm mehr als die 40 mm des Vorbaus.",
                "Frei unter der Kappe: 30 mm − 26,5 mm = 3,5 mm; gewünscht 2 bis 5 mm.",
                "Zu erwarten: 2,3 mm bis 4,7 mm",
                "Im Gewindeeinsatz: 14 mm − 1,6 mm (Scheibe) − 5 mm (Platte) = 7,4 mm.",
                "ist bis 7,5 mm nutzbar, also bleiben 0,1 mm, bevor die Schraube am Grund aufsitzt.",
                ">7,4 mm<",
                ">Distanzring 20 mm<",
            ],
        ),
        (
            "fr",
            [
                "Entretoises\u{a0}: 20 + 10 = 30 mm.",
                "soit 26,5 mm de plus que les 40 mm de la potence.",
                "Jeu sous le capuchon\u{a0}: 30 mm − 26,5 mm = 3,5 mm\u{202f}; voulu 2 à 5 mm.",
                "À prévoir\u{a0}: 2,3 mm à 4,7 mm",
                "l&#39;insert\u{a0}: 14 mm − 1,6 mm (rondelle) − 5 mm (platine) = 7,4 mm.",
                "il reste donc 0,1 mm avant que la vis ne touche le fond.",
                ">3,5 mm<",
                ">entretoise 20 mm<",
            ],
        ),
    ];
    for (language, sentences) in told {
        let page = card(&app, &kit, language).await;
        for it in sentences {
            assert!(page.contains(it), "{language}: '{it}' is not on the card");
        }
    }
}

#[actix_web::test]
async fn bearings_are_found_by_their_role_whatever_the_shop_calls_them() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let file = demo::file(Kind::Parts);
    let file = file.replace("\"Bearing, lower\"", "Kullager nere");
    let file = file.replace("\"Bearing, upper\"", "Kullager uppe");
    let (status, body) = app.import("parts", &file).await;
    assert_eq!(status, 200, "{body}");
    let page = card(&app, &kit, "en").await;
    assert!(page.contains("Kullager nere"));
    for label in [">bearing HS105A<", ">bearing HS103E<"] {
        assert!(page.contains(label), "{label}");
    }
}

#[actix_web::test]
async fn a_part_that_stands_in_is_named_with_what_it_stands_in_for() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let before = card(&app, &kit, "en").await;
    assert!(before.contains("SE104B") && !before.contains("stands in for"));
    let swap =
        json!({ "from": "SE104B", "to": "SE1059", "said_by": "Wren", "said_on": "2026-11-24" });
    let (status, body) = app.act(Owner, &format!("/api/kits/{kit}/substitutions"), swap).await;
    assert_eq!(status, 200, "{body}");
    let told = [
        ("en", "SE1059, stands in for Saddle firm (SE104B)"),
        ("de", "SE1059, statt Sattel fest (SE104B)"),
        ("fr", "SE1059, remplace Selle ferme (SE104B)"),
    ];
    for (language, words) in told {
        let page = card(&app, &kit, language).await;
        assert!(page.contains(words), "{language}: '{words}' is not on the card");
    }
    let fit = app.look(&format!("/api/kits/{kit}/fit")).await;
    assert!(fit.to_string().contains("SE1059") && !fit.to_string().contains("SE104B"), "{fit}");
    let path = format!("/api/kits/{kit}/assembly-card?language=en");
    let pdf = app.request(Some(Warehouse), Method::GET, &path).send().await.expect("an answer");
    let seen = look("card-stand-in", &pdf.bytes().await.expect("bytes"));
    let words = seen.words.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("stands in for Saddle firm (SE104B)"), "{words}");
}

#[actix_web::test]
async fn no_line_of_the_french_card_ends_before_a_mark() {
    let app = TestApp::start();
    let kit = app.kit_of(ORDER).await;
    let page = card(&app, &kit, "fr").await;
    let path = format!("/api/kits/{kit}/assembly-card?language=fr");
    let pdf = app.request(Some(Warehouse), Method::GET, &path).send().await.expect("an answer");
    let seen = look("card-marks", &pdf.bytes().await.expect("bytes"));
    let words = page.split('<').filter_map(|it| it.split_once('>')).map(|it| it.1);
    let mut marks = 0;
    for text in words {
        let characters: Vec<char> = text.chars().collect();
        for pair in characters.windows(2) {
            let parted = matches!(pair, [' ' | '\n', ':' | ';' | '!' | '?' | '»'] | ['«', ' ']);
            assert!(!parted, "{text}");
            marks += usize::from(matches!(pair, ['\u{a0}' | '\u{202f}', _]));
        }
    }
    assert!(40 < marks, "{marks} marks");
    // Words of two columns stand on one line, with more than one blank between them.
    for text in seen.words.lines().flat_map(|it| it.split("  ")) {
        let start = text.trim_start().chars().next();
        assert!(!matches!(start, Some(';' | ':' | '!' | '?' | '»')), "{text}");
        assert!(!text.ends_with('«') && !text.contains('\u{fffd}'), "{text}");
    }
}
