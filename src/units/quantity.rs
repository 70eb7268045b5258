use std::fmt;
use std::iter::Sum;

use serde::{Deserialize, Deserializer, Serialize};

use super::UnitError;

/// A whole number of pieces. May be negative only as a balance of an outside place.
///
/// ```
/// use kitwright::units::Quantity;
/// assert_eq!("8".parse::<Quantity>()?, Quantity::new(8));
/// assert!("8.5".parse::<Quantity>().is_err());
/// # Ok::<(), kitwright::units::UnitError>(())
/// ```
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
    utoipa::ToSchema,
    diesel::AsExpression,
    diesel::FromSqlRow,
)]
#[diesel(sql_type = diesel::sql_types::BigInt)]
#[serde(transparent)]
#[schema(description = "A whole number of pieces. One that is sent in is from 0 to 10000000.")]
pub struct Quantity(i64);

impl<'de> Deserialize<'de> for Quantity {
    /// Reads what somebody entered, so it is held to the range of a line of a file.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let quantity = Self(i64::deserialize(deserializer)?);
        if (Self::ZERO..=Self::MOST).contains(&quantity) {
            return Ok(quantity);
        }
        let fault = UnitError { text: quantity.to_string(), expected: EXPECTED };
        Err(serde::de::Error::custom(fault))
    }
}

const EXPECTED: &str = "a whole number of pieces from 0 to 10000000, such as 8";

impl Quantity {
    /// No piece.
    pub const ZERO: Self = Self(0);
    /// One piece.
    pub const ONE: Self = Self(1);
    /// The most pieces that one line of a file, form or scan may name.
    pub const MOST: Self = Self(10_000_000);

    /// Returns the quantity of that many pieces.
    pub const fn new(pieces: i64) -> Self {
        Self(pieces)
    }

    /// Returns the number of pieces.
    pub const fn pieces(self) -> i64 {
        self.0
    }

    /// Returns this and `more` together, held at the ends of the number range.
    pub const fn plus(self, more: Self) -> Self {
        Self(self.0.saturating_add(more.0))
    }

    /// Returns what is left of this after `other` is taken; below zero if more was taken.
    pub const fn less(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }

    /// Returns this as often as `count` says.
    pub const fn times(self, count: Self) -> Self {
        Self(self.0.saturating_mul(count.0))
    }

    /// Returns this, or zero where it is below zero.
    pub fn at_least_zero(self) -> Self {
        self.max(Self::ZERO)
    }

    /// Returns whether there is at least one piece.
    pub const fn is_some(self) -> bool {
        0 < self.0
    }

    /// Returns the smallest whole number of packs of `pack` pieces that holds this, in pieces.
    ///
    /// ```
    /// use kitwright::units::Quantity;
    /// assert_eq!(Quantity::new(1001).in_packs_of(Quantity::new(200)), Quantity::new(1200));
    /// ```
    pub fn in_packs_of(self, pack: Self) -> Self {
        let pack = pack.0.max(1);
        let packs = self.0.max(0).saturating_add(pack - 1) / pack;
        Self(packs.saturating_mul(pack))
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl Sum for Quantity {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Self::plus)
    }
}

impl std::str::FromStr for Quantity {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let fault = || UnitError { text: text.to_owned(), expected: EXPECTED };
        let trimmed = text.trim();
        if trimmed.is_empty() || !trimmed.bytes().all(|b| b.is_ascii_digit()) {
            return Err(fault());
        }
        let quantity = Self(trimmed.parse().map_err(|_| fault())?);
        if Self::MOST < quantity { Err(fault()) } else { Ok(quantity) }
    }
}

impl From<i64> for Quantity {
    fn from(value: i64) -> Self {
        Self(value)
    }
}

impl AsRef<i64> for Quantity {
    fn as_ref(&self) -> &i64 {
        &self.0
    }
}
