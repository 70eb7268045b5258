//! Measures as JSON states them: a number, or the same number as text.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer};
use serde_json::{Number, Value, json};

use crate::units::{Angle, Length, UnitError};

/// A length in millimetres: a number or its text, no finer than a thousandth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, utoipa::ToSchema)]
#[schema(value_type = f64, minimum = 0, example = 28.6)]
pub(super) struct Mm(pub(super) Length);

/// An angle in degrees: a number or its text, no finer than a hundredth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, utoipa::ToSchema)]
#[schema(value_type = f64, minimum = 0, example = 45)]
pub(super) struct Degrees(pub(super) Angle);

/// Reads the number's own text, so that nothing is decided on a binary fraction.
fn exact<'de, D, T>(from: D, read: fn(&str) -> Result<T, UnitError>) -> Result<T, D::Error>
where
    D: Deserializer<'de>,
{
    let text = match Value::deserialize(from)? {
        Value::Number(number) => number.to_string(),
        Value::String(text) => text,
        other => return Err(D::Error::custom(format!("'{other}' is no number"))),
    };
    // A whole number that was written with a point comes back with one.
    let text = text.trim();
    read(text.strip_suffix(".0").unwrap_or(text)).map_err(D::Error::custom)
}

impl<'de> Deserialize<'de> for Mm {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        exact(from, Length::parse_millimetres).map(Self)
    }
}

impl<'de> Deserialize<'de> for Degrees {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        exact(from, Angle::parse_degrees).map(Self)
    }
}

/// Returns a length as a JSON number of millimetres.
pub(super) fn mm(length: Length) -> Value {
    let text = length.to_string();
    let number = text.trim_end_matches(" mm").parse::<Number>();
    number.map_or_else(|_| json!(text), Value::Number)
}

/// Returns lengths as JSON numbers of millimetres.
pub(super) fn mms(lengths: &[Length]) -> Value {
    lengths.iter().map(|it| mm(*it)).collect()
}
