use serde::{Deserialize, Deserializer};
use serde_json::Value;

use crate::units::{Amount, MeasureError, Ratio, Rounding};

use super::Fault;

/// A number as a line states it: a JSON number, or a text where its digits matter ("5.50", "1/2").
#[derive(Debug, Clone, Copy)]
pub(super) struct Figure(pub(super) Amount);

impl Figure {
    /// Returns the exact number.
    pub(super) fn ratio(self) -> Ratio {
        self.0.ratio()
    }
}

impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = match Value::deserialize(deserializer)? {
            Value::Number(number) => plain(&number.to_string()),
            Value::String(text) => text,
            other => {
                let message = format!("{other} is no number: write 31.8, or \"1-1/8\" as a text");
                return Err(serde::de::Error::custom(message));
            }
        };
        text.parse().map(Self).map_err(serde::de::Error::custom)
    }
}

/// Writes a small JSON number ("1.5e-7") without its exponent.
fn plain(number: &str) -> String {
    let Some((digits, places)) = number.split_once("e-") else { return number.to_owned() };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    match places.parse::<usize>() {
        Ok(places) if places < 100 => {
            let zeros = "0".repeat(places.saturating_sub(whole.len()));
            format!("0.{zeros}{whole}{part}")
        }
        _ => number.to_owned(),
    }
}

/// Returns a number for a JSON answer, to 15 significant digits.
pub(super) fn number(exact: Ratio) -> Value {
    of_text(&exact.significant(15))
}

/// Returns a number for a JSON answer, rounded to so many decimals.
pub(super) fn rounded(exact: Ratio, places: u32) -> Value {
    of_text(&exact.decimal(places, Rounding::Nearest))
}

/// Returns the JSON number that a decimal text is; a text that is none stays a text.
fn of_text(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|_| Value::String(text.to_owned()))
}

impl From<MeasureError> for Fault {
    fn from(fault: MeasureError) -> Self {
        Self::new(fault.code(), fault)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_the_digits_that_they_were_stated_with() {
        let reads = |json: &str, expected: Option<&str>| {
            let read = serde_json::from_str::<Figure>(json).ok().map(|it| it.0.to_string());
            assert_eq!(read.as_deref(), expected, "{json}");
        };
        reads("31.8", Some("31.8"));
        reads("5.0", Some("5.0"));
        reads("\"5.50\"", Some("5.50"));
        reads("\"1-1/8\"", Some("1-1/8"));
        reads("1.5e-7", Some("0.00000015"));
        reads("1e-7", Some("0.0000001"));
        reads("-5", None);
        reads("1e300", None);
        reads("\"1,234\"", None);
        reads("[5]", None);
    }
}
