use serde::Deserialize;
use serde_json::{Value, json};

use super::super::{Fault, line};
use crate::domain::reorder::{
    self, Discount, Economy, LotPlan, Period, PriceList, Step, joint_order,
};
use crate::domain::statistics::StatisticsError;

/// What an order and a piece kept cost, and how many are wanted, over the same span of time.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct EoqLine {
    /// Of one order.
    fixed_cost: f64,
    /// Of a piece kept for the span.
    holding_cost: f64,
    /// Pieces over the span.
    demand_rate: f64,
}

pub(super) fn eoq(value: Value) -> Result<Value, Fault> {
    let EoqLine { fixed_cost, holding_cost, demand_rate } = line(value)?;
    let economy = Economy { fixed_cost, holding_cost, demand_rate };
    let (lot, (whole, whole_cost)) = (economy.lot()?, economy.whole_lot()?);
    Ok(json!({
        "Q": lot.quantity,
        "cost": lot.cost,
        "best_integer_Q": whole,
        "best_integer_cost": whole_cost,
    }))
}

/// The same, where customers wait for what is short.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct BackordersLine {
    /// Of one order.
    fixed_cost: f64,
    /// Of a piece kept for the span.
    holding_cost: f64,
    /// Of a piece short for the span.
    stockout_cost: f64,
    /// Pieces over the span.
    demand_rate: f64,
}

pub(super) fn eoq_backorders(value: Value) -> Result<Value, Fault> {
    let BackordersLine { fixed_cost, holding_cost, stockout_cost, demand_rate } = line(value)?;
    let economy = Economy { fixed_cost, holding_cost, demand_rate };
    let (lot, waits) = economy.lot_with_backorders(stockout_cost)?;
    Ok(json!({ "Q": lot.quantity, "stockout_fraction": waits, "cost": lot.cost }))
}

/// The same, where the house makes the part while it is used.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct EpqLine {
    /// Of one run.
    fixed_cost: f64,
    /// Of a piece kept for the span.
    holding_cost: f64,
    /// Pieces used over the span.
    demand_rate: f64,
    /// Pieces made over the span; above the demand rate.
    production_rate: f64,
}

pub(super) fn epq(value: Value) -> Result<Value, Fault> {
    let EpqLine { fixed_cost, holding_cost, demand_rate, production_rate } = line(value)?;
    let lot = Economy { fixed_cost, holding_cost, demand_rate }.run(production_rate)?;
    Ok(json!({ "Q": lot.quantity, "cost": lot.cost }))
}

/// A price list, and what ordering and keeping costs over a span of time.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct BreaksLine {
    /// Of one order.
    fixed_cost: f64,
    /// Of keeping a piece for the span, as a part of its price.
    holding_cost_rate: f64,
    /// Pieces over the span.
    demand_rate: f64,
    /// The fewest pieces for each price, from 0 on.
    breakpoints: Vec<f64>,
    /// What a piece costs from each of them on.
    unit_costs: Vec<f64>,
}

pub(super) fn eoq_all_units(value: Value) -> Result<Value, Fault> {
    priced(value, Discount::AllUnits)
}

pub(super) fn eoq_incremental(value: Value) -> Result<Value, Fault> {
    priced(value, Discount::Incremental)
}

fn priced(value: Value, discount: Discount) -> Result<Value, Fault> {
    let it: BreaksLine = line(value)?;
    if it.breakpoints.len() != it.unit_costs.len() {
        let message = "breakpoints and unit_costs must be equally many";
        return Err(StatisticsError::Contradiction(message).into());
    }
    let steps = it.breakpoints.iter().zip(&it.unit_costs);
    let steps = steps.map(|(from, unit_cost)| Step { from: *from, unit_cost: *unit_cost });
    let costs = (it.fixed_cost, it.holding_cost_rate, it.demand_rate);
    let list = PriceList::new(steps.collect(), discount, costs)?;
    let (lot, (whole, whole_cost)) = (list.lot()?, list.whole_lot()?);
    Ok(json!({
        "Q": lot.quantity,
        "region": lot.region,
        "cost": lot.cost,
        "best_integer_Q": whole,
        "best_integer_cost": whole_cost,
    }))
}

/// Parts that are ordered together.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct JointLine {
    /// Of one order, whatever is on it.
    shared_fixed_cost: f64,
    /// Of each part's line on it.
    individual_fixed_costs: Vec<f64>,
    /// Of a piece of each part kept for the span.
    holding_costs: Vec<f64>,
    /// Pieces of each part over the span.
    demand_rates: Vec<f64>,
}

pub(super) fn joint_replenishment(value: Value) -> Result<Value, Fault> {
    let it: JointLine = line(value)?;
    let counts = [it.individual_fixed_costs.len(), it.holding_costs.len(), it.demand_rates.len()];
    if counts.iter().any(|count| *count != it.demand_rates.len()) {
        let message = "individual_fixed_costs, holding_costs and demand_rates must be equally many";
        return Err(StatisticsError::Contradiction(message).into());
    }
    let members = it.individual_fixed_costs.iter().zip(&it.holding_costs).zip(&it.demand_rates);
    let member = |((fixed_cost, holding_cost), demand_rate): ((&f64, &f64), &f64)| Economy {
        fixed_cost: *fixed_cost,
        holding_cost: *holding_cost,
        demand_rate: *demand_rate,
    };
    let members: Vec<Economy> = members.map(member).collect();
    let joint = joint_order(it.shared_fixed_cost, &members)?;
    Ok(json!({
        "Q": joint.quantities,
        "T": joint.interval,
        "multiples": joint.multiples,
        "cost": joint.cost,
    }))
}

/// One figure for all periods, or one for each.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(untagged)]
enum Each {
    /// For all periods.
    All(f64),
    /// For each period.
    Of(Vec<f64>),
}

impl Each {
    fn at(&self, period: usize) -> Option<f64> {
        match self {
            Self::All(it) => Some(*it),
            Self::Of(list) => list.get(period).copied(),
        }
    }

    fn is_for(&self, periods: usize) -> bool {
        match self {
            Self::All(_) => true,
            Self::Of(list) => list.len() == periods,
        }
    }
}

/// What is wanted in each period, in whole pieces, and what ordering, keeping and buying costs.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PlanLine {
    /// How many periods there are; left out, as many as the demand has.
    num_periods: Option<usize>,
    /// Of one order.
    #[schema(inline)]
    fixed_cost: Each,
    /// Of a piece kept from one period into the next.
    #[schema(inline)]
    holding_cost: Each,
    /// Of a piece.
    #[schema(inline)]
    purchase_cost: Option<Each>,
    /// Pieces wanted in each period.
    demand: Vec<i64>,
}

impl PlanLine {
    fn periods(&self) -> Result<Vec<Period>, StatisticsError> {
        let count = self.demand.len();
        let free = Each::All(0.0);
        let purchase = self.purchase_cost.as_ref().unwrap_or(&free);
        let whole =
            [&self.fixed_cost, &self.holding_cost, purchase].iter().all(|it| it.is_for(count));
        if !whole || self.num_periods.is_some_and(|it| it != count) {
            let message = "num_periods, demand and costs must name equally many periods";
            return Err(StatisticsError::Contradiction(message));
        }
        let period = |(at, demand): (usize, &i64)| Period {
            demand: *demand,
            fixed_cost: self.fixed_cost.at(at).unwrap_or_default(),
            holding_cost: self.holding_cost.at(at).unwrap_or_default(),
            purchase_cost: purchase.at(at).unwrap_or_default(),
        };
        Ok(self.demand.iter().enumerate().map(period).collect())
    }
}

pub(super) fn wagner_whitin(value: Value) -> Result<Value, Fault> {
    let it: PlanLine = line(value)?;
    let LotPlan { quantities, cost } = reorder::wagner_whitin(&it.periods()?)?;
    Ok(json!({ "order_quantities": quantities, "cost": cost }))
}

pub(super) fn silver_meal(value: Value) -> Result<Value, Fault> {
    let it: PlanLine = line(value)?;
    let periods = it.periods()?;
    let LotPlan { quantities, cost } = reorder::silver_meal(&periods)?;
    let optimal = reorder::wagner_whitin(&periods)?.cost;
    Ok(json!({ "order_quantities": quantities, "cost": cost, "optimal_cost": optimal }))
}
