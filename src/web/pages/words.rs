//! Dates and counts as a person reads them.

use std::fmt;

use chrono::{NaiveDate, NaiveDateTime};

use crate::units::Quantity;

/// Text that is part of the program.
pub type Word = &'static str;

/// A date as the pages write it, such as `Fri 27 Nov`.
///
/// ```
/// use chrono::NaiveDate;
/// use kitwright::web::pages::words::Day;
/// let day = NaiveDate::from_ymd_opt(2026, 11, 27).map(|date| Day(date).to_string());
/// assert_eq!(day.as_deref(), Some("Fri 27 Nov"));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day(pub NaiveDate);

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%a %-d %b"))
    }
}

impl Day {
    /// Returns the date as machines read it, such as `2026-11-27`.
    pub fn iso(&self) -> String {
        self.0.format("%Y-%m-%d").to_string()
    }
}

/// A moment as the pages write it, such as `27 Nov 14:05 UTC`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment(pub NaiveDateTime);

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%-d %b %H:%M UTC"))
    }
}

/// Returns a count with its noun, such as `1 kit` or `3 kits`.
///
/// ```
/// use kitwright::units::Quantity;
/// use kitwright::web::pages::words::count;
/// assert_eq!(count(Quantity::new(1), "piece", "pieces"), "1 piece");
/// assert_eq!(count(Quantity::new(0), "piece", "pieces"), "0 pieces");
/// ```
pub fn count(quantity: Quantity, one: &str, many: &str) -> String {
    let noun = if quantity == Quantity::ONE { one } else { many };
    format!("{quantity} {noun}")
}

/// Returns the count of a list's entries, with their noun.
pub fn count_of<T>(list: &[T], one: &str, many: &str) -> String {
    count(length(list), one, many)
}

/// Returns words with a capital at their start, as a sentence has one.
///
/// ```
/// use kitwright::web::pages::words::sentence;
/// assert_eq!(sentence("the bin is empty"), "The bin is empty");
/// ```
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// Returns an amount of cents with its decimals, such as `12.50`.
///
/// ```
/// use kitwright::web::pages::words::money;
/// assert_eq!(money(1250), "12.50");
/// ```
pub fn money(cents: i64) -> String {
    format!("{}.{:02}", cents / 100, cents % 100)
}

/// Returns a count of a machine's own as one of pieces, for the words around it.
pub fn length<T>(list: &[T]) -> Quantity {
    Quantity::new(i64::try_from(list.len()).unwrap_or(i64::MAX))
}
