use crate::domain::statistics::{
    Normal, Poisson, StatisticsError, at_least_zero, positive, share, standard,
};

/// Demand of one period and the lead time in periods, each with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// Pieces per period.
    pub demand: f64,
    /// Pieces per period.
    pub demand_sd: f64,
    /// Periods from order to arrival.
    pub lead_time: f64,
    /// Periods.
    pub lead_time_sd: f64,
}

/// Demand from an order to its arrival.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadDemand {
    /// Pieces.
    pub mean: f64,
    /// Pieces.
    pub sd: f64,
}

/// A reorder point and what it is made of, in pieces; fractions, to be rounded up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReorderPoint {
    /// Demand expected from order to arrival.
    pub lead_demand: LeadDemand,
    /// The safety stock in standard deviations.
    pub z: f64,
    /// The safety stock.
    pub safety_stock: f64,
    /// Order when the supply is at or below this.
    pub reorder_point: f64,
}

impl Supply {
    /// Returns the demand from an order to its arrival.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when a figure is below zero.
    ///
    /// # Source
    ///
    /// Demand and lead time independent of one another: mean d·L, variance L·σd² + d²·σL². Silver,
    /// Pyke & Thomas, *Inventory and Production Management in Supply Chains*, 4th ed., §6.10.
    pub fn lead_demand(&self) -> Result<LeadDemand, StatisticsError> {
        let demand = at_least_zero("the demand of a period", self.demand)?;
        let demand_sd = at_least_zero("the standard deviation of demand", self.demand_sd)?;
        let lead_time = at_least_zero("the lead time", self.lead_time)?;
        let lead_time_sd =
            at_least_zero("the standard deviation of the lead time", self.lead_time_sd)?;
        let noise = lead_time.sqrt() * demand_sd;
        let slip = demand * lead_time_sd;
        Ok(LeadDemand { mean: demand * lead_time, sd: noise.hypot(slip) })
    }

    /// Returns the reorder point with which a share `level` of the waits for an order sees no
    /// stock-out: the cycle service level.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when a figure is below zero or the level not between 0 and 1.
    ///
    /// # Source
    ///
    /// Silver, Pyke & Thomas, 4th ed., §6.7.4 (P1).
    ///
    /// ```
    /// use kitwright::domain::reorder::Supply;
    /// // Pinch bolts in December: 4 on each of 253 bikes and 8.5 % more in 31 days; 21 ± 6 days.
    /// let demand = 253.0 * 4.0 * 1.085 / 31.0;
    /// let peak = Supply { demand, demand_sd: 0.45 * demand, lead_time: 21.0, lead_time_sd: 6.0 };
    /// let points = [0.95, 0.99, 0.999].map(|it| peak.by_cycle_service(it).unwrap().reorder_point);
    /// assert_eq!(points.map(f64::round), [1113.0, 1267.0, 1438.0]);
    /// ```
    pub fn by_cycle_service(&self, level: f64) -> Result<ReorderPoint, StatisticsError> {
        let z = standard::quantile(share("the cycle service level", level)?);
        Ok(point(self.lead_demand()?, z))
    }

    /// Returns the reorder point with which a share `rate` of demand is filled from stock, in orders
    /// of `quantity` pieces: σ·G(z) = (1 − rate)·Q.
    ///
    /// The safety stock is below zero where large orders alone fill more than asked.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is below zero, the rate is not between 0 and 1, or nothing
    /// varies.
    ///
    /// # Source
    ///
    /// Silver, Pyke & Thomas, 4th ed., §6.7.5 (P2, complete backordering).
    pub fn by_fill_rate(&self, rate: f64, quantity: f64) -> Result<ReorderPoint, StatisticsError> {
        let rate = share("the fill rate", rate)?;
        let quantity = positive("the order quantity", quantity)?;
        let lead_demand = self.lead_demand()?;
        let sd = positive("the standard deviation of demand until arrival", lead_demand.sd)?;
        Ok(point(lead_demand, standard::loss_quantile((1.0 - rate) * quantity / sd)))
    }
}

fn point(lead_demand: LeadDemand, z: f64) -> ReorderPoint {
    let safety_stock = z * lead_demand.sd;
    ReorderPoint { lead_demand, z, safety_stock, reorder_point: lead_demand.mean + safety_stock }
}

/// Returns the least reorder point in whole pieces that covers Poisson demand until arrival with
/// the chance `level`, and the chance that it does cover it with.
///
/// # Errors
///
/// [`StatisticsError`] when the mean or the level is out of range.
///
/// # Source
///
/// Silver, Pyke & Thomas, 4th ed., §7.1 (slow-moving items).
pub fn poisson_reorder_point(
    lead_demand: Poisson,
    level: f64,
) -> Result<(i64, f64), StatisticsError> {
    let point = lead_demand.quantile(level)?;
    Ok((point, lead_demand.at_most(point)))
}

/// What a stock gives that is topped up one for one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BaseStock {
    /// The share of demand that is filled from stock at once; that of time with stock on hand is
    /// the same.
    pub fill_rate: f64,
    /// Pieces that customers wait for, on average.
    pub backorders: f64,
    /// Pieces on hand, on average.
    pub on_hand: f64,
}

/// Returns what a base stock of so many pieces gives where each piece sold is ordered at once.
///
/// # Errors
///
/// [`StatisticsError::Range`] when the stock is below zero.
///
/// # Source
///
/// The (S − 1, S) policy: Silver, Pyke & Thomas, 4th ed., §9.2; by Palm's theorem the lead time's
/// distribution does not matter.
pub fn base_stock(lead_demand: Poisson, stock: i64) -> Result<BaseStock, StatisticsError> {
    at_least_zero("the base stock", crate::domain::statistics::real(stock))?;
    Ok(BaseStock {
        fill_rate: lead_demand.at_most(stock - 1),
        backorders: lead_demand.loss(stock),
        on_hand: lead_demand.left_over(stock),
    })
}

impl LeadDemand {
    /// Returns this as a normal distribution.
    ///
    /// # Errors
    ///
    /// [`StatisticsError::Range`] when nothing varies.
    pub fn normal(&self) -> Result<Normal, StatisticsError> {
        Normal::new(self.mean, self.sd)
    }
}
