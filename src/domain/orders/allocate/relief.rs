use super::best::{AtMost, Ways};
use super::order::{OpenOrder, Plan, Pool};
use super::strict::promise_order;
use crate::domain::ids::VariantId;
use crate::domain::optimum::ProblemError;
use crate::units::Quantity;

/// How many kits leave with so many more pieces of one variant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct More {
    /// How many pieces more there are; the last has as many as all orders could use.
    pub pieces: Quantity,
    /// Kits that leave in promise order. More stock can let fewer leave: an early order takes what
    /// several later ones need.
    pub strict: i64,
    /// Kits that the best set has, and what no set can pass.
    pub best: AtMost,
}

/// A variant that holds orders back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Relief {
    /// The variant.
    pub variant: VariantId,
    /// How many pieces more would be enough for every order.
    pub enough: Quantity,
    /// What one piece more, two, and so on would let leave; and as many as are enough.
    pub more: Vec<More>,
}

impl Relief {
    /// Returns the most kits that more of it lets leave, first by the best set.
    fn gain(&self) -> (i64, i64, i64) {
        let last = self.more.last();
        let first = self.more.first();
        (
            last.map_or(0, |it| it.best.reached),
            last.map_or(0, |it| it.strict),
            first.map_or(0, |it| it.best.reached + it.strict),
        )
    }
}

/// Returns, of the variants that are scarce, what a few more pieces of each alone would let leave;
/// those that free most kits come first, and those that free none are left out.
///
/// `steps` names the pieces to try: one, two, five. Kits are counted and nothing else. Where the
/// budget ends, a bound stays open and says so.
///
/// # Errors
///
/// As [`best_plan`](super::best_plan).
pub fn relief(
    orders: &[OpenOrder],
    free: &Pool,
    best: &Plan,
    steps: &[i64],
    budget: u64,
) -> Result<Vec<Relief>, ProblemError> {
    let mut ways = Ways::of(orders, free);
    let scarce = ways.scarce();
    let strict = promise_order(orders, free).kits(orders);
    let kits = best.kits(orders);
    // First each part with as many pieces as are enough, quickly; then, with what is left of the
    // budget, those that this did not rule out.
    let few = budget / 8 / u64::try_from(scarce.len().max(1)).unwrap_or(u64::MAX);
    let mut found = Vec::new();
    let mut helping = Vec::new();
    let mut spent = 0;
    for variant in scarce {
        let had = free.get(&variant).copied().unwrap_or_default().at_least_zero();
        let enough = Quantity::new(ways.asked(variant)).less(had).at_least_zero();
        let some = steps.iter().map(|it| Quantity::new(*it)).filter(|it| *it < enough);
        let tried: Vec<Quantity> = some.chain([enough]).collect();
        let (all, work) = reach(&mut ways, orders, (variant, had.plus(enough)), best, few)?;
        spent += work;
        if kits < all.at_most {
            helping.push((variant, had, tried));
            continue;
        }
        let more = |pieces: Quantity| More {
            pieces,
            strict: strict_with(orders, free, variant, pieces),
            best: AtMost { reached: kits, at_most: kits },
        };
        let more: Vec<More> = tried.into_iter().map(more).collect();
        if more.iter().any(|it| strict != it.strict) {
            found.push(Relief { variant, enough, more });
        }
    }
    let mut left: u64 = helping.iter().map(|it| it.2.iter().map(|_| 1).sum::<u64>()).sum();
    for (variant, had, tried) in helping {
        let enough = tried.last().copied().unwrap_or_default();
        let mut more = Vec::new();
        for pieces in tried {
            let share = budget.saturating_sub(spent) / left.max(1);
            left = left.saturating_sub(1);
            let (best, work) = reach(&mut ways, orders, (variant, had.plus(pieces)), best, share)?;
            spent += work;
            more.push(More { pieces, strict: strict_with(orders, free, variant, pieces), best });
        }
        if more.iter().any(|it| kits < it.best.at_most || strict != it.strict) {
            found.push(Relief { variant, enough, more });
        }
    }
    found.sort_by_key(|it| (std::cmp::Reverse(it.gain()), it.variant));
    Ok(found)
}

fn strict_with(orders: &[OpenOrder], free: &Pool, variant: VariantId, more: Quantity) -> i64 {
    let mut free = free.clone();
    let slot = free.entry(variant).or_default();
    *slot = slot.plus(more);
    promise_order(orders, &free).kits(orders)
}

/// Returns how many kits leave with so much of one variant, and how much work it was to find.
fn reach(
    ways: &mut Ways,
    orders: &[OpenOrder],
    (variant, most): (VariantId, Quantity),
    best: &Plan,
    budget: u64,
) -> Result<(AtMost, u64), ProblemError> {
    let before = ways.set(variant, most.pieces());
    let worth = ways.worth(orders, |it, _| it.kits);
    let answer = ways.solve(vec![worth], best, budget)?;
    if let Some(before) = before {
        ways.set(variant, before);
    }
    let reached = answer.stages.first().copied().map(AtMost::from);
    Ok((reached.unwrap_or(AtMost { reached: 0, at_most: 0 }), answer.work))
}
