use crate::domain::statistics::{
    StatisticsError, at_least_zero, finite, positive, real, whole_down,
};

/// What an order costs, what keeping a piece costs, and how many pieces are wanted, over the same
/// span of time (a year, a month) in the same money.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Economy {
    /// Of one order, whatever its size.
    pub fixed_cost: f64,
    /// Of one piece kept for the whole span.
    pub holding_cost: f64,
    /// Pieces wanted over the span.
    pub demand_rate: f64,
}

/// An order quantity and what it costs over the span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lot {
    /// Pieces in one order; a fraction, to be rounded by [`Economy::whole_lot`].
    pub quantity: f64,
    /// Ordering and keeping, over the span.
    pub cost: f64,
}

impl Economy {
    /// Returns this if each figure is above zero.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when one is not.
    pub fn checked(self) -> Result<Self, StatisticsError> {
        positive("the fixed cost of an order", self.fixed_cost)?;
        positive("the holding cost", self.holding_cost)?;
        positive("the demand rate", self.demand_rate)?;
        Ok(self)
    }

    /// Returns what orders of so many pieces cost over the span: ordering and keeping.
    pub fn cost(&self, quantity: f64) -> f64 {
        self.fixed_cost * self.demand_rate / quantity + self.holding_cost * quantity / 2.0
    }

    /// Returns the economic order quantity.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is not above zero, or they lie too far apart.
    ///
    /// # Source
    ///
    /// F. W. Harris, 1913; Snyder & Shen, *Fundamentals of Supply Chain Theory*, 2nd ed., §3.2.
    ///
    /// ```
    /// use kitwright::domain::reorder::Economy;
    /// // Snyder & Shen, example 3.1: 8 an order, 0.225 a year for each of 1,300 wanted a year.
    /// let candy = Economy { fixed_cost: 8.0, holding_cost: 0.225, demand_rate: 1300.0 };
    /// let lot = candy.lot()?;
    /// assert!((lot.quantity - 304.0468).abs() < 1e-4 && (lot.cost - 68.4105).abs() < 1e-4);
    /// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
    /// ```
    pub fn lot(&self) -> Result<Lot, StatisticsError> {
        self.checked()?;
        let quantity = (2.0 * self.fixed_cost * self.demand_rate / self.holding_cost).sqrt();
        lot(quantity, self.cost(quantity))
    }

    /// Returns the whole number of pieces that costs least: one of the two around the economic
    /// order quantity, and at least 1.
    ///
    /// # Errors
    ///
    /// As [`Economy::lot`].
    pub fn whole_lot(&self) -> Result<(i64, f64), StatisticsError> {
        let below = whole_down(self.lot()?.quantity)?.max(1);
        let (low, high) = (self.cost(real(below)), self.cost(real(below + 1)));
        Ok(if high < low { (below + 1, high) } else { (below, low) })
    }

    /// Returns the economic order quantity where customers wait, at `stockout_cost` for each piece
    /// short over the whole span, and the share of demand that waits.
    ///
    /// # Errors
    ///
    /// As [`Economy::lot`].
    ///
    /// # Source
    ///
    /// Snyder & Shen, 2nd ed., §3.5.
    pub fn lot_with_backorders(&self, stockout_cost: f64) -> Result<(Lot, f64), StatisticsError> {
        let stockout_cost = positive("the stock-out cost", stockout_cost)?;
        let plain = self.lot()?;
        let both = self.holding_cost + stockout_cost;
        let stretch = (both / stockout_cost).sqrt();
        let lot = lot(plain.quantity * stretch, plain.cost / stretch)?;
        Ok((lot, self.holding_cost / both))
    }

    /// Returns the economic quantity of a run that makes `production_rate` pieces over the span
    /// while they are used.
    ///
    /// # Errors
    ///
    /// As [`Economy::lot`], and [`StatisticsError::Contradiction`] when less is made than used.
    ///
    /// # Source
    ///
    /// Snyder & Shen, 2nd ed., §3.3.
    pub fn run(&self, production_rate: f64) -> Result<Lot, StatisticsError> {
        self.checked()?;
        let rate = positive("the production rate", production_rate)?;
        if rate <= self.demand_rate {
            let message = "the production rate must be above the demand rate";
            return Err(StatisticsError::Contradiction(message));
        }
        let kept = self.holding_cost * (1.0 - self.demand_rate / rate);
        Self { holding_cost: kept, ..*self }.lot()
    }
}

fn lot(quantity: f64, cost: f64) -> Result<Lot, StatisticsError> {
    let what = "the order quantity";
    Ok(Lot { quantity: positive(what, finite(what, quantity)?)?, cost: finite("the cost", cost)? })
}

/// How several parts from one supplier are ordered together.
#[derive(Debug, Clone, PartialEq)]
pub struct JointOrder {
    /// The time from one order to the next, as a part of the span.
    pub interval: f64,
    /// Each part is on every so-manieth order.
    pub multiples: Vec<i64>,
    /// Pieces of each part when it is ordered.
    pub quantities: Vec<f64>,
    /// Ordering and keeping all of them, over the span.
    pub cost: f64,
}

/// The most parts of one joint order.
const MOST_MEMBERS: usize = 10_000;

/// Returns how often to order from a supplier whose every order costs `shared_cost` beside each
/// line's own cost, and on which of the orders each part stands. A member's fixed cost is that of
/// its line.
///
/// # Errors
///
/// [`StatisticsError`] when there is no part, or a figure is not above zero; a line's own cost may
/// be zero.
///
/// # Source
///
/// E. A. Silver, *A simple method of determining order quantities in joint replenishments under
/// deterministic demand*, Management Science 22, 1976; Silver, Pyke & Peterson, 3rd ed., p. 428.
pub fn joint_order(shared_cost: f64, members: &[Economy]) -> Result<JointOrder, StatisticsError> {
    let shared = positive("the shared fixed cost", shared_cost)?;
    if MOST_MEMBERS < members.len() {
        let count = u64::try_from(members.len()).unwrap_or(u64::MAX);
        return Err(StatisticsError::TooMany { what: "parts", count, most: 10_000 });
    }
    for member in members {
        at_least_zero("a part's own fixed cost", member.fixed_cost)?;
        positive("a holding cost", member.holding_cost)?;
        positive("a demand rate", member.demand_rate)?;
    }
    // The part whose own cost is least against what its stock costs is on every order.
    let kept = |it: &Economy| it.holding_cost * it.demand_rate;
    let weight = |it: &Economy| it.fixed_cost / kept(it);
    let first = members.iter().min_by(|a, b| weight(a).total_cmp(&weight(b)));
    let first = first.ok_or(StatisticsError::Contradiction("a joint order needs a part"))?;
    let base = kept(first) / (shared + first.fixed_cost);
    let multiple = |it: &Economy| whole_down((weight(it) * base).sqrt() + 0.5).map(|it| it.max(1));
    let multiples: Vec<i64> = members.iter().map(multiple).collect::<Result<_, _>>()?;
    let both = || members.iter().zip(multiples.iter().map(|it| real(*it)));
    let ordering = shared + both().map(|(it, every)| it.fixed_cost / every).sum::<f64>();
    let keeping: f64 = both().map(|(it, every)| kept(it) * every).sum();
    let interval = finite("the interval", (2.0 * ordering / keeping).sqrt())?;
    let quantities = both().map(|(it, every)| every * it.demand_rate * interval).collect();
    let cost = finite("the cost", ordering / interval + keeping * interval / 2.0)?;
    Ok(JointOrder { interval, multiples, quantities, cost })
}
