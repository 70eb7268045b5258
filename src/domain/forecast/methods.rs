use std::fmt;

use super::check::check_series;
use super::season::SeasonKind;
use super::winters::{Weights, holt_winters};
use super::{croston, sba, ses, tsb};
use crate::domain::statistics::{StatisticsError, real_of_count};

/// A way to forecast, with its parameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Method {
    /// As the last period was.
    Last,
    /// As the same period of the last season was; so many periods in a season.
    LastSeason(usize),
    /// The mean of all periods.
    Mean,
    /// The mean of the last so many periods.
    Average(usize),
    /// Simple exponential smoothing, with its alpha.
    Ses(f64),
    /// Croston's method, with its alpha.
    Croston(f64),
    /// The approximation of Syntetos and Boylan, with its alpha.
    Sba(f64),
    /// The method of Teunter, Syntetos and Babai, with its alpha and beta.
    Tsb(f64, f64),
    /// The method of Holt and Winters; so many periods in a season.
    HoltWinters(usize, SeasonKind, Weights),
}

impl Method {
    /// Returns what the method says of the next `horizon` periods, in pieces per period; none is
    /// below zero.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when the series is too short for the method, or no series of demand.
    pub fn forecast(&self, series: &[f64], horizon: usize) -> Result<Vec<f64>, StatisticsError> {
        check_series(series, 1)?;
        let level = match *self {
            Self::LastSeason(period) => return last_season(series, period, horizon),
            Self::HoltWinters(period, kind, weights) => {
                let ahead = holt_winters(series, period, kind, weights)?.forecast(horizon);
                return Ok(ahead.into_iter().map(|it| it.max(0.0)).collect());
            }
            Self::Last => mean_of_last(series, 1),
            Self::Mean => mean_of_last(series, series.len()),
            Self::Average(window) => mean_of_last(series, window),
            Self::Ses(alpha) => ses(series, alpha)?.next,
            Self::Croston(alpha) => croston(series, alpha)?.map_or(0.0, |it| it.rate()),
            Self::Sba(alpha) => sba(series, alpha)?,
            Self::Tsb(alpha, beta) => tsb(series, alpha, beta)?.rate(),
        };
        Ok(vec![level; horizon])
    }

    /// Returns the method's name in one word, which never changes.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Last => "last",
            Self::LastSeason(_) => "last-season",
            Self::Mean => "mean",
            Self::Average(_) => "average",
            Self::Ses(_) => "ses",
            Self::Croston(_) => "croston",
            Self::Sba(_) => "sba",
            Self::Tsb(..) => "tsb",
            Self::HoltWinters(_, SeasonKind::Additive, _) => "holt-winters-additive",
            Self::HoltWinters(_, SeasonKind::Multiplicative, _) => "holt-winters-multiplicative",
        }
    }
}

impl fmt::Display for Method {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Last => f.write_str("as the last period"),
            Self::LastSeason(_) => f.write_str("as the same period of the last season"),
            Self::Mean => f.write_str("mean of all periods"),
            Self::Average(window) => write!(f, "mean of the last {window} periods"),
            Self::Ses(alpha) => write!(f, "exponential smoothing, alpha {alpha}"),
            Self::Croston(alpha) => write!(f, "Croston, alpha {alpha}"),
            Self::Sba(alpha) => write!(f, "Syntetos–Boylan, alpha {alpha}"),
            Self::Tsb(alpha, beta) => {
                write!(f, "Teunter–Syntetos–Babai, alpha {alpha}, beta {beta}")
            }
            Self::HoltWinters(_, kind, Weights { alpha, beta, gamma }) => {
                let kind = match kind {
                    SeasonKind::Additive => "additive",
                    SeasonKind::Multiplicative => "multiplicative",
                };
                write!(f, "Holt–Winters, {kind}, alpha {alpha}, beta {beta}, gamma {gamma}")
            }
        }
    }
}

fn mean_of_last(series: &[f64], window: usize) -> f64 {
    let window = window.clamp(1, series.len());
    series.iter().rev().take(window).sum::<f64>() / real_of_count(window)
}

fn last_season(series: &[f64], period: usize, horizon: usize) -> Result<Vec<f64>, StatisticsError> {
    let period = super::season::check_period(period)?;
    check_series(series, period)?;
    let last = series.iter().skip(series.len() - period);
    Ok(last.copied().cycle().take(horizon).collect())
}
