use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::domain::people::Permission;
use crate::domain::purchasing::{UnitPrice, check_quantity};
use crate::domain::reorder::arrival;
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::{people as people_ops, stock as stock_ops};
use crate::store::catalog::VariantRow;
use crate::store::purchasing::{
    LineChange, NewPurchaseLine, NewPurchaseOrder, PurchaseLineRow, PurchaseOrderRow, SupplierTerms,
};
use crate::store::{Conn, Tx, people, purchasing};
use crate::units::{Money, Quantity};

/// A part that is to be ordered.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DraftLine {
    /// The part number.
    pub part_number: String,
    /// Pieces to order: whole packs, and not below the supplier's minimum.
    pub quantity: Quantity,
    /// What a thousand pieces cost in cents of the shop's currency; where it is not said, what the
    /// catalogue says that they cost.
    pub price_per_thousand_cents: Option<i64>,
    /// The day on which they are needed; none where the supplier's lead time will do.
    pub needed_by: Option<NaiveDate>,
    /// Why they are ordered, in words; may be empty.
    #[serde(default)]
    pub reason: String,
}

/// What came of putting parts on a draft.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Drafted {
    /// The purchase order's number.
    pub number: String,
    /// Whether it was opened for them.
    pub opened: bool,
    /// The lines that the parts stand on, in their order.
    pub lines: Vec<i64>,
}

/// As [`draft_lines`], done once for each request key.
///
/// # Errors
///
/// As [`draft_lines`].
pub fn draft_lines_once(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    supplier: &str,
    lines: &[DraftLine],
) -> Result<Drafted, Error> {
    once(tx, key, "purchasing.draft", &(supplier, lines), |tx| draft_lines(tx, supplier, lines))
}

/// Puts parts on the open draft for the supplier of that code, or on a new one; a part that stands
/// there already is ordered in as many pieces more, at the price that is said now.
///
/// # Errors
///
/// [`Error::NotFound`]; [`Error::Invalid`] where a part comes from another supplier or none is
/// named; [`crate::domain::purchasing::PurchasingError`] where a quantity can't be ordered. Nothing
/// is written then.
pub fn draft_lines(tx: &mut Tx<'_>, supplier: &str, lines: &[DraftLine]) -> Result<Drafted, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    if lines.is_empty() {
        return Err(Error::invalid("purchasing.no_parts", "lines: name at least one part"));
    }
    let terms = purchasing::supplier_terms(tx.conn, supplier)?
        .ok_or_else(|| Error::not_found("supplier", supplier))?;
    let (number, opened) = match purchasing::open_draft(tx.conn, terms.id)? {
        Some(number) => (number, false),
        None => (open(tx, &terms)?, true),
    };
    let order = order(tx.conn, &number)?;
    let mut numbers = Vec::new();
    for it in lines {
        numbers.push(put(tx, &order, it)?);
    }
    Ok(Drafted { number, opened, lines: numbers })
}

/// Loads the purchase order of that number.
pub(super) fn order(conn: &mut Conn, number: &str) -> Result<PurchaseOrderRow, Error> {
    purchasing::purchase_order(conn, number)?
        .ok_or_else(|| Error::not_found("purchase order", number))
}

/// Returns the next number of the shop's own series that no purchase order from a file has taken.
pub(in crate::ops) fn next_number(tx: &mut Tx<'_>) -> Result<String, Error> {
    loop {
        let number = format!("PO{:05}", people::next_number(tx.conn, "purchase order")?);
        if purchasing::purchase_order(tx.conn, &number)?.is_none() {
            return Ok(number);
        }
    }
}

/// Returns the day on which an order of that day arrives, by lead time and closing days.
pub(super) fn expected_on(
    terms: &SupplierTerms,
    ordered_on: NaiveDate,
) -> Result<NaiveDate, Error> {
    arrival(ordered_on, terms.lead_days, &terms.closings)
        .map_err(|fault| Error::invalid("purchasing.lead_time", fault.to_string()))
}

fn open(tx: &mut Tx<'_>, terms: &SupplierTerms) -> Result<String, Error> {
    let (number, today) = (next_number(tx)?, tx.today());
    let due_on = expected_on(terms, today)?;
    let head = NewPurchaseOrder {
        number: &number,
        supplier: terms.id,
        ordered_on: today,
        due_on,
        note: "",
    };
    let order = purchasing::make_purchase_order(tx.conn, &head)?;
    let row = self::order(tx.conn, &number)?;
    let unsent = crate::domain::purchasing::Progress { approved: 0, sent: 0, ..row.progress() };
    purchasing::set_progress(tx.conn, order, unsent)?;
    purchasing::note_event(tx, order, 1, "drafted", &format!("drafted for {}", row.supplier))?;
    Ok(number)
}

fn put(tx: &mut Tx<'_>, order: &PurchaseOrderRow, it: &DraftLine) -> Result<i64, Error> {
    let variant = stock_ops::variant(tx, &it.part_number)?;
    check_supplier(&variant, order)?;
    let rows = purchasing::lines_of(tx.conn, order.id)?;
    let there = rows.iter().find(|row| row.variant == variant.id && !row.closed);
    let already = there.map_or(Quantity::ZERO, |row| row.quantity);
    let quantity = it.quantity.plus(already);
    if !it.quantity.is_some() {
        check_quantity(&variant.part_number, it.quantity, (variant.pack, variant.minimum_order))?;
    }
    check_quantity(&variant.part_number, quantity, (variant.pack, variant.minimum_order))?;
    let price = price(it, &variant)?;
    let reason = one_line(&it.reason);
    let words = format!("{} × {} at {price}", it.quantity, variant.part_number);
    let line_no = match there {
        Some(row) => {
            let earlier = [row.wanted_on, it.needed_by].into_iter().flatten().min();
            let reason = joined(&row.reason, &reason);
            let change = LineChange {
                quantity,
                price,
                wanted_on: earlier,
                reason: &reason,
                revision: order.revision,
            };
            purchasing::change_line(tx.conn, row.id, &change)?;
            row.line_no
        }
        None => add(tx, order, &rows, (&variant, quantity, price), it.needed_by, &reason)?,
    };
    let because = if reason.is_empty() { String::new() } else { format!(": {reason}") };
    let words = format!("line {line_no}: {words}{because}");
    purchasing::note_event(tx, order.id, order.revision, "changed", &words)?;
    Ok(line_no)
}

/// Writes a new line; returns its number.
pub(super) fn add(
    tx: &mut Tx<'_>,
    order: &PurchaseOrderRow,
    rows: &[PurchaseLineRow],
    (variant, quantity, price): (&VariantRow, Quantity, UnitPrice),
    wanted_on: Option<NaiveDate>,
    reason: &str,
) -> Result<i64, Error> {
    let line_no = rows.iter().map(|row| row.line_no).max().unwrap_or(0) + 1;
    let line = NewPurchaseLine {
        order: order.id,
        line_no,
        variant: variant.id,
        quantity,
        price,
        currency: "",
        wanted_on,
        reason,
        revision: order.revision,
    };
    purchasing::make_line(tx.conn, &line)?;
    Ok(line_no)
}

/// Refuses a part that the order's supplier does not sell.
pub(super) fn check_supplier(variant: &VariantRow, order: &PurchaseOrderRow) -> Result<(), Error> {
    if variant.supplier == Some(order.supplier_id) {
        return Ok(());
    }
    let from = variant.supplier_name.as_deref().unwrap_or("no supplier");
    Err(Error::invalid(
        "purchasing.other_supplier",
        format!(
            "{} comes from {from}, and this order goes to {}: order it there, or name the supplier \
             in the catalogue",
            variant.part_number, order.supplier
        ),
    ))
}

fn price(it: &DraftLine, variant: &VariantRow) -> Result<UnitPrice, Error> {
    match it.price_per_thousand_cents {
        None => Ok(UnitPrice::each(variant.unit_cost)),
        Some(cents) if 0 <= cents => Ok(UnitPrice::per_thousand(Money::from_cents(cents))),
        Some(_) => Err(Error::invalid(
            "purchasing.price",
            format!("{}: a price is 0 or more", variant.part_number),
        )),
    }
}

/// Returns words on one line, without spaces at either end.
pub(super) fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Returns both reasons, and one that is known already only once.
fn joined(old: &str, new: &str) -> String {
    match (old.is_empty(), new.is_empty() || old.contains(new)) {
        (_, true) => old.to_owned(),
        (true, _) => new.to_owned(),
        _ => format!("{old}; {new}"),
    }
}
