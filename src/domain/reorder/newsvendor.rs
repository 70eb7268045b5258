use std::collections::BTreeMap;

use crate::domain::statistics::{
    Normal, Poisson, StatisticsError, at_least_zero, finite, positive, real, standard,
};

/// What a piece left over costs, and what a piece short costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stakes {
    /// Of a piece left over.
    pub over: f64,
    /// Of a piece short.
    pub under: f64,
}

impl Stakes {
    /// Returns this if both are above zero.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when one is not.
    pub fn checked(self) -> Result<Self, StatisticsError> {
        positive("the cost of a piece left over", self.over)?;
        positive("the cost of a piece short", self.under)?;
        Ok(self)
    }

    /// Returns the chance with which the stock that costs least covers demand.
    pub fn ratio(&self) -> f64 {
        self.under / (self.under + self.over)
    }
}

/// A stock bought once for a season, and what it is expected to cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneOff {
    /// Pieces.
    pub stock: f64,
    /// Pieces left over and pieces short, at what they cost.
    pub cost: f64,
}

/// Returns the stock that covers a season of normal demand at least cost.
///
/// # Errors
///
/// [`StatisticsError`] when a cost is not above zero.
///
/// # Source
///
/// Snyder & Shen, *Fundamentals of Supply Chain Theory*, 2nd ed., §4.3.
///
/// ```
/// use kitwright::domain::reorder::{Stakes, newsvendor_normal};
/// use kitwright::domain::statistics::Normal;
/// // Snyder & Shen, example 4.1: left over 0.18, short 0.70, demand 50 ± 8.
/// let once = newsvendor_normal(Stakes { over: 0.18, under: 0.7 }, Normal::new(50.0, 8.0)?)?;
/// assert!((once.stock - 56.6040).abs() < 1e-4 && (once.cost - 1.9976).abs() < 1e-4);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn newsvendor_normal(stakes: Stakes, demand: Normal) -> Result<OneOff, StatisticsError> {
    let z = standard::quantile(stakes.checked()?.ratio());
    let stock = finite("the stock", demand.mean() + demand.sd() * z)?;
    let cost = (stakes.over + stakes.under) * demand.sd() * standard::density(z);
    Ok(OneOff { stock, cost: finite("the cost", cost)? })
}

/// What a piece brings, costs, and fetches when it is left over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trade {
    /// What a customer pays.
    pub revenue: f64,
    /// What the supplier is paid.
    pub purchase_cost: f64,
    /// What a piece left over fetches; below zero if getting rid of it costs.
    pub salvage_value: f64,
}

/// Returns the stock that earns most over a season of normal demand, and what it is expected to
/// earn.
///
/// # Errors
///
/// [`StatisticsError`] when a piece does not bring more than it costs, or fetches as much as it
/// costs when it is left over.
///
/// # Source
///
/// Snyder & Shen, 2nd ed., §4.3.2.
pub fn newsvendor_profit(trade: Trade, demand: Normal) -> Result<(f64, f64), StatisticsError> {
    finite("the salvage value", trade.salvage_value)?;
    let stakes = Stakes {
        over: positive(
            "the cost less the salvage value",
            trade.purchase_cost - trade.salvage_value,
        )?,
        under: positive("the revenue less the cost", trade.revenue - trade.purchase_cost)?,
    };
    let once = newsvendor_normal(stakes, demand)?;
    Ok((once.stock, finite("the profit", stakes.under * demand.mean() - once.cost)?))
}

/// Returns the least stock that covers Poisson demand at least cost, in whole pieces.
///
/// # Errors
///
/// [`StatisticsError`] when a cost is not above zero.
pub fn newsvendor_poisson(stakes: Stakes, demand: Poisson) -> Result<(i64, f64), StatisticsError> {
    let stock = demand.quantile(stakes.checked()?.ratio())?;
    let cost = stakes.over * demand.left_over(stock) + stakes.under * demand.loss(stock);
    Ok((stock, finite("the cost", cost)?))
}

/// The most sizes of demand that a table may list.
const MOST_SIZES: usize = 100_000;

/// Returns the least stock that covers demand of listed sizes at least cost, in whole pieces: each
/// size with its chance.
///
/// # Errors
///
/// [`StatisticsError`] when a cost is not above zero, a chance is below zero, or the chances do not
/// add up to 1.
pub fn newsvendor_discrete(
    stakes: Stakes,
    chances: &BTreeMap<i64, f64>,
) -> Result<(i64, f64), StatisticsError> {
    let ratio = stakes.checked()?.ratio();
    if MOST_SIZES < chances.len() {
        let count = u64::try_from(chances.len()).unwrap_or(u64::MAX);
        return Err(StatisticsError::TooMany { what: "sizes of demand", count, most: 100_000 });
    }
    for chance in chances.values() {
        at_least_zero("a chance", *chance)?;
    }
    let total: f64 = chances.values().sum();
    if 1e-6 < (total - 1.0).abs() {
        return Err(StatisticsError::Contradiction("the chances must add up to 1"));
    }
    let mut covered = 0.0;
    // The sum of chances may fall short of the ratio by its last digit alone.
    let reaches = |(_, chance): &(&i64, &f64)| {
        covered += **chance / total;
        ratio <= covered + 1e-12
    };
    let stock = chances.iter().find(reaches).or(chances.last_key_value());
    let stock = *stock.ok_or(StatisticsError::Contradiction("the chances must add up to 1"))?.0;
    let cost = chances.iter().map(|(size, chance)| {
        let left = real(stock) - real(*size);
        chance / total * if left < 0.0 { -left * stakes.under } else { left * stakes.over }
    });
    Ok((stock, finite("the cost", cost.sum())?))
}
