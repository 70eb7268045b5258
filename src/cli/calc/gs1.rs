//! What a code says: `calc code`.

use chrono::Datelike;
use serde::Deserialize;
use serde_json::{Map, Value, json};

use crate::clock::Clock;
use crate::domain::codes::{Label, Scan, read_scan};
use crate::domain::gs1::{
    Carrier, Element, ElementError, Gtin, Meaning, ai, bracketed, build_link, check_needs,
    check_pairs, date_of_six, element, element_string, meaning, parse_bracketed, parse_elements,
    parse_link, shown, split_symbology,
};

use super::{Fault, line};

/// A code in one of its forms: give `text`, `input`, `uri`, `ai` with `op` build, or `yymmdd`.
#[derive(Debug, Default, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Code {
    /// A scanned or typed text, read as this shop reads it.
    text: Option<String>,
    /// What a scanner sends, judged by the GS1 standards alone: a symbology identifier, then the
    /// data; or elements with their identifiers in parentheses.
    input: Option<String>,
    /// Whether an element must have beside it what it needs to mean something.
    requisites_checked: bool,
    /// parse, build or canonical, for Digital Links.
    op: Option<String>,
    /// A Digital Link URI.
    uri: Option<String>,
    /// Elements to build a Digital Link of, such as (01)09520123456788(10)LOT7A; with `yymmdd`,
    /// the identifier that the date stands in.
    ai: Option<String>,
    /// Where a link that is built leads; the canonical resolver where it is left out.
    stem: Option<String>,
    /// A date.
    yymmdd: Option<String>,
    /// The current year, which settles the century of dates; this year where it is left out.
    #[serde(alias = "typed_as_of_year")]
    as_of_year: Option<i32>,
    /// Ignored: a name of your own for the line.
    #[schema(value_type = Object)]
    #[serde(rename = "id")]
    _id: Option<Value>,
    /// Ignored: a word of your own for the line.
    #[schema(value_type = Object)]
    #[serde(rename = "kind")]
    _kind: Option<Value>,
    /// Ignored: where the line is from.
    #[schema(value_type = Object)]
    #[serde(rename = "source")]
    _source: Option<Value>,
    /// Ignored: a note of your own.
    #[schema(value_type = Object)]
    #[serde(rename = "note")]
    _note: Option<Value>,
}

pub(super) fn code(value: Value) -> Result<Value, Fault> {
    let it: Code = line(value)?;
    let year = it.as_of_year.unwrap_or_else(|| Clock::System.now().year());
    let given = [&it.text, &it.input, &it.uri, &it.yymmdd];
    let build = it.op.as_deref() == Some("build");
    match (given.into_iter().flatten().count(), build) {
        (1, false) | (0, true) => {}
        _ => {
            let message = "give one of text, input, uri, yymmdd, or ai with op build";
            return Err(Fault::new("code.line", message));
        }
    }
    if let Some(text) = &it.yymmdd {
        return Ok(date(text, it.ai.as_deref(), year));
    }
    match it.op.as_deref() {
        None => {}
        Some("build") => return build_of(&it, year),
        Some("parse" | "canonical") if it.uri.is_some() => {}
        Some("parse") if it.input.is_some() || it.text.is_some() => {}
        Some(other) => {
            let message = format!("'{other}': take parse or canonical with uri, or build with ai");
            return Err(Fault::new("code.op", message));
        }
    }
    if let Some(uri) = &it.uri {
        return Ok(verdict(parse_link(uri, year).and_then(|read| judged(read, &it)), year));
    }
    if let Some(input) = &it.input {
        return Ok(carrier(input, &it, year));
    }
    shop(it.text.as_deref().unwrap_or_default(), year)
}

fn date(text: &str, identifier: Option<&str>, year: i32) -> Value {
    let read = match identifier {
        None => date_of_six(text, year, true)
            .map(|day| day.to_string())
            .map_err(|it| json!({ "code": "gs1.date", "at": it.at + 1, "message": it.message })),
        Some(identifier) => element(identifier, text, year).map_err(|it| said(&it)).and_then(
            |it| match meaning(&it, year) {
                Meaning::Days(day, _) => Ok(day.to_string()),
                Meaning::Moment(at) => Ok(at.date().to_string()),
                _ => Err(
                    json!({ "code": "gs1.date", "message": format!("({identifier}) is no date") }),
                ),
            },
        ),
    };
    match read {
        Ok(iso) => json!({ "valid": true, "iso": iso }),
        Err(error) => json!({ "valid": false, "iso": null, "error": error }),
    }
}

fn build_of(it: &Code, year: i32) -> Result<Value, Fault> {
    let elements = it.ai.as_deref().ok_or_else(|| Fault::new("code.line", "op build takes ai"))?;
    let built = parse_bracketed(elements, year)
        .and_then(|read| judged(read, it))
        .and_then(|read| build_link(&read, it.stem.as_deref()));
    Ok(match built {
        Ok(uri) => json!({ "valid": true, "uri": uri, "error": null }),
        Err(fault) => json!({ "valid": false, "uri": null, "error": said(&fault) }),
    })
}

/// Checks how elements go together.
fn judged(read: Vec<Element>, it: &Code) -> Result<Vec<Element>, ElementError> {
    check_pairs(&read)?;
    if it.requisites_checked {
        check_needs(&read)?;
    }
    Ok(read)
}

/// Judges what a scanner sends by the GS1 standards alone.
fn carrier(input: &str, it: &Code, year: i32) -> Value {
    let refused = |code: &str, message: String| {
        json!({
            "valid": false, "elements": null, "hri": [], "typed": [],
            "error": { "code": code, "message": message },
        })
    };
    if input.starts_with('(') {
        return verdict(parse_bracketed(input, year).and_then(|read| judged(read, it)), year);
    }
    let (symbology, data) = split_symbology(input);
    let Some(symbology) = symbology else {
        let message = "no symbology identifier comes first, such as ]C1 for GS1-128: nothing says \
                       that this is GS1 data";
        return refused("gs1.no_identifier", message.to_owned());
    };
    let is_link = data.get(..4).is_some_and(|it| it.eq_ignore_ascii_case("http"));
    match symbology.carrier {
        _ if !symbology.of_gs1 => {
            let (letter, modifier) = symbology.code;
            let name =
                if symbology.name.is_empty() { "an unknown symbology" } else { symbology.name };
            let message =
                format!("]{letter}{modifier} is {name}: GS1 data are not carried in it so");
            refused("gs1.symbology", message)
        }
        Carrier::Elements => {
            let read = parse_elements(data, year).and_then(|read| judged(read, it));
            let read = read
                .map_err(|it| ElementError { at: if it.at == 0 { 0 } else { it.at + 3 }, ..it });
            verdict(read, year)
        }
        Carrier::Article => match article(data, symbology.code) {
            Ok(gtin) => json!({
                "valid": true, "elements": null, "hri": [], "typed": [], "error": null,
                "gtin": gtin.to_string(), "gtin14": gtin.to_14(),
            }),
            Err(message) => refused("gs1.article", message),
        },
        Carrier::Plain if is_link => {
            verdict(parse_link(data, year).and_then(|read| judged(read, it)), year)
        }
        Carrier::Plain => json!({
            "valid": true, "elements": null, "hri": [], "typed": [], "error": null,
            "plain": shown(data),
        }),
    }
}

/// Reads the digits of an EAN, UPC or ITF symbol.
fn article(data: &str, code: (char, char)) -> Result<Gtin, String> {
    let wanted = match code {
        ('E', '4') => 8,
        ('I', _) => 14,
        _ => 13,
    };
    let found = data.chars().count();
    if found != wanted {
        return Err(format!(
            "{found} characters stand here, and such a symbol has {wanted} digits"
        ));
    }
    data.parse().map_err(|it: crate::domain::gs1::Gs1Error| it.to_string())
}

/// Returns the answer of elements that were read, or of what is wrong with them.
fn verdict(read: Result<Vec<Element>, ElementError>, year: i32) -> Value {
    match read {
        Ok(elements) => {
            let pairs: Vec<Value> = elements.iter().map(|it| json!([it.ai, it.value])).collect();
            json!({
                "valid": true,
                "elements": pairs,
                "hri": elements.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "typed": typed(&elements, year),
                "data": elements.iter().map(|it| datum(it, year)).collect::<Vec<_>>(),
                "element_string": bracketed(&elements),
                "encoded": shown(&element_string(&elements)),
                "canonical": build_link(&elements, None).ok(),
                "error": null,
            })
        }
        Err(fault) => json!({
            "valid": false, "elements": null, "hri": [], "typed": [], "error": said(&fault),
        }),
    }
}

fn said(fault: &ElementError) -> Value {
    let ai = Some(&fault.ai).filter(|it| !it.is_empty());
    let at = Some(fault.at).filter(|it| 0 < *it);
    json!({ "code": fault.code, "ai": ai, "at": at, "message": fault.to_string() })
}

/// Returns the meanings of those elements that are days, moments or measures.
fn typed(elements: &[Element], year: i32) -> Vec<Value> {
    let one = |it: &Element| {
        let fields = fields(&meaning(it, year));
        let counts = fields.contains_key("count");
        (!fields.is_empty() && !counts).then(|| json!([it.ai, fields]))
    };
    elements.iter().filter_map(one).collect()
}

fn fields(meaning: &Meaning) -> Map<String, Value> {
    let pairs: Vec<(&str, Value)> = match meaning {
        Meaning::Text => vec![],
        Meaning::Days(day, None) => vec![("date", json!(day))],
        Meaning::Days(day, Some(last)) => vec![("date", json!(day)), ("end_date", json!(last))],
        Meaning::Moment(at) => {
            vec![
                ("date", json!(at.date())),
                ("datetime", json!(at.format("%Y-%m-%dT%H:%M:%S").to_string())),
            ]
        }
        Meaning::Decimal(number) => vec![("decimal", json!(number))],
        Meaning::Money(currency, number) => {
            vec![("currency", json!(currency)), ("decimal", json!(number))]
        }
        Meaning::Count(count) => vec![("count", json!(count))],
    };
    pairs.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

fn datum(it: &Element, year: i32) -> Value {
    let mut fields = fields(&meaning(it, year));
    fields.insert("ai".to_owned(), json!(it.ai));
    fields.insert("title".to_owned(), json!(ai(&it.ai).map(|it| it.title)));
    fields.insert("value".to_owned(), json!(it.value));
    Value::Object(fields)
}

/// Answers what a text means in this shop.
fn shop(text: &str, year: i32) -> Result<Value, Fault> {
    let scan = read_scan(text, year).map_err(|fault| Fault::new(fault.code(), fault))?;
    let (scan, print) = match scan {
        Scan::Printed(it) => (it.of, Some(it.number)),
        scan => (scan, None),
    };
    let (kind, text) = match scan {
        Scan::Part(it) => ("part", it.to_string()),
        Scan::Bin(it) => ("bin", it.to_string()),
        Scan::Kit(it) => ("kit", it.to_string()),
        Scan::Carton(it) => ("carton", it.to_string()),
        Scan::Lot(it) => ("lot", it),
        Scan::Serial(it) => ("serial", it),
        Scan::Other(it) => ("other", it),
        Scan::Printed(it) => ("other", it.text),
        Scan::Label(label) => return Ok(label_of(&label, "label")),
        Scan::Perhaps(label, text) => {
            let mut answer = label_of(&label, "perhaps");
            if let Some(fields) = answer.as_object_mut() {
                fields.insert("text".to_owned(), json!(text));
            }
            return Ok(answer);
        }
    };
    let mut answer = json!({ "kind": kind, "text": text });
    if let (Some(print), Some(fields)) = (print, answer.as_object_mut()) {
        fields.insert("print".to_owned(), json!(print));
    }
    Ok(answer)
}

fn label_of(label: &Label, kind: &str) -> Value {
    let said: Vec<Value> = label
        .said
        .iter()
        .map(|it| json!({ "identifier": it.identifier, "title": it.title, "value": it.value }))
        .collect();
    json!({
        "kind": kind, "text": label.words(), "data": said, "gtin": label.gtin,
        "items": label.items, "ours": label.ours, "lot": label.lot, "serial": label.serial,
        "use_by": label.use_by, "count": label.count, "order": label.order, "unit": label.unit,
    })
}
