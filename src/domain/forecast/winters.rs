use std::collections::VecDeque;

use super::check::{check_series, weight, weight_or_none};
use super::season::{SeasonKind, check_period, decompose};
use crate::domain::statistics::{StatisticsError, finite, real_of_count};

/// How fast level, trend and season follow what happens: each from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Of the level; above 0.
    pub alpha: f64,
    /// Of the trend.
    pub beta: f64,
    /// Of the season.
    pub gamma: f64,
}

/// Level, trend and season at the end of a series.
#[derive(Debug, Clone, PartialEq)]
pub struct Winters {
    kind: SeasonKind,
    /// Pieces per period, without season.
    pub level: f64,
    /// Pieces per period, by which the level grows each period.
    pub trend: f64,
    /// The season, the first being that of the next period.
    pub season: Vec<f64>,
    /// The sum of the squared one-step errors, in pieces squared.
    pub squared_errors: f64,
}

impl Winters {
    /// Returns the forecast of the next `horizon` periods, in pieces per period.
    pub fn forecast(&self, horizon: usize) -> Vec<f64> {
        let ahead = self.season.iter().cycle().take(horizon).enumerate();
        ahead
            .map(|(at, season)| {
                self.kind.with(self.level + real_of_count(at + 1) * self.trend, *season)
            })
            .collect()
    }
}

/// Returns the smoothing of a series with trend and season, by the method of Holt and Winters.
///
/// It starts from the first two seasons taken apart: their indices, and a straight line through
/// their trend; the first forecast is that of the second season's first period.
///
/// # Errors
///
/// [`StatisticsError`] when the series is shorter than two seasons, a weight is not from 0 to 1, or
/// a multiplicative season meets a level of zero.
///
/// # Source
///
/// P. R. Winters, *Forecasting Sales by Exponentially Weighted Moving Averages*, Management Science
/// 6, 1960; start values as of `HoltWinters()` of R 4.2.2, package stats.
pub fn holt_winters(
    series: &[f64],
    period: usize,
    kind: SeasonKind,
    weights: Weights,
) -> Result<Winters, StatisticsError> {
    let period = check_period(period)?;
    check_series(series, 2 * period)?;
    let alpha = weight("alpha", weights.alpha)?;
    let beta = weight_or_none("beta", weights.beta)?;
    let gamma = weight_or_none("gamma", weights.gamma)?;
    let start = decompose(series.get(..2 * period).unwrap_or(series), period, kind)?;
    let (mut level, mut trend) = line_through(&start.trend);
    let mut season = VecDeque::from(start.indices);
    let mut squared_errors = 0.0;
    for value in series.iter().skip(period) {
        let past = season.pop_front().unwrap_or_default();
        let error = value - kind.with(level + trend, past);
        squared_errors += error * error;
        let before = level;
        level = alpha * kind.without(*value, past) + (1.0 - alpha) * (level + trend);
        trend = beta * (level - before) + (1.0 - beta) * trend;
        season.push_back(gamma * kind.without(*value, level) + (1.0 - gamma) * past);
    }
    let all = season.iter().copied().chain([level, trend, squared_errors]);
    all.into_iter().try_for_each(|it| finite("the season", it).map(|_| ()))?;
    Ok(Winters { kind, level, trend, season: season.into(), squared_errors })
}

/// Returns the straight line of least squares through values at 1, 2, 3 …: its height at 0, and its
/// slope.
fn line_through(values: &[f64]) -> (f64, f64) {
    let count = real_of_count(values.len());
    let middle = (count + 1.0) / 2.0;
    let mean = values.iter().sum::<f64>() / count;
    let (mut both, mut squares) = (0.0, 0.0);
    for (at, value) in values.iter().enumerate() {
        let across = real_of_count(at + 1) - middle;
        both += across * (value - mean);
        squares += across * across;
    }
    let slope = if squares == 0.0 { 0.0 } else { both / squares };
    (mean - slope * middle, slope)
}
