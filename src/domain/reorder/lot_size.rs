use crate::domain::statistics::{StatisticsError, at_least_zero, finite, real, real_of_count};

/// What is wanted in a period, and what ordering, buying and keeping costs in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Period {
    /// Pieces wanted.
    pub demand: i64,
    /// Of an order that arrives in this period.
    pub fixed_cost: f64,
    /// Of a piece kept from this period into the next.
    pub holding_cost: f64,
    /// Of a piece that arrives in this period.
    pub purchase_cost: f64,
}

/// What arrives in each period, and what that costs.
#[derive(Debug, Clone, PartialEq)]
pub struct LotPlan {
    /// Pieces that arrive in each period, in whole pieces.
    pub quantities: Vec<i64>,
    /// Ordering, buying and keeping, over all periods.
    pub cost: f64,
}

/// The most periods that are planned at once: five years of days.
const MOST_PERIODS: usize = 2_000;

fn check(periods: &[Period]) -> Result<(), StatisticsError> {
    if periods.is_empty() {
        return Err(StatisticsError::Contradiction("a plan needs a period"));
    }
    if MOST_PERIODS < periods.len() {
        let count = u64::try_from(periods.len()).unwrap_or(u64::MAX);
        return Err(StatisticsError::TooMany { what: "periods", count, most: 2_000 });
    }
    for period in periods {
        at_least_zero("a period's demand", real(period.demand))?;
        at_least_zero("the fixed cost of an order", period.fixed_cost)?;
        at_least_zero("the holding cost", period.holding_cost)?;
        at_least_zero("the purchase cost", period.purchase_cost)?;
    }
    Ok(())
}

/// Returns what a plan costs: each order, what is bought, and what is kept from period to period.
///
/// # Errors
///
/// [`StatisticsError::Contradiction`] when the plan leaves a period short or has another number of
/// periods.
pub fn plan_cost(periods: &[Period], quantities: &[i64]) -> Result<f64, StatisticsError> {
    check(periods)?;
    if periods.len() != quantities.len() {
        return Err(StatisticsError::Contradiction("a plan names a quantity for each period"));
    }
    let (mut cost, mut kept) = (0.0, 0_i64);
    for (period, quantity) in periods.iter().zip(quantities) {
        kept = kept.saturating_add(*quantity).saturating_sub(period.demand);
        if kept < 0 || *quantity < 0 {
            return Err(StatisticsError::Contradiction("a plan must leave no period short"));
        }
        if 0 < *quantity {
            cost += period.fixed_cost + period.purchase_cost * real(*quantity);
        }
        cost += period.holding_cost * real(kept);
    }
    finite("the cost", cost)
}

/// Returns the plan that costs least of all: each order covers whole periods, so dynamic programming
/// finds it.
///
/// # Errors
///
/// [`StatisticsError`] when there is no period, more than 2,000, or a figure is below zero.
///
/// # Source
///
/// H. M. Wagner & T. M. Whitin, *Dynamic Version of the Economic Lot Size Model*, Management
/// Science 5, 1958; Snyder & Shen, *Fundamentals of Supply Chain Theory*, 2nd ed., §3.7.
///
/// ```
/// use kitwright::domain::reorder::{Period, wagner_whitin};
/// // Snyder & Shen, example 3.9: 500 an order, 2 for each piece kept.
/// let period = |demand| Period { demand, fixed_cost: 500.0, holding_cost: 2.0, purchase_cost: 0.0 };
/// let plan = wagner_whitin(&[90, 120, 80, 70].map(period))?;
/// assert_eq!((plan.quantities, plan.cost), (vec![210, 0, 150, 0], 1380.0));
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn wagner_whitin(periods: &[Period]) -> Result<LotPlan, StatisticsError> {
    check(periods)?;
    // For each number of periods covered: the least cost, and where its last order stands.
    let mut best: Vec<(f64, usize)> = vec![(f64::INFINITY, 0); periods.len() + 1];
    if let Some(start) = best.first_mut() {
        *start = (0.0, 0);
    }
    for first in 0..periods.len() {
        let before = best.get(first).map_or(f64::INFINITY, |it| it.0);
        let covered = periods.iter().skip(first);
        let (mut cost, mut each, mut ordered) = (before, 0.0, false);
        for (period, reached) in covered.zip(best.iter_mut().skip(first + 1)) {
            if 0 < period.demand {
                let order = periods.get(first).copied().unwrap_or(*period);
                if !ordered {
                    cost += order.fixed_cost;
                    ordered = true;
                }
                cost += real(period.demand) * (order.purchase_cost + each);
            }
            each += period.holding_cost;
            if cost < reached.0 {
                *reached = (cost, first);
            }
        }
    }
    let mut quantities = vec![0; periods.len()];
    let mut end = periods.len();
    while 0 < end {
        let first = best.get(end).map_or(0, |it| it.1);
        let covered = periods.get(first..end).unwrap_or_default();
        if let Some(quantity) = quantities.get_mut(first) {
            *quantity = covered.iter().map(|it| it.demand).sum();
        }
        end = first;
    }
    // The plan's own cost, summed anew, has gathered no rounding on the way.
    let cost = plan_cost(periods, &quantities)?;
    Ok(LotPlan { quantities, cost })
}

/// Returns the plan by the rule of Silver and Meal: an order covers one more period as long as the
/// average cost of the periods that it covers does not rise. Periods that want nothing before the
/// first demand of an order are left out of it. Buying costs the same whenever it is done.
///
/// # Errors
///
/// As [`wagner_whitin`].
///
/// # Source
///
/// E. A. Silver & H. C. Meal, *A heuristic for selecting lot size quantities*, Production and
/// Inventory Management 14, 1973; Silver, Pyke & Thomas, 4th ed., §5.6.1.
pub fn silver_meal(periods: &[Period]) -> Result<LotPlan, StatisticsError> {
    check(periods)?;
    let mut quantities = Vec::with_capacity(periods.len());
    while let Some(order) = periods.get(quantities.len()) {
        if order.demand == 0 {
            quantities.push(0);
            continue;
        }
        let rest = periods.get(quantities.len()..).unwrap_or_default();
        let count = covered_by_one(rest);
        quantities.push(rest.iter().take(count).map(|it| it.demand).sum());
        quantities.extend(std::iter::repeat_n(0, count - 1));
    }
    let cost = plan_cost(periods, &quantities)?;
    Ok(LotPlan { quantities, cost })
}

/// Returns how many of the periods one order at their start covers; at least 1.
fn covered_by_one(rest: &[Period]) -> usize {
    let mut cost = rest.first().map_or(0.0, |it| it.fixed_cost);
    let mut each = rest.first().map_or(0.0, |it| it.holding_cost);
    let mut count = 1;
    for period in rest.iter().skip(1) {
        let longer = cost + each * real(period.demand);
        let (now, then) = (cost / real_of_count(count), longer / real_of_count(count + 1));
        // A tie may differ in its last digit.
        if now * (1.0 + 1e-12) < then {
            break;
        }
        cost = longer;
        each += period.holding_cost;
        count += 1;
    }
    count
}
