//! What GS1 carriers say, against outside cases and outside programs.

use chrono::NaiveDate;
use kitwright::domain::codes::check_char;
use kitwright::domain::gs1::{
    Carrier, Charset, Element, ElementError, Gtin, Meaning, ai, bracketed, build_link, check_digit,
    check_needs, check_pairs, date_of_six, element, element_string, expand_upc_e, meaning,
    parse_bracketed, parse_elements, parse_link, split_symbology, table,
};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::support::referee::ask;

const YEAR: i32 = 2026;

fn cases(file: &str) -> Vec<Value> {
    let file: Value = serde_json::from_str(file).expect("the test data are JSON");
    file["cases"].as_array().expect("a list of cases").clone()
}

fn text<'a>(case: &'a Value, field: &str) -> &'a str {
    case[field].as_str().unwrap_or_else(|| panic!("{field} is no text in {case}"))
}

fn pairs(read: &[Element]) -> Value {
    read.iter().map(|it| json!([it.ai, it.value])).collect()
}

/// Judges elements as the cases were: pairs always, mandatory association where asked.
fn judged(case: &Value, read: Vec<Element>) -> Result<Vec<Element>, ElementError> {
    check_pairs(&read)?;
    if case["requisites_checked"] == true {
        check_needs(&read)?;
    }
    Ok(read)
}

#[test]
fn element_strings_agree_with_the_syntax_engine() {
    let cases = cases(include_str!("../data/gs1_elements.json"));
    for case in &cases {
        let (symbology, data) = split_symbology(text(case, "input"));
        let symbology = symbology.expect("each case has an identifier");
        let read = match symbology.carrier {
            Carrier::Elements => parse_elements(data, YEAR).and_then(|read| judged(case, read)),
            Carrier::Article => {
                assert_eq!(Some(data.parse::<Gtin>().is_ok()), case["valid"].as_bool(), "{case}");
                continue;
            }
            Carrier::Plain => {
                assert_eq!(Some(symbology.of_gs1), case["valid"].as_bool(), "{case}");
                continue;
            }
        };
        assert_eq!(Some(read.is_ok()), case["valid"].as_bool(), "{case}: {read:?}");
        let Ok(read) = read else { continue };
        assert_eq!(pairs(&read), case["elements"], "{case}");
        let hri: Value = read.iter().map(ToString::to_string).collect();
        assert_eq!(hri, case["hri"], "{case}");
        let typed: Value = read.iter().filter_map(typed).collect();
        assert_eq!(typed, case["typed"], "{case}");
    }
    assert!(100 < cases.len());
}

fn typed(it: &Element) -> Option<Value> {
    let said = match meaning(it, YEAR) {
        Meaning::Days(day, _) => json!({ "date": day }),
        Meaning::Moment(at) => {
            json!({ "date": at.date(), "datetime": at.format("%Y-%m-%dT%H:%M:%S").to_string() })
        }
        Meaning::Decimal(number) => json!({ "decimal": number }),
        Meaning::Text | Meaning::Money(..) | Meaning::Count(_) => return None,
    };
    Some(json!([it.ai, said]))
}

#[test]
fn dates_agree_with_the_century_rule() {
    for case in cases(include_str!("../data/gs1_dates.json")) {
        let year =
            case["as_of_year"].as_i64().map_or(YEAR, |it| i32::try_from(it).expect("a year"));
        let day =
            match case["ai"].as_str() {
                None => date_of_six(text(&case, "yymmdd"), year, true).ok(),
                Some(ai) => element(ai, text(&case, "yymmdd"), year).ok().and_then(|it| {
                    match meaning(&it, year) {
                        Meaning::Days(day, None) => Some(day),
                        _ => None,
                    }
                }),
            };
        if let Some(valid) = case["valid"].as_bool() {
            assert_eq!(day.is_some(), valid, "{case}");
        }
        if let Some(iso) = case["iso"].as_str() {
            assert_eq!(day.map(|it| it.to_string()).as_deref(), Some(iso), "{case}");
        }
    }
}

#[test]
fn a_date_that_names_its_day_refuses_day_00() {
    for (ai, taken) in [("17", true), ("4326", false), ("7006", false)] {
        assert_eq!(element(ai, "260300", YEAR).is_ok(), taken, "{ai}");
        assert!(element(ai, "260331", YEAR).is_ok());
    }
}

#[test]
fn links_agree_with_the_syntax_engine() {
    for case in cases(include_str!("../data/gs1_links.json")) {
        if text(&case, "op") == "build" {
            let read = parse_bracketed(text(&case, "ai"), YEAR).expect("right elements");
            let built = build_link(&read, case["stem"].as_str()).ok();
            assert_eq!(built.as_deref(), case["uri"].as_str(), "{case}");
            continue;
        }
        let read = parse_link(text(&case, "uri"), YEAR);
        assert_eq!(Some(read.is_ok()), case["valid"].as_bool(), "{case}: {read:?}");
        let Ok(read) = read else { continue };
        assert_eq!(pairs(&read), case["elements"], "{case}");
        assert_eq!(build_link(&read, None).ok().as_deref(), case["canonical"].as_str(), "{case}");
        assert_eq!(bracketed(&read), text(&case, "element_string"), "{case}");
    }
}

#[test]
fn what_is_wrong_is_said_where_it_is() {
    fn check(read: Result<Vec<Element>, ElementError>, wanted: &str) {
        let fault = read.expect_err("something is wrong");
        assert_eq!(format!("{} {fault}", fault.code), wanted);
    }
    check(
        parse_elements("0109520123456788172602", YEAR),
        "gs1.too_short at character 23: (17) USE BY or EXPIRY: the value ends too soon: it has 6 characters",
    );
    check(
        parse_bracketed("(01) 09520123456788 (17) 260230", YEAR),
        "gs1.date at character 29: (17) USE BY or EXPIRY: 2026-02 has no day 30: its last is 28",
    );
    check(
        parse_bracketed("(01)09520123456788(18)261231", YEAR),
        "gs1.unknown_ai at character 19: (18) is no application identifier of GS1",
    );
    check(
        parse_elements("4219999X", YEAR),
        "gs1.list at character 4: (421) SHIP TO POST: 999 is no country code of ISO 3166-1 (three digits)",
    );
    check(
        parse_elements("8007GB82WEST12345698765433", YEAR),
        "gs1.iban at character 5: (8007) IBAN: the check digits of the IBAN do not match: read it again",
    );
}

#[test]
fn every_kind_of_value_is_checked() {
    // Sources: the GS1 Barcode Syntax Dictionary's own rules for each; the GMN of the GS1 General
    // Specifications, section 7.9.5; the IBAN of ISO 13616's registry example.
    let cases = [
        ("8013", "1987654Ad4X4bL5ttr2310c2K", true),
        ("8013", "1987654Ad4X4bL5ttr2310cXK", false),
        ("8007", "GB82WEST12345698765432", true),
        ("4309", "02790858483015297971", true),
        ("4309", "18000000013600000001", false),
        ("4330", "002500-", true),
        ("4330", "002500+", false),
        ("4321", "2", false),
        ("4307", "NO", true),
        ("4307", "XX", false),
        ("3912", "9781999", true),
        ("3912", "0001999", false),
        ("7030", "999ABATTOIR", true),
        ("7040", "1ABC", true),
        ("7040", "1AB!", false),
        ("7041", "PX", true),
        ("7041", "Q9", false),
        ("7258", "2/3", true),
        ("7258", "4/3", false),
        ("8001", "1234123451231", false),
        ("8001", "12341234512311", true),
        ("8003", "09520123400019CRATE7", true),
        ("8003", "19520123400019CRATE7", false),
        ("8006", "095201234567880401", false),
        ("8011", "0", true),
        ("8014", "1987654Ad4X4bL5ttr2310c2K", true),
        ("8030", "aGk-_w==", true),
        ("8030", "aG=k", false),
        ("8112", "001234561234560123456", true),
        ("8112", "0012345612345601234567", false),
        ("7241", "11", false),
        ("7252", "3", false),
        ("7250", "20260229", false),
        ("7251", "202602282359", true),
        ("4300", "Skarnholt%20Works", true),
        ("4300", "100%", false),
        ("401", "95X", false),
    ];
    for (ai, value, right) in cases {
        let read = element(ai, value, YEAR);
        assert_eq!(read.is_ok(), right, "({ai}) {value}: {read:?}");
    }
}

#[test]
fn counts_and_amounts_are_told_with_their_unit() {
    let said = |ai: &str, value: &str| meaning(&element(ai, value, YEAR).expect("right"), YEAR);
    assert_eq!(said("37", "24"), Meaning::Count(24));
    assert_eq!(said("3922", "1999"), Meaning::Decimal("19.99".to_owned()));
    assert_eq!(said("3912", "9785"), Meaning::Money("978".to_owned(), "0.05".to_owned()));
    let day = |day| NaiveDate::from_ymd_opt(2026, 9, day).expect("a day");
    assert_eq!(said("7007", "260901260930"), Meaning::Days(day(1), Some(day(30))));
}

#[test]
fn upc_e_is_expanded() {
    // GS1 General Specifications, section 5.2.2.4.2: one number for each rule; the check digits by
    // python-stdnum 2.2.
    let cases = [
        ("01234505", "012000003455"),
        ("01234514", "012100003454"),
        ("01234531", "012300000451"),
        ("01234543", "012340000053"),
        ("01234565", "012345000065"),
    ];
    for (short, long) in cases {
        assert_eq!(expand_upc_e(short).as_deref(), Some(long), "{short}");
    }
    assert_eq!(expand_upc_e("21234565"), None);
}

/// Returns the characters that a value of that set may have.
fn characters(set: Charset) -> Vec<char> {
    (' '..='~')
        .filter(|it| set.holds(*it))
        .filter(|it| *it != '=' || set != Charset::Set64)
        .collect()
}

/// Returns elements at random whose value is right: only those whose checks are the check digit
/// and the date are chosen.
fn any_element() -> impl Strategy<Value = Element> {
    let simple = [
        "01", "02", "00", "10", "21", "11", "17", "240", "241", "30", "37", "3103", "400", "402",
        "410", "414", "8010", "91",
    ];
    (prop::sample::select(simple.to_vec()), prop::collection::vec(any::<u32>(), 90)).prop_map(
        |(identifier, dice)| {
            let known = ai(identifier).expect("it is in the table");
            let part = known.components.first().expect("each has one");
            let of = characters(part.charset);
            let pick = |at: usize, many: usize| usize::try_from(dice[at]).unwrap() % many;
            let length = part.least + pick(0, part.most - part.least + 1);
            let mut value: String = (1..=length).map(|at| of[pick(at % 90, of.len())]).collect();
            if matches!(identifier, "11" | "17") {
                value = format!("{:02}{:02}{:02}", pick(1, 100), pick(2, 12) + 1, pick(3, 29));
            } else if matches!(identifier, "8010") {
                value = format!("9521{value}").chars().take(30).collect();
            } else if !part.checks.is_empty() && length == part.least {
                value.pop();
                value.push(check_digit(&value).expect("digits"));
            }
            Element { ai: identifier.to_owned(), value }
        },
    )
}

/// Returns a message at random in which no identifier stands twice.
fn any_message() -> impl Strategy<Value = Vec<Element>> {
    prop::collection::vec(any_element(), 1..6).prop_map(|mut message| {
        let mut seen = std::collections::BTreeSet::new();
        message.retain(|it| seen.insert(it.ai.clone()));
        message
    })
}

proptest! {
    #[test]
    fn what_is_built_is_read_back(message in any_message()) {
        prop_assert_eq!(parse_elements(&element_string(&message), YEAR), Ok(message.clone()));
        prop_assert_eq!(parse_bracketed(&bracketed(&message), YEAR), Ok(message));
    }

    #[test]
    fn a_link_says_what_its_elements_say(message in any_message()) {
        let Ok(uri) = build_link(&message, Some("https://example.com/a/b/")) else { return Ok(()) };
        let mut read = parse_link(&uri, YEAR).expect("a link of ours");
        prop_assert_eq!(build_link(&read, Some("https://example.com/a/b")), Ok(uri));
        let mut message = message;
        message.sort();
        read.sort();
        prop_assert_eq!(read, message);
    }

    #[test]
    fn any_text_is_read_or_refused(text in "[0-9A-Z()/:.?&=%\u{1d}]{0,60}") {
        let _ = parse_elements(&text, YEAR);
        let _ = parse_bracketed(&text, YEAR);
        let _ = parse_link(&format!("https://a/{text}"), YEAR);
    }
}

#[test]
fn every_identifier_of_the_table_can_be_asked_for() {
    let titles = table().iter().filter(|it| !it.title.is_empty()).count();
    assert_eq!((table().len(), titles), (224, 222));
}

/// Sends each line to the referee and returns its answers.
fn referee(lines: &[Value]) -> Vec<Value> {
    ask("referee.py", lines)
}

/// A generator of numbers that look random; the same seed gives the same ones.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, many: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(many).unwrap()).unwrap()
    }
}

#[test]
fn element_strings_at_random_agree_with_biip() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut dice = Dice(0x5eed_2026);
    let texts: Vec<String> = (0..3000)
        .map(|at| {
            let message = any_message().new_tree(&mut runner).expect("a message");
            let text = element_string(&proptest::strategy::ValueTree::current(&message));
            if at % 2 == 0 { text } else { damaged(&text, &mut dice) }
        })
        .collect();
    let lines: Vec<Value> = texts.iter().map(|it| json!({ "elements": it })).collect();
    let mut both = [0, 0];
    for (text, said) in texts.iter().zip(referee(&lines)) {
        match parse_elements(text, YEAR) {
            Ok(read) => {
                assert_eq!(pairs(&read), said["elements"], "{text:?}: {said}");
                both[0] += 1;
            }
            // What biip 5.2.0 lets pass: check digits within element strings, lists of codes, and
            // separators where none belongs.
            Err(fault)
                if ["gs1.check_digit", "gs1.separator", "gs1.prefix"].contains(&fault.code) => {}
            // It ends a value that has grown to its most characters, where the standard asks for
            // a separator after each that is not of predefined length; and it takes an empty count.
            Err(fault) if ["gs1.too_long", "gs1.no_value"].contains(&fault.code) => {}
            Err(fault) => {
                assert!(said["elements"].is_null(), "{text:?}: {fault}, and biip reads {said}");
                both[1] += 1;
            }
        }
    }
    assert!(1500 < both[0] && 100 < both[1], "too few cases: {both:?}");
}

/// Changes, drops or adds one character.
fn damaged(text: &str, dice: &mut Dice) -> String {
    let mut characters: Vec<char> = text.chars().collect();
    let at = dice.roll(characters.len());
    let new = ['0', '7', 'O', 'I', '\u{1d}', '^', 'x', '#'][dice.roll(8)];
    match dice.roll(3) {
        0 => characters[at] = new,
        1 => drop(characters.remove(at)),
        _ => characters.insert(at, new),
    }
    characters.into_iter().collect()
}

#[test]
fn check_digits_at_random_agree_with_stdnum() {
    let mut dice = Dice(0x5eed_7064);
    let digits: Vec<String> = (0..2000)
        .map(|_| {
            (0..7 + dice.roll(11))
                .map(|_| char::from(b'0' + u8::try_from(dice.roll(10)).unwrap()))
                .collect()
        })
        .collect();
    let words: Vec<String> = (0..2000)
        .map(|_| {
            let of = |at: usize| "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ".chars().nth(at).unwrap();
            (0..1 + dice.roll(12)).map(|_| of(dice.roll(36))).collect()
        })
        .collect();
    let lines: Vec<Value> = digits
        .iter()
        .map(|it| json!({ "body": it }))
        .chain(words.iter().map(|it| json!({ "text": it })))
        .collect();
    let ours = digits.iter().map(|it| check_digit(it)).chain(words.iter().map(|it| check_char(it)));
    for ((line, said), ours) in lines.iter().zip(referee(&lines)).zip(ours) {
        assert_eq!(ours.map(String::from).as_deref(), said["check"].as_str(), "{line}");
    }
}
