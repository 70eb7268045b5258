use chrono::{NaiveDate, NaiveDateTime, NaiveTime};

use super::date::{of_eight, of_six};
use super::{Check, Element, ai};

/// What a value says beyond its characters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meaning {
    /// Nothing more.
    Text,
    /// A day, or the first and last day of a span.
    Days(NaiveDate, Option<NaiveDate>),
    /// A moment.
    Moment(NaiveDateTime),
    /// A number with its decimal point, such as a mass in the unit that the data title names.
    Decimal(String),
    /// An amount: the currency's numeric code, and the number with its decimal point.
    Money(String, String),
    /// A count of pieces.
    Count(u64),
}

/// Returns what an element's value says: days, moments, measures, amounts and counts.
///
/// `year` is the current one. A value that was not checked may say nothing.
///
/// # Source
///
/// GS1 General Specifications, sections 3.4 (dates), 3.6 (measures: the identifier's last digit
/// is the count of decimals), 3.7 (counts) and 3.8 (amounts).
pub fn meaning(element: &Element, year: i32) -> Meaning {
    read(element, year).unwrap_or(Meaning::Text)
}

fn read(element: &Element, year: i32) -> Option<Meaning> {
    let known = ai(&element.ai)?;
    let value = element.value.as_str();
    let head = element.ai.get(..2)?;
    match (element.ai.as_str(), head) {
        ("30" | "37", _) => return Some(Meaning::Count(value.parse().ok()?)),
        (_, "31" | "32" | "33" | "34" | "35" | "36") | (_, "39") => {
            return amount(&element.ai, value);
        }
        _ => {}
    }
    let first = known.components.first()?;
    let day = match first.checks.first()? {
        Check::ShortDate { day_00 } => of_six(value.get(..6)?, year, *day_00).ok()?,
        Check::LongDate => of_eight(value.get(..8)?).ok()?,
        _ => return None,
    };
    let rest = value.get(first.most..)?;
    if rest.is_empty() {
        return Some(Meaning::Days(day, None));
    }
    if element.ai == "7007" {
        return Some(Meaning::Days(day, Some(of_six(rest, year, false).ok()?)));
    }
    let two = |at: usize| rest.get(at..at + 2).map_or(Some(0), |it| it.parse::<u32>().ok());
    Some(Meaning::Moment(day.and_time(NaiveTime::from_hms_opt(two(0)?, two(2)?, two(4)?)?)))
}

fn amount(identifier: &str, value: &str) -> Option<Meaning> {
    let decimals: usize = identifier.get(3..4)?.parse().ok()?;
    match identifier.get(..3)? {
        "391" | "393" => {
            let (currency, number) = value.split_at_checked(3)?;
            Some(Meaning::Money(currency.to_owned(), pointed(number, decimals)?))
        }
        _ => Some(Meaning::Decimal(pointed(value, decimals)?)),
    }
}

/// Returns digits with a decimal point before the last so many.
fn pointed(digits: &str, decimals: usize) -> Option<String> {
    let padded = format!("{digits:0>width$}", width = decimals + 1);
    let (whole, fraction) = padded.split_at_checked(padded.len() - decimals)?;
    let whole = match whole.trim_start_matches('0') {
        "" => "0",
        whole => whole,
    };
    Some(if fraction.is_empty() { whole.to_owned() } else { format!("{whole}.{fraction}") })
}
