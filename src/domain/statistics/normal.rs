use super::figure::{StatisticsError, at_least_zero, positive, share};

/// The standard normal distribution: mean 0, standard deviation 1.
///
/// Density, distribution and losses hold to a few units in the fifteenth digit, in both tails.
///
/// # Source
///
/// The distribution by the complementary error function (libm, after FreeBSD's msun); the losses
/// by Silver, Pyke & Thomas, *Inventory and Production Management in Supply Chains*, 4th ed.,
/// appendix II, and Zipkin, *Foundations of Inventory Management*, appendix C.
pub mod standard {
    use std::f64::consts::{PI, SQRT_2};

    /// Returns the density at `z`.
    pub fn density(z: f64) -> f64 {
        (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
    }

    /// Returns the chance of a value at or below `z`.
    ///
    /// ```
    /// use kitwright::domain::statistics::standard;
    /// assert!((standard::below(1.25) - 0.8943502263331446).abs() < 1e-15);
    /// ```
    pub fn below(z: f64) -> f64 {
        0.5 * libm::erfc(-z / SQRT_2)
    }

    /// Returns the chance of a value above `z`.
    pub fn above(z: f64) -> f64 {
        0.5 * libm::erfc(z / SQRT_2)
    }

    /// From here on the difference in a loss would cancel, so its expansion is taken.
    const FAR: f64 = 25.0;

    /// Returns the expected excess over `z`, the standard loss G(z).
    ///
    /// ```
    /// use kitwright::domain::statistics::standard;
    /// assert!((standard::loss(2.0) - 0.008490702616829639).abs() < 1e-15);
    /// ```
    pub fn loss(z: f64) -> f64 {
        if FAR < z {
            let square = z * z;
            return density(z) / square * (1.0 - 3.0 / square + 15.0 / (square * square));
        }
        density(z) - z * above(z)
    }

    /// Returns the z whose loss is `excess`, which is above zero.
    ///
    /// ```
    /// use kitwright::domain::statistics::standard;
    /// assert!((standard::loss_quantile(standard::loss(0.7)) - 0.7).abs() < 1e-12);
    /// ```
    pub fn loss_quantile(excess: f64) -> f64 {
        // The loss falls all the way, is above -z, and is nothing at 38.
        let (mut low, mut high) = (-excess - 1.0, 38.0);
        // Each step halves the interval: 200 bring any interval to neighbouring numbers.
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            if excess < loss(middle) { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }

    /// Returns half the expected square of the excess over `z`, the second-order loss.
    pub fn second_loss(z: f64) -> f64 {
        if FAR < z {
            let square = z * z;
            return density(z) / (square * z) * (1.0 - 6.0 / square + 45.0 / (square * square));
        }
        0.5 * ((z * z + 1.0) * above(z) - z * density(z))
    }

    /// Returns the z that a value stays at or below with the chance `p`, for 0 < p < 1.
    ///
    /// A first guess is sharpened by Halley's method until it no longer moves, which holds to
    /// 1e-14 relative; at either end of the range the answer is infinite.
    ///
    /// # Source
    ///
    /// First guess: Abramowitz & Stegun, *Handbook of Mathematical Functions*, 26.2.23, which is
    /// right to 4.5e-4.
    ///
    /// ```
    /// use kitwright::domain::statistics::standard;
    /// assert!((standard::quantile(0.999) - 3.090232306167813).abs() < 1e-13);
    /// ```
    pub fn quantile(p: f64) -> f64 {
        // The lower half is solved, where neither p nor the distribution loses digits.
        if p <= 0.5 { lower_quantile(p) } else { -lower_quantile(1.0 - p) }
    }

    fn lower_quantile(p: f64) -> f64 {
        if p <= 0.0 {
            return f64::NEG_INFINITY;
        }
        let t = (-2.0 * p.ln()).sqrt();
        let above = 2.515517 + t * (0.802853 + t * 0.010328);
        let below = 1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308));
        let mut z = above / below - t;
        // Three steps of third order bring 4.5e-4 far below the last digit.
        for _ in 0..3 {
            let step = (super::standard::below(z) - p) / density(z);
            z -= step / (1.0 + 0.5 * z * step);
        }
        z
    }
}

/// Demand that is normal: its mean and standard deviation, in pieces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    mean: f64,
    sd: f64,
}

impl Normal {
    /// Returns the distribution of that mean and standard deviation.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when the mean is below zero or the deviation not above.
    pub fn new(mean: f64, sd: f64) -> Result<Self, StatisticsError> {
        Ok(Self {
            mean: at_least_zero("the mean demand", mean)?,
            sd: positive("the standard deviation of demand", sd)?,
        })
    }

    /// Returns the mean.
    pub const fn mean(&self) -> f64 {
        self.mean
    }

    /// Returns the standard deviation.
    pub const fn sd(&self) -> f64 {
        self.sd
    }

    /// Returns the demand of so many periods, each as this one and independent of the others.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when the number of periods is not above zero.
    pub fn over(&self, periods: f64) -> Result<Self, StatisticsError> {
        let periods = positive("the number of periods", periods)?;
        Self::new(self.mean * periods, self.sd * periods.sqrt())
    }

    /// Returns the stock that covers demand with the chance `level`.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when the level is not between 0 and 1.
    pub fn quantile(&self, level: f64) -> Result<f64, StatisticsError> {
        Ok(self.mean + self.sd * standard::quantile(share("the level of service", level)?))
    }

    /// Returns how many pieces demand is expected to exceed `stock` by.
    pub fn loss(&self, stock: f64) -> f64 {
        self.sd * standard::loss((stock - self.mean) / self.sd)
    }

    /// Returns half the expected square of what demand exceeds `stock` by, in pieces squared.
    pub fn second_loss(&self, stock: f64) -> f64 {
        self.sd * self.sd * standard::second_loss((stock - self.mean) / self.sd)
    }

    /// Returns how many pieces of `stock` are expected to be left over.
    pub fn left_over(&self, stock: f64) -> f64 {
        self.sd * standard::loss((self.mean - stock) / self.sd)
    }
}
