use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};

use super::desk::{SuggestionView, desk, per_thousand};
use crate::domain::people::Permission;
use crate::domain::reorder::Terms;
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::purchasing::{DraftLine, draft_lines};
use crate::ops::{people, stock as stock_ops};
use crate::store::reorder::NewOverrule;
use crate::store::{Tx, reorder};
use crate::units::Quantity;

/// One part to be ordered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderPart {
    /// The part number.
    pub part_number: String,
    /// How many pieces.
    pub quantity: Quantity,
    /// Why, where it is not what was suggested.
    #[serde(default)]
    pub reason: String,
}

/// The purchase orders that the parts stand on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct MadePurchaseOrders {
    /// Their numbers.
    pub numbers: Vec<String>,
}

/// The longest that a suggestion is put off.
const MOST_DAYS_OFF: u64 = 366;

/// Puts parts on the draft of a purchase order for each of their suppliers. Where a part is ordered
/// otherwise than the desk suggests, the reason is kept.
///
/// # Errors
///
/// [`Error::Invalid`] when a part has no supplier, is named twice, or is ordered otherwise than
/// suggested without a reason; [`Error::Conflict`] `reorder.not_listed` when it is no longer
/// suggested and no reason is given; and what [`draft_lines`] refuses.
pub fn order(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    parts: &[OrderPart],
) -> Result<MadePurchaseOrders, Error> {
    people::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "reorder.order", &parts, |tx| {
        if parts.is_empty() {
            return Err(Error::invalid("reorder.no_parts", "parts: choose at least one part"));
        }
        let mut seen = BTreeSet::new();
        if let Some(part) = parts.iter().find(|it| !seen.insert(&it.part_number)) {
            let message = format!("{}: named twice, add the quantities up", part.part_number);
            return Err(Error::invalid("reorder.twice", message));
        }
        let today = tx.today();
        let desk = desk(tx.conn, today)?;
        let suggested = desk.suppliers.into_iter().flat_map(|it| it.parts).chain(desk.put_off);
        let suggested: BTreeMap<String, SuggestionView> =
            suggested.map(|it| (it.part_number.clone(), it)).collect();
        let mut by_supplier: BTreeMap<String, Vec<DraftLine>> = BTreeMap::new();
        for part in parts {
            let (supplier, line) = line(tx, part, suggested.get(&part.part_number))?;
            by_supplier.entry(supplier).or_default().push(line);
        }
        let mut numbers = Vec::new();
        for (supplier, lines) in by_supplier {
            numbers.push(draft_lines(tx, &supplier, &lines)?.number);
        }
        Ok(MadePurchaseOrders { numbers })
    })
}

/// Returns the supplier's code and the line for a part, and keeps the reason where it is ordered
/// otherwise than suggested.
fn line(
    tx: &mut Tx<'_>,
    part: &OrderPart,
    suggested: Option<&SuggestionView>,
) -> Result<(String, DraftLine), Error> {
    let row = stock_ops::variant(tx, &part.part_number)?;
    let number = &row.part_number;
    let supplier = row.supplier_code.clone().ok_or_else(|| {
        Error::invalid("reorder.no_supplier", format!("{number} has no supplier: import one"))
    })?;
    let reason = part.reason.trim();
    let quantity = suggested.map_or(Quantity::ZERO, |it| it.quantity);
    let as_suggested = part.quantity == quantity;
    if !as_suggested && reason.is_empty() {
        return Err(match suggested {
            None => Error::conflict(
                "reorder.not_listed",
                format!(
                    "{number} is not on the desk: it may have been ordered a moment ago, so load the \
                     desk again, or say why it is ordered all the same"
                ),
            ),
            Some(_) => Error::invalid(
                "reorder.no_reason",
                format!(
                    "{number}: {quantity} are suggested and {} asked for: say why, so that the next \
                     buyer knows",
                    part.quantity
                ),
            ),
        });
    }
    let because = suggested.map_or("nothing was suggested", |it| it.because.as_str());
    if !as_suggested {
        overrule(
            tx,
            &row.part_number,
            &NewReason { quantity, chosen: part.quantity, put_off_until: None, reason, because },
        )?;
    }
    let per_thousand = match suggested.filter(|_| as_suggested) {
        Some(suggested) => Some(suggested.per_thousand_cents).filter(|it| 0 < *it),
        None => listed_price(tx, &row.part_number, part.quantity)?,
    };
    let line = DraftLine {
        part_number: row.part_number,
        quantity: part.quantity,
        price_per_thousand_cents: per_thousand,
        needed_by: None,
        reason: if as_suggested { because.to_owned() } else { reason.to_owned() },
    };
    Ok((supplier, line))
}

/// Loads what a thousand pieces cost in an order of so many by the part's own prices; nothing where
/// it has none and the catalogue's price holds.
pub(super) fn listed_price(
    tx: &mut Tx<'_>,
    part_number: &str,
    quantity: Quantity,
) -> Result<Option<i64>, Error> {
    let policies = reorder::policies(tx.conn)?;
    let own = policies.into_iter().find(|it| it.scope.to_string() == part_number);
    let Some(own) = own.filter(|it| !it.prices.all().is_empty()) else { return Ok(None) };
    let terms = Terms {
        prices: own.prices.all().to_vec(),
        discount: own.discount.map(Into::into).unwrap_or_default(),
        ..Terms::default()
    };
    Ok(terms.cost(quantity).map(|cost| per_thousand(cost, quantity)))
}

struct NewReason<'a> {
    quantity: Quantity,
    chosen: Quantity,
    put_off_until: Option<NaiveDate>,
    reason: &'a str,
    because: &'a str,
}

fn overrule(tx: &mut Tx<'_>, part_number: &str, it: &NewReason<'_>) -> Result<(), Error> {
    let user = tx.who.user().ok_or(Error::SignedOut)?;
    let variant = stock_ops::variant(tx, part_number)?.id;
    let (at, it) = (tx.now, it);
    let row = NewOverrule {
        variant,
        at,
        user,
        suggested: it.quantity,
        chosen: it.chosen,
        put_off_until: it.put_off_until,
        reason: it.reason,
        because: it.because,
    };
    Ok(reorder::make_overrule(tx.conn, &row)?)
}

/// A suggestion to be put off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct PutOff {
    /// The part number.
    pub part_number: String,
    /// The day on which it is to be suggested again.
    pub until: NaiveDate,
    /// Why.
    pub reason: String,
}

/// What was put off, and to when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct PuttingOff {
    /// What was done, in words.
    pub words: String,
}

/// Puts a suggestion off to a later day, and keeps why.
///
/// # Errors
///
/// [`Error::Invalid`] without a reason, or where the day is not within the year to come.
pub fn put_off(tx: &mut Tx<'_>, key: &RequestKey, it: &PutOff) -> Result<PuttingOff, Error> {
    people::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "reorder.put_off", it, |tx| {
        let reason = it.reason.trim();
        if reason.is_empty() {
            return Err(Error::invalid("reorder.no_reason", "reason: say why it is put off"));
        }
        let today = tx.today();
        let last = today.checked_add_days(Days::new(MOST_DAYS_OFF)).unwrap_or(today);
        if it.until <= today || last < it.until {
            let message = format!("until: write a day after {today} and within a year");
            return Err(Error::invalid("reorder.until", message));
        }
        let desk = desk(tx.conn, today)?;
        let all = desk.suppliers.into_iter().flat_map(|it| it.parts).chain(desk.put_off);
        let found = all.chain(desk.made).find(|found| found.part_number == it.part_number);
        let (quantity, because) = match &found {
            Some(found) => (found.quantity, found.because.as_str()),
            None => (Quantity::ZERO, "nothing was suggested"),
        };
        let part_number = stock_ops::variant(tx, &it.part_number)?.part_number;
        let until = Some(it.until);
        let row =
            NewReason { quantity, chosen: Quantity::ZERO, put_off_until: until, reason, because };
        overrule(tx, &part_number, &row)?;
        Ok(PuttingOff { words: format!("{part_number} is put off until {}", it.until) })
    })
}
