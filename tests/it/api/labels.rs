//! Labels from the books: what is counted, and the numbers under which cartons travel.

use insta::assert_snapshot;
use kitwright::domain::labels::LabelKind;
use kitwright::domain::people::Role::Owner;
use kitwright::ops::RequestKey;
use kitwright::ops::labels::{PrintJob, keep_layout, print, reset_layout};
use kitwright::paper::Media;
use kitwright::store::Who;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{rows, text};
use crate::support::decode::{Seen, look};

/// Prints one label as the service would and looks at it.
fn printed(app: &TestApp, kind: LabelKind, id: &str, name: &str) -> Seen {
    let ids = vec![id.to_owned()];
    let job = PrintJob { kind, ids, copies: 1, note: String::new(), media: Media::Roll };
    let key = RequestKey::fresh();
    let pdf = app.books().write(Who::Program, |tx| print(tx, &key, &job)).expect("a PDF");
    look(name, &pdf)
}

#[actix_web::test]
async fn a_carton_keeps_its_sscc_and_a_second_label_says_copy_2() {
    let app = TestApp::start();
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    app.walk(&list).await;
    let bench = app.look(&format!("/api/kits/{kit}")).await;
    let number = |nth: usize| text(&rows(&bench["cartons"])[nth]["number"]);
    let codes =
        |seen: &Seen| -> Vec<String> { seen.symbols[0].iter().map(|it| it.text.clone()).collect() };
    let first = printed(&app, LabelKind::Carton, &number(0), "carton-first");
    let again = printed(&app, LabelKind::Carton, &number(0), "carton-again");
    let other = printed(&app, LabelKind::Carton, &number(1), "carton-other");
    assert_eq!(codes(&first), ["(00)095212340000000013".to_owned(), number(0)]);
    assert_eq!(codes(&again), codes(&first));
    assert_eq!(codes(&other), ["(00)095212340000000020".to_owned(), number(1)]);
    assert!(!first.words.contains("copy") && again.words.contains("copy 2"), "{}", again.words);
    let tote = printed(&app, LabelKind::Kit, &kit, "kit-tote");
    assert_eq!(codes(&tote), [kit.clone(), format!("{kit}+Z1")]);
}

#[actix_web::test]
async fn a_size_in_the_name_is_the_largest_thing_on_the_label() {
    let app = TestApp::start();
    let seen = printed(&app, LabelKind::TwoBin, "MT108R", "card-of-a-bolt");
    assert_eq!(seen.symbols.len(), 2, "a card for each of the two bins");
    for words in ["M6x1.0x25", "Pinch bolt", "Card 1 of 2", "Card 2 of 2", "Order 1400"] {
        assert!(seen.words.contains(words), "'{words}' is not on the cards:\n{}", seen.words);
    }
}

#[actix_web::test]
async fn the_shop_changes_a_layout_and_goes_back_to_the_programs_own() {
    let app = TestApp::start();
    let kind = LabelKind::Bin;
    let keep = |text: &str| {
        let key = RequestKey::fresh();
        app.books().write(Who::Program, |tx| keep_layout(tx, &key, kind, text))
    };
    let faulty = kind
        .built_in()
        .replace("y_mm = 2\n", "y_cm = 2\n")
        .replace("kind = \"code128\"", "kind = \"code39\"");
    let refused = keep(&faulty).expect_err("two fields are at fault").to_string();
    assert_snapshot!(refused, @"line 6: field 1: unknown field `y_cm`, expected one of `text`, `x_mm`, `y_mm`, `width_mm`, `height_mm`, `size_mm`, `min_size_mm`, `wanted_height_mm`, `lines`, `weight`, `align`, `across`, `optional`; line 33: field 3: unknown variant `code39`, expected one of `text`, `code128`, `gs1-128`, `ean13`, `ean8`, `upca`, `upce`, `itf14`, `datamatrix`, `gs1datamatrix`, `qr`, `gs1qr`, `box`");
    let unknown = kind.built_in().replace("{contents}", "{content}");
    assert_snapshot!(keep(&unknown).expect_err("no such fact").to_string(), @"line 19: there is no fact 'content' on a bin label: take bin, contents, note");
    keep(&kind.built_in().replace("{contents}", "Bin of {contents}")).expect("it is kept");
    assert!(printed(&app, kind, "P-04-1Q", "bin-own").words.contains("Bin of Carton"));
    let key = RequestKey::fresh();
    app.books().write(Who::Program, |tx| reset_layout(tx, &key, kind)).expect("it is reset");
    assert!(!printed(&app, kind, "P-04-1Q", "bin-reset").words.contains("Bin of"));
}

#[actix_web::test]
async fn a_label_printed_again_says_so_and_the_former_is_void() {
    let app = TestApp::start();
    let print = async |body: Value| app.post(Owner, "/api/labels", body).await;
    let kit = "KT0000131";
    let body = json!({ "kind": "kit", "ids": [kit], "request_key": "print-0001" });
    let again = json!({ "kind": "kit", "ids": [kit], "request_key": "print-0002", "copies": 2 });
    for body in [&body, &body, &again] {
        assert_eq!(print(body.clone()).await.0, 200);
    }
    let prints = app.get(Owner, &format!("/api/labels/prints?identity={kit}")).await.1;
    let shown: Vec<(Option<i64>, Option<bool>)> = prints
        .as_array()
        .expect("a list")
        .iter()
        .map(|it| (it["number"].as_i64(), it["valid"].as_bool()))
        .collect();
    let wanted = [(Some(3), Some(true)), (Some(2), Some(false)), (Some(1), Some(false))];
    assert_eq!(shown, wanted, "the same key counts once, each label of a kit is a print");
    let reused = json!({ "kind": "kit", "ids": [kit], "request_key": "print-0001", "copies": 3 });
    assert_eq!(print(reused).await.0, 409);
    let wide = json!({ "kind": "part", "ids": ["MT108R"], "paper": { "sheet": { "form": "name = 'x'\nwidth_mm = 210\nheight_mm = 297\ncolumns = 3\nrows = 7\nlabel_width_mm = 50\nlabel_height_mm = 40" } } });
    let (status, body) = print(wide).await;
    assert_snapshot!(format!("{status} {}", text(&body["title"])), @"422 the layout 'part' is 10 mm too wide for the labels of the sheet 'x', which are 50 mm by 40 mm: choose a larger sheet, or change the layout");
    let wrong = json!({ "kind": "part", "ids": ["MT108R"], "paper": { "sheet": { "form": "name = 'x'\nwidth_cm = 21" } } });
    let (status, body) = print(wrong).await;
    assert_snapshot!(format!("{status} {}", text(&body["title"])), @"422 sheet: it cannot be read: line 2: unknown field `width_cm`, expected one of `name`, `width_mm`, `height_mm`, `columns`, `rows`, `left_mm`, `top_mm`, `gap_x_mm`, `gap_y_mm`, `label_width_mm`, `label_height_mm`");
}
