use serde::Deserialize;
use serde_json::{Value, json};

use crate::domain::codes::{check_char, has_valid_check};
use crate::domain::gs1::{self, Gtin, Sscc};
use crate::domain::labels::Code128;

use super::{Fault, line};

/// A number to be checked, or to be given its check digit, or to be written as another.
#[derive(Debug, Default, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(super) struct CheckDigit {
    /// GTIN-8, GTIN-12, GTIN-13, GTIN-14, UPC-E, SSCC, GLN, GSIN, GSRN, GMN or MOD 37,36; for
    /// other ops, to_gtin14 or gtin14_from_unit.
    kind: Option<String>,
    /// check_digit, validate, blind_spot, normalise or package_gtin14; found from the other
    /// fields where it is left out.
    op: Option<String>,
    /// The number without its check digit; the answer gives it.
    body: Option<String>,
    /// The number with its check digit; the answer says whether it is right.
    full: Option<String>,
    /// The same number with two digits swapped; the answer says whether the check sees it.
    swapped: Option<String>,
    /// The number of the item inside a pack; the answer is the pack's.
    unit: Option<String>,
    /// The pack's indicator, 1 to 9.
    indicator: Option<u32>,
    /// Ignored: a name of your own for the line.
    #[schema(value_type = Object)]
    #[serde(rename = "id")]
    _id: Option<Value>,
    /// Ignored: where the line is from.
    #[schema(value_type = Object)]
    #[serde(rename = "source")]
    _source: Option<Value>,
    /// Ignored: a note of your own.
    #[schema(value_type = Object)]
    #[serde(rename = "note")]
    _note: Option<Value>,
}

/// Returns the digits of a kind of GS1 number with its check digit.
fn digits(kind: &str) -> Result<usize, Fault> {
    match kind {
        "GTIN-8" => Ok(8),
        "GTIN-12" => Ok(12),
        "GTIN-13" => Ok(13),
        "GTIN-14" => Ok(14),
        "GLN" => Ok(13),
        "GSIN" => Ok(17),
        "SSCC" | "GSRN" => Ok(18),
        _ => Err(Fault::new(
            "check_digit.kind",
            format!(
                "'{kind}': take GTIN-8, GTIN-12, GTIN-13, GTIN-14, UPC-E, SSCC, GLN, GSIN, GSRN, GMN or MOD 37,36"
            ),
        )),
    }
}

pub(super) fn check_digit(value: Value) -> Result<Value, Fault> {
    let it: CheckDigit = line(value)?;
    let kind = it.kind.as_deref().unwrap_or_default();
    let op = match (&it.op, &it.body, &it.full, &it.swapped, &it.unit) {
        (Some(op), ..) => op.as_str(),
        (None, Some(_), None, None, None) => "check_digit",
        (None, None, Some(_), Some(_), None) => "blind_spot",
        (None, None, Some(_), None, None) if kind == "to_gtin14" => "normalise",
        (None, None, Some(_), None, None) => "validate",
        (None, None, None, None, Some(_)) => "package_gtin14",
        _ => {
            let message = "give either body or full, full with swapped, or unit with indicator";
            return Err(Fault::new("check_digit.line", message));
        }
    };
    let needed = |it: &Option<String>, name: &str| {
        let missing = || Fault::new("check_digit.line", format!("{op} takes the field {name}"));
        it.clone().ok_or_else(missing)
    };
    match op {
        "check_digit" => of_body(kind, &needed(&it.body, "body")?),
        "validate" => of_full(kind, &needed(&it.full, "full")?),
        "blind_spot" => {
            let full = reason(kind, &needed(&it.full, "full")?)?;
            let swapped = reason(kind, &needed(&it.swapped, "swapped")?)?;
            Ok(json!({ "both_valid": full.is_none() && swapped.is_none() }))
        }
        "normalise" => normalised(&needed(&it.full, "full")?),
        "package_gtin14" => packed(&needed(&it.unit, "unit")?, it.indicator),
        _ => {
            let message = format!(
                "'{op}': take check_digit, validate, blind_spot, normalise or package_gtin14"
            );
            Err(Fault::new("check_digit.op", message))
        }
    }
}

fn normalised(full: &str) -> Result<Value, Fault> {
    let gtin: Gtin = full.parse().map_err(|it| Fault::new("check_digit.full", it))?;
    Ok(json!({ "gtin14": gtin.to_14() }))
}

fn packed(unit: &str, indicator: Option<u32>) -> Result<Value, Fault> {
    let unit: Gtin = unit.parse().map_err(|it| Fault::new("check_digit.unit", it))?;
    let wanted = || Fault::new("check_digit.indicator", "indicator: take 1 to 9");
    let pack = unit.packed(indicator.ok_or_else(wanted)?);
    let pack = pack.map_err(|it| Fault::new("check_digit.indicator", it))?;
    Ok(json!({ "gtin14": pack.to_string() }))
}

fn of_body(kind: &str, body: &str) -> Result<Value, Fault> {
    let wrong = |message: String| Fault::new("check_digit.body", message);
    if kind == "MOD 37,36" {
        let check = check_char(body).filter(|_| !body.is_empty());
        let check = check.ok_or_else(|| wrong(format!("'{body}': take characters 0-9 and A-Z")))?;
        return Ok(json!({ "check_digit": check, "full": format!("{body}{check}") }));
    }
    if kind == "GMN" {
        let pair = gs1::check_pair(body).filter(|_| !body.is_empty() && body.len() <= 23);
        let pair =
            pair.ok_or_else(|| wrong(format!("'{body}': take 1 to 23 characters of set 82")))?;
        return Ok(json!({ "check_digit": pair, "full": format!("{body}{pair}") }));
    }
    let wanted = digits(kind)? - 1;
    let check = gs1::check_digit(body)
        .filter(|_| body.len() == wanted)
        .ok_or_else(|| wrong(format!("'{body}': take {wanted} digits")))?;
    Ok(json!({ "check_digit": check, "full": format!("{body}{check}") }))
}

fn of_full(kind: &str, full: &str) -> Result<Value, Fault> {
    let reason = reason(kind, full)?;
    Ok(match (reason, gs1::expand_upc_e(full)) {
        (None, Some(gtin12)) if kind == "UPC-E" => json!({ "valid": true, "gtin12": gtin12 }),
        (None, _) => json!({ "valid": true }),
        (Some(reason), _) => json!({ "valid": false, "reason": reason }),
    })
}

/// Returns why a number is wrong, or nothing where it is right.
fn reason(kind: &str, full: &str) -> Result<Option<String>, Fault> {
    Ok(match kind {
        "MOD 37,36" if has_valid_check(full) => None,
        "MOD 37,36" => Some("the last character does not match the others".to_owned()),
        "UPC-E" if gs1::expand_upc_e(full).is_some() => None,
        "UPC-E" => Some(
            "it is no 8 digits of system 0 or 1 with the check digit of their UPC-A".to_owned(),
        ),
        "SSCC" => full.parse::<Sscc>().err().map(|it| it.to_string()),
        "GMN" => gs1::element("8013", full, 2026).err().map(|it| it.to_string()),
        "GLN" | "GSIN" | "GSRN" => fault_in(full, digits(kind)?),
        _ => {
            let wanted = digits(kind)?;
            match full.parse::<Gtin>() {
                Ok(_) if full.len() == wanted => None,
                Ok(_) => Some(format!("it has {} digits, and a {kind} has {wanted}", full.len())),
                Err(fault) => Some(fault.to_string()),
            }
        }
    })
}

/// Returns what is wrong with a GS1 number that has no type of its own here.
fn fault_in(full: &str, wanted: usize) -> Option<String> {
    let count = full.chars().count();
    if count != wanted {
        return Some(format!("it has {count} characters, and should have {wanted}"));
    }
    let mut body = full.chars();
    let last = body.next_back();
    match gs1::check_digit(body.as_str()) {
        None => Some("it has a character that is no digit".to_owned()),
        Some(check) if Some(check) == last => None,
        Some(check) => Some(format!("its check digit should be {check}")),
    }
}

/// A text to be drawn as a symbol.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Code128Line {
    /// code128, or gs1-128 for element strings with their identifiers in brackets.
    #[serde(default)]
    kind: Option<String>,
    /// The text.
    text: String,
}

pub(super) fn code128(value: Value) -> Result<Value, Fault> {
    let it: Code128Line = line(value)?;
    let symbol = match it.kind.as_deref() {
        None | Some("code128") => it.text.parse(),
        Some("gs1-128") => Code128::of_elements(&it.text),
        Some(kind) => {
            let message = format!("'{kind}': take code128 or gs1-128");
            return Err(Fault::new("code128.kind", message));
        }
    }
    .map_err(|fault| Fault::new("code128.text", fault))?;
    let widths = symbol.widths().map_err(|fault| Fault::new("code128.text", fault))?;
    let widths: String = widths.iter().map(ToString::to_string).collect();
    Ok(json!({
        "codewords": symbol.codewords(),
        "check_value": symbol.codewords().last(),
        "symbol_chars": symbol.symbol_characters(),
        "modules": symbol.module_count(),
        "widths": widths,
    }))
}
