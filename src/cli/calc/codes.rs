use serde::Deserialize;
use serde_json::{Value, json};

use crate::domain::codes::{Scan, check_char, has_valid_check, read_scan};
use crate::domain::gs1::{self, Gtin, Sscc};
use crate::domain::labels::Code128;

use super::{Fault, line};

/// A number to be checked, or to be given its check digit.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct CheckDigit {
    /// GTIN-8, GTIN-12, GTIN-13, GTIN-14, SSCC, GLN, GSIN, GSRN, or MOD 37,36.
    kind: String,
    /// The number without its check digit; the answer gives it.
    body: Option<String>,
    /// The number with its check digit; the answer says whether it is right.
    full: Option<String>,
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
                "'{kind}': take GTIN-8, GTIN-12, GTIN-13, GTIN-14, SSCC, GLN, GSIN, GSRN or MOD 37,36"
            ),
        )),
    }
}

pub(super) fn check_digit(value: Value) -> Result<Value, Fault> {
    let it: CheckDigit = line(value)?;
    match (&it.body, &it.full) {
        (Some(body), None) => of_body(&it.kind, body),
        (None, Some(full)) => of_full(&it.kind, full),
        _ => Err(Fault::new("check_digit.line", "give either body or full")),
    }
}

fn of_body(kind: &str, body: &str) -> Result<Value, Fault> {
    let wrong = |message: String| Fault::new("check_digit.body", message);
    if kind == "MOD 37,36" {
        let check = check_char(body).filter(|_| !body.is_empty());
        let check = check.ok_or_else(|| wrong(format!("'{body}': take characters 0-9 and A-Z")))?;
        return Ok(json!({ "check_digit": check, "full": format!("{body}{check}") }));
    }
    let wanted = digits(kind)? - 1;
    let check = gs1::check_digit(body)
        .filter(|_| body.len() == wanted)
        .ok_or_else(|| wrong(format!("'{body}': take {wanted} digits")))?;
    Ok(json!({ "check_digit": check, "full": format!("{body}{check}") }))
}

fn of_full(kind: &str, full: &str) -> Result<Value, Fault> {
    let reason = match kind {
        "MOD 37,36" if has_valid_check(full) => None,
        "MOD 37,36" => Some("the last character does not match the others".to_owned()),
        "SSCC" => full.parse::<Sscc>().err().map(|it| it.to_string()),
        "GLN" | "GSIN" | "GSRN" => fault_in(full, digits(kind)?),
        _ => {
            let wanted = digits(kind)?;
            match full.parse::<Gtin>() {
                Ok(_) if full.len() == wanted => None,
                Ok(_) => Some(format!("it has {} digits, and a {kind} has {wanted}", full.len())),
                Err(fault) => Some(fault.to_string()),
            }
        }
    };
    Ok(match reason {
        None => json!({ "valid": true }),
        Some(reason) => json!({ "valid": false, "reason": reason }),
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

/// A scanned or typed text.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Code {
    /// The text, with its symbology identifier or without.
    text: String,
}

pub(super) fn code(value: Value) -> Result<Value, Fault> {
    let it: Code = line(value)?;
    let scan = read_scan(&it.text).map_err(|fault| Fault::new("scan.unreadable", fault))?;
    let (kind, text) = match scan {
        Scan::Part(it) => ("part", it.to_string()),
        Scan::Bin(it) => ("bin", it.to_string()),
        Scan::Kit(it) => ("kit", it.to_string()),
        Scan::Carton(it) => ("carton", it.to_string()),
        Scan::Lot(it) => ("lot", it),
        Scan::Serial(it) => ("serial", it),
        Scan::Other(it) => ("other", it),
    };
    Ok(json!({ "kind": kind, "text": text }))
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
