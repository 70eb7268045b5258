//! Measures that cannot be mixed up: each is a whole number of one base unit behind its own type.

mod measure;
mod quantity;

pub use measure::{Angle, Length, Mass, Money};
pub use quantity::Quantity;

/// Text that is no such measure: what was read, and what would have been right.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{text}' is not {expected}")]
pub struct UnitError {
    /// The text as it was given.
    pub text: String,
    /// The form that is expected, with an example.
    pub expected: &'static str,
}

/// Reads a plain decimal number ("3480", "0.44") as a whole count of `10^-places` units.
///
/// Neither sign nor exponent nor thousands mark is read: a file with them is more likely wrong
/// than meant.
fn decimal(text: &str, places: u32, expected: &'static str) -> Result<i64, UnitError> {
    let fault = || UnitError { text: text.to_owned(), expected };
    let (whole, part) = text.trim().split_once('.').unwrap_or((text.trim(), ""));
    let digits = |it: &str| it.bytes().all(|b| b.is_ascii_digit());
    let width = usize::try_from(places).map_err(|_| fault())?;
    if whole.is_empty() || !digits(whole) || !digits(part) || width < part.len() {
        return Err(fault());
    }
    format!("{whole}{part:0<width$}").parse().map_err(|_| fault())
}

/// Writes a whole count of `10^-places` units as a decimal number without trailing zeros.
fn write_decimal(f: &mut std::fmt::Formatter<'_>, value: i64, places: u32) -> std::fmt::Result {
    let scale = 10_u64.pow(places);
    let magnitude = value.unsigned_abs();
    let sign = if value < 0 { "-" } else { "" };
    let width = usize::try_from(places).unwrap_or(0);
    let part = format!("{:0width$}", magnitude % scale);
    let part = part.trim_end_matches('0');
    let point = if part.is_empty() { "" } else { "." };
    write!(f, "{sign}{}{point}{part}", magnitude / scale)
}
