use super::economic::{Economy, Lot};
use crate::domain::statistics::{
    StatisticsError, at_least_zero, finite, positive, real, whole_down, whole_up,
};

/// What a piece costs from so many pieces on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The fewest pieces for this price.
    pub from: f64,
    /// What a piece costs.
    pub unit_cost: f64,
}

/// Which pieces a lower price is for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Discount {
    /// Every piece of an order that reaches the quantity.
    #[default]
    AllUnits,
    /// Only those beyond it.
    Incremental,
}

/// A price list, and what ordering and keeping cost over a span of time.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceList {
    steps: Vec<Step>,
    discount: Discount,
    fixed_cost: f64,
    holding_rate: f64,
    demand_rate: f64,
}

/// The best order under a price list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PricedLot {
    /// Pieces in one order.
    pub quantity: f64,
    /// The place of its price in the list, from 0.
    pub region: usize,
    /// Buying, ordering and keeping, over the span.
    pub cost: f64,
}

/// The most prices of one list.
const MOST_STEPS: usize = 1_000;

impl PriceList {
    /// Returns a price list: `fixed_cost` of an order, `holding_rate` of a piece's price for keeping
    /// it over the span (0.2 is 20 %), `demand_rate` pieces wanted over the span.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when the list does not start at 0 pieces, its quantities do not rise, a
    /// price rises from one step to the next, or a figure is not above zero.
    pub fn new(
        steps: Vec<Step>,
        discount: Discount,
        (fixed_cost, holding_rate, demand_rate): (f64, f64, f64),
    ) -> Result<Self, StatisticsError> {
        positive("the fixed cost of an order", fixed_cost)?;
        positive("the holding rate", holding_rate)?;
        positive("the demand rate", demand_rate)?;
        if MOST_STEPS < steps.len() {
            let count = u64::try_from(steps.len()).unwrap_or(u64::MAX);
            return Err(StatisticsError::TooMany { what: "prices", count, most: 1_000 });
        }
        if steps.first().is_none_or(|it| it.from != 0.0) {
            return Err(StatisticsError::Contradiction("the first price must hold from 0 pieces"));
        }
        for step in &steps {
            at_least_zero("a price's quantity", step.from)?;
            positive("a price", step.unit_cost)?;
        }
        let mut pairs = steps.iter().zip(steps.iter().skip(1));
        if pairs.any(|(low, high)| high.from <= low.from || low.unit_cost < high.unit_cost) {
            let message = "the quantities of the prices must rise, and no price with them";
            return Err(StatisticsError::Contradiction(message));
        }
        Ok(Self { steps, discount, fixed_cost, holding_rate, demand_rate })
    }

    /// Returns the order quantity that costs least over the span.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::NoNumber`] when the figures lie too far apart.
    ///
    /// # Source
    ///
    /// Snyder & Shen, *Fundamentals of Supply Chain Theory*, 2nd ed., §3.4.
    ///
    /// ```
    /// use kitwright::domain::reorder::{Discount, PriceList, Step};
    /// // Snyder & Shen, example 3.5.
    /// let steps = [(0.0, 0.75), (400.0, 0.72), (800.0, 0.68)];
    /// let steps = steps.map(|(from, unit_cost)| Step { from, unit_cost }).to_vec();
    /// let list = PriceList::new(steps, Discount::AllUnits, (8.0, 0.3, 1300.0))?;
    /// let best = list.lot()?;
    /// assert_eq!((best.quantity, best.region), (800.0, 2));
    /// assert!((best.cost - 978.6).abs() < 1e-9);
    /// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
    /// ```
    pub fn lot(&self) -> Result<PricedLot, StatisticsError> {
        let regions = 0..self.steps.len();
        let best = regions.map(|it| self.best_of(it)).collect::<Result<Vec<_>, _>>()?;
        let best = best.into_iter().flatten().min_by(|a, b| a.cost.total_cmp(&b.cost));
        best.ok_or(StatisticsError::NoNumber("the order quantity"))
    }

    /// Returns the whole number of pieces that costs least over the span, and that cost.
    ///
    /// # Errors
    ///
    /// As [`PriceList::lot`].
    pub fn whole_lot(&self) -> Result<(i64, f64), StatisticsError> {
        let mut best: Option<(i64, f64)> = None;
        for region in 0..self.steps.len() {
            let Some(lot) = self.best_of(region)? else { continue };
            let below = whole_down(lot.quantity)?;
            let from = self.steps.get(region).map_or(Ok(0), |it| whole_up(it.from))?;
            for quantity in [below, below + 1].map(|it| it.max(from).max(1)) {
                let cost = self.cost(real(quantity));
                if best.is_none_or(|(_, least)| cost < least) {
                    best = Some((quantity, cost));
                }
            }
        }
        best.ok_or(StatisticsError::NoNumber("the order quantity"))
    }

    /// Returns what orders of so many pieces cost over the span: buying, ordering and keeping.
    pub fn cost(&self, quantity: f64) -> f64 {
        let lot = self.price(quantity);
        let each = lot / quantity;
        self.demand_rate * each
            + self.fixed_cost * self.demand_rate / quantity
            + self.holding_rate * each * quantity / 2.0
    }

    /// Returns what one order of so many pieces costs to buy.
    pub fn price(&self, quantity: f64) -> f64 {
        let reached = self.steps.iter().rev().find(|it| it.from <= quantity);
        let Some(step) = reached.or(self.steps.first()) else { return 0.0 };
        match self.discount {
            Discount::AllUnits => step.unit_cost * quantity,
            Discount::Incremental => self.paid_before(step.from) + step.unit_cost * quantity,
        }
    }

    /// Returns what pieces up to `from` cost beyond the price that holds from there on.
    fn paid_before(&self, from: f64) -> f64 {
        let pairs = self.steps.iter().zip(self.steps.iter().skip(1));
        pairs
            .take_while(|(_, high)| high.from <= from)
            .map(|(low, high)| (low.unit_cost - high.unit_cost) * high.from)
            .sum()
    }

    /// Returns the best quantity within one price's region, or `None` where another is better.
    fn best_of(&self, region: usize) -> Result<Option<PricedLot>, StatisticsError> {
        let Some(step) = self.steps.get(region) else { return Ok(None) };
        let next = self.steps.get(region + 1).map_or(f64::INFINITY, |it| it.from);
        let extra = match self.discount {
            Discount::AllUnits => 0.0,
            Discount::Incremental => self.paid_before(step.from),
        };
        let economy = Economy {
            fixed_cost: self.fixed_cost + extra,
            holding_cost: self.holding_rate * step.unit_cost,
            demand_rate: self.demand_rate,
        };
        let Lot { quantity, .. } = economy.lot()?;
        let quantity = match self.discount {
            // Below its region a quantity is raised to the break; a break itself is never best
            // where only the pieces beyond it are cheaper.
            Discount::AllUnits => quantity.max(step.from),
            Discount::Incremental if quantity < step.from => return Ok(None),
            Discount::Incremental => quantity,
        };
        if next <= quantity {
            return Ok(None);
        }
        let cost = finite("the cost", self.cost(quantity))?;
        Ok(Some(PricedLot { quantity, region, cost }))
    }
}
