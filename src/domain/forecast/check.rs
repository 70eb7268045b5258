use crate::domain::statistics::{StatisticsError, at_least_zero, finite, real_of_count};

/// The most periods of one series: more than a century of days.
const MOST_PERIODS: usize = 50_000;

/// Returns nothing if the series can be computed with: at least `least` periods, none below zero
/// unless `signed`, and not too many.
pub(super) fn check_series(series: &[f64], least: usize) -> Result<(), StatisticsError> {
    if series.len() < least {
        let value = real_of_count(series.len());
        let must = match least {
            0..=1 => "at least 1",
            2 => "at least 2",
            _ => "at least two whole seasons",
        };
        return Err(StatisticsError::Range { name: "the number of periods", must, value });
    }
    if MOST_PERIODS < series.len() {
        let count = u64::try_from(series.len()).unwrap_or(u64::MAX);
        return Err(StatisticsError::TooMany { what: "periods", count, most: 50_000 });
    }
    series.iter().try_for_each(|it| finite("a period of the series", *it).map(|_| ()))
}

/// Returns nothing if the series counts pieces: no period is below zero.
pub(super) fn check_pieces(series: &[f64]) -> Result<(), StatisticsError> {
    check_series(series, 1)?;
    series.iter().try_for_each(|it| at_least_zero("a period's demand", *it).map(|_| ()))
}

/// Returns a smoothing weight if it is one: above 0 and at most 1.
pub(super) fn weight(name: &'static str, value: f64) -> Result<f64, StatisticsError> {
    if 0.0 < value && value <= 1.0 {
        return Ok(value);
    }
    Err(StatisticsError::Range { name, must: "above 0 and at most 1", value })
}

/// Returns a weight that may be nothing: from 0 to 1.
pub(super) fn weight_or_none(name: &'static str, value: f64) -> Result<f64, StatisticsError> {
    if (0.0..=1.0).contains(&value) {
        return Ok(value);
    }
    Err(StatisticsError::Range { name, must: "from 0 to 1", value })
}
