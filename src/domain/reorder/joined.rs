use super::suggestion::Binding;
use super::terms::Terms;
use crate::units::{Money, Quantity};

/// One part of an order that several parts of a supplier stand on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JointPart {
    /// Pieces suggested for it alone.
    pub quantity: Quantity,
    /// Days until it is at its reorder point; none left where it is at it.
    pub days_left: i64,
    /// What the supplier asks for it.
    pub terms: Terms,
    /// The room of a piece, in mm³.
    pub volume_mm3: i64,
    /// The mass of a piece, in mg.
    pub mass_mg: i64,
}

/// What a supplier asks of a whole order, and what it may cost and hold.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct WholeOrder {
    /// The least that it must be worth.
    pub minimum_value: Money,
    /// The most that it may cost.
    pub budget: Option<Money>,
    /// The litres that a container holds.
    pub litres: Option<i64>,
    /// The kilograms that a container may weigh.
    pub kilograms: Option<i64>,
}

/// What became of one part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JointLine {
    /// Pieces to order; none where it is not ordered with the others.
    pub quantity: Quantity,
    /// What it costs.
    pub cost: Money,
    /// That it comes before its time, so that the order is worth the minimum.
    pub early: bool,
    /// The limit that cut it, where one did.
    pub cut: Option<Binding>,
}

/// Parts of one supplier, ordered together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// What became of each part, in the order given.
    pub lines: Vec<JointLine>,
    /// What all of it costs.
    pub total: Money,
    /// What is wanting to the supplier's minimum, where something is.
    pub below_minimum: Option<Money>,
    /// Litres of all of it, rounded up.
    pub litres: i64,
    /// Kilograms of all of it, rounded up.
    pub kilograms: i64,
}

/// Days before its reorder point within which a part is ordered early to reach a minimum.
///
/// # Source
///
/// The invented shop's own rule: all bolts within two weeks of their card.
pub const EARLY_DAYS: i64 = 14;

/// Returns what a supplier's parts come to in one order.
///
/// The parts at their reorder point are ordered. Where they are worth less than the supplier's
/// minimum, those within [`EARLY_DAYS`] of theirs come along, the most urgent first, until they are
/// worth it. Where the order then costs more than the budget, or is more than a container holds, the
/// least urgent parts are cut by whole packs, and left out where less than the supplier sells of
/// them would be left.
pub fn joint(parts: &[JointPart], whole: &WholeOrder) -> Joint {
    let line = |part: &JointPart| {
        let due = part.days_left <= 0;
        let quantity = if due { part.quantity } else { Quantity::ZERO };
        JointLine { quantity, cost: cost(part, quantity), early: false, cut: None }
    };
    let mut lines: Vec<JointLine> = parts.iter().map(line).collect();
    let mut by_urgency: Vec<usize> = (0..parts.len()).collect();
    by_urgency.sort_by_key(|at| (parts.get(*at).map(|it| it.days_left), *at));
    if lines.iter().any(|it| it.quantity.is_some()) {
        bring_early(parts, &mut lines, &by_urgency, whole.minimum_value);
    }
    for binding in [Binding::Budget, Binding::Room] {
        cut(parts, &mut lines, &by_urgency, (whole, binding));
    }
    let total = sum(&lines);
    let ordered = lines.iter().any(|it| it.quantity.is_some());
    let below = whole.minimum_value.less(total);
    let (litres, kilograms) = load(parts, &lines);
    Joint {
        total,
        below_minimum: (ordered && 0 < below.cents()).then_some(below),
        litres,
        kilograms,
        lines,
    }
}

fn cost(part: &JointPart, quantity: Quantity) -> Money {
    match quantity.is_some() {
        true => part.terms.cost(quantity).unwrap_or(Money::ZERO),
        false => Money::ZERO,
    }
}

fn sum(lines: &[JointLine]) -> Money {
    lines.iter().fold(Money::ZERO, |sum, it| sum.plus(it.cost))
}

fn bring_early(parts: &[JointPart], lines: &mut [JointLine], by_urgency: &[usize], minimum: Money) {
    for at in by_urgency {
        if minimum <= sum(lines) {
            break;
        }
        let Some((part, line)) = parts.get(*at).zip(lines.get_mut(*at)) else { continue };
        if (1..=EARLY_DAYS).contains(&part.days_left) && part.quantity.is_some() {
            line.quantity = part.quantity;
            line.cost = cost(part, part.quantity);
            line.early = true;
        }
    }
}

/// Returns litres and kilograms of all lines, each rounded up.
fn load(parts: &[JointPart], lines: &[JointLine]) -> (i64, i64) {
    let of = |each: fn(&JointPart) -> i64| {
        let pairs = parts.iter().zip(lines);
        let all: i128 =
            pairs.map(|(part, it)| i128::from(each(part)) * i128::from(it.quantity.pieces())).sum();
        i64::try_from((all + 999_999).div_euclid(1_000_000)).unwrap_or(i64::MAX)
    };
    (of(|it| it.volume_mm3), of(|it| it.mass_mg))
}

fn is_over(
    parts: &[JointPart],
    lines: &[JointLine],
    (whole, binding): (&WholeOrder, Binding),
) -> bool {
    if binding == Binding::Budget {
        return whole.budget.is_some_and(|it| it < sum(lines));
    }
    let (litres, kilograms) = load(parts, lines);
    whole.litres.is_some_and(|it| it < litres) || whole.kilograms.is_some_and(|it| it < kilograms)
}

fn cut(
    parts: &[JointPart],
    lines: &mut [JointLine],
    by_urgency: &[usize],
    limit: (&WholeOrder, Binding),
) {
    for at in by_urgency.iter().rev() {
        if !is_over(parts, lines, limit) {
            return;
        }
        let Some(part) = parts.get(*at) else { continue };
        let Some(before) = lines.get(*at).copied().filter(|it| it.quantity.is_some()) else {
            continue;
        };
        let pack = part.terms.pack.pieces().max(1);
        let least = part.terms.minimum_order.max(Quantity::ONE).in_packs_of(part.terms.pack);
        let mut set = |packs: i64| {
            let quantity = Quantity::new(packs * pack);
            if let Some(line) = lines.get_mut(*at) {
                *line = JointLine {
                    quantity,
                    cost: cost(part, quantity),
                    cut: Some(limit.1),
                    early: before.early,
                };
            }
            is_over(parts, lines, limit)
        };
        // Fewer packs take less room; a lower price that they miss may make them dearer, so the
        // most that fit are looked for from what nothing costs upwards.
        let (mut low, mut high) = (0, before.quantity.pieces() / pack);
        while low < high {
            let middle = low + (high - low + 1) / 2;
            if set(middle) { high = middle - 1 } else { low = middle }
        }
        let kept = if Quantity::new(low * pack) < least { 0 } else { low };
        set(kept);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::reorder::Price;

    fn part(quantity: i64, cents: i64, days_left: i64) -> JointPart {
        JointPart {
            quantity: Quantity::new(quantity),
            days_left,
            terms: Terms {
                minimum_order: Quantity::new(1000),
                pack: Quantity::new(200),
                prices: vec![Price {
                    from: Quantity::ONE,
                    per_thousand: Money::from_cents(cents * 1000),
                }],
                ..Terms::default()
            },
            volume_mm3: 1_000_000,
            mass_mg: 2_000_000,
        }
    }

    fn check(parts: &[JointPart], whole: WholeOrder, expected: &[i64]) -> Joint {
        let joint = joint(parts, &whole);
        let found: Vec<i64> = joint.lines.iter().map(|it| it.quantity.pieces()).collect();
        assert_eq!(found, expected);
        joint
    }

    #[test]
    fn bolts_near_their_card_come_along_until_the_order_is_worth_the_minimum() {
        // Trennick asks 500 of an order: 1,000 pinch bolts at 0.17 are 170.
        let bolts = [part(1000, 17, 0), part(2000, 15, 9), part(2000, 13, 4), part(1000, 48, 15)];
        let money = |units: i64| Money::from_cents(units * 100);
        let asks = |units| WholeOrder { minimum_value: money(units), ..WholeOrder::default() };
        let joint = check(&bolts, asks(500), &[1000, 2000, 2000, 0]);
        assert_eq!((joint.total, joint.below_minimum), (money(730), None));
        assert_eq!(
            joint.lines.iter().map(|it| it.early).collect::<Vec<_>>(),
            [false, true, true, false]
        );
        check(&bolts, asks(400), &[1000, 0, 2000, 0]);
        check(&bolts, asks(0), &[1000, 0, 0, 0]);
        let joint = check(&bolts, asks(800), &[1000, 2000, 2000, 0]);
        assert_eq!(joint.below_minimum, Some(money(70)));
        let none_due = [part(1000, 17, 3)];
        check(&none_due, asks(500), &[0]);
    }

    #[test]
    fn budget_and_container_cut_the_least_urgent_by_whole_packs() {
        let parts = [part(2000, 10, -3), part(2000, 10, 0)];
        let whole = |budget: i64| WholeOrder {
            budget: Some(Money::from_cents(budget)),
            ..WholeOrder::default()
        };
        let joint = check(&parts, whole(35_000), &[2000, 1400]);
        assert_eq!(
            joint.lines.iter().map(|it| it.cut).collect::<Vec<_>>(),
            [None, Some(Binding::Budget)]
        );
        check(&parts, whole(29_000), &[2000, 0]);
        check(&parts, whole(15_000), &[1400, 0]);
        let container = WholeOrder { litres: Some(3300), kilograms: Some(7000), ..whole(90_000) };
        let joint = check(&parts, container, &[2000, 1200]);
        assert_eq!((joint.litres, joint.kilograms), (3200, 6400));
    }
}
