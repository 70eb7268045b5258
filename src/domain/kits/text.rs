//! The text form of a line's choices and conditions, in files and in the database alike.

use std::collections::BTreeSet;

use super::{BomItem, Choice};
use crate::domain::codes::NumberError;

/// Returns the values of a text that parts them by bars, `T12|T15`.
///
/// # Errors
///
/// What is wrong and how to write it.
pub fn values(text: &str) -> Result<Vec<String>, String> {
    let mut values: Vec<String> = Vec::new();
    for value in text.split('|').map(str::trim) {
        if value.is_empty() {
            return Err(format!("'{text}' has an empty value: write values as T12|T15"));
        }
        if values.iter().any(|it| it == value) {
            return Err(format!("'{value}' stands there twice: keep one of them"));
        }
        values.push(value.to_owned());
    }
    Ok(values)
}

/// Returns the choices of a text such as `size={size}; colour=black`.
///
/// # Errors
///
/// What is wrong and how to write it.
pub fn choices(text: &str) -> Result<Vec<(String, Choice)>, String> {
    pairs(text, "size={size}; colour=black")?
        .into_iter()
        .map(|(name, value)| {
            let option = value.strip_prefix('{').and_then(|it| it.strip_suffix('}'));
            let choice = match option.map(str::trim) {
                Some("") => return Err(format!("'{value}' names no option: write {{size}}")),
                Some(option) => Choice::Option(option.to_owned()),
                None => Choice::Fixed(value),
            };
            Ok((name, choice))
        })
        .collect()
}

/// Returns the conditions of a text such as `ski=95|105; build=T12`.
///
/// # Errors
///
/// What is wrong and how to write it.
pub fn conditions(text: &str) -> Result<Vec<(String, Vec<String>)>, String> {
    let pairs = pairs(text, "ski=95|105; build=T12")?;
    pairs.into_iter().map(|(name, value)| Ok((name, values(&value)?))).collect()
}

/// Reads names with values, parted by semicolons.
fn pairs(text: &str, example: &str) -> Result<Vec<(String, String)>, String> {
    let mut pairs: Vec<(String, String)> = Vec::new();
    for piece in text.split(';').map(str::trim).filter(|it| !it.is_empty()) {
        let (name, value) = piece.split_once('=').unwrap_or((piece, ""));
        let (name, value) = (name.trim(), value.trim());
        if name.is_empty() || value.is_empty() {
            return Err(format!("'{piece}' is not a name, = and a value: write {example}"));
        }
        if pairs.iter().any(|(it, _)| it == name) {
            return Err(format!("'{name}' stands there twice: keep one of them"));
        }
        pairs.push((name.to_owned(), value.to_owned()));
    }
    Ok(pairs)
}

/// Returns choices in the form that [`choices`] reads.
pub fn write_choices(choose: &[(String, Choice)]) -> String {
    let pairs: Vec<String> = choose.iter().map(|(name, it)| format!("{name}={it}")).collect();
    pairs.join("; ")
}

/// Returns conditions in the form that [`conditions`] reads.
pub fn write_conditions(when: &[(String, Vec<String>)]) -> String {
    let pairs: Vec<String> =
        when.iter().map(|(name, values)| format!("{name}={}", values.join("|"))).collect();
    pairs.join("; ")
}

/// Returns the item that a line's text means: a kit where `codes` has it, else a part number where
/// it has that form, else a base part.
///
/// # Errors
///
/// [`NumberError::Check`]: a part number with one wrong character is not the name of a base part.
pub fn item(text: &str, codes: &BTreeSet<String>) -> Result<BomItem, NumberError> {
    if codes.contains(text) {
        return Ok(BomItem::Kit(text.to_owned()));
    }
    match text.parse() {
        Ok(number) => Ok(BomItem::PartNumber(number)),
        Err(error @ NumberError::Check { .. }) => Err(error),
        Err(NumberError::Shape { .. }) => Ok(BomItem::Part(text.to_owned())),
    }
}
