use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::order::{OpenOrder, Plan, Pool, Way};
use crate::domain::ids::VariantId;
use crate::units::Quantity;

/// Pieces on an open purchase order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supply {
    /// The purchase order.
    pub purchase_order: String,
    /// The variant.
    pub variant: VariantId,
    /// The day they are due.
    pub due_on: NaiveDate,
    /// How many are still to come.
    pub quantity: Quantity,
}

/// Pieces that an open order is to have by a day, and that no bin holds for it yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claim {
    /// The variant.
    pub variant: VariantId,
    /// The day on which its order is to leave.
    pub on: NaiveDate,
    /// How many.
    pub quantity: Quantity,
}

/// Where the last piece comes from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// It is in the house, and nobody else is promised it.
    Stock,
    /// It comes with this purchase order; one that is overdue is expected tomorrow at the earliest.
    PurchaseOrder {
        /// The purchase order.
        number: String,
        /// Whether its day has passed.
        overdue: bool,
    },
    /// No open order brings it: it would have to be ordered today.
    ToOrder,
}

/// When the parts of one variant are there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PromisePart {
    /// The variant.
    pub variant: VariantId,
    /// How many pieces are needed.
    pub quantity: Quantity,
    /// The day; `None` where nothing is on its way and no lead time is known.
    pub on: Option<NaiveDate>,
    /// What brings the last piece.
    pub source: Source,
}

/// The earliest day for which a new order can be promised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Promise {
    /// The day; `None` where a part has none.
    pub on: Option<NaiveDate>,
    /// When each part is there, the latest first; a part without a day before all.
    pub parts: Vec<PromisePart>,
}

/// Returns the earliest day on which an order for `needs` could leave without breaking a promise
/// that was made before: on each later day, what came in by then covers what was promised by then,
/// and the new order as well.
///
/// `arrives` is the day on which a variant would come if it were ordered today.
///
/// # Source
///
/// Available to promise, cumulative with look-ahead: T. E. Vollmann, W. L. Berry, D. C. Whybark,
/// F. R. Jacobs, Manufacturing Planning and Control (from memory, unconfirmed).
pub fn earliest(
    needs: &Pool,
    free: &Pool,
    claims: &[Claim],
    coming: &[Supply],
    arrives: &BTreeMap<VariantId, NaiveDate>,
    today: NaiveDate,
) -> Promise {
    let mut parts: Vec<PromisePart> = needs
        .iter()
        .filter(|it| it.1.is_some())
        .map(|(variant, quantity)| {
            let (variant, quantity) = (*variant, *quantity);
            let free = free.get(&variant).copied().unwrap_or_default();
            let (on, source) = day_of(variant, quantity, free, claims, coming, today)
                .map_or((arrives.get(&variant).copied(), Source::ToOrder), |it| (Some(it.0), it.1));
            PromisePart { variant, quantity, on, source }
        })
        .collect();
    parts.sort_by_key(|it| std::cmp::Reverse((it.on.is_none(), it.on, it.variant)));
    let on = parts.iter().map(|it| it.on).collect::<Option<Vec<_>>>();
    Promise { on: on.map(|days| days.into_iter().max().unwrap_or(today)), parts }
}

/// Returns the first day from which on the pieces are never needed for another promise.
fn day_of(
    variant: VariantId,
    quantity: Quantity,
    free: Quantity,
    claims: &[Claim],
    coming: &[Supply],
    today: NaiveDate,
) -> Option<(NaiveDate, Source)> {
    // By day; what comes in on a day can leave on it, so it stands before what is promised then.
    let mut events: Vec<(NaiveDate, bool, i64, Source)> = Vec::new();
    for it in coming.iter().filter(|it| it.variant == variant) {
        let overdue = it.due_on < today;
        let on = if overdue { today.checked_add_days(Days::new(1))? } else { it.due_on };
        let source = Source::PurchaseOrder { number: it.purchase_order.clone(), overdue };
        events.push((on, false, it.quantity.pieces(), source));
    }
    for it in claims.iter().filter(|it| it.variant == variant) {
        events.push((it.on.max(today), true, -it.quantity.pieces(), Source::Stock));
    }
    events.sort();
    let all: i64 = events.iter().map(|it| it.2).sum();
    // Walk back from the end, as long as the least that is left covers the new order.
    let mut net = free.pieces() + all;
    let mut found = None;
    for (on, _, change, source) in events.into_iter().rev() {
        if net < quantity.pieces() {
            return found;
        }
        found = Some((on, source));
        net -= change;
    }
    if quantity.pieces() <= net { Some((today, Source::Stock)) } else { found }
}

/// Returns what the orders that stay behind claim: what each needs, in the way that was ordered, by
/// its promised day.
pub fn standing(orders: &[OpenOrder], plan: &Plan) -> Vec<Claim> {
    let waiting = orders.iter().zip(&plan.ways).filter(|it| it.1.is_none()).map(|it| it.0);
    waiting
        .flat_map(|order| {
            let needs = order.ways.first().into_iter().flat_map(|it: &Way| &it.needs);
            needs.map(|(variant, quantity)| Claim {
                variant: *variant,
                on: order.promised_on,
                quantity: *quantity,
            })
        })
        .collect()
}
