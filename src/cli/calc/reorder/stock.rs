use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::{Value, json};

use super::super::{Fault, line};
use crate::domain::reorder::{
    self, Approximation, Economy, Stakes, Trade, Watched, best_rule_poisson, best_up_to_poisson,
    power_approximation,
};
use crate::domain::statistics::{Normal, Poisson, StatisticsError, at_least_zero, whole_up};

/// A season of normal demand.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct NormalLine {
    /// Of a piece left over.
    holding_cost: f64,
    /// Of a piece short.
    stockout_cost: f64,
    /// Pieces in a period.
    demand_mean: f64,
    /// Pieces in a period.
    demand_sd: f64,
    /// Periods that the stock must cover beside the first.
    #[serde(default)]
    lead_time: f64,
}

pub(super) fn newsvendor_normal(value: Value) -> Result<Value, Fault> {
    let it: NormalLine = line(value)?;
    let stakes = Stakes { over: it.holding_cost, under: it.stockout_cost };
    let periods = 1.0 + at_least_zero("the lead time", it.lead_time)?;
    let demand = Normal::new(it.demand_mean, it.demand_sd)?.over(periods)?;
    let once = reorder::newsvendor_normal(stakes, demand)?;
    let whole = whole_up(once.stock)?;
    Ok(json!({ "base_stock": once.stock, "cost": once.cost, "whole_base_stock": whole }))
}

/// What a piece brings and costs in a season of normal demand.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct ProfitLine {
    /// What a customer pays.
    revenue: f64,
    /// What the supplier is paid.
    purchase_cost: f64,
    /// What a piece left over fetches.
    #[serde(default)]
    salvage_value: f64,
    /// Pieces.
    demand_mean: f64,
    /// Pieces.
    demand_sd: f64,
}

pub(super) fn newsvendor_profit(value: Value) -> Result<Value, Fault> {
    let it: ProfitLine = line(value)?;
    let trade = Trade {
        revenue: it.revenue,
        purchase_cost: it.purchase_cost,
        salvage_value: it.salvage_value,
    };
    let demand = Normal::new(it.demand_mean, it.demand_sd)?;
    let (stock, profit) = reorder::newsvendor_profit(trade, demand)?;
    Ok(json!({ "Q": stock, "profit": profit, "whole_Q": whole_up(stock)? }))
}

/// A season of Poisson demand.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PoissonLine {
    /// Of a piece left over.
    holding_cost: f64,
    /// Of a piece short.
    stockout_cost: f64,
    /// Pieces.
    demand_mean: f64,
}

pub(super) fn newsvendor_poisson(value: Value) -> Result<Value, Fault> {
    let it: PoissonLine = line(value)?;
    let stakes = Stakes { over: it.holding_cost, under: it.stockout_cost };
    let (stock, cost) = reorder::newsvendor_poisson(stakes, Poisson::new(it.demand_mean)?)?;
    Ok(json!({ "base_stock": stock, "cost": cost }))
}

/// A season of demand of listed sizes.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct DiscreteLine {
    /// Of a piece left over.
    holding_cost: f64,
    /// Of a piece short.
    stockout_cost: f64,
    /// The chance of each number of pieces.
    demand_pmf: BTreeMap<String, f64>,
}

pub(super) fn newsvendor_discrete(value: Value) -> Result<Value, Fault> {
    let it: DiscreteLine = line(value)?;
    let size = |(size, chance): (&String, &f64)| {
        let size = size.parse::<i64>().ok().filter(|it| 0 <= *it);
        Some((size?, *chance))
    };
    let chances: Option<BTreeMap<i64, f64>> = it.demand_pmf.iter().map(size).collect();
    let message = "each size of demand_pmf must be a whole number of pieces, named once";
    let whole = chances.filter(|them| them.len() == it.demand_pmf.len());
    let chances = whole.ok_or(StatisticsError::Contradiction(message))?;
    let stakes = Stakes { over: it.holding_cost, under: it.stockout_cost };
    let (stock, cost) = reorder::newsvendor_discrete(stakes, &chances)?;
    Ok(json!({ "base_stock": stock, "cost": cost }))
}

/// How reorder point and quantity are found together.
#[derive(Debug, Clone, Copy, Deserialize, utoipa::ToSchema)]
enum MethodName {
    /// By turns, over the expected level of stock.
    #[serde(rename = "EIL (expected-inventory-level)", alias = "EIL")]
    ExpectedLevel,
    /// The quantity with backorders, and the reorder point that is best for it.
    #[serde(rename = "EOQ with backorders", alias = "EOQB")]
    WithBackorders,
    /// The plain quantity, and safety stock at the critical ratio.
    #[serde(rename = "EOQ + safety stock", alias = "EOQ+SS")]
    PlusSafetyStock,
    /// By turns, over the loss functions.
    #[serde(rename = "loss-function")]
    LossFunction,
}

/// A stock with normal demand that is watched all the time.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct RuleLine {
    /// Of one order.
    fixed_cost: f64,
    /// Of a piece kept for a unit of time.
    holding_cost: f64,
    /// Of a piece short: once by the expected level, else for a unit of time.
    stockout_cost: f64,
    /// Pieces in a unit of time.
    demand_mean: f64,
    /// Pieces in a unit of time.
    demand_sd: f64,
    /// Units of time from order to arrival.
    lead_time: f64,
    /// The way that they are found.
    #[schema(inline)]
    method: MethodName,
}

pub(super) fn rule(value: Value) -> Result<Value, Fault> {
    let it: RuleLine = line(value)?;
    let economy = Economy {
        fixed_cost: it.fixed_cost,
        holding_cost: it.holding_cost,
        demand_rate: it.demand_mean,
    };
    let demand = Normal::new(it.demand_mean, it.demand_sd)?.over(it.lead_time)?;
    let stock = Watched::new(economy, it.stockout_cost, demand)?;
    let rule = stock.rule(match it.method {
        MethodName::ExpectedLevel => Approximation::ExpectedLevel,
        MethodName::WithBackorders => Approximation::WithBackorders,
        MethodName::PlusSafetyStock => Approximation::PlusSafetyStock,
        MethodName::LossFunction => Approximation::LossFunction,
    })?;
    Ok(json!({
        "r": rule.reorder_point,
        "Q": rule.quantity,
        "cost_exact": stock.cost(rule)?,
        "whole_r": whole_up(rule.reorder_point)?,
        "whole_Q": whole_up(rule.quantity)?,
    }))
}

/// A stock with Poisson demand that is watched all the time.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PoissonRuleLine {
    /// Of one order.
    fixed_cost: f64,
    /// Of a piece kept for a unit of time.
    holding_cost: f64,
    /// Of a piece short for a unit of time.
    stockout_cost: f64,
    /// Pieces in a unit of time.
    demand_mean: f64,
    /// Units of time from order to arrival.
    lead_time: f64,
}

pub(super) fn rule_poisson(value: Value) -> Result<Value, Fault> {
    let it: PoissonRuleLine = line(value)?;
    let economy = Economy {
        fixed_cost: it.fixed_cost,
        holding_cost: it.holding_cost,
        demand_rate: it.demand_mean,
    };
    let lead = Poisson::new(it.demand_mean * it.lead_time)?;
    let (point, quantity, cost) = best_rule_poisson(economy, it.stockout_cost, lead)?;
    Ok(json!({ "r": point, "Q": quantity, "cost": cost }))
}

/// A stock with Poisson demand that is reviewed each period.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct UpToPoissonLine {
    /// Of one order.
    fixed_cost: f64,
    /// Of a piece left over at the end of a period.
    holding_cost: f64,
    /// Of a piece short at the end of a period.
    stockout_cost: f64,
    /// Pieces in a period.
    demand_mean: f64,
}

pub(super) fn up_to_poisson(value: Value) -> Result<Value, Fault> {
    let it: UpToPoissonLine = line(value)?;
    let stakes = Stakes { over: it.holding_cost, under: it.stockout_cost };
    let demand = Poisson::new(it.demand_mean)?;
    let (rule, cost) = best_up_to_poisson(it.fixed_cost, stakes, demand)?;
    Ok(json!({ "s": rule.reorder_point, "S": rule.up_to, "cost": cost }))
}

/// A stock with normal demand that is reviewed each period.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct UpToLine {
    /// Of one order.
    fixed_cost: f64,
    /// Of a piece left over at the end of a period.
    holding_cost: f64,
    /// Of a piece short at the end of a period.
    stockout_cost: f64,
    /// Pieces in a period.
    demand_mean: f64,
    /// Pieces in a period.
    demand_sd: f64,
}

pub(super) fn up_to_power(value: Value) -> Result<Value, Fault> {
    let it: UpToLine = line(value)?;
    let stakes = Stakes { over: it.holding_cost, under: it.stockout_cost };
    let demand = Normal::new(it.demand_mean, it.demand_sd)?;
    let rule = power_approximation(it.fixed_cost, stakes, demand)?;
    let whole = (whole_up(rule.reorder_point)?, whole_up(rule.up_to)?);
    Ok(json!({
        "s": rule.reorder_point,
        "S": rule.up_to,
        "whole_s": whole.0,
        "whole_S": whole.1,
    }))
}
