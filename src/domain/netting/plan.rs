use super::add_up::NettingError;
use super::lot::LotRule;
use crate::units::Quantity;

/// What is known of one part when it is planned. Its place in the list of parts is its number.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Item {
    /// Pieces at the start.
    pub on_hand: Quantity,
    /// Pieces that must stay.
    pub safety: Quantity,
    /// Periods from release to receipt.
    pub lead: usize,
    /// How large an order is.
    pub lot: LotRule,
    /// What is to come already: period and pieces.
    pub receipts: Vec<(usize, Quantity)>,
}

/// That one part goes into another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Use {
    /// What it goes into.
    pub parent: usize,
    /// The part.
    pub part: usize,
    /// Pieces in one of them.
    pub each: Quantity,
}

/// That pieces of a part are wanted in a period, from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Need {
    /// The part.
    pub part: usize,
    /// The period, from 0.
    pub period: usize,
    /// Pieces.
    pub quantity: Quantity,
}

/// An order to buy or make a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlannedOrder {
    /// The part.
    pub part: usize,
    /// The period in which it must be released.
    pub release: usize,
    /// The period in which it is wanted.
    pub due: usize,
    /// Pieces.
    pub quantity: Quantity,
    /// Periods by which the release should lie before the plan starts: so late it will be.
    pub late: usize,
}

/// What must be ordered, and what that does to the stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    periods: usize,
    /// Each part's level: 0 for what goes into nothing else.
    pub levels: Vec<usize>,
    /// By level, then part, then period.
    pub orders: Vec<PlannedOrder>,
    gross: Vec<i64>,
    ending: Vec<i64>,
}

impl Plan {
    /// Returns what a part is wanted for in each period, from outside and by what it goes into.
    pub fn gross(&self, part: usize) -> &[i64] {
        row(&self.gross, part, self.periods)
    }

    /// Returns what is left of a part at the end of each period.
    pub fn ending(&self, part: usize) -> &[i64] {
        row(&self.ending, part, self.periods)
    }
}

fn row(cells: &[i64], part: usize, periods: usize) -> &[i64] {
    let start = part.saturating_mul(periods);
    cells.get(start..start.saturating_add(periods)).unwrap_or_default()
}

/// The most cells of part and period: 160 MB.
const MOST_CELLS: usize = 10_000_000;

/// Returns what must be released, when, and how many, so that every need is met: level by level,
/// each part after all that it goes into.
///
/// An order that should have been released before the plan starts is released in period 0 and says
/// how late it is; the balances count it where it is wanted.
///
/// # Errors
///
/// [`NettingError`] when a part or period is unknown, a quantity below zero, a part goes into
/// itself, or there is more than can be counted or held.
///
/// # Source
///
/// Material requirements planning by low-level code: Silver, Pyke & Thomas, *Inventory and
/// Production Management in Supply Chains*, 4th ed., §15.6.
///
/// ```
/// use kitwright::domain::netting::{Item, Need, Use, plan};
/// use kitwright::units::Quantity;
/// // 5 bags are wanted in week 3; a bag takes a week to make and holds 8 bolts, which take 2.
/// let bag = Item { on_hand: Quantity::new(2), lead: 1, ..Item::default() };
/// let bolt = Item { on_hand: Quantity::new(10), lead: 2, ..Item::default() };
/// let uses = [Use { parent: 0, part: 1, each: Quantity::new(8) }];
/// let needs = [Need { part: 0, period: 3, quantity: Quantity::new(5) }];
/// let plan = plan(4, &[bag, bolt], &uses, &needs)?;
/// let orders: Vec<_> = plan.orders.iter().map(|it| (it.part, it.release, it.quantity.pieces())).collect();
/// assert_eq!(orders, [(0, 2, 3), (1, 0, 14)]);
/// # Ok::<(), kitwright::domain::netting::NettingError>(())
/// ```
pub fn plan(
    periods: usize,
    items: &[Item],
    uses: &[Use],
    needs: &[Need],
) -> Result<Plan, NettingError> {
    let cells = periods.saturating_mul(items.len());
    if MOST_CELLS < cells {
        return Err(NettingError::TooLarge { cells, most: MOST_CELLS });
    }
    let levels = levels(items.len(), uses)?;
    let mut gross = vec![0; cells];
    for need in needs {
        let at = cell(need.part, need.period, (items.len(), periods))?;
        add(&mut gross, at, need.part, need.quantity.pieces())?;
    }
    let mut by_parent = uses.to_vec();
    by_parent.sort_by_key(|it| (it.parent, it.part));
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by_key(|it| (levels.get(*it).copied(), *it));
    let mut plan = Plan { periods, levels, orders: Vec::new(), gross, ending: vec![0; cells] };
    for part in order {
        let Some(item) = items.get(part) else { continue };
        let first = plan.orders.len();
        net(&mut plan, part, item)?;
        let start = by_parent.partition_point(|it| it.parent < part);
        let inside = by_parent.iter().skip(start).take_while(|it| it.parent == part);
        for it in inside {
            for order in plan.orders.iter().skip(first) {
                let pieces = order.quantity.pieces().checked_mul(it.each.pieces());
                let pieces = pieces.ok_or(NettingError::Overflow { part: it.part })?;
                let at = it.part * periods + order.release;
                add(&mut plan.gross, at, it.part, pieces)?;
            }
        }
    }
    Ok(plan)
}

fn cell(
    part: usize,
    period: usize,
    (parts, periods): (usize, usize),
) -> Result<usize, NettingError> {
    if parts <= part {
        return Err(NettingError::UnknownPart { part, parts });
    }
    if periods <= period {
        return Err(NettingError::UnknownPeriod { period, periods });
    }
    Ok(part * periods + period)
}

fn add(cells: &mut [i64], at: usize, part: usize, pieces: i64) -> Result<(), NettingError> {
    if pieces < 0 {
        return Err(NettingError::Negative { part });
    }
    if let Some(cell) = cells.get_mut(at) {
        *cell = cell.checked_add(pieces).ok_or(NettingError::Overflow { part })?;
    }
    Ok(())
}

/// Plans the orders of one part, whose gross requirements are complete.
fn net(plan: &mut Plan, part: usize, item: &Item) -> Result<(), NettingError> {
    let (periods, overflow) = (plan.periods, NettingError::Overflow { part });
    let mut coming = vec![0; periods];
    for (period, quantity) in &item.receipts {
        // What comes after the plan ends does nothing for it.
        add(&mut coming, *period, part, quantity.pieces())?;
    }
    let wanted = row(&plan.gross, part, periods).to_vec();
    let mut kept = item.on_hand.pieces().checked_sub(item.safety.pieces()).ok_or(overflow)?;
    let mut ending = Vec::with_capacity(periods);
    for (due, (wants, comes)) in wanted.iter().zip(&coming).enumerate() {
        kept = kept.checked_add(*comes).and_then(|it| it.checked_sub(*wants)).ok_or(overflow)?;
        if kept < 0 {
            let later = wanted.iter().zip(&coming).skip(due + 1);
            let later = later.map(|(wants, comes)| (wants - comes).max(0));
            let pieces = item.lot.order(-kept, later).ok_or(overflow)?;
            kept = kept.checked_add(pieces).ok_or(overflow)?;
            plan.orders.push(PlannedOrder {
                part,
                release: due.saturating_sub(item.lead),
                due,
                quantity: Quantity::new(pieces),
                late: item.lead.saturating_sub(due),
            });
        }
        ending.push(kept.checked_add(item.safety.pieces()).ok_or(overflow)?);
    }
    for (cell, left) in plan.ending.iter_mut().skip(part * periods).zip(ending) {
        *cell = left;
    }
    Ok(())
}

/// Returns each part's low-level code: 0 for what goes into nothing else, otherwise one more than
/// the highest of what it goes into.
///
/// # Errors
///
/// [`NettingError`] when a part is unknown, a quantity below zero, or a part goes into itself.
pub fn levels(parts: usize, uses: &[Use]) -> Result<Vec<usize>, NettingError> {
    let mut waits = vec![0_usize; parts];
    for it in uses {
        cell(it.parent.max(it.part), 0, (parts, 1))?;
        if it.each < Quantity::ZERO {
            return Err(NettingError::Negative { part: it.part });
        }
        if let Some(count) = waits.get_mut(it.part) {
            *count += 1;
        }
    }
    let mut by_parent = uses.to_vec();
    by_parent.sort_by_key(|it| it.parent);
    let mut levels = vec![0; parts];
    let free = waits.iter().enumerate().filter(|(_, count)| **count == 0);
    let mut ready: Vec<usize> = free.map(|(part, _)| part).collect();
    let mut settled = 0;
    while let Some(parent) = ready.pop() {
        settled += 1;
        let below = levels.get(parent).map_or(0, |it| it + 1);
        let start = by_parent.partition_point(|it| it.parent < parent);
        for it in by_parent.iter().skip(start).take_while(|it| it.parent == parent) {
            if let (Some(level), Some(count)) = (levels.get_mut(it.part), waits.get_mut(it.part)) {
                *level = below.max(*level);
                *count -= 1;
                if *count == 0 {
                    ready.push(it.part);
                }
            }
        }
    }
    if settled < parts {
        let part = waits.iter().position(|it| 0 < *it).unwrap_or_default();
        return Err(NettingError::Circle { part });
    }
    Ok(levels)
}
