use super::check::check_series;
use crate::domain::statistics::{StatisticsError, real_of_count};

/// How a season joins the level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeasonKind {
    /// So many pieces more or less.
    Additive,
    /// So many times the level.
    Multiplicative,
}

impl SeasonKind {
    /// Returns what the season leaves of a value.
    pub(super) fn without(self, value: f64, season: f64) -> f64 {
        match self {
            Self::Additive => value - season,
            Self::Multiplicative => value / season,
        }
    }

    /// Returns the level with its season.
    pub(super) fn with(self, level: f64, season: f64) -> f64 {
        match self {
            Self::Additive => level + season,
            Self::Multiplicative => level * season,
        }
    }
}

/// A series taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Season {
    /// The index of each place in the season, the first being that of the series' first period:
    /// pieces around 0, or factors around 1.
    pub indices: Vec<f64>,
    /// The centred moving averages, from the first period that has a whole season around it.
    pub trend: Vec<f64>,
}

/// The longest season: the days of a year.
const MOST_PERIOD: usize = 366;

/// Returns the number of periods in a season, if it is one that can be computed with.
pub(super) fn check_period(period: usize) -> Result<usize, StatisticsError> {
    if (2..=MOST_PERIOD).contains(&period) {
        return Ok(period);
    }
    let value = real_of_count(period);
    Err(StatisticsError::Range { name: "the periods of a season", must: "from 2 to 366", value })
}

/// Returns the seasonal indices of a series of at least two seasons.
///
/// A moving average over one season, centred, is the trend; what it leaves of each period is
/// averaged by place in the season, and the averages are centred around 0 or 1.
///
/// # Errors
///
/// [`StatisticsError`] when the series is shorter than two seasons, or a multiplicative season
/// would divide by a trend of zero or below.
///
/// # Source
///
/// Silver, Pyke & Thomas, 4th ed., §3.4.3 (ratio to moving average); the same definition as
/// `decompose()` of R 4.2.2, package stats.
pub fn decompose(
    series: &[f64],
    period: usize,
    kind: SeasonKind,
) -> Result<Season, StatisticsError> {
    let period = check_period(period)?;
    check_series(series, 2 * period)?;
    let trend = centred(series, period);
    let positive = trend.iter().all(|it| 0.0 < *it);
    if kind == SeasonKind::Multiplicative && !positive {
        let message = "a multiplicative season needs demand in every season: take additive";
        return Err(StatisticsError::Contradiction(message));
    }
    let mut sums = vec![(0.0, 0_usize); period];
    for (at, (value, trend)) in series.iter().skip(period / 2).zip(&trend).enumerate() {
        if let Some((sum, count)) = sums.get_mut((at + period / 2) % period) {
            *sum += kind.without(*value, *trend);
            *count += 1;
        }
    }
    let means = sums.iter().map(|(sum, count)| sum / real_of_count(*count));
    let means: Vec<f64> = means.collect();
    let middle = means.iter().sum::<f64>() / real_of_count(period);
    if kind == SeasonKind::Multiplicative && middle <= 0.0 {
        return Err(StatisticsError::NoNumber("the season"));
    }
    Ok(Season { indices: means.iter().map(|it| kind.without(*it, middle)).collect(), trend })
}

/// Returns the averages over one season around each period that has it on both sides; in an even
/// season the two outermost periods count half.
fn centred(series: &[f64], period: usize) -> Vec<f64> {
    let whole = real_of_count(period);
    let width = if period.is_multiple_of(2) { period + 1 } else { period };
    let average = |window: &[f64]| {
        let sum: f64 = window.iter().sum();
        let ends = match (period.is_multiple_of(2), window.first(), window.last()) {
            (true, Some(first), Some(last)) => 0.5 * (first + last),
            _ => 0.0,
        };
        (sum - ends) / whole
    };
    series.windows(width).map(average).collect()
}
