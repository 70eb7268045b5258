use serde::Deserialize;
use serde_json::{Value, json};

use super::super::{Fault, line};
use crate::domain::reorder::{
    Discount, Limits, PartToOrder, Policy, Position, Price, Service, Stakes, Supply, Terms,
    suggest, suggestion,
};
use crate::units::{Money, Quantity};

/// What is known of a part's supply, in pieces.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PositionLine {
    /// In bins.
    on_hand: Quantity,
    /// Still needed by open kits.
    #[serde(default)]
    needed: Quantity,
    /// Still to come.
    #[serde(default)]
    on_order: Quantity,
    /// Order at or below this.
    reorder_point: Quantity,
    /// The usual order.
    #[serde(default)]
    order_quantity: Quantity,
    /// The least that the supplier sells at once.
    #[serde(default)]
    minimum_order: Quantity,
    /// Pieces in one pack.
    #[serde(default = "one")]
    pack: Quantity,
}

const fn one() -> Quantity {
    Quantity::ONE
}

pub(super) fn position(value: Value) -> Result<Value, Fault> {
    let it: PositionLine = line(value)?;
    let position = Position {
        on_hand: it.on_hand,
        needed: it.needed,
        on_order: it.on_order,
        reorder_point: it.reorder_point,
        order_quantity: it.order_quantity,
        minimum_order: it.minimum_order,
        pack: it.pack,
    };
    let supply = position.supply();
    Ok(match suggest(&position) {
        Some(it) => json!({ "order": true, "quantity": it.quantity, "supply": supply }),
        None => json!({ "order": false, "supply": supply }),
    })
}

/// All that is known of a part, its supplier and its season.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PartLine {
    /// Pieces in bins.
    on_hand: Quantity,
    /// Pieces that open kits still need.
    #[serde(default)]
    needed: Quantity,
    /// Pieces still to come.
    #[serde(default)]
    on_order: Quantity,
    /// Pieces per day.
    demand_per_day: f64,
    /// Pieces per day.
    sd_per_day: f64,
    /// Days.
    lead_time_days: f64,
    /// Days.
    #[serde(default)]
    sd_lead_time_days: f64,
    /// Pieces per year; left out, 365 times the demand of a day.
    per_year: Option<f64>,
    /// When it is ordered, and up to what.
    #[schema(inline)]
    policy: PolicyLine,
    /// The least that the supplier sells at once.
    #[serde(default)]
    minimum_order: Quantity,
    /// Pieces in one pack.
    #[serde(default = "one")]
    pack: Quantity,
    /// From the fewest pieces to the most.
    #[serde(default)]
    #[schema(inline)]
    prices: Vec<PriceLine>,
    /// Whether a lower price is only for the pieces beyond its quantity.
    #[serde(default)]
    incremental: bool,
    /// What an order costs, in cents.
    #[serde(default)]
    order_cost_cents: i64,
    /// What keeping a piece for a year costs, in thousandths of its price.
    #[serde(default)]
    holding_per_mille: i64,
    /// Days after arrival within which the last piece must be used.
    shelf_life_days: Option<i64>,
    /// Days of demand that one order may hold.
    cover_days: Option<i64>,
    /// Cents that the order may cost.
    budget_cents: Option<i64>,
    /// Pieces that bin or container take.
    room: Option<Quantity>,
}

/// What a thousand pieces cost from so many pieces on.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct PriceLine {
    /// The fewest pieces.
    from: Quantity,
    /// Cents for a thousand pieces.
    per_thousand_cents: i64,
}

/// When a part is ordered, and up to what, by its name.
#[derive(Debug, Clone, Copy, Deserialize, utoipa::ToSchema)]
#[serde(tag = "name", rename_all = "snake_case", deny_unknown_fields)]
enum PolicyLine {
    /// At a reorder point somebody set, the usual order.
    AsSet {
        /// Pieces.
        reorder_point: Quantity,
        /// Pieces.
        #[serde(default)]
        order_quantity: Quantity,
    },
    /// Without a stock-out in so many of the waits for an order.
    CycleService {
        /// Between 0 and 1.
        level: f64,
    },
    /// With so much of demand filled from stock.
    FillRate {
        /// Between 0 and 1.
        level: f64,
    },
    /// At or below the minimum, up to the maximum.
    MinMax {
        /// Pieces.
        minimum: Quantity,
        /// Pieces.
        maximum: Quantity,
    },
    /// At each review, up to what covers demand until the order after it.
    Review {
        /// Between 0 and 1.
        level: f64,
        /// Days from one review to the next.
        days: i64,
    },
    /// When the first of two bins is empty.
    TwoBins {
        /// Between 0 and 1.
        level: f64,
        /// Pieces in a full bin.
        bin: Quantity,
    },
    /// One for each piece that leaves.
    OneForOne {
        /// The share of demand filled from stock, between 0 and 1.
        level: f64,
    },
    /// Once, before a season.
    SeasonBuy {
        /// Pieces that the season is expected to want.
        mean: f64,
        /// Their standard deviation.
        sd: f64,
        /// What a piece left over costs.
        over: f64,
        /// What a piece short costs.
        under: f64,
    },
}

impl From<PolicyLine> for Policy {
    fn from(it: PolicyLine) -> Self {
        match it {
            PolicyLine::AsSet { reorder_point, order_quantity } => {
                Self::AsSet { reorder_point, order_quantity }
            }
            PolicyLine::CycleService { level } => Self::ReorderPoint(Service::Cycle(level)),
            PolicyLine::FillRate { level } => Self::ReorderPoint(Service::Fill(level)),
            PolicyLine::MinMax { minimum, maximum } => Self::MinMax { minimum, maximum },
            PolicyLine::Review { level, days } => Self::Review { level, days },
            PolicyLine::TwoBins { level, bin } => Self::TwoBins { level, bin },
            PolicyLine::OneForOne { level } => Self::OneForOne { fill: level },
            PolicyLine::SeasonBuy { mean, sd, over, under } => {
                Self::SeasonBuy { mean, sd, stakes: Stakes { over, under } }
            }
        }
    }
}

pub(super) fn suggested(value: Value) -> Result<Value, Fault> {
    let it: PartLine = line(value)?;
    let price = |it: &PriceLine| Price {
        from: it.from,
        per_thousand: Money::from_cents(it.per_thousand_cents),
    };
    let advice = suggestion(&PartToOrder {
        on_hand: it.on_hand,
        needed: it.needed,
        on_order: it.on_order,
        supply: Supply {
            demand: it.demand_per_day,
            demand_sd: it.sd_per_day,
            lead_time: it.lead_time_days,
            lead_time_sd: it.sd_lead_time_days,
        },
        per_year: it.per_year.unwrap_or(365.0 * it.demand_per_day),
        policy: it.policy.into(),
        terms: Terms {
            minimum_order: it.minimum_order,
            pack: it.pack,
            prices: it.prices.iter().map(price).collect(),
            discount: if it.incremental { Discount::Incremental } else { Discount::AllUnits },
            order_cost: Money::from_cents(it.order_cost_cents),
            holding_per_mille: it.holding_per_mille,
        },
        limits: Limits {
            shelf_life_days: it.shelf_life_days,
            cover_days: it.cover_days,
            budget: it.budget_cents.map(Money::from_cents),
            room: it.room,
        },
    })?;
    Ok(json!({
        "order": advice.quantity.is_some(),
        "quantity": advice.quantity,
        "supply": advice.supply,
        "reorder_point": advice.rule.reorder_point,
        "up_to": advice.rule.up_to,
        "binding": advice.binding.name(),
        "cost_cents": advice.cost.map(Money::cents),
        "because": advice.because,
    }))
}
