//! Symbols other than Code 128, and their sizes, against outside cases and an outside reader.

use kitwright::domain::labels::{
    Code128, Correction, Dimensions, Layout, QrSymbol, Symbol, SymbolError, Symbology, Use,
    logistic_label_fault, placement_faults, width_faults,
};
use kitwright::paper::{Media, labels};
use kitwright::units::Length;
use proptest::prelude::*;
use serde_json::Value;

use crate::support::decode::{Symbol as Sighting, look};

fn mm(value: &Value) -> Length {
    Length::parse_millimetres(&value.to_string()).expect("millimetres")
}

fn side(rows: &[Vec<bool>]) -> Value {
    serde_json::json!([rows.len(), rows[0].len()])
}

fn agrees(case: &Value) -> bool {
    let text = case["text"].as_str().unwrap_or_default();
    let kind = case["kind"].as_str().expect("a kind");
    let modules = |symbology| {
        let rows = Symbol::of(symbology, text).expect("a symbol").modules();
        let row: String = rows[0].iter().map(|it| if *it { '1' } else { '0' }).collect();
        case["modules"] == row.as_str()
    };
    let matrix = |symbology| {
        let symbol = Symbol::of(symbology, text).expect("a symbol");
        let says = case["decoded"] == symbol.message().expect("elements").as_str();
        case["size"] == side(&symbol.modules()) && says
    };
    let qr = |correction| {
        let symbol = QrSymbol::corrected(text, correction).expect("a symbol");
        case["size"] == side(symbol.rows()) && case["version"] == symbol.version()
    };
    match kind {
        "ean13" => modules(Symbology::Ean13),
        "ean8" => modules(Symbology::Ean8),
        "upca" => modules(Symbology::UpcA),
        "itf14_bars" => {
            let symbol = Symbol::of(Symbology::Itf14, text).expect("a symbol");
            let wide = symbol.wide_elements().iter().chain([&false]);
            let letters: String = wide.map(|it| if *it { 'w' } else { 'n' }).collect();
            case["narrow_wide"] == letters.as_str()
        }
        "datamatrix" => matrix(Symbology::DataMatrix),
        "gs1datamatrix" => matrix(Symbology::Gs1DataMatrix),
        "gs1qrcode" => matrix(Symbology::Gs1Qr),
        "qrcode L" => qr(Correction::L),
        "qrcode M" => qr(Correction::M),
        "qrcode Q" => qr(Correction::Q),
        "dimension_rule" => {
            let zone = |name: &str| case[name].as_i64().expect("modules");
            let size = Dimensions {
                module: mm(&case["x_mm"]),
                height: mm(&case["height_mm"]),
                quiet: [zone("quiet_left_x"), zone("quiet_right_x")],
            };
            let of: Use = case["use"].as_str().expect("a use").parse().expect("a known use");
            case["ok"] == size.faults(of).is_empty()
        }
        "gs1_128_width" => {
            let modules = i64::from(Code128::of_elements(text).expect("elements").module_count());
            let faults = width_faults(modules, text.len() - 2, mm(&case["x_mm"]));
            case["modules"] == modules && case["within_165_10"] == faults.is_empty()
        }
        "logistic_label_size" => {
            case["at_least_a6"]
                == logistic_label_fault(mm(&case["w_mm"]), mm(&case["h_mm"])).is_none()
        }
        "label_placement" => {
            let faults = placement_faults(
                mm(&case["height_of_unit_mm"]),
                mm(&case["bottom_of_bars_above_base_mm"]),
                mm(&case["from_vertical_edge_mm"]),
            );
            case["ok"] == faults.is_empty()
        }
        other => panic!("no test for {other}"),
    }
}

#[test]
fn symbols_and_sizes_agree_with_outside_programs() {
    let file: Value =
        serde_json::from_str(include_str!("../data/symbols_and_sizes.json")).expect("JSON");
    let cases = file["cases"].as_array().expect("a list");
    let wrong: Vec<&Value> = cases.iter().filter(|it| !agrees(it)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(60 < cases.len());
}

#[test]
fn a_size_that_falls_short_says_by_how_much_and_what_would_do() {
    fn check(module: i64, height: i64, quiet: [i64; 2], wanted: &[&str]) {
        let (module, height) = (Length::from_micrometres(module), Length::from_micrometres(height));
        let size = Dimensions { module, height, quiet };
        let said: Vec<String> =
            size.faults(Use::Ean13Retail).iter().map(ToString::to_string).collect();
        assert_eq!(said, wanted);
    }
    check(330, 22_850, [11, 7], &[]);
    let low = "bars of 22.849 mm are 0.001 mm too low: make them 22.85 mm high at least";
    check(330, 22_849, [11, 7], &[low]);
    let narrow = "modules of 0.263 mm are 0.001 mm too narrow: make them 0.264 mm at least";
    check(263, 22_850, [11, 7], &[narrow]);
    check(330, 22_850, [10, 7], &["the quiet zone on the left has 10 modules: leave 11 at least"]);
    let long = width_faults(156, 20, Length::from_micrometres(940));
    assert_eq!(
        long[0].to_string(),
        "the bar code is 165.44 mm long with its quiet zones, 0.34 mm too long: modules of 0.938 mm would do"
    );
    let label =
        logistic_label_fault(Length::from_micrometres(152_400), Length::from_micrometres(101_600));
    assert_eq!(
        label.expect("4 by 6 in").to_string(),
        "a label of 101.6 mm by 152.4 mm is smaller than A6: add 3.4 mm and 0 mm, to 105 mm by 148 mm"
    );
}

#[test]
fn a_text_that_a_symbol_cannot_say_is_refused() {
    let of = |symbology, text: &str| Symbol::of(symbology, text).expect_err(text).to_string();
    assert_eq!(
        of(Symbology::UpcE, "614141000036"),
        "'614141000036' has no UPC-E: print it as UPC-A"
    );
    assert_eq!(
        of(Symbology::Ean8, "9520123456788"),
        "'9520123456788' does not have the 8 digits that this bar code holds"
    );
    assert!(matches!(Symbol::of(Symbology::Itf14, "09520123456789"), Err(SymbolError::Gtin(_))));
    assert!(of(Symbology::DataMatrix, &"x".repeat(4_000)).contains("4000 bytes"));
    assert!(of(Symbology::Qr, &"x".repeat(4_000)).contains("4000 bytes"));
}

/// Returns a layout with one symbol of that kind, and nothing else.
fn one_symbol(kind: &str) -> Layout {
    let shape = match kind {
        "qr" | "gs1qr" | "datamatrix" | "gs1datamatrix" => "side_mm = 90",
        _ => "width_mm = 96\nheight_mm = 40\nmax_module_mm = 0.5",
    };
    let text = format!(
        "name = 'one'\nwidth_mm = 100\nheight_mm = 100\n[[field]]\nkind = '{kind}'\ntext = '{{text}}'\nx_mm = 2\ny_mm = 5\n{shape}\n"
    );
    text.parse().expect("a layout")
}

/// Prints each text as a symbol of that kind and compares what the reader saw; it shows elements
/// with their identifiers in brackets.
fn read_back(kind: &str, texts: &[&str], format: &str, wanted: impl Fn(&str) -> String) {
    let facts: Vec<_> = texts.iter().map(|it| [("text", (*it).to_owned())].into()).collect();
    let pdf = labels(&one_symbol(kind), &facts, &Media::Roll).expect("a PDF");
    let test = std::thread::current().name().unwrap_or("test").replace("::", "-");
    let seen = look(&format!("{test}-{kind}"), &pdf);
    for (page, text) in seen.symbols.iter().zip(texts) {
        // The reader now and then sees a second number in one EAN, read along a slant.
        let wanted = wanted(text);
        let is_it = |it: &&Sighting| {
            let said: String = it.format.chars().filter(|it| it.is_alphanumeric()).collect();
            (said.as_str(), it.text.as_str()) == (format, wanted.as_str())
        };
        assert_eq!(page.iter().filter(is_it).count(), 1, "{kind} {text}: {page:?}");
    }
    assert_eq!(seen.symbols.len(), texts.len());
}

#[test]
fn every_kind_is_read_back() {
    let same = str::to_owned;
    read_back("ean13", &["9520123456788", "4006381333931"], "EAN13", same);
    read_back("ean8", &["96385074"], "EAN8", same);
    read_back("upca", &["416000336108"], "EAN13", |it| format!("0{it}"));
    read_back("itf14", &["09520123456788", "99520123456781"], "ITF", same);
    let listed = ["(01)09520123456788(10)LOT7A(21)SN42", "(00)095201234567891235"];
    read_back("gs1-128", &listed, "Code128", same);
    read_back("gs1datamatrix", &listed, "DataMatrix", same);
    let percent = "(01)09520123456788(10)A%b(21)C%D";
    read_back("gs1qr", &[listed[0], listed[1], percent, "(10)A%B(21)C"], "QRCode", same);
    read_back("datamatrix", &["Sønn skål", "中文 kit", "AB12"], "DataMatrix", same);
    read_back("qr", &["Sønn skål", "中文 kit 12345678 ABC", "1234567890ABCabc"], "QRCode", same);
}

#[test]
fn upc_e_is_read_back_for_every_check_digit_and_form() {
    let mut texts = Vec::new();
    for body in ["01200000005", "01210000012", "01220000345", "01230000045", "01234000005"] {
        let check = kitwright::domain::gs1::check_digit(body).expect("digits");
        texts.push(format!("{body}{check}"));
    }
    for item in 0..40 {
        let body = format!("0123{:02}0000{}", item + 11, 5 + item % 5);
        let body = format!("{}{}", &body[..6], &body[body.len() - 5..]);
        let check = kitwright::domain::gs1::check_digit(&body).expect("digits");
        texts.push(format!("{body}{check}"));
    }
    let checks: std::collections::BTreeSet<_> = texts.iter().map(|it| it.chars().last()).collect();
    assert_eq!(checks.len(), 10, "each check digit has its own pattern");
    let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
    read_back("upce", &texts, "UPCE", |it| format!("0{it}"));
}

fn any_number(length: usize) -> impl Strategy<Value = String> {
    proptest::collection::vec(0..10_u8, length).prop_map(|digits| {
        let body: String = digits.iter().map(ToString::to_string).collect();
        let check = kitwright::domain::gs1::check_digit(&body).expect("digits");
        format!("{body}{check}")
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3, ..ProptestConfig::default() })]

    #[test]
    fn random_content_is_read_back(
        ean13 in any_number(12), itf14 in any_number(13),
        text in proptest::collection::vec("[ -~]{1,24}", 4), unicode in "[a-zA-ZØøÅåŁł中文 0-9]{1,20}",
    ) {
        let texts: Vec<&str> = text.iter().map(|it| it.trim()).filter(|it| !it.is_empty()).collect();
        let unicode = unicode.trim();
        read_back("ean13", &[&ean13], "EAN13", str::to_owned);
        read_back("itf14", &[&itf14], "ITF", str::to_owned);
        if !texts.is_empty() {
            read_back("datamatrix", &texts, "DataMatrix", str::to_owned);
            read_back("qr", &texts, "QRCode", str::to_owned);
        }
        if !unicode.is_empty() {
            read_back("datamatrix", &[unicode], "DataMatrix", str::to_owned);
        }
    }
}
