use super::lot::{LotMass, Scale};
use crate::domain::statistics::{Normal, StatisticsError, real, share, standard, whole_down};

/// A count by weight. It carries what it may be off by, and never takes the place of a count by
/// hand unasked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    /// How many pieces the weight comes to.
    pub pieces: i64,
    /// The weight divided by the mean, as it is.
    pub raw: f64,
    /// The standard deviation of that.
    pub sd: f64,
    /// The least that it may be, with the confidence that was asked for.
    pub at_least: i64,
    /// The most that it may be.
    pub at_most: i64,
    /// The chance that `pieces` is right to the piece.
    pub exact: f64,
    /// The largest count that is right with that confidence: count by hand above it.
    pub by_hand_above: i64,
}

/// Returns how many pieces a net weight comes to.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is outside its range.
pub fn count(
    net_mg: i64,
    lot: &LotMass,
    scale: &Scale,
    confidence: f64,
) -> Result<Counted, StatisticsError> {
    let raw = real(net_mg.max(0)) / lot.mean_mg();
    let pieces = whole_down(raw + 0.5)?;
    let sd = sd_of(real(pieces), lot, scale)?;
    let reach = two_sided(confidence)? * sd;
    Ok(Counted {
        pieces,
        raw,
        sd,
        at_least: whole_down(raw - reach + 0.5)?.max(0).min(pieces),
        at_most: whole_down(raw + reach + 0.5)?.max(pieces),
        exact: chance_of_exact(pieces, lot, scale)?,
        by_hand_above: exact_up_to(lot, scale, confidence)?,
    })
}

/// Returns the standard deviation of a count, in pieces.
fn sd_of(pieces: f64, lot: &LotMass, scale: &Scale) -> Result<f64, StatisticsError> {
    Ok((lot.variance(pieces)? + scale.variance()?).sqrt() / lot.mean_mg())
}

/// Returns how many standard deviations lie on either side for a confidence.
fn two_sided(confidence: f64) -> Result<f64, StatisticsError> {
    let confidence = share("the confidence", confidence)?;
    Ok(standard::quantile(0.5 + confidence / 2.0))
}

/// Returns the chance that so many pieces are counted right to the piece.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is outside its range.
pub fn chance_of_exact(pieces: i64, lot: &LotMass, scale: &Scale) -> Result<f64, StatisticsError> {
    let sd = sd_of(real(pieces), lot, scale)?;
    if sd <= 0.0 {
        return Ok(1.0);
    }
    let one = Normal::new(0.0, sd)?;
    Ok(1.0 - 2.0 * standard::above(0.5 / one.sd()))
}

/// More pieces than anyone weighs at once.
const MOST: i64 = 10_000_000;

/// Returns the largest count that is right to the piece with a confidence.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is outside its range.
pub fn exact_up_to(lot: &LotMass, scale: &Scale, confidence: f64) -> Result<i64, StatisticsError> {
    let reach = two_sided(confidence)?;
    // The spread grows with the count, so the last that is sharp enough is found by halving.
    let (mut sharp, mut dull) = (0, MOST + 1);
    while sharp + 1 < dull {
        let middle = sharp + (dull - sharp) / 2;
        if reach * sd_of(real(middle), lot, scale)? <= 0.5 {
            sharp = middle;
        } else {
            dull = middle;
        }
    }
    Ok(sharp)
}
