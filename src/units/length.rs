use std::fmt;

use serde::{Deserialize, Serialize};

use super::{UnitError, decimal, write_decimal};

/// A length in whole micrometres; written in millimetres.
#[derive(
    Debug,
    Clone,
    Copy,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    utoipa::ToSchema,
)]
#[serde(transparent)]
pub struct Length(i64);

impl Length {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// Returns the length of that many micrometres.
    pub const fn from_micrometres(value: i64) -> Self {
        Self(value)
    }

    /// Returns the whole number of micrometres.
    pub const fn micrometres(self) -> i64 {
        self.0
    }

    /// Returns this and `more` together.
    pub const fn plus(self, more: Self) -> Self {
        Self(self.0.saturating_add(more.0))
    }

    /// Returns this as often as `count` says.
    pub const fn times(self, count: i64) -> Self {
        Self(self.0.saturating_mul(count))
    }

    /// Reads a decimal number of millimetres.
    ///
    /// # Errors
    ///
    /// [`UnitError`] when the text is no plain number or finer than one part of the base unit.
    pub fn parse_millimetres(text: &str) -> Result<Self, UnitError> {
        decimal(text, 3, "a number of millimetres, such as 980 or 22.2").map(Self)
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_decimal(f, self.0, 3)?;
        f.write_str(" mm")
    }
}
