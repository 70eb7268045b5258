use chrono::NaiveDate;

use crate::domain::gs1::{date_of_eight, shown};

use super::ScanError;

/// A value with its data identifier, such as 1T and 7731.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Field<'a> {
    /// The identifier.
    pub identifier: &'a str,
    /// Its title; empty where this shop has none for it.
    pub title: &'static str,
    /// The value.
    pub value: &'a str,
}

/// The data identifiers that a part's or a box's label may bear, with their titles.
const TITLES: [(&str, &str); 34] = [
    ("P", "Customer's item"),
    ("1P", "Supplier's item"),
    ("30P", "Supplier's item, first level"),
    ("2P", "Revision"),
    ("Q", "Quantity"),
    ("7Q", "Quantity and unit"),
    ("T", "Customer's lot"),
    ("1T", "Supplier's lot"),
    ("S", "Serial number"),
    ("1S", "Serial number, further"),
    ("3S", "Package"),
    ("4S", "Package, several items"),
    ("J", "Licence plate"),
    ("1J", "Licence plate, single package"),
    ("2J", "Licence plate, package of packages"),
    ("3J", "Licence plate, mixed package"),
    ("4J", "Licence plate, mixed packages"),
    ("5J", "Licence plate, with EDI"),
    ("6J", "Licence plate, with EDI, mixed"),
    ("K", "Customer's order"),
    ("4K", "Order line"),
    ("14K", "Order and line"),
    ("1K", "Supplier's order"),
    ("2K", "Bill of lading"),
    ("11K", "Packing list"),
    ("9D", "Date"),
    ("10D", "Date, year and week"),
    ("6D", "Date with its meaning"),
    ("14D", "Expiry"),
    ("16D", "Production date"),
    ("4L", "Country of origin"),
    ("V", "Supplier"),
    ("21V", "Supplier"),
    ("1V", "Supplier"),
];

/// Reads a field: up to three digits, a capital letter, then the value.
///
/// # Errors
///
/// [`ScanError::Field`] with the place of the field, counted from 1 in the whole text.
///
/// # Source
///
/// ISO/IEC 15418:2016, which refers to ANSI MH10.8.2 for the data identifiers.
pub(super) fn read(text: &str, at: usize) -> Result<Field<'_>, ScanError> {
    let fault = |message: String| ScanError::Field { at, message };
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let letter =
        text.get(digits..=digits).filter(|it| it.bytes().all(|it| it.is_ascii_uppercase()));
    let (Some(_), true) = (letter, digits <= 3) else {
        let start: String = text.chars().take(5).collect();
        return Err(fault(format!(
            "no data identifier begins with '{}': it has up to three digits and a capital \
             letter, such as 1T",
            shown(&start)
        )));
    };
    let (identifier, value) = text.split_at_checked(digits + 1).unwrap_or_default();
    if value.is_empty() {
        return Err(fault(format!(
            "{identifier} has no value: the label is damaged or misprinted"
        )));
    }
    let field = Field { identifier, title: title(identifier).unwrap_or_default(), value };
    check(&field).map_err(fault)?;
    Ok(field)
}

/// Returns the title of a data identifier, where this shop has one for it.
pub(super) fn title(identifier: &str) -> Option<&'static str> {
    TITLES.iter().find(|it| it.0 == identifier).map(|it| it.1)
}

fn check(field: &Field<'_>) -> Result<(), String> {
    let Field { identifier, value, title } = field;
    match *identifier {
        "Q" if value.parse::<u64>().is_err() => {
            Err(format!("{identifier} ({title}): '{}' is no whole number of pieces", shown(value)))
        }
        "14D" | "16D" => date_of_eight(value)
            .map(drop)
            .map_err(|it| format!("{identifier} ({title}): {}", shown(&it.message))),
        _ => Ok(()),
    }
}

/// Returns the day of a value YYYYMMDD.
pub(super) fn day(value: &str) -> Option<NaiveDate> {
    date_of_eight(value).ok()
}
