use super::check::check_pieces;
use super::classify::{Shape, classify};
use super::methods::Method;
use super::score::{Score, score};
use super::season::{SeasonKind, check_period};
use super::winters::{Weights, holt_winters};
use crate::domain::statistics::{StatisticsError, real_of_count};

/// A method and how it would have done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// The method.
    pub method: Method,
    /// Its errors over the periods held back.
    pub score: Score,
}

/// The method that serves a part best, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The method chosen.
    pub method: Method,
    /// Its errors; none where the series is too short to hold anything back.
    pub score: Option<Score>,
    /// The forecast of each period to come, in pieces per period.
    pub ahead: Vec<f64>,
    /// How far a period's demand lies from its forecast: the root of the mean squared error, in
    /// pieces per period. Safety stock rests on it.
    pub sd: f64,
    /// How demand comes; none where nothing was ever wanted.
    pub shape: Option<Shape>,
    /// Every method that was tried, in the order of trying.
    pub tried: Vec<Judged>,
}

/// Periods that are forecast to judge a method.
const MOST_HELD_BACK: usize = 12;

/// Root mean squared errors this near to the least count as alike, and bias decides.
const ALIKE: f64 = 1.02;

/// Returns the method with the least root mean squared error in forecasting the last third of the
/// series (12 periods at most) one step ahead; of those within 2 % of the least, the one with the
/// least bias.
///
/// `period` is the number of periods in a season, where there may be one; its methods are tried
/// when two whole seasons come before what is held back. The weights of Holt and Winters are those
/// with the least squared errors before what is held back, so that nothing is judged by what it
/// has seen. The mean absolute error is reported and never decides: a forecast of nothing wins it.
///
/// # Errors
///
/// [`StatisticsError`] when the series is empty or has a period below zero, or the season has fewer
/// than 2 periods.
///
/// ```
/// use kitwright::domain::forecast::choose;
/// let winters = [0.0, 0.0, 2.0, 8.0].repeat(5);
/// let choice = choose(&winters, Some(4), 4)?;
/// assert!((choice.ahead[3] - 8.0).abs() < 0.5, "the winter to come: {}", choice.ahead[3]);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn choose(
    series: &[f64],
    period: Option<usize>,
    horizon: usize,
) -> Result<Choice, StatisticsError> {
    check_pieces(series)?;
    let period = period.map(check_period).transpose()?;
    let horizon = check_horizon(horizon)?;
    let held_back = (series.len() / 3).min(MOST_HELD_BACK);
    let before = series.get(..series.len() - held_back).unwrap_or_default();
    let mut tried = Vec::new();
    if 0 < held_back {
        for method in candidates(before, period) {
            tried.push(Judged { method, score: score(&method, series, held_back)? });
        }
    }
    let best = best(&tried);
    let method = best.map_or(Method::Mean, |it| it.method);
    let shape = classify(series)?;
    Ok(Choice {
        method,
        score: best.map(|it| it.score),
        ahead: method.forecast(series, horizon)?,
        sd: best.map_or_else(|| sd_of(series), |it| it.score.root_mean_square),
        shape,
        tried,
    })
}

/// The furthest that is forecast, in periods.
const MOST_AHEAD: usize = 1_000;

fn check_horizon(horizon: usize) -> Result<usize, StatisticsError> {
    if horizon <= MOST_AHEAD {
        return Ok(horizon);
    }
    let count = u64::try_from(horizon).unwrap_or(u64::MAX);
    Err(StatisticsError::TooMany { what: "periods ahead", count, most: 1_000 })
}

/// Returns the methods that the past is long enough for.
fn candidates(before: &[f64], period: Option<usize>) -> Vec<Method> {
    let mut all = vec![
        Method::Last,
        Method::Mean,
        Method::Average(6),
        Method::Ses(0.1),
        Method::Ses(0.3),
        Method::Croston(0.1),
        Method::Sba(0.1),
        Method::Tsb(0.1, 0.1),
    ];
    let Some(period) = period.filter(|it| 2 * it <= before.len()) else { return all };
    all.push(Method::LastSeason(period));
    for kind in [SeasonKind::Additive, SeasonKind::Multiplicative] {
        all.extend(best_winters(before, period, kind));
    }
    all
}

/// Returns the method of Holt and Winters with the weights that erred least in the past; none
/// where the season does not suit the series.
fn best_winters(before: &[f64], period: usize, kind: SeasonKind) -> Option<Method> {
    let mut best: Option<(f64, Weights)> = None;
    for alpha in [0.1, 0.2, 0.3, 0.5] {
        for beta in [0.0, 0.05] {
            for gamma in [0.1, 0.3] {
                let weights = Weights { alpha, beta, gamma };
                let Ok(smoothed) = holt_winters(before, period, kind, weights) else { continue };
                if best.is_none_or(|(least, _)| smoothed.squared_errors < least) {
                    best = Some((smoothed.squared_errors, weights));
                }
            }
        }
    }
    best.map(|(_, weights)| Method::HoltWinters(period, kind, weights))
}

fn best(tried: &[Judged]) -> Option<&Judged> {
    let errors = tried.iter().map(|it| it.score.root_mean_square);
    let least = errors.min_by(f64::total_cmp)?;
    let alike = tried.iter().filter(|it| it.score.root_mean_square <= least * ALIKE);
    alike.min_by(|a, b| a.score.bias.abs().total_cmp(&b.score.bias.abs()))
}

/// Returns the standard deviation of a series around its mean.
fn sd_of(series: &[f64]) -> f64 {
    let count = real_of_count(series.len().max(1));
    let mean = series.iter().sum::<f64>() / count;
    (series.iter().map(|it| (it - mean).powi(2)).sum::<f64>() / count).sqrt()
}
