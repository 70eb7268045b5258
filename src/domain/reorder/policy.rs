use super::newsvendor::{Stakes, newsvendor_normal};
use super::sentence::{figure, percent};
use super::service::{Supply, base_stock, poisson_reorder_point};
use crate::domain::statistics::{Normal, Poisson, StatisticsError, real, whole_up};
use crate::units::Quantity;

/// How well a part must be served: a share between 0 and 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Service {
    /// So many of the waits for an order see no stock-out.
    Cycle(f64),
    /// So much of demand is filled from stock.
    Fill(f64),
}

/// When a part is ordered, and up to what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Policy {
    /// At a reorder point somebody set, the usual order.
    AsSet {
        /// Order at or below this.
        reorder_point: Quantity,
        /// The usual order.
        order_quantity: Quantity,
    },
    /// At a reorder point computed for a level of service, what costs least over a year.
    ReorderPoint(Service),
    /// At or below a minimum somebody set, up to a maximum.
    MinMax {
        /// Order at or below this.
        minimum: Quantity,
        /// Up to this.
        maximum: Quantity,
    },
    /// At each review, up to what covers demand until the order after it has come.
    Review {
        /// The chance that it does.
        level: f64,
        /// Days from one review to the next.
        days: i64,
    },
    /// When the first of two bins is empty, one bin; the other lasts until it comes.
    TwoBins {
        /// The chance that it does.
        level: f64,
        /// Pieces in a full bin.
        bin: Quantity,
    },
    /// One for each piece that leaves, so that so much of demand is filled from stock.
    OneForOne {
        /// The share of demand.
        fill: f64,
    },
    /// Once, before a season.
    SeasonBuy {
        /// Pieces that the season is expected to want.
        mean: f64,
        /// Their standard deviation.
        sd: f64,
        /// What a piece left over and a piece short cost.
        stakes: Stakes,
    },
}

/// What a policy says of a part, in whole pieces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rule {
    /// Order when the supply is at or below this.
    pub reorder_point: Quantity,
    /// Order up to this, where the policy fixes it.
    pub up_to: Option<Quantity>,
    /// The order's size, where the policy fixes it.
    pub lot: Option<Quantity>,
    /// How the reorder point came about, in words with its numbers.
    pub how: String,
}

impl Policy {
    /// Returns whether pieces beyond what is lacking are no stock for the year: such an order is
    /// judged by what it costs itself.
    pub(super) const fn is_once(&self) -> bool {
        matches!(self, Self::SeasonBuy { .. } | Self::OneForOne { .. })
    }

    /// Returns what the policy says for a demand, all of it rounded up to whole pieces. `lot` is the
    /// order that a fill rate is computed for.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is out of range.
    pub fn rule(&self, supply: &Supply, lot: Quantity) -> Result<Rule, StatisticsError> {
        match *self {
            Self::AsSet { reorder_point, order_quantity } => Ok(Rule {
                reorder_point,
                up_to: None,
                lot: Some(order_quantity),
                how: "as set".to_owned(),
            }),
            Self::MinMax { minimum, maximum } => Ok(Rule {
                reorder_point: minimum,
                up_to: Some(maximum.max(minimum.plus(Quantity::ONE))),
                lot: None,
                how: format!("the least that is kept; the most is {maximum}"),
            }),
            Self::ReorderPoint(service) => reorder_point(supply, service, lot),
            Self::Review { level, days } => review(supply, level, days),
            Self::TwoBins { level, bin } => two_bin_rule(supply, level, bin),
            Self::OneForOne { fill } => one_for_one(supply, fill),
            Self::SeasonBuy { mean, sd, stakes } => season_buy(Normal::new(mean, sd)?, stakes),
        }
    }
}

/// Below this many pieces until arrival, demand that varies like single pieces is Poisson.
///
/// # Source
///
/// Silver, Pyke & Thomas, *Inventory and Production Management in Supply Chains*, 4th ed., §6.7.15:
/// normal from 10 units on; Poisson where the deviation is within 10 % of the root of the mean.
const SLOW: f64 = 10.0;

fn until_arrival(supply: &Supply) -> Result<String, StatisticsError> {
    let mean = figure(supply.lead_demand()?.mean);
    let (days, sd) = (figure(supply.lead_time), figure(supply.lead_time_sd));
    Ok(format!("{mean} expected in {days} ± {sd} days"))
}

fn reorder_point(
    supply: &Supply,
    service: Service,
    lot: Quantity,
) -> Result<Rule, StatisticsError> {
    let lead = supply.lead_demand()?;
    let root = lead.mean.sqrt();
    let single = 0.0 < lead.mean && lead.mean < SLOW && (lead.sd - root).abs() <= 0.1 * root;
    let (point, words) = match service {
        Service::Cycle(level) if single => {
            let (point, _) = poisson_reorder_point(Poisson::new(lead.mean)?, level)?;
            (point, format!("for {} of waits without a stock-out", percent(level)))
        }
        Service::Cycle(level) => {
            let point = supply.by_cycle_service(level)?.reorder_point;
            (whole_up(point)?, format!("for {} of waits without a stock-out", percent(level)))
        }
        Service::Fill(rate) if lead.sd == 0.0 => {
            (whole_up(lead.mean)?, format!("for {} of demand from stock", percent(rate)))
        }
        Service::Fill(rate) => {
            let lot = real(lot.pieces().max(1));
            let point = supply.by_fill_rate(rate, lot)?.reorder_point.max(lead.mean);
            (whole_up(point)?, format!("for {} of demand from stock", percent(rate)))
        }
    };
    let safety = figure(real(point) - lead.mean);
    let how = format!("{} and {safety} for safety, {words}", until_arrival(supply)?);
    Ok(Rule { reorder_point: Quantity::new(point.max(0)), up_to: None, lot: None, how })
}

fn review(supply: &Supply, level: f64, days: i64) -> Result<Rule, StatisticsError> {
    let whole = Supply { lead_time: supply.lead_time + real(days.max(0)), ..*supply };
    let up_to = whole_up(whole.by_cycle_service(level)?.reorder_point)?.max(0);
    let how = format!(
        "{} and the next {days} days' demand are covered to {}",
        until_arrival(supply)?,
        percent(level)
    );
    Ok(one_below(Quantity::new(up_to), how))
}

fn one_below(up_to: Quantity, how: String) -> Rule {
    Rule { reorder_point: up_to.less(Quantity::ONE), up_to: Some(up_to), lot: None, how }
}

fn two_bin_rule(supply: &Supply, level: f64, bin: Quantity) -> Result<Rule, StatisticsError> {
    let least = whole_up(supply.by_cycle_service(level)?.reorder_point)?.max(0);
    let enough = if bin < Quantity::new(least) { "too small for" } else { "enough for" };
    let how = format!(
        "one full bin, {enough} the {least} that last through {} to {}",
        until_arrival(supply)?,
        percent(level)
    );
    Ok(Rule { reorder_point: bin, up_to: None, lot: Some(bin), how })
}

fn one_for_one(supply: &Supply, fill: f64) -> Result<Rule, StatisticsError> {
    let lead = Poisson::new(supply.lead_demand()?.mean)?;
    // The fill rate of a base stock is the chance of less demand than it.
    let stock = lead.quantile(fill)?.saturating_add(1);
    let reached = base_stock(lead, stock)?.fill_rate;
    let how = format!(
        "a base stock of {stock}: {}, and {} of demand is filled at once",
        until_arrival(supply)?,
        percent(reached)
    );
    Ok(one_below(Quantity::new(stock), how))
}

fn season_buy(season: Normal, stakes: Stakes) -> Result<Rule, StatisticsError> {
    let stock = whole_up(newsvendor_normal(stakes, season)?.stock)?.max(0);
    let how = format!(
        "one buy for a season of {} ± {}: {stock} covers it with the chance {}, at which a piece \
         left over and a piece short cost alike",
        figure(season.mean()),
        figure(season.sd()),
        percent(stakes.ratio()),
    );
    Ok(one_below(Quantity::new(stock), how))
}
