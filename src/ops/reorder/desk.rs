use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use super::judge::{Judged, Judgement, judge, letters};
use crate::domain::catalog::BoxSize;
use crate::domain::ids::{SupplierId, VariantId};
use crate::domain::reorder::{
    Advice, Binding, EARLY_DAYS, Joint, JointLine, JointPart, PolicyKind, WholeOrder, joint,
};
use crate::error::Error;
use crate::store::catalog::SupplierRow;
use crate::store::{Conn, reorder};
use crate::units::{Money, Quantity};

/// What the buyer has before him.
#[derive(Debug, Clone, Default, PartialEq, Serialize, utoipa::ToSchema)]
pub struct Desk {
    /// The suppliers of whom something is to be ordered.
    pub suppliers: Vec<SupplierDesk>,
    /// What is to be made in the house, which no order brings.
    pub made: Vec<SuggestionView>,
    /// What was put off to a later day.
    pub put_off: Vec<SuggestionView>,
    /// What can't be judged, and why.
    pub faults: Vec<String>,
}

/// What to order of one supplier.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct SupplierDesk {
    /// The supplier's code.
    pub code: String,
    /// The supplier's name.
    pub name: String,
    /// The parts, the most urgent first.
    pub parts: Vec<SuggestionView>,
    /// What all of it costs, in cents.
    pub total_cents: i64,
    /// Litres of all of it.
    pub litres: i64,
    /// Kilograms of all of it.
    pub kilograms: i64,
    /// What the supplier's terms and the shop's limits say of the whole order, a sentence each.
    pub notes: Vec<String>,
}

/// A part that should be ordered.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct SuggestionView {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Pieces in bins that are not past their last day of use, by themselves or in sub-kits that
    /// nothing asks for.
    pub on_hand: Quantity,
    /// Pieces that open kits still need, by themselves or inside sub-kits that must yet be made.
    pub needed: Quantity,
    /// Those of them that go inside sub-kits that must yet be made.
    pub to_be_made: Quantity,
    /// Pieces still to come, or on a draft.
    pub on_order: Quantity,
    /// Order at or below this.
    pub reorder_point: Quantity,
    /// On hand, less needed, plus on order.
    pub supply: Quantity,
    /// Its class by yearly value and steadiness; empty where nothing is wanted of it.
    pub class: String,
    /// Its policy, in its word.
    pub policy: String,
    /// How many to order.
    pub quantity: Quantity,
    /// Pieces in a pack.
    pub pack: Quantity,
    /// How many packs that is.
    pub packs: i64,
    /// What they cost, in cents.
    pub cost_cents: i64,
    /// What a thousand pieces of the order cost, in cents.
    pub per_thousand_cents: i64,
    /// When an order of today is expected.
    pub due_on: NaiveDate,
    /// Days until the supply falls to the reorder point; below zero where it lies under it.
    pub days_left: i64,
    /// What made the order as large as it is, in its word.
    pub binding: String,
    /// Cards of its two bins, one for each container, where it has two bins.
    pub cards: Option<i64>,
    /// Whether it comes before its time, so that the order is worth the supplier's minimum.
    pub early: bool,
    /// The day until which the buyer has put it off.
    pub put_off_until: Option<NaiveDate>,
    /// Why, in one sentence with its numbers.
    pub because: String,
}

/// Loads what to order today, by supplier.
///
/// # Errors
///
/// [`Error::Database`].
pub fn desk(conn: &mut Conn, today: NaiveDate) -> Result<Desk, Error> {
    let Judgement { parts, suppliers, faults, .. } = judge(conn, today)?;
    let put_off: BTreeMap<VariantId, NaiveDate> =
        reorder::put_off(conn, today)?.into_iter().collect();
    let mut desk = Desk { faults, ..Desk::default() };
    let mut by_supplier: BTreeMap<SupplierId, Vec<Judged>> = BTreeMap::new();
    for it in parts {
        let due = it.decision.advice.quantity.is_some() || is_held(&it.decision.advice);
        match (put_off.get(&it.row.id), it.row.supplier) {
            (Some(until), _) if due => {
                let view = view(&it, it.decision.advice.quantity, &it.decision.advice);
                desk.put_off.push(SuggestionView { put_off_until: Some(*until), ..view });
            }
            (Some(_), _) => {}
            (None, Some(supplier)) => by_supplier.entry(supplier).or_default().push(it),
            (None, None) if due => {
                desk.made.push(view(&it, it.decision.advice.quantity, &it.decision.advice));
            }
            (None, None) => {}
        }
    }
    for (id, parts) in by_supplier {
        if let Some(supplier) = suppliers.get(&id) {
            desk.suppliers.extend(of_supplier(supplier, &parts)?);
        }
    }
    desk.suppliers.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(desk)
}

/// Returns whether a limit holds back all that is lacking, which the buyer must see.
fn is_held(advice: &Advice) -> bool {
    advice.binding != Binding::Enough && !advice.quantity.is_some()
}

/// Returns what to order of one supplier; nothing where no part is at its reorder point.
fn of_supplier(supplier: &SupplierRow, parts: &[Judged]) -> Result<Option<SupplierDesk>, Error> {
    let mut candidates: Vec<(&Judged, Advice, i64)> = Vec::new();
    for it in parts {
        let advice = &it.decision.advice;
        let left = it.decision.days_left.unwrap_or_default();
        if advice.binding != Binding::Enough {
            candidates.push((it, advice.clone(), left.min(0)));
        } else if (1..=EARLY_DAYS).contains(&left) && it.policy.kind != Some(PolicyKind::SeasonBuy)
        {
            let early = it.decision.at_its_card().map_err(|fault| {
                Error::Internal(format!("{} can't be judged: {fault}", it.row.part_number))
            })?;
            candidates.push((it, early, left));
        }
    }
    candidates.sort_by(|a, b| a.2.cmp(&b.2).then(a.0.row.part_number.cmp(&b.0.row.part_number)));
    let asked: Vec<JointPart> = candidates.iter().map(joint_part).collect();
    let whole = WholeOrder {
        minimum_value: supplier.minimum_value,
        budget: supplier.budget,
        litres: supplier.container_litres,
        kilograms: supplier.container_kg,
    };
    let joined = joint(&asked, &whole);
    let lines = candidates.iter().zip(&joined.lines);
    let shown = lines.filter(|(it, line)| line.quantity.is_some() || it.2 <= 0);
    let views: Vec<SuggestionView> =
        shown.map(|((it, advice, _), line)| joined_view(it, advice, line, supplier)).collect();
    if views.is_empty() {
        return Ok(None);
    }
    Ok(Some(SupplierDesk {
        code: supplier.code.clone(),
        name: supplier.name.clone(),
        notes: notes(supplier, &joined),
        parts: views,
        total_cents: joined.total.cents(),
        litres: joined.litres,
        kilograms: joined.kilograms,
    }))
}

fn joint_part((it, advice, days_left): &(&Judged, Advice, i64)) -> JointPart {
    let size = it.row.box_size.parse::<BoxSize>().ok();
    JointPart {
        quantity: advice.quantity,
        days_left: *days_left,
        terms: it.decision.part.terms.clone(),
        volume_mm3: size.map_or(0, |it| it.volume_mm3()),
        mass_mg: it.row.mass.milligrams(),
    }
}

fn joined_view(
    it: &Judged,
    advice: &Advice,
    line: &JointLine,
    supplier: &SupplierRow,
) -> SuggestionView {
    let mut view = view(it, line.quantity, advice);
    view.early = line.early;
    if line.early {
        let asked = supplier.minimum_value;
        let left = view.days_left;
        view.because = format!(
            "{} Ordered {left} day{} before its time: {} takes no order below {asked}, and {} are \
             ordered of it then.",
            it.decision.advice.because,
            if left == 1 { "" } else { "s" },
            supplier.name,
            line.quantity,
        );
    }
    if let Some(cut) = line.cut {
        let (what, binding) = match cut {
            Binding::Budget => ("budget of an order", cut.name()),
            _ => ("container", cut.name()),
        };
        view.binding = binding.to_owned();
        view.because = format!(
            "{} Cut from {} to {}: the {what} holds no more, and other parts of {} are more urgent.",
            view.because, advice.quantity, line.quantity, supplier.name
        );
    }
    view
}

fn notes(supplier: &SupplierRow, joined: &Joint) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(below) = joined.below_minimum {
        notes.push(format!(
            "{} takes no order below {}: {below} are wanting, and nothing else is within \
             {EARLY_DAYS} days of its reorder point. Order more of something, or put it off.",
            supplier.name, supplier.minimum_value
        ));
    }
    if let Some(budget) = supplier.budget {
        notes.push(format!("An order may cost {budget}; this one costs {}.", joined.total));
    }
    if let Some(litres) = supplier.container_litres {
        notes.push(format!("A container holds {litres} l; this order fills {} l.", joined.litres));
    }
    if let Some(kilograms) = supplier.container_kg {
        let loaded = joined.kilograms;
        notes.push(format!("A container may weigh {kilograms} kg; this order weighs {loaded} kg."));
    }
    notes
}

/// Returns a part with an order of so many pieces.
pub(super) fn view(it: &Judged, quantity: Quantity, advice: &Advice) -> SuggestionView {
    let (row, decision) = (&it.row, &it.decision);
    let cost = match quantity.is_some() {
        true => decision.part.terms.cost(quantity).unwrap_or(Money::ZERO),
        false => Money::ZERO,
    };
    SuggestionView {
        part_number: row.part_number.clone(),
        part: row.part.clone(),
        variant: row.variant.clone(),
        on_hand: it.standing.on_hand,
        needed: it.standing.needed,
        to_be_made: it.standing.to_be_made,
        on_order: it.standing.on_order,
        reorder_point: decision.advice.rule.reorder_point,
        supply: decision.advice.supply,
        class: it.ranked.map(|it| letters(it.class)).unwrap_or_default(),
        policy: it.policy.kind.unwrap_or(PolicyKind::AsSet).word().to_owned(),
        quantity,
        pack: row.pack,
        packs: quantity.pieces() / row.pack.pieces().max(1),
        cost_cents: cost.cents(),
        per_thousand_cents: per_thousand(cost, quantity),
        due_on: decision.due_on,
        days_left: decision.days_left.unwrap_or_default(),
        binding: advice.binding.name().to_owned(),
        cards: decision.bins.map(|it| it.cards),
        early: false,
        put_off_until: None,
        because: because(it, advice),
    }
}

/// Returns what a thousand pieces cost in an order of so many, rounded up to a whole cent.
pub(super) fn per_thousand(cost: Money, quantity: Quantity) -> i64 {
    let pieces = i128::from(quantity.pieces().max(1));
    let cents = (i128::from(cost.cents()) * 1000 + pieces - 1).div_euclid(pieces);
    i64::try_from(cents).unwrap_or(i64::MAX)
}

/// Returns the sentence, with what of the supply is no loose pieces.
fn because(it: &Judged, advice: &Advice) -> String {
    let mut said = advice.because.clone();
    let parts = [
        (it.standing.in_sub_kits, "Of what is on hand, {} lie in bags and sets on the shelf."),
        (it.standing.to_be_made, "Of what is needed, {} go into bags and sets yet to be made."),
    ];
    for (count, words) in parts.into_iter().filter(|it| it.0.is_some()) {
        said.push(' ');
        said.push_str(&words.replace("{}", &count.to_string()));
    }
    said
}
