use crate::domain::gs1::{GS, parse_elements};

use super::{Label, ScanError, identifier};

/// With what a message in ISO/IEC 15434 syntax begins.
pub(super) const START: &str = "[)>";
/// Ends a format envelope.
const RS: char = '\u{1e}';
/// Ends the message.
const EOT: char = '\u{4}';

/// Returns what a message in its envelope says: format 05 with GS1's application identifiers,
/// format 06 with data identifiers.
///
/// # Errors
///
/// [`ScanError`]: the message is cut off, of another format, or a field is wrong.
///
/// # Source
///
/// ISO/IEC 15434:2019, transfer syntax: message and format envelopes.
pub(super) fn read(text: &str, year: i32) -> Result<Label, ScanError> {
    let place = |rest: &str| text.chars().count() - rest.chars().count() + 1;
    let fault = |rest: &str, message: &str| ScanError::Field {
        at: place(rest),
        message: message.to_owned(),
    };
    let rest = text.strip_prefix(START).unwrap_or(text);
    let Some(rest) = rest.strip_prefix(RS) else {
        return Err(fault(rest, "after [)> stands <RS>: the scanner may drop control characters"));
    };
    // Some scanners take the last character for their own end of line.
    let body = rest.strip_suffix(EOT).unwrap_or(rest);
    let Some(body) = body.strip_suffix(RS) else {
        return Err(fault(
            "",
            "the message does not end with <RS><EOT>: it is cut off, scan again",
        ));
    };
    let mut label = Label::default();
    let mut left = rest;
    for format in body.split(RS) {
        let (kind, fields) = format.split_at_checked(2).unwrap_or((format, ""));
        let fields_of = || fields.strip_prefix(GS).filter(|it| !it.is_empty());
        match (kind, fields_of()) {
            ("05", Some(fields)) => {
                let elements = parse_elements(fields, year).map_err(|it| {
                    let shift = if it.at == 0 { 0 } else { place(left) + 2 };
                    ScanError::Elements(crate::domain::gs1::ElementError {
                        at: it.at + shift,
                        ..it
                    })
                })?;
                label = label.and(Label::of_elements(&elements, year));
            }
            ("06", Some(fields)) => {
                let mut at = place(left) + 3;
                for field in fields.split(GS) {
                    label.add(&identifier::read(field, at)?);
                    at += field.chars().count() + 1;
                }
            }
            ("05" | "06", None) => {
                return Err(fault(left, "the format envelope holds no data behind its <GS>"));
            }
            (kind, _) => {
                let message = format!(
                    "format '{}' is not read here: 05 (GS1) and 06 (data identifiers) are",
                    crate::domain::gs1::shown(kind)
                );
                return Err(ScanError::Field { at: place(left), message });
            }
        }
        left = left.get(format.len() + 1..).unwrap_or_default();
    }
    Ok(label)
}
