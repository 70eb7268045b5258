use crate::domain::statistics::{
    StatisticsError, at_least_zero, finite, positive, real, real_of_count,
};

/// What a scale itself adds to a weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// How much two weighings of the same thing differ: their standard deviation, in mg.
    pub sd_mg: f64,
    /// The step in which it shows weights, in mg.
    pub step_mg: f64,
}

impl Scale {
    /// A scale that adds nothing.
    pub const EXACT: Self = Self { sd_mg: 0.0, step_mg: 0.0 };

    /// Returns the variance of one weighing, in mg². A step adds a twelfth of its square: what is
    /// rounded lies anywhere within it alike.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] for a figure below zero.
    ///
    /// # Source
    ///
    /// NIST Technical Note 1297, 1994, 4.6: the standard deviation of a rectangular distribution.
    pub fn variance(&self) -> Result<f64, StatisticsError> {
        let sd = at_least_zero("the scale's standard deviation", self.sd_mg)?;
        let step = at_least_zero("the scale's step", self.step_mg)?;
        Ok(sd * sd + step * step / 12.0)
    }
}

/// What is known of the mass of one piece of a lot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LotMass {
    mean_mg: f64,
    sd_mg: f64,
    mean_u_mg: f64,
}

impl LotMass {
    /// Returns a lot whose mean, spread from piece to piece, and uncertainty of the mean are stated.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when a piece weighs nothing, or a spread is below zero.
    pub fn new(mean_mg: f64, sd_mg: f64, mean_u_mg: f64) -> Result<Self, StatisticsError> {
        Ok(Self {
            mean_mg: positive("the mass of a piece", mean_mg)?,
            sd_mg: at_least_zero("the spread of pieces", sd_mg)?,
            mean_u_mg: at_least_zero("the uncertainty of the mean", mean_u_mg)?,
        })
    }

    /// Returns a lot as learned by weighing some of its pieces together, whose spread is known as a
    /// share of the mean: 0.005 for half a percent.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when nothing was weighed.
    ///
    /// # Source
    ///
    /// NIST Technical Note 1297, 1994, 5: independent uncertainties add by their squares.
    pub fn together(
        net_mg: i64,
        pieces: i64,
        spread: f64,
        scale: &Scale,
    ) -> Result<Self, StatisticsError> {
        let net = positive("the weight of the pieces", real(net_mg))?;
        let pieces = positive("the number of pieces", real(pieces))?;
        let mean = net / pieces;
        let sd = mean * at_least_zero("the spread of pieces", spread)?;
        let variance = sd * sd / pieces + scale.variance()? / (pieces * pieces);
        Self::new(mean, sd, variance.sqrt())
    }

    /// Returns a lot as learned by weighing some of its pieces one by one.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Contradiction`] for fewer than two pieces.
    ///
    /// # Source
    ///
    /// NIST Technical Note 1297, 1994, A.4 and A.5: mean of n observations, and s/√n.
    pub fn one_by_one(masses_mg: &[i64]) -> Result<Self, StatisticsError> {
        if masses_mg.len() < 2 {
            let why = "the spread of pieces shows from two of them on: weigh more";
            return Err(StatisticsError::Contradiction(why));
        }
        let count = real_of_count(masses_mg.len());
        let mean = masses_mg.iter().map(|it| real(*it)).sum::<f64>() / count;
        let squares: f64 = masses_mg.iter().map(|it| (real(*it) - mean).powi(2)).sum();
        let sd = (squares / (count - 1.0)).sqrt();
        Self::new(mean, sd, sd / count.sqrt())
    }

    /// Returns the lot with a mean that may be off by so much more: one that is stated, and was
    /// never weighed.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] for a share below zero.
    pub fn unlearned(self, shift: f64) -> Result<Self, StatisticsError> {
        let shift = self.mean_mg * at_least_zero("the shift between lots", shift)?;
        Self::new(self.mean_mg, self.sd_mg, self.mean_u_mg.hypot(shift))
    }

    /// Returns the mean mass of a piece, in mg.
    pub const fn mean_mg(&self) -> f64 {
        self.mean_mg
    }

    /// Returns by how much pieces differ, as a standard deviation in mg.
    pub const fn sd_mg(&self) -> f64 {
        self.sd_mg
    }

    /// Returns the uncertainty of the mean, as a standard deviation in mg.
    pub const fn mean_u_mg(&self) -> f64 {
        self.mean_u_mg
    }

    /// Returns the variance of the mass of so many pieces, in mg²: pieces differ each by itself, and
    /// a mean that is off is off for all alike.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::NoNumber`] when it is beyond what can be computed.
    pub fn variance(&self, pieces: f64) -> Result<f64, StatisticsError> {
        let apart = pieces * self.sd_mg * self.sd_mg;
        finite("the spread of their mass", apart + (pieces * self.mean_u_mg).powi(2))
    }
}
