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

/// A moment as the pages write it, in the shop's own time, such as `27 Nov 14:05`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment(pub NaiveDateTime);

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.format("%-d %b %H:%M"))
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
    let length = i64::try_from(list.len()).unwrap_or(i64::MAX);
    count(Quantity::new(length), one, many)
}

/// Returns what a line of a delivery has over, short or damaged.
///
/// ```
/// use kitwright::units::Quantity;
/// use kitwright::web::pages::words::delivered;
/// let q = Quantity::new;
/// assert_eq!(delivered(q(1000), q(800), q(0)), "200 short");
/// assert_eq!(delivered(q(40), q(41), q(2)), "1 over, 2 more arrived damaged");
/// ```
pub fn delivered(ordered: Quantity, received: Quantity, damaged: Quantity) -> String {
    let gap = ordered.less(received);
    let words = if gap == Quantity::ZERO {
        "all here".to_owned()
    } else if received == Quantity::ZERO {
        "nothing has arrived".to_owned()
    } else if gap.is_some() {
        format!("{gap} short")
    } else {
        format!("{} over", received.less(ordered))
    };
    if damaged.is_some() { format!("{words}, {damaged} more arrived damaged") } else { words }
}
