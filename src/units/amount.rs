use std::fmt;

use super::{MeasureError, Ratio};

/// A number just as it was stated: a decimal with its digits, or a fraction of whole numbers.
///
/// Never below zero. "5.50" and "5.5" are two amounts of one value: the digits say how finely it
/// was stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Amount(Form);

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Form {
    /// `digits × 10^-places`
    Decimal { digits: i64, places: u32 },
    /// `whole + part/of`
    Fraction { whole: Option<i64>, part: i64, of: i64 },
}

/// The most digits of a decimal; with them, every conversion stays exact within 128 bits.
const MOST_DIGITS: usize = 15;

/// The most digits of each number in a fraction: inches are parted into 64ths, at times 1000ths.
const MOST_FRACTION_DIGITS: usize = 4;

impl Amount {
    /// Returns the number that is one of whole units.
    pub fn whole(number: u32) -> Self {
        Self(Form::Decimal { digits: i64::from(number), places: 0 })
    }

    /// Returns the exact value.
    pub fn ratio(self) -> Ratio {
        let exact = match self.0 {
            Form::Decimal { digits, places } => Ratio::new(digits.into(), 10_i128.pow(places)),
            Form::Fraction { whole, part, of } => {
                let whole = i128::from(whole.unwrap_or(0));
                Ratio::new(whole * i128::from(of) + i128::from(part), of.into())
            }
        };
        exact.unwrap_or(Ratio::ZERO)
    }

    /// Returns half of what the last stated digit counts: how far off the number may be by having
    /// been rounded. A fraction is taken as exact.
    pub fn half_digit(self) -> Ratio {
        let half = match self.0 {
            Form::Decimal { places, .. } => Ratio::new(1, 2 * 10_i128.pow(places)),
            Form::Fraction { .. } => None,
        };
        half.unwrap_or(Ratio::ZERO)
    }

    /// Returns the amount of a run of digits with a decimal point or comma in it.
    ///
    /// A comma with exactly three digits after it and a number other than 0 before it could part
    /// thousands, so it is refused; a point is always a decimal point.
    pub(super) fn of_decimal(run: &str) -> Result<Self, MeasureError> {
        let wrong = |why: &'static str| MeasureError::Number { number: run.to_owned(), why };
        let mut marks = run.chars().filter(|it| !it.is_ascii_digit());
        let mark = marks.next();
        if marks.next().is_some() {
            return Err(wrong("write it with one decimal point and no mark between thousands"));
        }
        let (whole, part) = match mark {
            Some(mark) => run.split_once(mark).unwrap_or((run, "")),
            None => (run, ""),
        };
        if mark.is_some() && part.is_empty() {
            return Err(wrong("a digit has to follow the decimal point"));
        }
        let could_part_thousands = mark == Some(',') && part.len() == 3;
        if could_part_thousands && !whole.chars().all(|it| it == '0') {
            return Err(wrong(
                "it could mean thousands or a decimal: write 1234 or 1.234, without a comma",
            ));
        }
        if MOST_DIGITS < whole.len() + part.len() {
            return Err(wrong("at most 15 digits are taken"));
        }
        let digits = format!("0{whole}{part}").parse().map_err(|_| wrong("it is no number"))?;
        let places = u32::try_from(part.len()).map_err(|_| wrong("it is no number"))?;
        Ok(Self(Form::Decimal { digits, places }))
    }

    /// Returns the amount of a fraction, with or without a whole number before it.
    pub(super) fn of_fraction(
        whole: Option<&str>,
        part: &str,
        of: &str,
    ) -> Result<Self, MeasureError> {
        let text = match whole {
            Some(whole) => format!("{whole} {part}/{of}"),
            None => format!("{part}/{of}"),
        };
        let wrong = |why: &'static str| MeasureError::Number { number: text.clone(), why };
        let number = |digits: &str| {
            if MOST_FRACTION_DIGITS < digits.len() {
                return Err(wrong("at most four digits are taken in each place of a fraction"));
            }
            digits.parse::<i64>().map_err(|_| wrong("write a fraction as 1/2 or 1-1/8"))
        };
        let (whole, part, of) = (whole.map(number).transpose()?, number(part)?, number(of)?);
        if of == 0 {
            return Err(wrong("nothing can be divided by zero"));
        }
        if whole.is_some() && of <= part {
            return Err(wrong("after a whole number the fraction has to be less than one"));
        }
        Ok(Self(Form::Fraction { whole, part, of }))
    }
}

impl fmt::Display for Amount {
    /// Writes the number with all its stated digits, a decimal point, and mixed fractions as "1-1/8".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Form::Decimal { digits, places: 0 } => write!(f, "{digits}"),
            Form::Decimal { digits, places } => {
                let scale = 10_i64.pow(places);
                let width = usize::try_from(places).unwrap_or(0);
                write!(f, "{}.{:0width$}", digits / scale, digits % scale)
            }
            Form::Fraction { whole: Some(whole), part, of } => write!(f, "{whole}-{part}/{of}"),
            Form::Fraction { whole: None, part, of } => write!(f, "{part}/{of}"),
        }
    }
}
