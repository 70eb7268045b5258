use super::order::{OpenOrder, Plan, Pool, covers, take};
use crate::domain::ids::VariantId;
use crate::units::Quantity;

/// Returns which orders leave if each in turn takes what it needs, by promised date, then by the day
/// that it was placed, then as they stand in the list. An order that lacks a part is passed over.
pub fn promise_order(orders: &[OpenOrder], free: &Pool) -> Plan {
    let mut turn: Vec<(usize, &OpenOrder)> = orders.iter().enumerate().collect();
    turn.sort_by_key(|(at, it)| (it.turn(), *at));
    let mut free = free.clone();
    let mut plan = Plan::none(orders.len());
    for (at, order) in turn {
        let found = order.ways.iter().enumerate().find(|it| covers(&free, it.1));
        if let (Some((way, needs)), Some(slot)) = (found, plan.ways.get_mut(at)) {
            take(&mut free, needs);
            *slot = Some(way);
        }
    }
    plan
}

/// What an order lacks of one variant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lacking {
    /// The variant.
    pub variant: VariantId,
    /// How many pieces more it needs than are free.
    pub quantity: Quantity,
}

/// Returns what an order lacks, in the way that was ordered.
pub fn lacking(order: &OpenOrder, free: &Pool) -> Vec<Lacking> {
    let needs = order.ways.iter().take(1).flat_map(|it| &it.needs);
    needs
        .map(|(variant, needs)| {
            let free = free.get(variant).copied().unwrap_or_default();
            Lacking { variant: *variant, quantity: needs.less(free).at_least_zero() }
        })
        .filter(|it| it.quantity.is_some())
        .collect()
}

/// Returns how many kits of one bill the stock is enough for, and the places of the lines that allow
/// no more. A bill without lines has no answer.
pub fn buildable(lines: &[(Quantity, Quantity)]) -> Option<(i64, Vec<usize>)> {
    let kits = |(each, stock): &(Quantity, Quantity)| {
        stock.at_least_zero().pieces().checked_div(each.pieces())
    };
    let fewest = lines.iter().filter_map(kits).min()?;
    let limiting = lines.iter().enumerate().filter(|it| kits(it.1) == Some(fewest));
    Some((fewest, limiting.map(|it| it.0).collect()))
}
