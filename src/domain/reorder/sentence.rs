//! Why a part is ordered, in one sentence with its numbers.

use std::cmp::Ordering;

use super::policy::Rule;
use super::suggestion::{Binding, Found, PartToOrder};
use super::terms::Limits;
use crate::domain::statistics::{real, whole_down};
use crate::units::{Money, Quantity};

/// Returns a figure with one decimal at most.
pub(super) fn figure(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

/// Returns a share in percent, with two decimals at most.
pub(super) fn percent(share: f64) -> String {
    let text = format!("{:.2}", 100.0 * share);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// Returns cents as money, rounded to the nearest cent.
fn money(cents: f64) -> String {
    whole_down(cents + 0.5).map_or_else(|_| "—".to_owned(), |it| Money::from_cents(it).to_string())
}

pub(super) fn because(
    part: &PartToOrder,
    rule: &Rule,
    supply: Quantity,
    found: Option<&Found>,
) -> String {
    let PartToOrder { on_hand, needed, on_order, .. } = part;
    let stands = if found.is_some() { "at or below" } else { "above" };
    let start = format!(
        "{on_hand} on hand − {needed} needed + {on_order} on order = {supply}, {stands} the \
         reorder point {} ({})",
        rule.reorder_point, rule.how
    );
    match found {
        None => format!("{start}, so nothing is ordered yet."),
        Some(found) => format!("{start}; {}.", size(part, found)),
    }
}

/// Returns how the order came by its size.
fn size(part: &PartToOrder, found: &Found) -> String {
    let quantity = found.chosen.quantity;
    if !quantity.is_some() {
        let least = part.terms.minimum_order.in_packs_of(part.terms.pack);
        let limit = limit(part, found.chosen.binding);
        return format!("nothing is ordered: {limit}, and the supplier sells {least} at least");
    }
    let pack = part.terms.pack.pieces().max(1);
    let packs = format!("{quantity} is {} × {pack}", quantity.pieces() / pack);
    let why = match found.chosen.binding {
        Binding::Enough | Binding::Need => "as many as are lacking".to_owned(),
        Binding::MinimumOrder => "the supplier sells no fewer".to_owned(),
        Binding::OrderQuantity => "the usual order, or what costs least over a year".to_owned(),
        Binding::PriceBreak => yearly(part, found),
        Binding::ShelfLife | Binding::Cover | Binding::Budget | Binding::Room => held(part, found),
    };
    format!("{packs}, {why}{}", years(part, quantity))
}

fn years(part: &PartToOrder, quantity: Quantity) -> String {
    if part.per_year <= 0.0 {
        return String::new();
    }
    format!("; that is {:.1} years of demand", real(quantity.pieces()) / part.per_year)
}

/// Returns what the lower price saves.
fn yearly(part: &PartToOrder, found: &Found) -> String {
    let price = part.terms.price(found.chosen.quantity).map_or(Money::ZERO, |it| it.per_thousand);
    let (Some(now), Some(least)) = (found.chosen.cost, found.least.cost) else {
        return format!("at {price} a thousand");
    };
    let (span, as_many) = match part.policy.is_once() {
        true => ("in all", "for"),
        false => ("a year", "in orders of"),
    };
    format!(
        "at {price} a thousand, which costs {} {span} against {} {as_many} {}",
        money(now),
        money(least),
        found.least.quantity
    )
}

/// Returns what was kept out by which limit, and what that leaves undone.
fn held(part: &PartToOrder, found: &Found) -> String {
    let (quantity, least) = (found.chosen.quantity, found.least.quantity);
    let limit = limit(part, found.chosen.binding);
    let after = match quantity.cmp(&least) {
        Ordering::Less => format!(", though {least} are lacking"),
        Ordering::Equal => ", and no fewer end the lack".to_owned(),
        Ordering::Greater => String::new(),
    };
    match found.kept_out.filter(|it| *it != quantity) {
        Some(more) => format!("not {more}: {limit}{after}"),
        None => format!("{limit}{after}"),
    }
}

/// Returns a limit in words.
fn limit(part: &PartToOrder, binding: Binding) -> String {
    let Limits { shelf_life_days, cover_days, budget, room } = part.limits;
    let days = Option::unwrap_or_default;
    match binding {
        Binding::ShelfLife => {
            format!("more would not be used within {} days of arrival", days(shelf_life_days))
        }
        Binding::Cover => format!("an order holds {} days of demand at most", days(cover_days)),
        Binding::Budget => format!("the budget of {} buys no more", budget.unwrap_or(Money::ZERO)),
        Binding::Room => format!("there is room for {}", room.unwrap_or_default()),
        Binding::Enough
        | Binding::Need
        | Binding::OrderQuantity
        | Binding::MinimumOrder
        | Binding::PriceBreak => String::new(),
    }
}
