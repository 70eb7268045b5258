use std::collections::BTreeMap;
use std::fmt::Display;
use std::str::FromStr;

use chrono::NaiveDate;

use super::csv::{Faults, Row, Table};
use crate::units::Quantity;

/// The keys of the rows so far, with their lines.
pub(super) type Seen = BTreeMap<String, u64>;

/// The fields of one row, read by the column's name. Each fault is noted, and the caller goes on
/// with the next field, so that one pass finds all of them.
pub(super) struct Fields<'a> {
    table: &'a Table,
    row: &'a Row,
    pub(super) faults: &'a mut Faults,
}

impl<'a> Fields<'a> {
    pub(super) fn of(table: &'a Table, row: &'a Row, faults: &'a mut Faults) -> Self {
        Self { table, row, faults }
    }

    /// Returns the line of the file.
    pub(super) fn line(&self) -> u64 {
        self.row.line
    }

    /// Notes what is wrong in one column of this row.
    pub(super) fn fault(&mut self, column: &str, message: impl Into<String>) {
        self.faults.add(self.row.line, column, message);
    }

    /// Returns whether the file has a column.
    pub(super) fn has(&self, column: &str) -> bool {
        self.table.place(column).is_some()
    }

    /// Returns the text of a column, which may be empty; nothing where it holds a line break or
    /// another control character, or where the file lacks the column.
    pub(super) fn any(&mut self, column: &str) -> Option<String> {
        let text = self.row.at(self.table.place(column)?);
        self.plain(column, text)
    }

    /// Returns the text of one cell, or nothing where it holds a control character.
    pub(super) fn plain(&mut self, column: &str, text: &str) -> Option<String> {
        if text.chars().any(char::is_control) {
            self.fault(
                column,
                "a line break or another control character stands in the field: remove it, and \
                 look for a quote that is not closed",
            );
            return None;
        }
        Some(text.to_owned())
    }

    /// Returns the text of a column that must be filled.
    pub(super) fn text(&mut self, column: &str) -> Option<String> {
        let text = self.any(column)?;
        if text.is_empty() {
            self.fault(column, "this field is empty: fill it in");
            return None;
        }
        Some(text)
    }

    /// Returns the text of a column, or `Some(None)` where it is empty.
    pub(super) fn maybe(&mut self, column: &str) -> Option<Option<String>> {
        self.any(column).map(|text| Some(text).filter(|it| !it.is_empty()))
    }

    /// Returns a filled column read by `read`.
    pub(super) fn with<T, E: Display>(
        &mut self,
        column: &str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        let text = self.text(column)?;
        self.noted(column, &text, read(&text))
    }

    /// Returns a column read by `read`, or `Some(None)` where it is empty.
    pub(super) fn maybe_with<T, E: Display>(
        &mut self,
        column: &str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<Option<T>> {
        match self.maybe(column)? {
            None => Some(None),
            Some(text) => self.noted(column, &text, read(&text)).map(Some),
        }
    }

    /// Returns a column read by `read`, or `Some(None)` where it is empty or the file lacks it.
    pub(super) fn optional_with<T, E: Display>(
        &mut self,
        column: &str,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<Option<T>> {
        match self.table.place(column) {
            None => Some(None),
            Some(_) => self.maybe_with(column, read),
        }
    }

    /// Returns a filled column read by its type.
    pub(super) fn parse<T: FromStr<Err: Display>>(&mut self, column: &str) -> Option<T> {
        self.with(column, T::from_str)
    }

    /// Returns a column read by its type, or `Some(None)` where it is empty.
    pub(super) fn maybe_parse<T: FromStr<Err: Display>>(
        &mut self,
        column: &str,
    ) -> Option<Option<T>> {
        self.maybe_with(column, T::from_str)
    }

    /// Returns a quantity of at least one piece.
    pub(super) fn pieces(&mut self, column: &str) -> Option<Quantity> {
        self.with(column, |text| match text.parse::<Quantity>() {
            Ok(quantity) if quantity.is_some() => Ok(quantity),
            Ok(_) => Err("the quantity is 0: write at least 1, or remove the line".to_owned()),
            Err(error) => Err(error.to_string()),
        })
    }

    /// Returns a whole number.
    pub(super) fn whole(&mut self, column: &str) -> Option<u32> {
        self.with(column, whole)
    }

    /// Returns a day.
    pub(super) fn day(&mut self, column: &str) -> Option<NaiveDate> {
        self.with(column, day)
    }

    /// Notes a fault where `key` was there on an earlier line already.
    pub(super) fn once(&mut self, seen: &mut Seen, column: &str, key: Option<impl Display>) {
        let Some(key) = key.map(|it| it.to_string()) else { return };
        match seen.get(&key) {
            Some(line) => {
                let message = format!("{key} is on line {line} already: keep one of the two");
                self.fault(column, message);
            }
            None => {
                seen.insert(key, self.line());
            }
        }
    }

    /// Notes each of `columns` that is filled though such a row uses only `used`, record and kit.
    pub(super) fn leave_empty(&mut self, columns: &[&str], used: &[&str]) {
        for column in columns.iter().skip(2).filter(|it| !used.contains(it)) {
            let filled = self.table.place(column).is_some_and(|it| !self.row.at(it).is_empty());
            if filled {
                let used = used.join(", ");
                self.fault(column, format!("such a row uses only {used}: empty this field"));
            }
        }
    }

    /// Notes each of `columns` in which this row differs from the first row of the same `thing`.
    pub(super) fn agree(&mut self, first: &Row, columns: &[&str], thing: &str) {
        for column in columns {
            let Some(place) = self.table.place(column) else { continue };
            let (here, there) = (self.row.at(place), first.at(place));
            if here != there {
                let line = first.line;
                let message = format!(
                    "'{here}' is not what line {line} says for the same {thing}, '{there}': make \
                     the two agree, or give this row another number"
                );
                self.fault(column, message);
            }
        }
    }

    fn noted<T, E: Display>(&mut self, column: &str, text: &str, read: Result<T, E>) -> Option<T> {
        match read {
            Ok(value) => Some(value),
            Err(error) => {
                let mark = spreadsheet_mark(text).unwrap_or_default();
                self.fault(column, format!("{error}{mark}"));
                None
            }
        }
    }
}

/// Returns what a spreadsheet has made of a number, and how to get the number back.
fn spreadsheet_mark(text: &str) -> Option<String> {
    let digits = |it: &str| !it.is_empty() && it.bytes().all(|it| it.is_ascii_digit());
    if let Some((whole, part)) = text.split_once(',').filter(|it| digits(it.0) && digits(it.1)) {
        return Some(format!(": the decimal sign is a point, so write {whole}.{part}"));
    }
    let (number, power) = text.split_once(['E', 'e'])?;
    let plain =
        number.split(['.', ',']).all(digits) && digits(power.trim_start_matches(['+', '-']));
    plain.then(|| {
        ": a spreadsheet has shortened this number, so make the column text there and enter it \
         again"
            .to_owned()
    })
}

/// Reads a whole number from 0 to 1000000.
pub(super) fn whole(text: &str) -> Result<u32, String> {
    let fault = || format!("'{text}' is not a whole number from 0 to 1000000, such as 12");
    let digits = !text.is_empty() && text.bytes().all(|it| it.is_ascii_digit());
    let number = text.parse::<u32>().ok().filter(|it| digits && *it <= 1_000_000);
    number.ok_or_else(fault)
}

/// Reads an email address, of which only the shape is checked.
pub(super) fn email(text: &str) -> Result<String, String> {
    let parts = text.split_once('@').filter(|(name, host)| {
        let bare = |it: &str| !it.is_empty() && !it.contains(['@', ' ', ',', ';', '<', '>']);
        bare(name) && bare(host)
    });
    parts.map(|_| text.to_owned()).ok_or_else(|| {
        format!("'{text}' is not an email address: write one, such as orders@shop.example")
    })
}

/// Reads a country as the two capitals of ISO 3166-1; which of them are given out is not checked.
pub(super) fn country(text: &str) -> Result<String, String> {
    let two = text.len() == 2 && text.bytes().all(|it| it.is_ascii_uppercase());
    let country = Some(text.to_owned()).filter(|_| two);
    country.ok_or_else(|| format!("'{text}' is not a country: write its two capitals, such as CH"))
}

/// Reads a currency as the three capitals of ISO 4217; which of them are in use is not checked.
pub(super) fn currency(text: &str) -> Result<String, String> {
    let three = text.len() == 3 && text.bytes().all(|it| it.is_ascii_uppercase());
    let currency = Some(text.to_owned()).filter(|_| three);
    currency
        .ok_or_else(|| format!("'{text}' is not a currency: write its three capitals, such as EUR"))
}

/// Reads a day as ISO 8601 writes it.
pub(super) fn day(text: &str) -> Result<NaiveDate, String> {
    let fault = || format!("'{text}' is not a day: write year-month-day, such as 2026-11-26");
    // The strict width keeps "26-1-5" out, which could mean several days.
    let day = NaiveDate::parse_from_str(text, "%Y-%m-%d").ok().filter(|_| text.len() == 10);
    day.ok_or_else(fault)
}

/// Reads a number with at most one decimal as a count of tenths.
pub(super) fn tenths(text: &str) -> Result<u32, String> {
    let fault = || format!("'{text}' is not a number with at most one decimal, such as 6 or 0.5");
    let (units, part) = text.split_once('.').unwrap_or((text, "0"));
    let part = whole(part).ok().filter(|it| part.len() == 1 && *it < 10).ok_or_else(fault)?;
    whole(units).map(|units| units * 10 + part).map_err(|_| fault())
}

/// Writes a count of tenths as a number.
pub(super) fn write_tenths(tenths: u32) -> String {
    match tenths % 10 {
        0 => (tenths / 10).to_string(),
        part => format!("{}.{part}", tenths / 10),
    }
}

/// Writes a measure without its unit.
pub(super) fn bare(measure: impl Display) -> String {
    let text = measure.to_string();
    text.split(' ').next().unwrap_or_default().to_owned()
}
