/// A figure that nothing can be computed from: which, what it must be, and what it is.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StatisticsError {
    /// A figure outside its range.
    #[error("{name} is {value}: it must be {must}")]
    Range {
        /// What the figure is, in words.
        name: &'static str,
        /// What it must be, in words.
        must: &'static str,
        /// What it is.
        value: f64,
    },
    /// More than is computed in reasonable time.
    #[error("{what}: {count} is more than the {most} that are computed at once")]
    TooMany {
        /// What there are too many of.
        what: &'static str,
        /// How many there are.
        count: u64,
        /// How many may be.
        most: u64,
    },
    /// Figures that do not go together.
    #[error("{0}")]
    Contradiction(&'static str),
    /// Figures so large or small that the answer is no number.
    #[error("these figures lie too far apart for {0} to be computed")]
    NoNumber(&'static str),
}

impl StatisticsError {
    /// Returns the code that tells a program what is wrong.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Range { .. } => "statistics.range",
            Self::TooMany { .. } => "statistics.too_many",
            Self::Contradiction(_) => "statistics.contradiction",
            Self::NoNumber(_) => "statistics.no_number",
        }
    }
}

type Checked = Result<f64, StatisticsError>;

fn checked(name: &'static str, must: &'static str, value: f64, right: bool) -> Checked {
    if value.is_finite() && right {
        return Ok(value);
    }
    Err(StatisticsError::Range { name, must, value })
}

/// Returns the value if it is above zero.
///
/// # Errors
///
/// [`StatisticsError::Range`] when it is not.
pub fn positive(name: &'static str, value: f64) -> Checked {
    checked(name, "above zero", value, 0.0 < value)
}

/// Returns the value if it is zero or above.
///
/// # Errors
///
/// [`StatisticsError::Range`] when it is not.
pub fn at_least_zero(name: &'static str, value: f64) -> Checked {
    checked(name, "zero or above", value, 0.0 <= value)
}

/// Returns the value if it lies between 0 and 1, both left out: a level of service, a chance.
///
/// # Errors
///
/// [`StatisticsError::Range`] when it does not.
pub fn share(name: &'static str, value: f64) -> Checked {
    checked(name, "between 0 and 1, such as 0.95", value, 0.0 < value && value < 1.0)
}

/// Returns the value if it is a number at all.
///
/// # Errors
///
/// [`StatisticsError::NoNumber`] when it is infinite or undefined.
pub fn finite(what: &'static str, value: f64) -> Checked {
    if value.is_finite() { Ok(value) } else { Err(StatisticsError::NoNumber(what)) }
}

/// Returns a whole number as a figure to compute with; exact up to 2^53.
#[expect(clippy::as_conversions, clippy::cast_precision_loss, reason = "pieces stay below 2^53")]
pub const fn real(pieces: i64) -> f64 {
    pieces as f64
}

/// Returns a count of things as a figure to compute with; exact up to 2^53.
#[expect(clippy::as_conversions, clippy::cast_precision_loss, reason = "counts stay below 2^53")]
pub const fn real_of_count(count: usize) -> f64 {
    count as f64
}

/// The most that a figure may be to be read as whole pieces.
const MOST_WHOLE: f64 = 9e15;

/// Returns the least whole number not below the figure. What lies less than a billionth above a
/// whole number is taken for it, so that a last digit of floating point orders no further piece.
///
/// # Errors
///
/// [`StatisticsError::NoNumber`] when it is beyond what can be counted.
///
/// ```
/// use kitwright::domain::statistics::whole_up;
/// assert_eq!(whole_up(1437.2), Ok(1438));
/// assert_eq!(whole_up(0.1 + 0.2 + 2.7), Ok(3));
/// ```
pub fn whole_up(figure: f64) -> Result<i64, StatisticsError> {
    let slack = 1e-9 * figure.abs().max(1.0);
    whole((figure - slack).ceil())
}

/// Returns the greatest whole number not above the figure, with the same slack as [`whole_up`].
///
/// # Errors
///
/// [`StatisticsError::NoNumber`] when it is beyond what can be counted.
pub fn whole_down(figure: f64) -> Result<i64, StatisticsError> {
    let slack = 1e-9 * figure.abs().max(1.0);
    whole((figure + slack).floor())
}

#[expect(clippy::as_conversions, clippy::cast_possible_truncation, reason = "the range is checked")]
fn whole(figure: f64) -> Result<i64, StatisticsError> {
    if figure.is_finite() && figure.abs() <= MOST_WHOLE {
        return Ok(figure as i64);
    }
    Err(StatisticsError::NoNumber("a whole number of pieces"))
}
