use std::collections::BTreeMap;

use super::newsvendor::Stakes;
use crate::domain::statistics::{Normal, Poisson, StatisticsError, finite, positive};

/// When the supply is at or below `reorder_point` at a review, order up to `up_to`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UpTo<T> {
    /// Pieces.
    pub reorder_point: T,
    /// Pieces.
    pub up_to: T,
}

/// Returns the rule for normal demand between reviews by the power approximation; fractions, to be
/// rounded up.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is not above zero.
///
/// # Source
///
/// R. Ehrhardt & C. Mosier, *A revision of the power approximation for computing (s, S) policies*,
/// Management Science 30, 1984, without its cut for small orders; Snyder & Shen, *Fundamentals of
/// Supply Chain Theory*, 2nd ed., §4.4.4.
pub fn power_approximation(
    fixed_cost: f64,
    stakes: Stakes,
    demand: Normal,
) -> Result<UpTo<f64>, StatisticsError> {
    let fixed_cost = positive("the fixed cost of an order", fixed_cost)?;
    let Stakes { over, under } = stakes.checked()?;
    let (mean, sd) = (positive("the mean demand", demand.mean())?, demand.sd());
    let spread = 1.0 + (sd / mean).powi(2);
    let quantity = 1.30 * mean.powf(0.494) * (fixed_cost / over).powf(0.506) * spread.powf(0.116);
    let z = (quantity * over / (under * sd)).sqrt();
    let reorder_point = 0.973 * mean + sd * (0.183 / z + 1.063 - 2.192 * z);
    let reorder_point = finite("the reorder point", reorder_point)?;
    Ok(UpTo { reorder_point, up_to: finite("the order-up-to level", reorder_point + quantity)? })
}

/// Returns the stock that covers normal demand until the next review and the lead time after it.
///
/// # Errors
///
/// [`StatisticsError::Range`] when the level is not between 0 and 1.
///
/// # Source
///
/// The (R, S) policy: Silver, Pyke & Thomas, 4th ed., §6.9.
pub fn order_up_to(demand: Normal, level: f64) -> Result<f64, StatisticsError> {
    finite("the order-up-to level", demand.quantile(level)?)
}

/// The widest rule that is searched for, in pieces from reorder point to order-up-to level.
const MOST_WIDTH: usize = 2_000;

/// The greatest mean demand of a period that is searched for.
const MOST_MEAN: f64 = 2_000.0;

/// Returns the best rule for Poisson demand between reviews, in whole pieces, with its exact cost
/// per period: a piece left over or short costs at the end of each.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is not above zero, or the search grows too wide: the power
/// approximation serves there.
///
/// # Source
///
/// Y.-S. Zheng & A. Federgruen, *Finding optimal (s, S) policies is about as simple as evaluating a
/// single policy*, Operations Research 39, 1991.
///
/// ```
/// use kitwright::domain::reorder::{Stakes, best_up_to_poisson};
/// use kitwright::domain::statistics::Poisson;
/// // Snyder & Shen, problem 4.31.
/// let stakes = Stakes { over: 40.0, under: 125.0 };
/// let (rule, cost) = best_up_to_poisson(150.0, stakes, Poisson::new(4.0)?)?;
/// assert_eq!((rule.reorder_point, rule.up_to), (2, 7));
/// assert!((cost - 223.5748).abs() < 1e-4);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn best_up_to_poisson(
    fixed_cost: f64,
    stakes: Stakes,
    demand: Poisson,
) -> Result<(UpTo<i64>, f64), StatisticsError> {
    let fixed_cost = positive("the fixed cost of an order", fixed_cost)?;
    let stakes = stakes.checked()?;
    if MOST_MEAN < demand.mean() {
        let must = "at most 2000; take the power approximation above";
        let value = demand.mean();
        return Err(StatisticsError::Range { name: "the mean demand", must, value });
    }
    let mut search = Search::new(fixed_cost, stakes, demand);
    let best = demand.quantile(stakes.ratio())?;
    let (mut low, mut high) = (best - 1, best);
    while search.cost_at(low) < search.cost(low, high)? {
        low -= 1;
    }
    let mut least = search.cost(low, high)?;
    let mut tried = high + 1;
    while search.cost_at(tried) <= least {
        if search.cost(low, tried)? < least {
            high = tried;
            while search.cost(low, high)? <= search.cost_at(low + 1) {
                low += 1;
            }
            least = search.cost(low, high)?;
        }
        tried += 1;
    }
    Ok((UpTo { reorder_point: low, up_to: high }, finite("the cost", least)?))
}

struct Search {
    fixed_cost: f64,
    stakes: Stakes,
    demand: Poisson,
    /// How many reviews are expected to find the supply so many pieces below its highest.
    visits: Vec<f64>,
    /// The chance of each demand.
    chances: Vec<f64>,
    /// What a period costs that ends with such a supply less its demand.
    costs: BTreeMap<i64, f64>,
}

impl Search {
    fn new(fixed_cost: f64, stakes: Stakes, demand: Poisson) -> Self {
        let (visits, chances, costs) = (Vec::new(), Vec::new(), BTreeMap::new());
        Self { fixed_cost, stakes, demand, visits, chances, costs }
    }

    fn cost_at(&mut self, level: i64) -> f64 {
        let Stakes { over, under } = self.stakes;
        let demand = self.demand;
        let cost = || over * demand.left_over(level) + under * demand.loss(level);
        *self.costs.entry(level).or_insert_with(cost)
    }

    /// Returns what the rule costs per period: that of a cycle over its expected length.
    fn cost(&mut self, low: i64, high: i64) -> Result<f64, StatisticsError> {
        let width = usize::try_from(high - low).unwrap_or(usize::MAX);
        self.reach(width)?;
        let (mut cost, mut length) = (self.fixed_cost, 0.0);
        let visits: Vec<f64> = self.visits.iter().copied().take(width).collect();
        for (below, visits) in (0_i64..).zip(visits) {
            cost += visits * self.cost_at(high - below);
            length += visits;
        }
        finite("the cost", cost / length)
    }

    fn reach(&mut self, width: usize) -> Result<(), StatisticsError> {
        if MOST_WIDTH < width {
            let count = u64::try_from(width).unwrap_or(u64::MAX);
            let what = "pieces from reorder point to order-up-to level";
            return Err(StatisticsError::TooMany { what, count, most: 2_000 });
        }
        for at in self.visits.len()..width {
            let pieces = i64::try_from(at).unwrap_or(i64::MAX);
            self.chances.push(self.demand.chance(pieces));
            let any = -(-self.demand.mean()).exp_m1();
            let came = self.chances.iter().skip(1).zip(self.visits.iter().rev());
            let sum: f64 = came.map(|(chance, visits)| chance * visits).sum();
            let first = if at == 0 { 1.0 } else { 0.0 };
            self.visits.push((first + sum) / any);
        }
        Ok(())
    }
}
