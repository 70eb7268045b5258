use super::methods::Method;
use crate::domain::statistics::{StatisticsError, finite, real_of_count};

/// How far one-step forecasts lay from what came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Score {
    /// How many periods were forecast, each from what came before it.
    pub periods: usize,
    /// The mean absolute error, in pieces per period.
    pub mean_absolute: f64,
    /// The root of the mean squared error, in pieces per period.
    pub root_mean_square: f64,
    /// The mean of forecast less demand, in pieces per period: above zero, too much was forecast.
    pub bias: f64,
    /// The mean absolute error, scaled; none where the past never changed.
    pub mase: Option<f64>,
    /// The root of the mean squared error, scaled; none where the past never changed.
    pub rmsse: Option<f64>,
}

/// Returns how the method would have done over the last `periods` periods, each forecast one step
/// ahead from all before it.
///
/// Scaled errors are parts of what the method "as the last period" errs in the periods before.
///
/// # Errors
///
/// [`StatisticsError`] when nothing is left before those periods, or too little for the method.
///
/// # Source
///
/// R. J. Hyndman & A. B. Koehler, *Another look at measures of forecast accuracy*, International
/// Journal of Forecasting 22, 2006. An intermittent series is judged by its squares: a forecast of
/// nothing wins on the mean absolute error.
pub fn score(method: &Method, series: &[f64], periods: usize) -> Result<Score, StatisticsError> {
    let start = series.len().saturating_sub(periods);
    let wanted = series.iter().enumerate().skip(start);
    let (mut absolute, mut squares, mut sum) = (0.0, 0.0, 0.0);
    for (at, demand) in wanted {
        let before = series.get(..at).unwrap_or_default();
        let said = method.forecast(before, 1)?.first().copied().unwrap_or_default();
        let error = said - demand;
        absolute += error.abs();
        squares += error * error;
        sum += error;
    }
    let count = real_of_count(series.len() - start);
    let mean_absolute = finite("the error", absolute / count)?;
    let root_mean_square = finite("the error", (squares / count).sqrt())?;
    let (scale, square_scale) = naive_errors(series.get(..start).unwrap_or_default());
    Ok(Score {
        periods: series.len() - start,
        mean_absolute,
        root_mean_square,
        bias: sum / count,
        mase: (0.0 < scale).then(|| mean_absolute / scale),
        rmsse: (0.0 < square_scale).then(|| root_mean_square / square_scale),
    })
}

/// Returns the mean absolute change from one period to the next, and the root of the mean square.
fn naive_errors(series: &[f64]) -> (f64, f64) {
    let changes = series.iter().zip(series.iter().skip(1)).map(|(before, after)| after - before);
    let (absolute, squares) =
        changes.fold((0.0, 0.0), |(a, s), it: f64| (a + it.abs(), s + it * it));
    match series.len().saturating_sub(1) {
        0 => (0.0, 0.0),
        count => {
            let count = real_of_count(count);
            (absolute / count, (squares / count).sqrt())
        }
    }
}
