use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::order::{OpenOrder, Plan, Pool};
use super::strict::promise_order;
use crate::domain::ids::VariantId;
use crate::domain::optimum::{Answer, Limit, Problem, ProblemError, Reached, best};
use crate::units::Quantity;

/// What a plan reaches of one thing that counts, and the most that any plan can reach.
///
/// The bound of each is proved among the plans that reach as much of what counts before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtMost {
    /// What the plan reaches.
    pub reached: i64,
    /// What no plan can pass.
    pub at_most: i64,
}

/// The best set of whole orders.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Best {
    /// Which orders leave.
    pub plan: Plan,
    /// Overdue promises that it keeps, class by class.
    pub overdue: Vec<(u8, AtMost)>,
    /// Kits that leave.
    pub kits: AtMost,
    /// Days since the orders that leave were placed, all together.
    pub days: AtMost,
    /// How many branches the search looked at.
    pub nodes: u64,
    /// How much work it was, of the budget that it was given.
    pub work: u64,
}

impl Best {
    /// Returns whether nothing better is possible, in all that counts.
    pub fn is_proved(&self) -> bool {
        let overdue = self.overdue.iter().map(|it| it.1);
        overdue.chain([self.kits, self.days]).all(|it| it.reached == it.at_most)
    }
}

/// Returns the set of whole orders that keeps the most overdue promises, class by class; of those
/// the one with the most kits; then the one whose orders have waited longest; then the one with the
/// fewest stand-ins.
///
/// It is proved, or answers the best found with its proved bound when `budget` is spent, which is
/// counted in entries of tables: a thousand million are about a second. It is never worse than
/// [`promise_order`] by what counts here.
///
/// # Errors
///
/// [`ProblemError`] when there are more orders or pieces than can be computed with.
pub fn best_plan(
    orders: &[OpenOrder],
    free: &Pool,
    today: NaiveDate,
    budget: u64,
) -> Result<Best, ProblemError> {
    let ways = Ways::of(orders, free);
    let classes: BTreeSet<u8> = orders.iter().map(|it| it.class).collect();
    let overdue = |it: &&OpenOrder, class: u8| it.class == class && it.promised_on < today;
    let mut stages: Vec<Vec<i64>> = Vec::new();
    for class in &classes {
        stages.push(ways.worth(orders, |it, _| if overdue(&it, *class) { it.kits } else { 0 }));
    }
    stages.push(ways.worth(orders, |it, _| it.kits));
    stages.push(ways.worth(orders, |it, _| (today - it.placed_on).num_days().max(0)));
    let most = orders.iter().flat_map(|it| &it.ways).map(|it| it.stand_ins).max();
    let most = most.unwrap_or_default();
    stages.push(
        ways.worth(orders, |it, way| most - it.ways.get(way).map_or(most, |it| it.stand_ins)),
    );
    let answer = ways.solve(stages, &promise_order(orders, free), budget)?;
    let plan = ways.plan(orders.len(), &answer.chosen);
    let mut reached = answer.stages.iter().copied().map(AtMost::from);
    let overdue = classes.into_iter().zip(reached.by_ref()).collect();
    let nothing = AtMost { reached: 0, at_most: 0 };
    let kits = reached.next().unwrap_or(nothing);
    let days = reached.next().unwrap_or(nothing);
    Ok(Best { plan, overdue, kits, days, nodes: answer.nodes, work: answer.work })
}

impl From<Reached> for AtMost {
    fn from(it: Reached) -> Self {
        Self { reached: it.worth, at_most: it.at_most }
    }
}

/// The ways of all orders as choices of a problem, and the parts as its limits.
pub(super) struct Ways {
    /// The order of each choice, and which of its ways it is.
    choices: Vec<(usize, usize)>,
    limits: BTreeMap<VariantId, Limit>,
    /// That each order leaves in one way at most.
    once: Vec<Limit>,
}

impl Ways {
    /// Returns the choices that there are, and how much they take of what is free.
    pub(super) fn of(orders: &[OpenOrder], free: &Pool) -> Self {
        let mut all = Self { choices: Vec::new(), limits: BTreeMap::new(), once: Vec::new() };
        for (at, order) in orders.iter().enumerate() {
            let first = all.choices.len();
            for (way, needs) in order.ways.iter().enumerate() {
                let choice = all.choices.len();
                all.choices.push((at, way));
                for (variant, needs) in &needs.needs {
                    let free = free.get(variant).copied().unwrap_or_default();
                    let limit = all.limits.entry(*variant).or_insert_with(|| Limit {
                        takes: Vec::new(),
                        most: free.at_least_zero().min(LARGE).pieces(),
                    });
                    limit.takes.push((choice, needs.pieces()));
                }
            }
            if 1 < order.ways.len() {
                let takes = (first..all.choices.len()).map(|it| (it, 1)).collect();
                all.once.push(Limit { takes, most: 1 });
            }
        }
        all
    }

    /// Returns the variants of which not all orders can have what they ask for.
    pub(super) fn scarce(&self) -> Vec<VariantId> {
        let is_scarce = |limit: &&Limit| {
            let mut asked: BTreeMap<usize, i64> = BTreeMap::new();
            for (choice, amount) in &limit.takes {
                let order = self.choices.get(*choice).map_or(*choice, |it| it.0);
                let most = asked.entry(order).or_default();
                *most = (*most).max(*amount);
            }
            limit.most < asked.values().sum()
        };
        self.limits.iter().filter(|it| is_scarce(&it.1)).map(|it| *it.0).collect()
    }

    /// Changes how much there is of one variant; returns how much there was.
    pub(super) fn set(&mut self, variant: VariantId, most: i64) -> Option<i64> {
        let limit = self.limits.get_mut(&variant)?;
        Some(std::mem::replace(&mut limit.most, most.min(LARGE.pieces())))
    }

    /// Returns how much all orders ask for of one variant, in the most that each can.
    pub(super) fn asked(&self, variant: VariantId) -> i64 {
        self.limits.get(&variant).map_or(0, |it| it.takes.iter().map(|it| it.1).sum())
    }

    pub(super) fn worth(
        &self,
        orders: &[OpenOrder],
        of: impl Fn(&OpenOrder, usize) -> i64,
    ) -> Vec<i64> {
        let worth = |it: &(usize, usize)| orders.get(it.0).map_or(0, |order| of(order, it.1));
        self.choices.iter().map(worth).collect()
    }

    pub(super) fn solve(
        &self,
        stages: Vec<Vec<i64>>,
        start: &Plan,
        budget: u64,
    ) -> Result<Answer, ProblemError> {
        let limits = self.limits.values().chain(&self.once).cloned().collect();
        let problem = Problem::new(self.choices.len(), limits, stages)?;
        let begins = |it: &(usize, usize)| start.ways.get(it.0).copied().flatten() == Some(it.1);
        let start: Vec<bool> = self.choices.iter().map(begins).collect();
        Ok(best(&problem, &start, budget))
    }

    fn plan(&self, orders: usize, chosen: &[bool]) -> Plan {
        let mut plan = Plan::none(orders);
        for ((order, way), _) in self.choices.iter().zip(chosen).filter(|it| *it.1) {
            if let Some(slot) = plan.ways.get_mut(*order) {
                *slot = Some(*way);
            }
        }
        plan
    }
}

/// As much as no set of orders asks for.
const LARGE: Quantity = Quantity::new(1_000_000_000);
