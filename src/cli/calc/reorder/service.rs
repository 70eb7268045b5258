use serde::Deserialize;
use serde_json::{Map, Value, json};

use super::super::{Fault, line};
use crate::domain::reorder::{
    ReorderPoint, Supply, base_stock, kanban_cards, poisson_reorder_point, rank_by_spend, two_bins,
};
use crate::domain::statistics::{Poisson, StatisticsError, finite, standard, whole_up};
use crate::units::Quantity;

/// A point of the standard normal distribution.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct LossLine {
    /// Standard deviations above the mean.
    z: f64,
}

pub(super) fn normal_loss(value: Value) -> Result<Value, Fault> {
    let z = finite("z", line::<LossLine>(value)?.z)?;
    Ok(json!({
        "G": finite("the loss", standard::loss(z))?,
        "cdf": standard::below(z),
        "pdf": standard::density(z),
        "second_order": finite("the loss", standard::second_loss(z))?,
    }))
}

/// A stock against Poisson demand.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PoissonLossLine {
    /// Pieces of demand.
    mean: f64,
    /// Pieces of stock.
    x: i64,
}

pub(super) fn poisson_loss(value: Value) -> Result<Value, Fault> {
    let it: PoissonLossLine = line(value)?;
    let demand = Poisson::new(it.mean)?;
    Ok(json!({
        "n": demand.loss(it.x),
        "complementary": demand.left_over(it.x),
        "cdf": demand.at_most(it.x),
    }))
}

/// A share of demand to be filled from stock.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct FillLine {
    /// Pieces.
    demand_per_period: f64,
    /// Pieces.
    sd_per_period: f64,
    /// Periods.
    lead_time: f64,
    /// Periods.
    #[serde(default)]
    sd_lead_time: f64,
    /// Between 0 and 1.
    fill_rate: f64,
    /// Pieces in an order.
    order_quantity: f64,
}

pub(super) fn fill_rate(value: Value) -> Result<Value, Fault> {
    let it: FillLine = line(value)?;
    let supply = Supply {
        demand: it.demand_per_period,
        demand_sd: it.sd_per_period,
        lead_time: it.lead_time,
        lead_time_sd: it.sd_lead_time,
    };
    point(supply.by_fill_rate(it.fill_rate, it.order_quantity)?)
}

fn point(it: ReorderPoint) -> Result<Value, Fault> {
    Ok(json!({
        "mean_ltd": finite("demand until arrival", it.lead_demand.mean)?,
        "sd_ltd": it.lead_demand.sd,
        "z": it.z,
        "safety_stock": finite("the safety stock", it.safety_stock)?,
        "reorder_point": it.reorder_point,
        "whole_reorder_point": whole_up(it.reorder_point)?,
    }))
}

/// A share of the waits for an order without a stock-out.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct CycleLine {
    /// Pieces.
    demand_per_period: f64,
    /// Pieces.
    sd_per_period: f64,
    /// Periods.
    lead_time: f64,
    /// Periods.
    #[serde(default)]
    sd_lead_time: f64,
    /// Between 0 and 1.
    cycle_service_level: f64,
}

pub(super) fn cycle_service(value: Value) -> Result<Value, Fault> {
    let it: CycleLine = line(value)?;
    let supply = Supply {
        demand: it.demand_per_period,
        demand_sd: it.sd_per_period,
        lead_time: it.lead_time,
        lead_time_sd: it.sd_lead_time,
    };
    point(supply.by_cycle_service(it.cycle_service_level)?)
}

/// A reorder point for Poisson demand.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PoissonPointLine {
    /// Pieces.
    mean_per_period: f64,
    /// Periods.
    lead_time: f64,
    /// Between 0 and 1.
    cycle_service_level: f64,
}

pub(super) fn poisson_point(value: Value) -> Result<Value, Fault> {
    let it: PoissonPointLine = line(value)?;
    let mean = it.mean_per_period * it.lead_time;
    let (point, achieved) = poisson_reorder_point(Poisson::new(mean)?, it.cycle_service_level)?;
    Ok(json!({ "mean_ltd": mean, "reorder_point": point, "achieved": achieved }))
}

/// A stock that is topped up one for one.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct BaseStockLine {
    /// Pieces in a unit of time.
    demand_rate: f64,
    /// Units of time.
    lead_time: f64,
    /// Pieces.
    base_stock: i64,
}

pub(super) fn one_for_one(value: Value) -> Result<Value, Fault> {
    let it: BaseStockLine = line(value)?;
    let stock = base_stock(Poisson::new(it.demand_rate * it.lead_time)?, it.base_stock)?;
    Ok(json!({
        "fill_rate": stock.fill_rate,
        "ready_rate": stock.fill_rate,
        "expected_backorders": stock.backorders,
        "expected_on_hand": stock.on_hand,
    }))
}

/// Containers with a card each.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct KanbanLine {
    /// Pieces.
    demand_per_day: f64,
    /// Days.
    lead_time_days: f64,
    /// What is added for safety, as a part of the demand.
    #[serde(default)]
    safety_fraction: f64,
    /// Pieces in a container.
    container_quantity: f64,
}

pub(super) fn kanban(value: Value) -> Result<Value, Fault> {
    let it: KanbanLine = line(value)?;
    let (raw, cards) = kanban_cards(
        it.demand_per_day,
        it.lead_time_days,
        it.safety_fraction,
        it.container_quantity,
    )?;
    Ok(json!({ "raw": raw, "cards": cards }))
}

/// Two bins for a peak of demand.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct BinsLine {
    /// Pieces.
    demand_per_day: f64,
    /// Pieces.
    sd_per_day: f64,
    /// Days.
    lead_time_days: f64,
    /// Days.
    #[serde(default)]
    sd_lead_time_days: f64,
    /// Between 0 and 1.
    cycle_service_level: f64,
    /// Pieces in a container.
    container_quantity: Quantity,
}

pub(super) fn bins(value: Value) -> Result<Value, Fault> {
    let it: BinsLine = line(value)?;
    let peak = Supply {
        demand: it.demand_per_day,
        demand_sd: it.sd_per_day,
        lead_time: it.lead_time_days,
        lead_time_sd: it.sd_lead_time_days,
    };
    let bins = two_bins(&peak, it.cycle_service_level, it.container_quantity)?;
    Ok(json!({
        "least": bins.least,
        "containers": bins.containers,
        "bin": bins.bin,
        "cards": bins.cards,
    }))
}

/// Parts to be ranked by what is spent on them.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct AbcLine {
    /// The parts.
    #[schema(inline)]
    items: Vec<SpendLine>,
    /// The shares of the whole where A and B end.
    #[serde(default = "usual_cuts")]
    cuts: [f64; 2],
}

const fn usual_cuts() -> [f64; 2] {
    [0.8, 0.95]
}

/// What a year of a part costs.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct SpendLine {
    /// Its name.
    id: String,
    /// Pieces.
    annual_use: f64,
    /// Of a piece.
    unit_cost: f64,
}

pub(super) fn abc(value: Value) -> Result<Value, Fault> {
    let AbcLine { items, cuts: [first, second] } = line(value)?;
    let costs: Vec<f64> = items.iter().map(|it| it.annual_use * it.unit_cost).collect();
    let ranked = rank_by_spend(&costs, (first, second))?;
    let name = |at: usize| items.get(at).map_or("", |it| it.id.as_str());
    let classes =
        |class: fn(&crate::domain::reorder::Ranked) -> &'static str| -> Map<String, Value> {
            ranked.iter().map(|it| (name(it.at).to_owned(), json!(class(it)))).collect()
        };
    let before = classes(|it| it.by_share_before.name());
    if before.len() != items.len() {
        return Err(StatisticsError::Contradiction("each part must be named once").into());
    }
    Ok(json!({
        "order": ranked.iter().map(|it| name(it.at)).collect::<Vec<_>>(),
        "total": costs.iter().sum::<f64>(),
        "cum_share": ranked.iter().map(|it| it.up_to).collect::<Vec<_>>(),
        "class_if_share_before_below_cut": before,
        "class_if_share_after_at_most_cut": classes(|it| it.by_share_after.name()),
    }))
}
