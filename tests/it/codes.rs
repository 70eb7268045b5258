//! GS1 numbers and Code 128, against outside cases.

use kitwright::domain::codes::{check_char, has_valid_check};
use kitwright::domain::gs1::{Gs1Error, Gtin, Sscc, check_digit};
use kitwright::domain::labels::{Code128, Code128Error, Datum, ElementsError};
use proptest::prelude::*;
use serde_json::Value;

const STOP: &str = "2331112";

fn cases(file: &str) -> Vec<Value> {
    let file: Value = serde_json::from_str(file).expect("the test data are JSON");
    file["cases"].as_array().expect("a list of cases").clone()
}

fn text<'a>(case: &'a Value, field: &str) -> &'a str {
    case[field].as_str().unwrap_or_else(|| panic!("{field} is no text in {case}"))
}

fn is_valid(kind: &str, number: &str) -> bool {
    match kind {
        "SSCC" => number.parse::<Sscc>().is_ok(),
        _ => number.parse::<Gtin>().is_ok_and(|it| it.as_str().len() == kind_length(kind)),
    }
}

fn kind_length(kind: &str) -> usize {
    kind.trim_start_matches("GTIN-").parse().expect("GTIN-8, 12, 13 or 14")
}

#[test]
fn check_digits_agree_with_outside_programs() {
    let cases = cases(include_str!("../data/gs1_check_digits.json"));
    for case in &cases {
        let kind = text(case, "kind");
        match text(case, "op") {
            "check_digit" => {
                let digit = check_digit(text(case, "body")).map(|it| it.to_string());
                assert_eq!(digit.as_deref(), case["check_digit"].as_str(), "{case}");
                assert!(is_valid(kind, text(case, "full")), "{case}");
            }
            "validate" => {
                assert_eq!(
                    Some(is_valid(kind, text(case, "full"))),
                    case["valid"].as_bool(),
                    "{case}"
                );
            }
            "blind_spot" => {
                assert!(is_valid(kind, text(case, "full")), "{case}");
                assert!(is_valid(kind, text(case, "swapped")), "{case}");
            }
            "normalise" => {
                let gtin: Gtin = text(case, "full").parse().expect("a right number");
                assert_eq!(gtin.to_14(), text(case, "gtin14"), "{case}");
            }
            "package_gtin14" => {
                let unit: Gtin = text(case, "unit").parse().expect("a right number");
                let indicator = case["indicator"].as_u64().expect("a number");
                let indicator = u32::try_from(indicator).expect("one digit");
                let pack = unit.packed(indicator).expect("a right indicator");
                assert_eq!(pack.as_str(), text(case, "gtin14"), "{case}");
            }
            other => panic!("no test for {other}"),
        }
    }
    assert!(60 < cases.len());
}

#[test]
fn a_wrong_gs1_number_says_what_is_wrong() {
    fn check(number: &str, wanted: &str) {
        let error = number.parse::<Gtin>().map(|it| it.to_string()).map_err(|it| it.to_string());
        assert_eq!(error, Err(wanted.to_owned()));
    }
    check(
        "952O123456788",
        "'952O123456788' has 'O' at position 4, where a GTIN has digits 0 to 9 only",
    );
    check("95201234567", "'95201234567' has 11 characters, and a GTIN has 8, 12, 13 or 14");
    check("", "'' has 0 characters, and a GTIN has 8, 12, 13 or 14");
    check(
        "9520123456781",
        "'9520123456781' ends in 1, and its other digits ask for 8: read the GTIN again",
    );
    let gtin: Gtin = " 9520123456788 ".parse().expect("white space is dropped");
    assert_eq!(gtin.packed(0), Err(Gs1Error::Indicator(0)));
    assert!(gtin.packed(8).is_ok_and(|it| it.as_str().len() == 14));
}

#[test]
fn an_sscc_is_built_or_says_why_not() {
    fn check(extension: u32, prefix: &str, serial: u64, wanted: Result<&str, &str>) {
        let built = Sscc::build(extension, prefix, serial);
        let built = built.map(|it| it.to_string()).map_err(|it| it.to_string());
        assert_eq!(built, wanted.map(str::to_owned).map_err(str::to_owned));
    }
    check(0, "9521234", 4127, Ok("095212340000041276"));
    check(9, "952012345678", 9999, Ok("995201234567899999"));
    check(10, "9521234", 1, Err("10 is no extension digit of an SSCC: it is one digit, 0 to 9"));
    check(
        0,
        "952 234",
        1,
        Err(
            "'952 234' is no GS1 company prefix: it has 4 to 12 digits, as stated on the shop's licence",
        ),
    );
    check(
        0,
        "952012345678",
        10000,
        Err("serial 10000 does not fit: after this company prefix an SSCC has 4 digits"),
    );
}

fn symbol_of(kind: &str, message: &str) -> Code128 {
    let symbol = if kind == "gs1-128" { Code128::of_elements(message) } else { message.parse() };
    symbol.unwrap_or_else(|error| panic!("{message}: {error}"))
}

#[test]
fn code_128_is_as_short_as_can_be() {
    for case in cases(include_str!("../data/code128.json")) {
        let symbol = symbol_of(text(&case, "kind"), text(&case, "text"));
        let length = u64::try_from(symbol.symbol_characters()).expect("a small number");
        assert_eq!(Some(length), case["min_symbol_chars"].as_u64(), "{case}: {symbol:?}");
        assert_check_value(&symbol);
        let mut read = decode(symbol.codewords());
        let is_gs1 = read.first() == Some(&Datum::Fnc1);
        assert_eq!(is_gs1, text(&case, "symbology_identifier") == "]C1", "{case}");
        if is_gs1 {
            read.remove(0);
        }
        assert_eq!(transmitted(&read), text(&case, "decoded_bytes"), "{case}");
        assert_eq!(drawn(&symbol), from_table(&symbol), "{case}");
    }
}

#[test]
fn all_106_characters_have_the_widths_of_the_standard() {
    let table: Value =
        serde_json::from_str(include_str!("../data/code128_widths.json")).expect("JSON");
    let texts: [String; 5] = [
        (0_u8..96).map(char::from).collect(),
        (32_u8..128).map(char::from).collect(),
        (0..100).map(|it| format!("{it:02}")).collect(),
        "a\tA\u{1f}`\u{7f}abcdef\t\t\t\t".to_owned(),
        "\u{1b}\u{1b}a\u{1b}\u{1b}1234".to_owned(),
    ];
    let mut seen: std::collections::BTreeSet<u8> = std::collections::BTreeSet::new();
    for text in &texts {
        let symbol: Code128 = text.parse().expect("ASCII");
        seen.extend(symbol.codewords());
        assert_eq!(drawn(&symbol), from_table(&symbol), "{text:?}");
    }
    seen.extend(Code128::of_elements("(01)09520123456788(10)A1b").expect("elements").codewords());
    let unseen: Vec<u8> = (0..106).filter(|it| !seen.contains(it)).collect();
    assert!(unseen.is_empty(), "no text above makes use of {unseen:?}");
    assert_eq!(table["stop"].as_str(), Some(STOP));
}

#[test]
fn a_text_without_bars_is_refused() {
    assert_eq!("".parse::<Code128>(), Err(Code128Error::Empty));
    let message = "M6×14".parse::<Code128>().map_err(|it| it.to_string());
    let wanted = "'×' (U+00D7) has no bars in Code 128: use ASCII characters";
    assert_eq!(message, Err(wanted.to_owned()));
    for wrong in ["", "01", "(1)2", "(01)", "(01", "(1A)2"] {
        assert_eq!(
            Code128::of_elements(wrong),
            Err(Code128Error::Elements(ElementsError(wrong.to_owned())))
        );
    }
    assert_eq!(Code128::of(&[Datum::Ascii(200)]), Err(Code128Error::Character('\u{c8}')));
}

proptest! {
    #[test]
    fn any_message_is_read_back(
        message in prop::collection::vec(prop_oneof![
            4 => (0_u8..128).prop_map(Datum::Ascii),
            4 => (b'0'..=b'9').prop_map(Datum::Ascii),
            1 => Just(Datum::Fnc1),
        ], 1..40)
    ) {
        let symbol = Code128::of(&message).expect("ASCII and FNC1 have bars");
        assert_check_value(&symbol);
        prop_assert_eq!(decode(symbol.codewords()), message);
        prop_assert_eq!(drawn(&symbol), from_table(&symbol));
        let widths = symbol.widths().expect("a drawing");
        let modules: u32 = widths.iter().copied().map(u32::from).sum();
        prop_assert_eq!(modules, symbol.module_count());
    }
}

/// What a reader sends on: FNC1 inside a message is the control character GS.
fn transmitted(message: &[Datum]) -> String {
    let character = |it: &Datum| match it {
        Datum::Ascii(value) => char::from(*value),
        Datum::Fnc1 => '\u{1d}',
    };
    message.iter().map(character).collect()
}

fn drawn(symbol: &Code128) -> String {
    let widths = symbol.widths().expect("a drawing");
    widths.iter().map(ToString::to_string).collect()
}

fn from_table(symbol: &Code128) -> String {
    let table: Value =
        serde_json::from_str(include_str!("../data/code128_widths.json")).expect("JSON");
    let pattern = |it: &u8| text(&table["widths"], &it.to_string()).to_owned();
    symbol.codewords().iter().map(pattern).collect::<String>() + STOP
}

fn assert_check_value(symbol: &Code128) {
    let (check, rest) = symbol.codewords().split_last().expect("codewords");
    let weighted = rest.iter().zip([1].into_iter().chain(1..)).map(|(it, w)| u64::from(*it) * w);
    assert_eq!(u64::from(*check), weighted.sum::<u64>() % 103);
}

/// A second reading of ISO/IEC 15417, from codewords back to the message.
fn decode(codewords: &[u8]) -> Vec<Datum> {
    let (first, rest) = codewords.split_first().expect("a start character");
    let mut set = match first {
        103 => 'A',
        104 => 'B',
        105 => 'C',
        other => panic!("{other} starts nothing"),
    };
    let mut shifted = false;
    let mut message = Vec::new();
    for codeword in rest.iter().take(rest.len() - 1) {
        let now = match (shifted, set) {
            (true, 'A') => 'B',
            (true, _) => 'A',
            (false, set) => set,
        };
        shifted = false;
        match (now, codeword) {
            (_, 102) => message.push(Datum::Fnc1),
            ('C', 0..=99) => {
                message.push(Datum::Ascii(b'0' + codeword / 10));
                message.push(Datum::Ascii(b'0' + codeword % 10));
            }
            ('A' | 'B', 0..=63) | ('B', 64..=95) => message.push(Datum::Ascii(codeword + 32)),
            ('A', 64..=95) => message.push(Datum::Ascii(codeword - 64)),
            ('A' | 'B', 98) => shifted = true,
            ('A' | 'B', 99) => set = 'C',
            ('A' | 'C', 100) => set = 'B',
            ('B' | 'C', 101) => set = 'A',
            other => panic!("{other:?} says nothing"),
        }
    }
    message
}

#[test]
fn check_characters_agree_with_an_outside_program() {
    for case in cases(include_str!("../data/mod_37_36.json")) {
        let (body, check) = (case[0].as_str().expect("text"), case[1].as_str().expect("text"));
        assert_eq!(check_char(body).map(String::from).as_deref(), Some(check), "{body}");
        assert!(has_valid_check(&format!("{body}{check}")), "{body}");
    }
}
