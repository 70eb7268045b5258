use std::fmt;
use std::str::FromStr;

use super::read::{Form, statement};
use super::stated::Value;
use super::unit::Unit;
use super::{Amount, MeasureError, Ratio, Rounding};

/// A measure stated with its room: "5–6 N·m", "5.5 ± 0.5 N·m", "≤ 2.5 N·m", or one figure alone.
///
/// Its text reads back as the same statement, so the text is what a database keeps.
///
/// ```
/// use kitwright::units::TorqueBand;
/// let stem: TorqueBand = "5-6 Nm".parse()?;
/// assert_eq!(stem.to_string(), "5–6 N·m");
/// assert_eq!(stem.whole_inch_pounds_inside().map(|it| it.to_string()), Some("45–53".to_owned()));
/// # Ok::<(), kitwright::units::MeasureError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Band<U> {
    form: Form,
    unit: U,
    low: Option<Value<U>>,
    target: Option<Value<U>>,
    high: Option<Value<U>>,
}

/// Figures of a unit that stay inside a band, as whole counts of `10^-places` of the unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Inside {
    /// The lowest, rounded up; none where the band has no low end.
    pub low: Option<i64>,
    /// The highest, rounded down; none where the band has no high end.
    pub high: Option<i64>,
    /// The decimals.
    pub places: u32,
}

/// The most decimals that are tried for a figure that lies inside a narrow band.
const MOST_PLACES: u32 = 6;

const PERCENT: Ratio = Ratio::constant(1, 100);

impl<U: Unit> Band<U> {
    fn new(form: Form, unit: U) -> Result<Self, MeasureError> {
        let text = written(form, unit);
        let value = |it: Amount| {
            let size = || MeasureError::Size { text: text.clone() };
            Value::new(it.ratio(), unit).ok_or_else(size)
        };
        let (low, target, high) = match form {
            Form::One(it) => (None, Some(value(it)?), None),
            Form::AtMost(it) => (None, None, Some(value(it)?)),
            Form::AtLeast(it) => (Some(value(it)?), None, None),
            Form::Range { low, high, target } => {
                (Some(value(low)?), target.map(value).transpose()?, Some(value(high)?))
            }
            Form::PlusMinus { target, off } => {
                let (low, high) = around(target.ratio(), Some(off.ratio()), unit, &text)?;
                (Some(low), Some(value(target)?), Some(high))
            }
            Form::Percent { target, off } => {
                let off = off.ratio().times(PERCENT).and_then(|it| it.times(target.ratio()));
                let (low, high) = around(target.ratio(), off, unit, &text)?;
                (Some(low), Some(value(target)?), Some(high))
            }
        };
        let rises = [low, target, high].iter().flatten().is_sorted();
        match rises {
            true => Ok(Self { form, unit, low, target, high }),
            false => Err(MeasureError::Backwards { text }),
        }
    }

    /// Returns the unit as it was stated.
    pub const fn unit(&self) -> U {
        self.unit
    }

    /// Returns the lowest value that is right; none where no low end was stated.
    pub const fn low(&self) -> Option<Value<U>> {
        self.low
    }

    /// Returns the value that is aimed at; none where only ends were stated.
    pub const fn target(&self) -> Option<Value<U>> {
        self.target
    }

    /// Returns the highest value that is right; none where no high end was stated.
    pub const fn high(&self) -> Option<Value<U>> {
        self.high
    }

    /// Returns whether an end was stated, so that a value can be judged against it.
    pub const fn has_ends(&self) -> bool {
        self.low.is_some() || self.high.is_some()
    }

    /// Returns the amounts whose digits tell how finely each end and the target were stated.
    pub(super) fn stated(&self) -> (Option<Amount>, Option<Amount>, Option<Amount>) {
        match self.form {
            Form::One(it) => (None, Some(it), None),
            Form::AtMost(it) => (None, None, Some(it)),
            Form::AtLeast(it) => (Some(it), None, None),
            Form::Range { low, high, target } => (Some(low), target, Some(high)),
            Form::PlusMinus { target, .. } | Form::Percent { target, .. } => {
                (Some(target), Some(target), Some(target))
            }
        }
    }

    /// Returns the outermost figures of a unit, with so many decimals, that lie inside the band:
    /// the low end rounded up and the high end down.
    ///
    /// `None` where no such figure lies inside, or the band has no end.
    pub fn inside(&self, unit: U, places: u32) -> Option<Inside> {
        let parts = |value: Value<U>, rounding| {
            i64::try_from(value.in_unit(unit).parts(places, rounding)?).ok()
        };
        let low = self.low.map(|it| parts(it, Rounding::Up).ok_or(())).transpose().ok()?;
        let high = self.high.map(|it| parts(it, Rounding::Down).ok_or(())).transpose().ok()?;
        let nothing_left =
            high == Some(0) && self.high.is_some_and(|it| Ratio::ZERO < it.in_unit(unit));
        let empty = low.zip(high).is_some_and(|(low, high)| high < low);
        (self.has_ends() && !nothing_left && !empty).then_some(Inside { low, high, places })
    }

    /// Returns the statement as it reads in a unit: as stated where it is the stated unit,
    /// otherwise rounded to `places` decimals so that ends stay inside the band.
    ///
    /// Where no figure with so few decimals lies inside, it takes more; where six do not suffice,
    /// it stays in the unit that it was stated in.
    pub fn shown_in(&self, unit: U, places: u32) -> String {
        if unit == self.unit {
            return self.to_string();
        }
        let shown = (places..=MOST_PLACES.max(places)).find_map(|it| self.rounded(unit, it));
        shown.unwrap_or_else(|| self.to_string())
    }

    fn rounded(&self, unit: U, places: u32) -> Option<String> {
        let symbol = unit.symbol();
        let target = match self.target {
            Some(it) => Some(it.in_unit(unit).parts(places, Rounding::Nearest)?),
            None => None,
        };
        let text = |parts: i128| {
            Some(Ratio::new(parts, 10_i128.pow(places))?.decimal(places, Rounding::Nearest))
        };
        if !self.has_ends() {
            let vanished =
                target == Some(0) && self.target.is_some_and(|it| Ratio::ZERO < it.in_unit(unit));
            return if vanished { None } else { Some(format!("{} {symbol}", text(target?)?)) };
        }
        let ends = self.inside(unit, places)?;
        Some(match target {
            None => format!("{ends} {symbol}"),
            Some(target) => {
                let low = ends.low.map_or(target, i128::from);
                let high = ends.high.map_or(target, i128::from);
                format!("{} {symbol} ({ends})", text(target.clamp(low, high))?)
            }
        })
    }
}

/// Returns the ends that lie a tolerance below and above a target.
fn around<U: Unit>(
    target: Ratio,
    off: Option<Ratio>,
    unit: U,
    text: &str,
) -> Result<(Value<U>, Value<U>), MeasureError> {
    let size = || MeasureError::Size { text: text.to_owned() };
    let off = off.ok_or_else(size)?;
    if target < off {
        return Err(MeasureError::Backwards { text: text.to_owned() });
    }
    let end = |it: Option<Ratio>| it.and_then(|it| Value::new(it, unit)).ok_or_else(size);
    Ok((end(target.less(off))?, end(target.plus(off))?))
}

fn written<U: Unit>(form: Form, unit: U) -> String {
    let unit = unit.symbol();
    match form {
        Form::One(it) => format!("{it} {unit}"),
        Form::AtMost(it) => format!("≤ {it} {unit}"),
        Form::AtLeast(it) => format!("≥ {it} {unit}"),
        Form::Range { low, high, target: None } => format!("{low}–{high} {unit}"),
        Form::Range { low, high, target: Some(it) } => format!("{it} {unit} ({low}–{high})"),
        Form::PlusMinus { target, off } => format!("{target} ± {off} {unit}"),
        Form::Percent { target, off } => format!("{target} {unit} ± {off} %"),
    }
}

impl<U: Unit> fmt::Display for Band<U> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&written(self.form, self.unit))
    }
}

impl<U: Unit> FromStr for Band<U> {
    type Err = MeasureError;

    fn from_str(text: &str) -> Result<Self, MeasureError> {
        let (form, unit) = statement(text)?;
        Self::new(form, unit)
    }
}

impl fmt::Display for Inside {
    /// Writes "45–53", "≤ 22" or "≥ 45".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = |parts: i64| {
            let number = Ratio::new(parts.into(), 10_i128.pow(self.places));
            number.unwrap_or(Ratio::ZERO).decimal(self.places, Rounding::Nearest)
        };
        match (self.low, self.high) {
            (Some(low), Some(high)) => write!(f, "{}–{}", text(low), text(high)),
            (None, Some(high)) => write!(f, "≤ {}", text(high)),
            (Some(low), None) => write!(f, "≥ {}", text(low)),
            (None, None) => Ok(()),
        }
    }
}
