use super::economic::Economy;
use super::newsvendor::Stakes;
use crate::domain::statistics::{
    Normal, Poisson, StatisticsError, finite, positive, real, standard,
};

/// How reorder point and quantity are found together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Approximation {
    /// By turns, over the expected level of stock; a piece short costs once.
    ExpectedLevel,
    /// The quantity with backorders, and the reorder point that is best for it.
    WithBackorders,
    /// The plain economic quantity, and safety stock at the critical ratio.
    PlusSafetyStock,
    /// By turns, over the loss functions of first and second order.
    LossFunction,
}

/// A stock that is watched all the time, with normal demand until arrival.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Watched {
    economy: Economy,
    stakes: Stakes,
    demand: Normal,
}

/// Order `quantity` pieces when the supply falls to the `reorder_point`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReorderRule {
    /// Pieces; a fraction, to be rounded up.
    pub reorder_point: f64,
    /// Pieces; a fraction, to be rounded up.
    pub quantity: f64,
}

/// Turns that any sensible figures need far fewer of.
const MOST_TURNS: usize = 10_000;

impl Watched {
    /// Returns a stock by its costs, what a piece short costs (for the whole span, or once), and the
    /// demand from order to arrival.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when a figure is not above zero.
    pub fn new(
        economy: Economy,
        stockout_cost: f64,
        demand: Normal,
    ) -> Result<Self, StatisticsError> {
        let economy = economy.checked()?;
        let stakes = Stakes { over: economy.holding_cost, under: stockout_cost }.checked()?;
        Ok(Self { economy, stakes, demand })
    }

    /// Returns reorder point and quantity.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when the costs leave no such rule, or the turns do not settle.
    ///
    /// # Source
    ///
    /// Snyder & Shen, *Fundamentals of Supply Chain Theory*, 2nd ed., §5.3.
    ///
    /// ```
    /// use kitwright::domain::reorder::{Approximation, Economy, Watched};
    /// use kitwright::domain::statistics::Normal;
    /// // Snyder & Shen, example 5.1: 1,300 ± 150 a year, one month of lead time.
    /// let economy = Economy { fixed_cost: 8.0, holding_cost: 0.225, demand_rate: 1300.0 };
    /// let candy = Watched::new(economy, 7.5, Normal::new(1300.0, 150.0)?.over(1.0 / 12.0)?)?;
    /// let rule = candy.rule(Approximation::ExpectedLevel)?;
    /// assert!((rule.reorder_point - 213.970).abs() < 0.001 && (rule.quantity - 318.590).abs() < 0.001);
    /// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
    /// ```
    pub fn rule(&self, by: Approximation) -> Result<ReorderRule, StatisticsError> {
        let plain = self.economy.lot()?.quantity;
        match by {
            Approximation::ExpectedLevel => self.by_turns(plain, Self::expected_level),
            Approximation::LossFunction => self.by_turns(plain, Self::loss_function),
            Approximation::PlusSafetyStock => Ok(ReorderRule {
                reorder_point: self.demand.quantile(self.stakes.ratio())?,
                quantity: plain,
            }),
            Approximation::WithBackorders => {
                let (lot, _) = self.economy.lot_with_backorders(self.stakes.under)?;
                let reorder_point = self.best_point(lot.quantity);
                Ok(ReorderRule { reorder_point, quantity: lot.quantity })
            }
        }
    }

    /// Returns what a rule costs over the span, exactly, where a piece short costs for as long as
    /// it is short.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::NoNumber`] when the figures lie too far apart.
    ///
    /// # Source
    ///
    /// Snyder & Shen, 2nd ed., §5.3.1 (Hadley & Whitin).
    pub fn cost(&self, rule: ReorderRule) -> Result<f64, StatisticsError> {
        let (low, high) = (rule.reorder_point, rule.reorder_point + rule.quantity);
        let middle = (low + high) / 2.0 - self.demand.mean();
        let short = self.demand.second_loss(low) - self.demand.second_loss(high);
        let both = self.stakes.over + self.stakes.under;
        let ordering = self.economy.fixed_cost * self.economy.demand_rate;
        let cost = self.stakes.over * middle + (ordering + both * short) / rule.quantity;
        finite("the cost", cost)
    }

    /// Returns what stock and shortage cost at once, with a supply of `level`.
    fn cost_at(&self, level: f64) -> f64 {
        self.stakes.over * self.demand.left_over(level)
            + self.stakes.under * self.demand.loss(level)
    }

    /// Returns the reorder point that is best for a quantity: the supply costs as much at its
    /// lowest as at its highest.
    fn best_point(&self, quantity: f64) -> f64 {
        let far = 40.0 * self.demand.sd();
        let (mut low, mut high) = (self.demand.mean() - quantity - far, self.demand.mean() + far);
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            let falls = self.cost_at(middle + quantity) < self.cost_at(middle);
            if falls { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }

    fn by_turns(
        &self,
        plain: f64,
        turn: fn(&Self, f64) -> Result<ReorderRule, StatisticsError>,
    ) -> Result<ReorderRule, StatisticsError> {
        let mut quantity = plain;
        for _ in 0..MOST_TURNS {
            let rule = turn(self, quantity)?;
            finite("the order quantity", rule.quantity)?;
            if (rule.quantity - quantity).abs() <= 1e-12 * quantity {
                return Ok(rule);
            }
            quantity = rule.quantity;
        }
        Err(StatisticsError::NoNumber("the order quantity"))
    }

    fn expected_level(&self, quantity: f64) -> Result<ReorderRule, StatisticsError> {
        let Economy { fixed_cost, holding_cost, demand_rate } = self.economy;
        let over = quantity * holding_cost / (self.stakes.under * demand_rate);
        if 1.0 <= over {
            let message = "a piece short costs so little that no reorder point is worth having";
            return Err(StatisticsError::Contradiction(message));
        }
        let reorder_point = self.demand.mean() - self.demand.sd() * standard::quantile(over);
        let short = self.demand.loss(reorder_point);
        let each = fixed_cost + self.stakes.under * short;
        Ok(ReorderRule {
            reorder_point,
            quantity: (2.0 * demand_rate * each / holding_cost).sqrt(),
        })
    }

    fn loss_function(&self, quantity: f64) -> Result<ReorderRule, StatisticsError> {
        let Economy { fixed_cost, holding_cost, demand_rate } = self.economy;
        let both = self.stakes.over + self.stakes.under;
        let loss = holding_cost * quantity / (both * self.demand.sd());
        let z = standard::loss_quantile(loss);
        let reorder_point = self.demand.mean() + z * self.demand.sd();
        let all = fixed_cost * demand_rate + both * self.demand.second_loss(reorder_point);
        Ok(ReorderRule { reorder_point, quantity: (2.0 * all / holding_cost).sqrt() })
    }
}

/// The most pieces of one order that are tried.
const MOST_PIECES: i64 = 50_000;

/// Returns the best reorder point and quantity for Poisson demand until arrival, in whole pieces,
/// with their exact cost over the span.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is not above zero, or the quantity grows beyond 50,000.
///
/// # Source
///
/// A. Federgruen & Y.-S. Zheng, *An efficient algorithm for computing an optimal (r, Q) policy in
/// continuous review stochastic inventory systems*, Operations Research 40, 1992.
pub fn best_rule_poisson(
    economy: Economy,
    stockout_cost: f64,
    demand: Poisson,
) -> Result<(i64, i64, f64), StatisticsError> {
    let economy = economy.checked()?;
    let under = positive("the stock-out cost", stockout_cost)?;
    let stakes = Stakes { over: economy.holding_cost, under };
    let cost_at = |it: i64| stakes.over * demand.left_over(it) + stakes.under * demand.loss(it);
    let best = demand.quantile(stakes.ratio())?;
    let (mut low, mut high) = (best - 1, best + 1);
    let (mut below, mut above) = (cost_at(low), cost_at(high));
    let mut sum = economy.fixed_cost * economy.demand_rate + cost_at(best);
    for quantity in 1..=MOST_PIECES {
        let average = sum / real(quantity);
        if average <= below.min(above) {
            return Ok((low, quantity, finite("the cost", average)?));
        }
        if below < above {
            sum += below;
            low -= 1;
            below = cost_at(low);
        } else {
            sum += above;
            high += 1;
            above = cost_at(high);
        }
    }
    let count = u64::try_from(MOST_PIECES).unwrap_or(u64::MAX);
    Err(StatisticsError::TooMany { what: "pieces of one order", count: count + 1, most: count })
}
