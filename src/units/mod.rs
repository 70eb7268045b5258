//! Measures that cannot be mixed up.
//!
//! What the books add up ([`Quantity`], [`Mass`], [`Length`], [`Money`]) is a whole number of one
//! base unit behind its own type. What somebody states ([`Torque`], [`Pressure`] and their like,
//! each with or without its band) keeps its number and unit as stated, and converts exactly.

mod amount;
mod band;
mod fault;
mod measure;
mod names;
mod quantity;
mod ratio;
mod read;
mod stated;
mod torque;
mod unit;

#[cfg(test)]
mod tests;

pub use amount::Amount;
pub use band::{Band, Inside};
pub use fault::MeasureError;
pub use measure::{Length, Mass, Money};
pub use quantity::Quantity;
pub use ratio::{Ratio, Rounding};
pub use read::unit as unit_named;
pub use stated::{Stated, Value};
pub use torque::{
    Disagreement, Figure, KeyFit, PrintedCheck, Torque, TorqueBand, check_printed, disagree,
    key_fit,
};
pub use unit::{
    AnyUnit, Dimension, ForceUnit, LengthUnit, MassUnit, PressureUnit, SpringRateUnit, TorqueUnit,
    Unit, VolumeUnit,
};

/// A length as stated, in the unit that it was stated in.
pub type StatedLength = Stated<LengthUnit>;

/// A mass as stated, in the unit that it was stated in.
pub type StatedMass = Stated<MassUnit>;

/// A force as stated.
pub type Force = Stated<ForceUnit>;

/// A pressure as stated.
pub type Pressure = Stated<PressureUnit>;

/// A pressure as stated, with its band.
pub type PressureBand = Band<PressureUnit>;

/// A spring rate as stated.
pub type SpringRate = Stated<SpringRateUnit>;

/// A volume as stated; for conversion only.
pub type Volume = Stated<VolumeUnit>;

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
