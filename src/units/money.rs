use std::fmt;

use serde::{Deserialize, Serialize};

use super::{UnitError, decimal, write_decimal};

/// An amount of money in whole cents; written in units of the shop's currency.
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
pub struct Money(i64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// Returns the money of that many cents.
    pub const fn from_cents(value: i64) -> Self {
        Self(value)
    }

    /// Returns the whole number of cents.
    pub const fn cents(self) -> i64 {
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

    /// Reads a decimal number of whole units and cents.
    ///
    /// # Errors
    ///
    /// [`UnitError`] when the text is no plain number or finer than one part of the base unit.
    pub fn parse_units(text: &str) -> Result<Self, UnitError> {
        decimal(text, 2, "an amount with at most two decimals, such as 318 or 0.17").map(Self)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_decimal(f, self.0, 2)?;
        f.write_str("")
    }
}

impl From<i64> for Money {
    fn from(value: i64) -> Self {
        Self(value)
    }
}

impl AsRef<i64> for Money {
    fn as_ref(&self) -> &i64 {
        &self.0
    }
}
