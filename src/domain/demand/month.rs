use std::fmt;
use std::str::FromStr;

use chrono::{Datelike, Days, Months, NaiveDate};

/// A month of a year.
///
/// ```
/// use kitwright::domain::demand::Month;
/// let december: Month = "2026-12".parse()?;
/// assert_eq!((december.days(), december.next().to_string().as_str()), (31, "2027-01"));
/// assert!("2026-13".parse::<Month>().is_err());
/// # Ok::<(), String>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Month(NaiveDate);

impl Month {
    /// Returns the month that a day is in.
    pub fn of(day: NaiveDate) -> Self {
        Self(day.with_day(1).unwrap_or(day))
    }

    /// Returns its first day.
    pub const fn first_day(self) -> NaiveDate {
        self.0
    }

    /// Returns the month after it.
    #[must_use]
    pub fn next(self) -> Self {
        self.plus(1)
    }

    /// Returns the month so many months later.
    #[must_use]
    pub fn plus(self, months: u32) -> Self {
        Self(self.0.checked_add_months(Months::new(months)).unwrap_or(self.0))
    }

    /// Returns the month so many months earlier.
    #[must_use]
    pub fn less(self, months: u32) -> Self {
        Self(self.0.checked_sub_months(Months::new(months)).unwrap_or(self.0))
    }

    /// Returns how many days it has.
    pub fn days(self) -> i64 {
        (self.next().0 - self.0).num_days()
    }

    /// Returns how many of its days lie from `from` on and before `until`.
    pub fn days_within(self, from: NaiveDate, until: NaiveDate) -> i64 {
        (self.next().0.min(until) - self.0.max(from)).num_days().max(0)
    }

    /// Returns its last day.
    pub fn last_day(self) -> NaiveDate {
        self.next().0.checked_sub_days(Days::new(1)).unwrap_or(self.0)
    }
}

impl FromStr for Month {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let day = NaiveDate::parse_from_str(&format!("{text}-01"), "%Y-%m-%d").ok();
        let day = day.filter(|_| text.len() == 7);
        day.map(Self).ok_or_else(|| format!("'{text}' is no month: write one such as 2026-12"))
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}", self.0.year(), self.0.month())
    }
}
