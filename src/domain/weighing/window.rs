use super::lot::{LotMass, Scale};
use crate::domain::statistics::{
    StatisticsError, at_least_zero, positive, real, share, standard, whole_down, whole_up,
};

/// Pieces of one lot in a bag or box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Content {
    /// What is known of a piece.
    pub lot: LotMass,
    /// How many there are to be.
    pub pieces: i64,
}

/// The weights at which a bag or box is accepted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// What it should weigh, in mg.
    pub expected_mg: f64,
    /// The standard deviation of that, in mg.
    pub sd_mg: f64,
    /// How many standard deviations it may be off.
    pub alarm: f64,
    /// The least weight that is accepted.
    pub low_mg: i64,
    /// The most.
    pub high_mg: i64,
}

impl Window {
    /// Returns the window of a bag or box of known contents.
    ///
    /// `others` are the mass and standard deviation of what is not counted, in mg: bag, carton,
    /// foam, tape. `alarm` is how many standard deviations off a weight is refused: 3 refuses a
    /// complete one 27 times in 10,000.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is outside its range, or nothing would be accepted.
    pub fn of(
        contents: &[Content],
        others: &[(f64, f64)],
        scale: &Scale,
        alarm: f64,
    ) -> Result<Self, StatisticsError> {
        let alarm = positive("the alarm", alarm)?;
        let (mut expected, mut variance) = (0.0, scale.variance()?);
        for it in contents {
            let pieces = at_least_zero("the number of pieces", real(it.pieces))?;
            expected += pieces * it.lot.mean_mg();
            variance += it.lot.variance(pieces)?;
        }
        for (mass, sd) in others {
            expected += at_least_zero("the mass of packing", *mass)?;
            variance += at_least_zero("the spread of packing", *sd)?.powi(2);
        }
        let sd = variance.sqrt();
        // Both ends are rounded inward: a doubtful milligram is refused.
        let low = whole_up(expected - alarm * sd)?;
        let high = whole_down(expected + alarm * sd)?;
        if high < low {
            let why = "no whole milligram lies within the alarm: the scale is finer than it can be";
            return Err(StatisticsError::Contradiction(why));
        }
        Ok(Self { expected_mg: expected, sd_mg: sd, alarm, low_mg: low.max(0), high_mg: high })
    }

    /// Returns whether a weight is accepted.
    pub const fn accepts(&self, mg: i64) -> bool {
        self.low_mg <= mg && mg <= self.high_mg
    }

    /// Returns by how many standard deviations a weight is off.
    pub fn off_by(&self, mg: i64) -> f64 {
        let off = real(mg) - self.expected_mg;
        if self.sd_mg <= 0.0 && off == 0.0 { 0.0 } else { off / self.sd_mg }
    }

    /// Returns the chance that a bag or box is refused whose mass is off by so much, in mg.
    pub fn sees(&self, off_mg: f64) -> f64 {
        seen(off_mg, self.sd_mg, self.alarm)
    }

    /// Returns what single difference would explain a weight: one line with some pieces too many or
    /// too few, the likeliest first; fewer pieces before more.
    ///
    /// Each is a suspicion. Only a look into the bag tells.
    pub fn suspects(&self, mg: i64, contents: &[Content]) -> Vec<Suspect> {
        let off = real(mg) - self.expected_mg;
        let mut found = Vec::new();
        for (line, it) in contents.iter().enumerate() {
            let pieces = (off / it.lot.mean_mg()).round();
            let left = off - pieces * it.lot.mean_mg();
            let whole = whole_down(pieces.abs()).unwrap_or_default();
            let possible = 0 < whole && (0.0 < pieces || whole <= it.pieces);
            if possible && left.abs() <= self.alarm * self.sd_mg {
                let pieces = if pieces < 0.0 { -whole } else { whole };
                found.push(Suspect { line, pieces, left_mg: left });
            }
        }
        found.sort_by(|a, b| {
            let few = a.pieces.abs().cmp(&b.pieces.abs());
            few.then(a.left_mg.abs().total_cmp(&b.left_mg.abs())).then(a.line.cmp(&b.line))
        });
        found
    }
}

/// One difference that would explain a weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// The line's place in the contents.
    pub line: usize,
    /// How many pieces too many, below zero where they are too few.
    pub pieces: i64,
    /// What it leaves unexplained, in mg.
    pub left_mg: f64,
}

/// Returns the chance that a mass which is off by so much is refused.
pub fn seen(off_mg: f64, sd_mg: f64, alarm: f64) -> f64 {
    if sd_mg <= 0.0 {
        return if off_mg == 0.0 { 0.0 } else { 1.0 };
    }
    let off = off_mg.abs() / sd_mg;
    standard::above(alarm - off) + standard::above(alarm + off)
}

/// Returns the smallest loss, in whole mg, that is refused with at least this chance.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is outside its range.
pub fn smallest_seen(sd_mg: f64, alarm: f64, chance: f64) -> Result<i64, StatisticsError> {
    let sd = at_least_zero("the standard deviation", sd_mg)?;
    let alarm = positive("the alarm", alarm)?;
    let chance = share("the chance", chance)?;
    // What is refused on the other side counts too, and is next to nothing here.
    whole_up((sd * (alarm + standard::quantile(chance))).max(0.0))
}
