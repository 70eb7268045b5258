use super::economic::Economy;
use super::policy::{Policy, Rule};
use super::sentence;
use super::service::Supply;
use super::terms::{Limits, Terms};
use crate::domain::statistics::{StatisticsError, at_least_zero, real, whole_down};
use crate::units::{Money, Quantity};

/// All that is known of a part when the shop asks whether to order it.
#[derive(Debug, Clone, PartialEq)]
pub struct PartToOrder {
    /// Pieces in bins.
    pub on_hand: Quantity,
    /// Pieces that open kits still need, whether held for them or short.
    pub needed: Quantity,
    /// Pieces still to come on open purchase orders.
    pub on_order: Quantity,
    /// Demand per day and lead time in days, as they are now.
    pub supply: Supply,
    /// Pieces that a whole year wants, for what costs least.
    pub per_year: f64,
    /// When the part is ordered, and up to what.
    pub policy: Policy,
    /// What the supplier asks.
    pub terms: Terms,
    /// What the order must not pass.
    pub limits: Limits,
}

/// What made an order as large as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Binding {
    /// The supply is above the reorder point: nothing is ordered.
    Enough,
    /// What is lacking.
    Need,
    /// The usual or the economic order.
    OrderQuantity,
    /// The least that the supplier sells.
    MinimumOrder,
    /// A lower price from so many pieces on.
    PriceBreak,
    /// What can be used before it is too old.
    ShelfLife,
    /// The days of demand that one order may hold.
    Cover,
    /// The money.
    Budget,
    /// The room in bin or container.
    Room,
}

impl Binding {
    /// Returns the name of it in one word, which never changes.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Enough => "enough",
            Self::Need => "need",
            Self::OrderQuantity => "order-quantity",
            Self::MinimumOrder => "minimum-order",
            Self::PriceBreak => "price-break",
            Self::ShelfLife => "shelf-life",
            Self::Cover => "cover",
            Self::Budget => "budget",
            Self::Room => "room",
        }
    }
}

/// Whether to order a part, how many, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advice {
    /// On hand, less needed, plus on order; below zero if promises outrun supply.
    pub supply: Quantity,
    /// What the policy says.
    pub rule: Rule,
    /// How many pieces to order: none, or whole packs and not below the supplier's minimum.
    pub quantity: Quantity,
    /// What made it as large as it is.
    pub binding: Binding,
    /// What the order costs to buy; none where no price is known.
    pub cost: Option<Money>,
    /// Why, in one sentence with its numbers.
    pub because: String,
}

/// An order that was considered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Order {
    pub(super) quantity: Quantity,
    pub(super) binding: Binding,
    /// Of a year in such orders, or of this one where it is ordered once, in cents.
    pub(super) cost: Option<f64>,
}

/// How an order was found, for the sentence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub(super) chosen: Order,
    /// The least order that ends the lack.
    pub(super) least: Order,
    /// The better order that a limit kept out.
    pub(super) kept_out: Option<Quantity>,
}

/// Returns whether to order a part and how many, with one sentence that says why.
///
/// An order ends the lack, is not below the supplier's minimum, and comes in whole packs, rounded
/// up. Beyond that it is the usual order, or what costs least over a year at the prices; what is
/// ordered once, or one for one, is raised to a lower price only where all of it then costs less,
/// and a maximum that somebody set is never passed for a price. Shelf life
/// and cover hold a larger order down, but never below the least that ends the lack; budget and
/// room may hold it below that, in whole packs rounded down, and to nothing where they do not
/// reach the supplier's minimum.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is out of range.
///
/// ```
/// use kitwright::domain::reorder::*;
/// use kitwright::units::{Money, Quantity};
/// let price = |from, cents| Price { from: Quantity::new(from), per_thousand: Money::from_cents(cents) };
/// let bolts = PartToOrder {
///     on_hand: Quantity::new(1436),
///     needed: Quantity::ZERO,
///     on_order: Quantity::ZERO,
///     supply: Supply { demand: 35.4, demand_sd: 15.93, lead_time: 21.0, lead_time_sd: 6.0 },
///     per_year: 4991.0,
///     policy: Policy::ReorderPoint(Service::Cycle(0.999)),
///     terms: Terms {
///         minimum_order: Quantity::new(1000),
///         pack: Quantity::new(200),
///         prices: vec![price(1000, 17_000), price(5000, 12_000), price(10_000, 10_500)],
///         discount: Discount::AllUnits,
///         order_cost: Money::from_cents(2400),
///         holding_per_mille: 200,
///     },
///     limits: Limits { cover_days: Some(540), ..Limits::default() },
/// };
/// let advice = suggestion(&bolts)?;
/// assert_eq!((advice.rule.reorder_point.pieces(), advice.quantity.pieces()), (1438, 5000));
/// assert_eq!(advice.binding, Binding::Cover);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn suggestion(part: &PartToOrder) -> Result<Advice, StatisticsError> {
    part.terms.check()?;
    part.limits.check()?;
    at_least_zero("a year's demand", part.per_year)?;
    let usual = economic(part)?.max(part.terms.minimum_order).in_packs_of(part.terms.pack);
    let rule = part.policy.rule(&part.supply, usual)?;
    let supply = part.on_hand.less(part.needed).plus(part.on_order);
    // A part with a reorder point of nothing is ordered for what is promised alone.
    let idle = rule.reorder_point == Quantity::ZERO && Quantity::ZERO <= supply;
    let found = match rule.reorder_point < supply || idle {
        true => None,
        false => Some(order(part, &rule, supply, usual)?),
    };
    let quantity = found.map_or(Quantity::ZERO, |it| it.chosen.quantity);
    let because = sentence::because(part, &rule, supply, found.as_ref());
    Ok(Advice {
        supply,
        rule,
        quantity,
        binding: found.map_or(Binding::Enough, |it| it.chosen.binding),
        cost: quantity.is_some().then(|| part.terms.cost(quantity)).flatten(),
        because,
    })
}

/// Returns the economic order quantity at the lowest first price; nothing where a figure for it is
/// missing.
fn economic(part: &PartToOrder) -> Result<Quantity, StatisticsError> {
    let Some(price) = part.terms.prices.first() else { return Ok(Quantity::ZERO) };
    let economy = Economy {
        fixed_cost: real(part.terms.order_cost.cents()),
        holding_cost: real(price.per_thousand.cents()) / 1000.0
            * real(part.terms.holding_per_mille)
            / 1000.0,
        demand_rate: part.per_year,
    };
    if economy.fixed_cost == 0.0 || economy.holding_cost == 0.0 || economy.demand_rate == 0.0 {
        return Ok(Quantity::ZERO);
    }
    Ok(Quantity::new(economy.whole_lot()?.0).min(Quantity::MOST))
}

fn order(
    part: &PartToOrder,
    rule: &Rule,
    supply: Quantity,
    usual: Quantity,
) -> Result<Found, StatisticsError> {
    let terms = &part.terms;
    let considered = |quantity: Quantity, binding| {
        let quantity = quantity.in_packs_of(terms.pack);
        let cost = match part.policy.is_once() {
            true => terms.cost(quantity).map(|it| real(it.cents())),
            false => terms.yearly_cost(quantity, part.per_year),
        };
        Order { quantity, binding, cost }
    };
    let lacking = match rule.up_to {
        Some(up_to) => up_to.less(supply),
        None => rule.reorder_point.less(supply).plus(Quantity::ONE),
    };
    let least = match lacking < terms.minimum_order {
        true => considered(terms.minimum_order, Binding::MinimumOrder),
        false => considered(lacking, Binding::Need),
    };
    let mut open = vec![least];
    if let Some(lot) = rule.lot {
        let lot = considered(lot, Binding::OrderQuantity);
        open = vec![if least.quantity < lot.quantity { lot } else { least }];
    } else if rule.up_to.is_none() {
        open.push(considered(usual, Binding::OrderQuantity));
        open.retain(|it| least.quantity <= it.quantity);
    }
    // The most that somebody set is not passed for a price.
    if !matches!(part.policy, Policy::MinMax { .. }) {
        let from = open.first().map_or(least.quantity, |it| it.quantity);
        let breaks = terms.prices.iter().skip(1).filter(|it| from < it.from);
        open.extend(breaks.map(|it| considered(it.from, Binding::PriceBreak)));
    }
    let caps = caps(part, supply)?;
    let cap = |soft: bool| {
        let kind = caps.iter().filter(|(_, binding)| soft == is_soft(*binding));
        kind.min_by_key(|it| it.0).copied()
    };
    let best = cheapest(&open).unwrap_or(least);
    let found = held(terms, least, best, &open, (cap(true), cap(false)));
    Ok(match part.limits.budget {
        Some(budget) => afforded(terms, found, &open, budget),
        None => found,
    })
}

/// Returns the order that costs least; of several alike the smallest. Without prices
/// it is the largest: what is usual, if more than the least.
fn cheapest(open: &[Order]) -> Option<Order> {
    let priced = open.iter().filter(|it| it.cost.is_some());
    let best = priced.min_by(|a, b| {
        let cost = |it: &Order| it.cost.unwrap_or(f64::INFINITY);
        cost(a).total_cmp(&cost(b)).then(a.quantity.cmp(&b.quantity))
    });
    best.or_else(|| open.iter().max_by_key(|it| it.quantity)).copied()
}

const fn is_soft(binding: Binding) -> bool {
    matches!(binding, Binding::ShelfLife | Binding::Cover)
}

type Cap = Option<(Quantity, Binding)>;

/// Returns the order that the limits leave of the best one: first those that never hold it below
/// what is lacking, then those that do.
fn held(
    terms: &Terms,
    least: Order,
    best: Order,
    open: &[Order],
    (soft, hard): (Cap, Cap),
) -> Found {
    let pack = terms.pack.pieces().max(1);
    let within = |(cap, binding): (Quantity, Binding)| {
        let down = Quantity::new(cap.pieces().max(0) / pack * pack);
        let open: Vec<Order> = open.iter().copied().filter(|it| it.quantity <= cap).collect();
        let quantity = cheapest(&open).map_or(down, |it| it.quantity);
        Order { quantity, binding, cost: None }
    };
    let mut found = Found { chosen: best, least, kept_out: None };
    if let Some(cap) = soft.filter(|it| it.0 < best.quantity) {
        let order = within(cap);
        let chosen = Order { quantity: order.quantity.max(least.quantity), ..order };
        found = Found { chosen, least, kept_out: Some(best.quantity) };
    }
    if let Some(cap) = hard.filter(|it| it.0 < found.chosen.quantity) {
        found.kept_out = Some(found.chosen.quantity);
        found.chosen = within(cap);
        if found.chosen.quantity < terms.minimum_order {
            found.chosen.quantity = Quantity::ZERO;
        }
    }
    found
}

/// Returns what of an order so much money buys.
fn afforded(terms: &Terms, mut found: Found, open: &[Order], budget: Money) -> Found {
    let is_over = |it: Quantity| terms.cost(it).is_some_and(|cost| budget < cost);
    if !is_over(found.chosen.quantity) {
        return found;
    }
    let most = terms.within(budget, found.chosen.quantity).unwrap_or(Quantity::ZERO);
    let open: Vec<Order> =
        open.iter().copied().filter(|it| it.quantity <= most && !is_over(it.quantity)).collect();
    let quantity = cheapest(&open).map_or(most, |it| it.quantity);
    let reached = terms.minimum_order <= quantity;
    found.kept_out = Some(found.chosen.quantity);
    found.chosen = Order {
        quantity: if reached { quantity } else { Quantity::ZERO },
        binding: Binding::Budget,
        cost: None,
    };
    found
}

/// Returns the most pieces that each limit but the budget lets in.
fn caps(part: &PartToOrder, supply: Quantity) -> Result<Vec<(Quantity, Binding)>, StatisticsError> {
    let per_day = part.per_year / 365.0;
    let mut caps = Vec::new();
    if let Some(days) = part.limits.shelf_life_days {
        // What is there already is used first; the order's last piece after it.
        let used = per_day * (real(days) + part.supply.lead_time);
        let pieces = whole_down(used)?.saturating_sub(supply.pieces().max(0)).max(0);
        caps.push((Quantity::new(pieces), Binding::ShelfLife));
    }
    if let Some(days) = part.limits.cover_days {
        caps.push((Quantity::new(whole_down(per_day * real(days))?), Binding::Cover));
    }
    if let Some(pieces) = part.limits.room {
        caps.push((pieces, Binding::Room));
    }
    Ok(caps)
}
