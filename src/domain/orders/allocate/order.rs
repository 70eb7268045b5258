use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::ids::VariantId;
use crate::units::Quantity;

/// Free pieces of each variant.
pub type Pool = BTreeMap<VariantId, Quantity>;

/// One way in which an order can be filled.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Way {
    /// What it takes of each variant.
    pub needs: Pool,
    /// How many part numbers stand in for others in it.
    pub stand_ins: i64,
}

/// An order that leaves whole or not at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenOrder {
    /// The day on which it is to leave.
    pub promised_on: NaiveDate,
    /// The day on which it was placed.
    pub placed_on: NaiveDate,
    /// Whose overdue promises count first: the smaller goes before.
    pub class: u8,
    /// How many kits it has.
    pub kits: i64,
    /// How it can be filled, the way that was ordered first.
    pub ways: Vec<Way>,
}

impl OpenOrder {
    /// Returns the order's turn in strict promise order; the smaller goes first.
    pub const fn turn(&self) -> (NaiveDate, NaiveDate) {
        (self.promised_on, self.placed_on)
    }
}

/// Which orders leave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// Of each order the way in which it leaves, or `None` if it stays.
    pub ways: Vec<Option<usize>>,
}

impl Plan {
    /// Returns the plan in which none of so many orders leaves.
    pub fn none(orders: usize) -> Self {
        Self { ways: vec![None; orders] }
    }

    /// Returns whether the order at this place leaves.
    pub fn leaves(&self, order: usize) -> bool {
        self.ways.get(order).copied().flatten().is_some()
    }

    /// Returns how many kits leave.
    pub fn kits(&self, orders: &[OpenOrder]) -> i64 {
        orders.iter().zip(&self.ways).filter(|it| it.1.is_some()).map(|it| it.0.kits).sum()
    }

    /// Returns what is free once the plan's orders have taken their parts.
    pub fn left(&self, orders: &[OpenOrder], free: &Pool) -> Pool {
        let mut left = free.clone();
        for (order, way) in orders.iter().zip(&self.ways) {
            if let Some(way) = way.and_then(|it| order.ways.get(it)) {
                take(&mut left, way);
            }
        }
        left
    }
}

/// Returns whether a way is covered.
pub(super) fn covers(free: &Pool, way: &Way) -> bool {
    way.needs
        .iter()
        .all(|(variant, needs)| *needs <= free.get(variant).copied().unwrap_or_default())
}

/// Takes what a way needs.
pub(super) fn take(free: &mut Pool, way: &Way) {
    for (variant, needs) in &way.needs {
        let left = free.entry(*variant).or_default();
        *left = left.less(*needs);
    }
}
