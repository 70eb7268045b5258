use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;

use super::read::{Form, statement};
use super::unit::{LengthUnit, MassUnit, TorqueUnit, Unit};
use super::{Amount, Length, Mass, MeasureError, Ratio, Rounding};

/// An exact value of one dimension, whatever unit it came in; compares with its like only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Value<U> {
    si: Ratio,
    unit: PhantomData<U>,
}

impl<U: Unit> Value<U> {
    /// Returns that many of a unit; `None` where it could not be told exactly in every unit.
    pub fn new(number: Ratio, unit: U) -> Option<Self> {
        Self::of_si(number.times(unit.factor())?)
    }

    /// Returns a whole number of a unit.
    #[expect(clippy::expect_used, reason = "ten digits always fit; a test holds every unit to it")]
    pub fn whole(number: u32, unit: U) -> Self {
        Self::new(Ratio::whole(number.into()), unit).expect("ten digits fit")
    }

    fn of_si(si: Ratio) -> Option<Self> {
        let fits = |unit: &U| si.over(unit.factor()).is_some();
        U::ALL.iter().all(fits).then_some(Self { si, unit: PhantomData })
    }

    /// Returns how many of a unit it is, exactly.
    #[expect(clippy::expect_used, reason = "a value that a unit can't tell is never made")]
    pub fn in_unit(self, unit: U) -> Ratio {
        self.si.over(unit.factor()).expect("it was told in every unit when it was made")
    }

    /// Returns how far apart two values are.
    pub fn apart(self, other: Self) -> Option<Self> {
        Self::of_si(self.si.less(other.si)?.magnitude())
    }

    /// Returns this and `more` together.
    pub fn plus(self, more: Self) -> Option<Self> {
        Self::of_si(self.si.plus(more.si)?)
    }

    /// Returns this as often as `factor` says.
    pub fn times(self, factor: Ratio) -> Option<Self> {
        Self::of_si(self.si.times(factor)?)
    }
}

impl Value<TorqueUnit> {
    /// Returns the exact number of N·m.
    pub fn newton_metres(self) -> Ratio {
        self.in_unit(TorqueUnit::NewtonMetre)
    }

    /// Returns the exact number of in·lbf.
    pub fn inch_pounds(self) -> Ratio {
        self.in_unit(TorqueUnit::InchPound)
    }
}

/// A measure as somebody stated it: the number with its digits, and the unit.
///
/// Its text reads back as the same statement, so the text is what a database keeps.
///
/// ```
/// use kitwright::units::{Rounding, Torque};
/// let stated: Torque = "75 in-lb".parse()?;
/// assert_eq!(stated.to_string(), "75 in·lbf");
/// assert_eq!(stated.value().newton_metres().decimal(3, Rounding::Nearest), "8.474");
/// # Ok::<(), kitwright::units::MeasureError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Stated<U> {
    amount: Amount,
    unit: U,
    value: Value<U>,
}

impl<U: Unit> Stated<U> {
    /// Returns the measure of an amount of a unit.
    ///
    /// # Errors
    ///
    /// [`MeasureError::Size`] when it has too many digits to be converted exactly.
    pub fn new(amount: Amount, unit: U) -> Result<Self, MeasureError> {
        let text = || format!("{amount} {}", unit.symbol());
        let value = Value::new(amount.ratio(), unit);
        let value = value.ok_or_else(|| MeasureError::Size { text: text() })?;
        Ok(Self { amount, unit, value })
    }

    /// Returns the number as it was stated.
    pub const fn amount(&self) -> Amount {
        self.amount
    }

    /// Returns the unit as it was stated.
    pub const fn unit(&self) -> U {
        self.unit
    }

    /// Returns the exact value.
    pub const fn value(&self) -> Value<U> {
        self.value
    }

    /// Returns how far off the value may be by having been rounded to its last stated digit.
    pub fn half_digit(&self) -> Option<Value<U>> {
        Value::new(self.amount.half_digit(), self.unit)
    }
}

impl<U: Unit> fmt::Display for Stated<U> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.amount, self.unit.symbol())
    }
}

impl<U: Unit> FromStr for Stated<U> {
    type Err = MeasureError;

    fn from_str(text: &str) -> Result<Self, MeasureError> {
        match statement(text)? {
            (Form::One(amount), unit) => Self::new(amount, unit),
            _ => Err(MeasureError::NotOne { text: text.to_owned(), wanted: U::DIMENSION }),
        }
    }
}

/// Returns the whole number that a number is, or rounds to where that is asked for.
fn whole(number: Ratio, rounding: Option<Rounding>) -> Option<i64> {
    match rounding {
        None if number.denominator() != 1 => None,
        None => i64::try_from(number.numerator()).ok(),
        Some(rounding) => i64::try_from(number.parts(0, rounding)?).ok(),
    }
}

/// One thousand of the base units of the ledger are one of the unit that files are written in.
const THOUSAND: Ratio = Ratio::constant(1000, 1);

impl Stated<LengthUnit> {
    /// Returns the length in whole micrometres, as the books keep it.
    ///
    /// # Errors
    ///
    /// [`MeasureError::Finer`] when it is no whole number of them.
    pub fn to_length(&self) -> Result<Length, MeasureError> {
        self.micrometres(None)
    }

    /// Returns the length to the nearest whole micrometre.
    ///
    /// # Errors
    ///
    /// [`MeasureError::Finer`] when it is too long for the books.
    pub fn to_nearest_length(&self) -> Result<Length, MeasureError> {
        self.micrometres(Some(Rounding::Nearest))
    }

    fn micrometres(&self, rounding: Option<Rounding>) -> Result<Length, MeasureError> {
        let base = "micrometres";
        let number = self.value.in_unit(LengthUnit::Millimetre).times(THOUSAND);
        let number = number.and_then(|it| whole(it, rounding)).map(Length::from_micrometres);
        number.ok_or_else(|| MeasureError::Finer { text: self.to_string(), base })
    }
}

impl Stated<MassUnit> {
    /// Returns the mass in whole milligrams, as the books keep it.
    ///
    /// # Errors
    ///
    /// [`MeasureError::Finer`] when it is no whole number of them.
    pub fn to_mass(&self) -> Result<Mass, MeasureError> {
        self.milligrams(None)
    }

    /// Returns the mass to the nearest whole milligram.
    ///
    /// # Errors
    ///
    /// [`MeasureError::Finer`] when it is too heavy for the books.
    pub fn to_nearest_mass(&self) -> Result<Mass, MeasureError> {
        self.milligrams(Some(Rounding::Nearest))
    }

    fn milligrams(&self, rounding: Option<Rounding>) -> Result<Mass, MeasureError> {
        let base = "milligrams";
        let number = self.value.in_unit(MassUnit::Milligram);
        let number = whole(number, rounding).map(Mass::from_milligrams);
        number.ok_or_else(|| MeasureError::Finer { text: self.to_string(), base })
    }
}
