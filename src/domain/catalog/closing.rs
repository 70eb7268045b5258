use std::fmt;
use std::str::FromStr;

use chrono::NaiveDate;

/// Days on which a supplier does nothing: both ends are among them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Closing {
    /// The first day.
    pub from: NaiveDate,
    /// The last day.
    pub until: NaiveDate,
}

impl Closing {
    /// Returns whether a day is among them.
    pub fn holds(&self, day: NaiveDate) -> bool {
        self.from <= day && day <= self.until
    }
}

/// All of a supplier's closings that the shop knows of, in order.
///
/// Their text form is that of ISO 8601 for spans of days: "2027-01-20/2027-02-16; 2027-10-01".
///
/// ```
/// use kitwright::domain::catalog::Closings;
/// let closings: Closings = "2027-10-04; 2027-01-20/2027-02-16".parse()?;
/// assert_eq!(closings.to_string(), "2027-01-20/2027-02-16; 2027-10-04");
/// assert!("2027-02-16/2027-01-20".parse::<Closings>().is_err());
/// # Ok::<(), String>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Closings(Vec<Closing>);

impl Closings {
    /// Returns closings in order of their first days.
    pub fn of(mut all: Vec<Closing>) -> Self {
        all.sort_by_key(|it| it.from);
        Self(all)
    }

    /// Returns each of them.
    pub fn all(&self) -> &[Closing] {
        &self.0
    }

    /// Returns the same closings as many days later, or earlier where that is below zero.
    pub fn moved(&self, by: chrono::TimeDelta) -> Self {
        let moved = |it: &Closing| Closing { from: it.from + by, until: it.until + by };
        Self(self.0.iter().map(moved).collect())
    }
}

impl FromStr for Closings {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let mut all = Vec::new();
        for span in text.split(';').map(str::trim).filter(|it| !it.is_empty()) {
            let (from, until) = span.split_once('/').unwrap_or((span, span));
            let (from, until) = (day(from.trim())?, day(until.trim())?);
            if until < from {
                return Err(format!("'{span}' ends before it begins: write the first day first"));
            }
            all.push(Closing { from, until });
        }
        let closings = Self::of(all);
        let mut pairs = closings.0.iter().zip(closings.0.iter().skip(1));
        if let Some((_, second)) = pairs.find(|(first, second)| second.from <= first.until) {
            let from = second.from;
            return Err(format!(
                "{from} lies in two of the spans: let each begin after the one before"
            ));
        }
        Ok(closings)
    }
}

fn day(text: &str) -> Result<NaiveDate, String> {
    let day = NaiveDate::parse_from_str(text, "%Y-%m-%d").ok().filter(|_| text.len() == 10);
    day.ok_or_else(|| {
        format!("'{text}' is not a day: write spans such as 2027-01-20/2027-02-16; 2027-10-04")
    })
}

impl fmt::Display for Closings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, it) in self.0.iter().enumerate() {
            f.write_str(if at == 0 { "" } else { "; " })?;
            match it.from == it.until {
                true => write!(f, "{}", it.from)?,
                false => write!(f, "{}/{}", it.from, it.until)?,
            }
        }
        Ok(())
    }
}
