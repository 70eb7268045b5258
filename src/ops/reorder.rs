//! The reorder list, and purchase orders made from it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};

use crate::domain::codes::PartNumber;
use crate::domain::ids::VariantId;
use crate::domain::netting::inside_what_is_made;
use crate::domain::reorder::{Position, suggest};
use crate::error::Error;
use crate::store::catalog::VariantRow;
use crate::store::purchasing::{NewPurchaseLine, NewPurchaseOrder};
use crate::store::{Conn, Tx, catalog, kits, orders, people, purchasing, stock};
use crate::units::Quantity;

use super::once::{RequestKey, once};
use super::stock as stock_ops;
use super::words::by_variant;

/// A part that should be ordered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ReorderView {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// The supplier's code; empty where none is known.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// Pieces in bins that are not past their last day of use.
    pub on_hand: Quantity,
    /// Pieces that open kits still need, by themselves or inside sub-kits that must yet be made.
    pub needed: Quantity,
    /// Those of them that go inside sub-kits that must yet be made.
    pub to_be_made: Quantity,
    /// Pieces still to come.
    pub on_order: Quantity,
    /// Order at or below this.
    pub reorder_point: Quantity,
    /// On hand, less needed, plus on order.
    pub supply: Quantity,
    /// How many to order.
    pub quantity: Quantity,
    /// What they cost, in cents.
    pub cost_cents: i64,
    /// Why, in one sentence with its numbers.
    pub because: String,
}

/// Loads the parts at or below their reorder point, by supplier, those that lack most first. What
/// is past its last day of use `today` is no supply.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, today: NaiveDate) -> Result<Vec<ReorderView>, Error> {
    let on_hand = by_variant(stock::usable(conn, today)?);
    let mut needed =
        by_variant(orders::open_lines(conn)?.into_iter().map(|it| (it.variant, it.left())));
    let inside = inside_sub_kits(conn, today, (&needed, &on_hand))?;
    for (variant, quantity) in &inside {
        let sum = needed.entry(*variant).or_default();
        *sum = sum.plus(*quantity);
    }
    let incoming = purchasing::incoming(conn)?.into_iter();
    let on_order = by_variant(incoming.map(|it| (it.variant, it.quantity)));
    let of = |sums: &BTreeMap<VariantId, Quantity>, id: &VariantId| {
        sums.get(id).copied().unwrap_or_default()
    };
    let low = |(id, point): (VariantId, Quantity)| {
        let supply = of(&on_hand, &id).less(of(&needed, &id)).plus(of(&on_order, &id));
        let idle = point == Quantity::ZERO && Quantity::ZERO <= supply;
        (supply <= point && !idle).then_some(id)
    };
    let low = catalog::reorder_points(conn)?.into_iter().filter_map(low).collect();
    let mut views: Vec<ReorderView> = catalog::variants_of(conn, &low)?
        .into_iter()
        .filter_map(|row| {
            let of = |sums: &BTreeMap<VariantId, Quantity>| {
                sums.get(&row.id).copied().unwrap_or_default()
            };
            let position = Position {
                on_hand: of(&on_hand),
                needed: of(&needed),
                on_order: of(&on_order),
                reorder_point: row.reorder_point,
                order_quantity: row.order_quantity,
                minimum_order: row.minimum_order,
                pack: row.pack,
            };
            view(&row, &position, of(&inside))
        })
        .collect();
    views.sort_by(|a, b| {
        let key = |it: &ReorderView| (it.supplier.clone(), it.supply, it.part_number.clone());
        key(a).cmp(&key(b))
    });
    Ok(views)
}

/// Loads what open kits need inside sub-kits that the shelf does not cover.
fn inside_sub_kits(
    conn: &mut Conn,
    today: NaiveDate,
    (needed, on_hand): (&BTreeMap<VariantId, Quantity>, &BTreeMap<VariantId, Quantity>),
) -> Result<BTreeMap<VariantId, Quantity>, Error> {
    let boms = kits::boms_on(conn, today)?;
    let made = boms.values().filter(|it| it.makes.is_some());
    let made = made.flat_map(|it| {
        let held = it.lines.iter().map(|it| it.item.to_string());
        held.chain(it.makes.as_ref().map(ToString::to_string))
    });
    let made: BTreeSet<String> = made.collect();
    let rows = catalog::variants_numbered(conn, made.iter().map(String::as_str))?;
    let by_number = |sums: &BTreeMap<VariantId, Quantity>| -> BTreeMap<PartNumber, Quantity> {
        let of = |it: &VariantRow| Some((it.part_number.parse().ok()?, *sums.get(&it.id)?));
        rows.iter().filter_map(of).collect()
    };
    let inside = inside_what_is_made(&boms, &by_number(needed), &by_number(on_hand));
    let of = |it: &VariantRow| Some((it.id, *inside.get(&it.part_number.parse().ok()?)?));
    Ok(rows.iter().filter_map(of).collect())
}

fn view(row: &VariantRow, position: &Position, to_be_made: Quantity) -> Option<ReorderView> {
    let suggestion = suggest(position)?;
    let Position { on_hand, needed, on_order, reorder_point, minimum_order, pack, .. } = *position;
    let sold = match row.supplier {
        Some(_) => format!("the supplier sells {minimum_order} at least"),
        None => "it is made in the house".to_owned(),
    };
    let inside = match to_be_made.is_some() {
        true => format!(" ({to_be_made} of them inside what is yet to be made)"),
        false => String::new(),
    };
    let because = format!(
        "{on_hand} on hand − {needed} needed{inside} + {on_order} on order = {supply}, at or below the \
         reorder point {reorder_point}; {quantity} is {packs} × {pack}, and {sold}.",
        supply = suggestion.supply,
        quantity = suggestion.quantity,
        packs = suggestion.quantity.pieces() / pack.pieces().max(1),
    );
    Some(ReorderView {
        part_number: row.part_number.clone(),
        part: row.part.clone(),
        variant: row.variant.clone(),
        supplier_code: row.supplier_code.clone().unwrap_or_default(),
        supplier: row.supplier_name.clone().unwrap_or_default(),
        on_hand,
        needed,
        to_be_made,
        on_order,
        reorder_point,
        supply: suggestion.supply,
        quantity: suggestion.quantity,
        cost_cents: row.unit_cost.times(suggestion.quantity.pieces()).cents(),
        because,
    })
}

/// One part to be ordered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct OrderPart {
    /// The part number.
    pub part_number: String,
    /// How many pieces.
    pub quantity: Quantity,
}

/// The purchase orders that were made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct MadePurchaseOrders {
    /// Their numbers.
    pub numbers: Vec<String>,
}

/// Makes one purchase order for each supplier of the parts, due after the supplier's lead time.
///
/// # Errors
///
/// [`Error::Invalid`] when a part has no supplier, is named twice, or its quantity is no whole
/// number of packs or below the supplier's minimum.
pub fn order(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    parts: &[OrderPart],
) -> Result<MadePurchaseOrders, Error> {
    once(tx, key, "reorder.order", &parts, |tx| {
        if parts.is_empty() {
            return Err(Error::invalid("reorder.no_parts", "parts: choose at least one part"));
        }
        let today = tx.today();
        let listed: BTreeSet<String> =
            list(tx.conn, today)?.into_iter().map(|it| it.part_number).collect();
        let mut by_supplier: BTreeMap<String, Vec<(VariantRow, Quantity)>> = BTreeMap::new();
        for part in parts {
            let row = stock_ops::variant(tx, &part.part_number)?;
            if !listed.contains(&row.part_number) {
                return Err(Error::conflict(
                    "reorder.not_listed",
                    format!(
                        "{} stands above its reorder point: it may have been ordered a moment ago, \
                         so load the list again",
                        row.part_number
                    ),
                ));
            }
            let supplier = check_part(&row, part.quantity)?;
            let lines = by_supplier.entry(supplier).or_default();
            if lines.iter().any(|(it, _)| it.id == row.id) {
                return Err(Error::invalid(
                    "reorder.twice",
                    format!("{}: named twice, add the quantities up", row.part_number),
                ));
            }
            lines.push((row, part.quantity));
        }
        let lead_days: BTreeMap<String, i64> =
            catalog::suppliers(tx.conn)?.into_iter().map(|it| (it.code, it.lead_days)).collect();
        let mut numbers = Vec::new();
        for (supplier, lines) in by_supplier {
            let days = lead_days.get(&supplier).copied().unwrap_or(0);
            numbers.push(make(tx, days, &lines)?);
        }
        Ok(MadePurchaseOrders { numbers })
    })
}

fn check_part(row: &VariantRow, quantity: Quantity) -> Result<String, Error> {
    let number = &row.part_number;
    let wrong = |message: String| Err(Error::invalid("reorder.quantity", message));
    if !quantity.is_some() {
        return wrong(format!("{number}: order 1 piece or more"));
    }
    if quantity.in_packs_of(row.pack) != quantity {
        return wrong(format!(
            "{number}: {quantity} is no whole number of packs of {}: order {}",
            row.pack,
            quantity.in_packs_of(row.pack)
        ));
    }
    if quantity < row.minimum_order {
        return wrong(format!(
            "{number}: the supplier sells {} at least",
            row.minimum_order.in_packs_of(row.pack)
        ));
    }
    row.supplier_code.clone().ok_or_else(|| {
        Error::invalid("reorder.no_supplier", format!("{number} has no supplier: import one"))
    })
}

/// Returns the next number of the shop's own series that no purchase order from a file has taken.
fn next_number(tx: &mut Tx<'_>) -> Result<String, Error> {
    loop {
        let number = format!("PO{:05}", people::next_number(tx.conn, "purchase order")?);
        if purchasing::purchase_order(tx.conn, &number)?.is_none() {
            return Ok(number);
        }
    }
}

fn make(
    tx: &mut Tx<'_>,
    lead_days: i64,
    lines: &[(VariantRow, Quantity)],
) -> Result<String, Error> {
    let number = next_number(tx)?;
    let supplier = lines
        .first()
        .and_then(|(row, _)| row.supplier)
        .ok_or_else(|| Error::Internal("a purchase order has no supplier".to_owned()))?;
    let today = tx.today();
    let due_on = u64::try_from(lead_days)
        .ok()
        .and_then(|days| today.checked_add_days(Days::new(days)))
        .unwrap_or(today);
    let head = NewPurchaseOrder { number: &number, supplier, ordered_on: today, due_on, note: "" };
    let order = purchasing::make_purchase_order(tx.conn, &head)?;
    for (line_no, (row, quantity)) in (1_i64..).zip(lines) {
        let line = NewPurchaseLine {
            order,
            line_no,
            variant: row.id,
            quantity: *quantity,
            unit_price: row.unit_cost,
            currency: "",
            wanted_on: None,
        };
        purchasing::make_line(tx.conn, &line)?;
    }
    Ok(number)
}
