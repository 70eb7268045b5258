use std::fmt;

use serde::{Deserialize, Serialize};

use super::{UnitError, decimal, write_decimal};

/// A mass in whole milligrams; written in grams.
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
    diesel::AsExpression,
    diesel::FromSqlRow,
)]
#[diesel(sql_type = diesel::sql_types::BigInt)]
#[serde(transparent)]
pub struct Mass(i64);

impl Mass {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// Returns the mass of that many milligrams.
    pub const fn from_milligrams(value: i64) -> Self {
        Self(value)
    }

    /// Returns the whole number of milligrams.
    pub const fn milligrams(self) -> i64 {
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

    /// Reads a decimal number of grams.
    ///
    /// # Errors
    ///
    /// [`UnitError`] when the text is no plain number or finer than one part of the base unit.
    pub fn parse_grams(text: &str) -> Result<Self, UnitError> {
        decimal(text, 3, "a number of grams, such as 3480 or 0.44").map(Self)
    }
}

impl fmt::Display for Mass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_decimal(f, self.0, 3)?;
        f.write_str(" g")
    }
}

impl From<i64> for Mass {
    fn from(value: i64) -> Self {
        Self(value)
    }
}

impl AsRef<i64> for Mass {
    fn as_ref(&self) -> &i64 {
        &self.0
    }
}
