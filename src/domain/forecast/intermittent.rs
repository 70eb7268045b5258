use super::check::{check_pieces, weight};
use crate::domain::statistics::{StatisticsError, real_of_count};

/// Croston's two averages: the size of a demand, and the periods from one demand to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Croston {
    /// Pieces at once.
    pub size: f64,
    /// Periods between demands.
    pub interval: f64,
}

impl Croston {
    /// Returns the forecast of every later period, in pieces per period.
    pub fn rate(&self) -> f64 {
        self.size / self.interval
    }
}

/// Returns Croston's averages after each period; none before the first demand.
///
/// Both start at the first demand, the interval as its place counted from 1, and move only in
/// periods with demand.
///
/// # Errors
///
/// [`StatisticsError`] when the series is empty or has a period below zero, or the weight is not
/// above 0 and at most 1.
///
/// # Source
///
/// J. D. Croston, *Forecasting and Stock Control for Intermittent Demands*, Operational Research
/// Quarterly 23, 1972.
pub fn croston_path(series: &[f64], alpha: f64) -> Result<Vec<Option<Croston>>, StatisticsError> {
    check_pieces(series)?;
    let alpha = weight("alpha", alpha)?;
    let mut state: Option<Croston> = None;
    let mut since = 0;
    let step = |demand: &f64| {
        since += 1;
        if 0.0 < *demand {
            let interval = real_of_count(since);
            since = 0;
            let first = Croston { size: *demand, interval };
            state = Some(state.map_or(first, |it| Croston {
                size: it.size + alpha * (demand - it.size),
                interval: it.interval + alpha * (interval - it.interval),
            }));
        }
        state
    };
    Ok(series.iter().map(step).collect())
}

/// Returns Croston's averages at the end of a series, or `None` where nothing was ever wanted.
///
/// # Errors
///
/// As [`croston_path`].
///
/// ```
/// use kitwright::domain::forecast::croston;
/// let averages = croston(&[0.0, 0.0, 4.0, 0.0, 6.0], 0.1)?.unwrap();
/// assert!((averages.size - 4.2).abs() < 1e-12 && (averages.interval - 2.9).abs() < 1e-12);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn croston(series: &[f64], alpha: f64) -> Result<Option<Croston>, StatisticsError> {
    Ok(croston_path(series, alpha)?.last().copied().flatten())
}

/// Returns the forecast by the approximation of Syntetos and Boylan, in pieces per period: Croston's
/// rate less its bias, (1 − alpha/2) of it. Zero where nothing was ever wanted.
///
/// # Errors
///
/// As [`croston_path`].
///
/// # Source
///
/// A. A. Syntetos & J. E. Boylan, *The accuracy of intermittent demand estimates*, International
/// Journal of Forecasting 21, 2005.
pub fn sba(series: &[f64], alpha: f64) -> Result<f64, StatisticsError> {
    let rate = croston(series, alpha)?.map_or(0.0, |it| it.rate());
    Ok((1.0 - alpha / 2.0) * rate)
}

/// Returns the forecast by the correction of Shale, Boylan and Johnston, in pieces per period:
/// (1 − alpha/(2 − alpha)) of Croston's rate. Zero where nothing was ever wanted.
///
/// # Errors
///
/// As [`croston_path`].
///
/// # Source
///
/// E. A. Shale, J. E. Boylan & F. R. Johnston, *Forecasting for intermittent demand*, Journal of
/// the Operational Research Society 57, 2006.
pub fn sbj(series: &[f64], alpha: f64) -> Result<f64, StatisticsError> {
    let rate = croston(series, alpha)?.map_or(0.0, |it| it.rate());
    Ok((1.0 - alpha / (2.0 - alpha)) * rate)
}

/// The two averages of Teunter, Syntetos and Babai: the size of a demand, and the chance of one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tsb {
    /// Pieces at once.
    pub size: f64,
    /// The chance that a period has demand.
    pub chance: f64,
}

impl Tsb {
    /// Returns the forecast of every later period, in pieces per period.
    pub fn rate(&self) -> f64 {
        self.size * self.chance
    }
}

/// Returns the averages by which a part that nobody wants any more fades away.
///
/// The size starts at the first demand and moves with each later one by `alpha`; the chance starts
/// at 1 if the first period has demand and at 0 otherwise, and moves every later period by `beta`.
///
/// # Errors
///
/// [`StatisticsError`] when the series is empty or has a period below zero, or a weight is not
/// above 0 and at most 1.
///
/// # Source
///
/// R. H. Teunter, A. A. Syntetos & M. Z. Babai, *Intermittent demand: Linking forecasting to
/// inventory obsolescence*, European Journal of Operational Research 214, 2011.
///
/// ```
/// use kitwright::domain::forecast::tsb;
/// let gone = tsb(&[5.0, 0.0, 0.0, 0.0], 0.1, 0.1)?;
/// assert!((gone.rate() - 5.0 * 0.729).abs() < 1e-12);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn tsb(series: &[f64], alpha: f64, beta: f64) -> Result<Tsb, StatisticsError> {
    check_pieces(series)?;
    let (alpha, beta) = (weight("alpha", alpha)?, weight("beta", beta)?);
    let mut size = series.iter().copied().find(|it| 0.0 < *it).unwrap_or(0.0);
    let Some((first, later)) = series.split_first() else {
        return Ok(Tsb { size, chance: 0.0 });
    };
    let mut chance = if 0.0 < *first { 1.0 } else { 0.0 };
    let mut seen = 0.0 < *first;
    for demand in later {
        let wanted = 0.0 < *demand;
        chance += beta * (if wanted { 1.0 } else { 0.0 } - chance);
        if wanted && seen {
            size += alpha * (demand - size);
        }
        seen |= wanted;
    }
    Ok(Tsb { size, chance })
}
