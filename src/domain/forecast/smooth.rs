use super::check::{check_series, weight};
use crate::domain::statistics::{StatisticsError, finite};

/// A series smoothed to its last period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Smoothed {
    /// The forecast of every later period, in pieces per period.
    pub next: f64,
    /// The sum of the squared one-step errors, in pieces squared.
    pub squared_errors: f64,
}

/// Returns the simple exponential smoothing of a series, which starts at its first period.
///
/// # Errors
///
/// [`StatisticsError`] when the series is empty or the weight is not above 0 and at most 1.
///
/// # Source
///
/// Silver, Pyke & Thomas, *Inventory and Production Management in Supply Chains*, 4th ed., §3.4.1.
///
/// ```
/// use kitwright::domain::forecast::ses;
/// let smoothed = ses(&[3.0, 5.0, 9.0, 20.0, 12.0, 8.0, 9.0], 0.15)?;
/// assert!((smoothed.next - 7.68181096875).abs() < 1e-9);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn ses(series: &[f64], alpha: f64) -> Result<Smoothed, StatisticsError> {
    check_series(series, 1)?;
    let alpha = weight("alpha", alpha)?;
    let mut level = series.first().copied().unwrap_or_default();
    let mut squared_errors = 0.0;
    for demand in series {
        let error = demand - level;
        squared_errors += error * error;
        level += alpha * error;
    }
    Ok(Smoothed {
        next: finite("the level", level)?,
        squared_errors: finite("the squared errors", squared_errors)?,
    })
}
