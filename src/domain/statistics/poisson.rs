use std::f64::consts::PI;

use super::figure::{StatisticsError, real, share};

/// Demand of independent pieces, one by one: Poisson, by its mean in pieces.
///
/// # Source
///
/// Snyder & Shen, *Fundamentals of Supply Chain Theory*, 2nd ed., appendix C; the chance of a
/// count by C. Loader, *Fast and Accurate Computation of Binomial Probabilities*, 2000, which
/// keeps its digits for large means.
///
/// ```
/// use kitwright::domain::statistics::Poisson;
/// let demand = Poisson::new(6.0)?;
/// assert!((demand.loss(9) - 0.1612588831).abs() < 1e-10);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Poisson {
    mean: f64,
}

/// Beyond this mean, sums over single counts take too long; demand is normal by then.
const MOST: f64 = 1e6;

/// A term this small against the sum before it changes nothing.
const NOTHING: f64 = 1e-18;

impl Poisson {
    /// Returns the distribution of that mean.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when the mean is not above zero, or above a million.
    pub fn new(mean: f64) -> Result<Self, StatisticsError> {
        if 0.0 < mean && mean <= MOST {
            return Ok(Self { mean });
        }
        let must = "above zero and at most 1000000; take the normal distribution above";
        Err(StatisticsError::Range { name: "the mean demand", must, value: mean })
    }

    /// Returns the mean.
    pub const fn mean(&self) -> f64 {
        self.mean
    }

    /// Returns the chance of exactly `count` pieces.
    pub fn chance(&self, count: i64) -> f64 {
        if count < 0 {
            return 0.0;
        }
        if count == 0 {
            return (-self.mean).exp();
        }
        let count = real(count);
        (-stirling_error(count) - deviance(count, self.mean)).exp() / (2.0 * PI * count).sqrt()
    }

    /// Returns the chance of `count` pieces or fewer.
    pub fn at_most(&self, count: i64) -> f64 {
        if count < 0 {
            0.0
        } else if real(count) < self.mean {
            self.down_from(count, |_| 1.0)
        } else {
            1.0 - self.up_from(count.saturating_add(1), |_| 1.0)
        }
    }

    /// Returns the chance of more than `count` pieces.
    pub fn more_than(&self, count: i64) -> f64 {
        if real(count) < self.mean {
            1.0 - self.at_most(count)
        } else {
            self.up_from(count.saturating_add(1), |_| 1.0)
        }
    }

    /// Returns how many pieces demand is expected to exceed `stock` by.
    pub fn loss(&self, stock: i64) -> f64 {
        if real(stock) < self.mean {
            return self.mean - real(stock) + self.left_over(stock);
        }
        let first = stock.saturating_add(1);
        self.up_from(first, |it| real(it - stock))
    }

    /// Returns how many pieces of `stock` are expected to be left over.
    pub fn left_over(&self, stock: i64) -> f64 {
        if stock <= 0 {
            return 0.0;
        }
        if self.mean <= real(stock) {
            return real(stock) - self.mean + self.loss(stock);
        }
        self.down_from(stock - 1, |it| real(stock - it))
    }

    /// Returns the least stock that covers demand with the chance `level`.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when the level is not between 0 and 1.
    pub fn quantile(&self, level: f64) -> Result<i64, StatisticsError> {
        let level = share("the level of service", level)?;
        // The search doubles away from zero, then halves: the number of steps is that of bits.
        let mut most = 1_i64;
        while self.at_most(most) < level && most < 1 << 40 {
            most *= 2;
        }
        let mut least = 0;
        while least < most {
            let middle = least + (most - least) / 2;
            if level <= self.at_most(middle) { most = middle } else { least = middle + 1 }
        }
        Ok(least)
    }

    /// Returns the sum of weighted chances from `first` upwards; `first` is not below the mean.
    fn up_from(&self, first: i64, weight: impl Fn(i64) -> f64) -> f64 {
        let mut chance = self.chance(first);
        let (mut sum, mut count) = (0.0, first);
        loop {
            let term = chance * weight(count);
            sum += term;
            // The terms shrink at least as fast as a geometric series of this ratio.
            let ratio = self.mean / real(count + 1);
            if term == 0.0 || ratio < 1.0 && term <= NOTHING * sum * (1.0 - ratio) {
                return sum;
            }
            count += 1;
            chance *= self.mean / real(count);
        }
    }

    /// Returns the sum of weighted chances from `first` down to none; `first` is below the mean.
    fn down_from(&self, first: i64, weight: impl Fn(i64) -> f64) -> f64 {
        let mut chance = self.chance(first);
        let (mut sum, mut count) = (0.0, first);
        while 0 <= count && chance != 0.0 {
            sum += chance * weight(count);
            chance *= real(count) / self.mean;
            count -= 1;
            if chance * weight(count) * real(count.max(1)) <= NOTHING * sum {
                break;
            }
        }
        sum
    }
}

/// Returns ln n! less Stirling's formula for it.
fn stirling_error(n: f64) -> f64 {
    if n < 16.0 {
        return libm::lgamma(n + 1.0) - (n + 0.5) * n.ln() + n - 0.5 * (2.0 * PI).ln();
    }
    let square = n * n;
    let far = 1.0 / 1260.0 - (1.0 / 1680.0 - 1.0 / 1188.0 / square) / square;
    (1.0 / 12.0 - (1.0 / 360.0 - far / square) / square) / n
}

/// Returns n ln(n/mean) + mean − n, without cancelling where the two are close.
fn deviance(n: f64, mean: f64) -> f64 {
    let difference = n - mean;
    if 0.1 * (n + mean) <= difference.abs() {
        return n * (n / mean).ln() + mean - n;
    }
    let v = difference / (n + mean);
    let mut sum = difference * v;
    let mut term = 2.0 * n * v;
    let mut odd = 1.0;
    // |v| is below 0.1, so each term is a hundredth of the last at most.
    for _ in 0..20 {
        term *= v * v;
        odd += 2.0;
        sum += term / odd;
    }
    sum
}
