use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::Done;
use super::draft::{add, check_supplier, one_line, order};
use super::life::wrong_state;
use crate::domain::people::Permission;
use crate::domain::purchasing::{Edit, Progress, UnitPrice, check_edit, check_quantity};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::{people as people_ops, stock as stock_ops};
use crate::store::purchasing::{LineChange, Promise, PurchaseLineRow, PurchaseOrderRow};
use crate::store::{Tx, purchasing};
use crate::units::{Money, Quantity};

/// What a line of an order is to become.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LineEdit {
    /// The line's number; none for a new line.
    pub line: Option<i64>,
    /// The part number of a new line.
    pub part_number: String,
    /// Pieces ordered; none takes the line off an order that no supplier has seen.
    pub quantity: Quantity,
    /// What `price_per` pieces cost, in cents; the catalogue's cost where it is not said.
    pub price_cents: Option<i64>,
    /// The pieces that the price is for; 1 where it is not said.
    pub price_per: Option<i64>,
    /// The day on which they are wanted.
    pub wanted_on: Option<NaiveDate>,
    /// Why they are ordered; where it is empty, what was said before.
    pub reason: String,
}

/// Loads an order that may be edited, and makes its next revision where the supplier has this one.
fn editable(tx: &mut Tx<'_>, number: &str) -> Result<PurchaseOrderRow, Error> {
    let row = order(tx.conn, number)?;
    if row.cancelled {
        return Err(wrong_state(tx.conn, &row, "write a new one")?);
    }
    let progress: Progress = row.progress().edited();
    purchasing::set_progress(tx.conn, row.id, progress)?;
    order(tx.conn, number)
}

fn line_of(tx: &mut Tx<'_>, order: &PurchaseOrderRow, line: i64) -> Result<PurchaseLineRow, Error> {
    let rows = purchasing::lines_of(tx.conn, order.id)?;
    rows.into_iter()
        .find(|it| it.line_no == line)
        .ok_or_else(|| Error::not_found("purchase order line", line.to_string()))
}

/// Changes a line, or puts a new one on the order; what was approved must be approved anew, and what
/// was sent becomes the next revision.
///
/// # Errors
///
/// [`crate::domain::purchasing::PurchasingError`]: packs, the least that is sold, what has come.
pub fn edit_line(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: &LineEdit,
) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.line", &(number, it), |tx| {
        let order = editable(tx, number)?;
        let words = match it.line {
            None => new_line(tx, &order, it)?,
            Some(line) => {
                let row = line_of(tx, &order, line)?;
                changed(tx, &order, &row, it)?
            }
        };
        purchasing::note_event(tx, order.id, order.revision, "changed", &words)?;
        Ok(Done::new(format!("purchase order {number}, {words}")))
    })
}

fn price(it: &LineEdit, otherwise: UnitPrice) -> Result<UnitPrice, Error> {
    let Some(cents) = it.price_cents else { return Ok(otherwise) };
    let per = it.price_per.unwrap_or(1);
    if cents < 0 || per < 1 {
        let message = "the price: 0 or more, for 1 piece or more";
        return Err(Error::invalid("purchasing.price", message));
    }
    Ok(UnitPrice::new(Money::from_cents(cents), Quantity::new(per)))
}

fn new_line(tx: &mut Tx<'_>, order: &PurchaseOrderRow, it: &LineEdit) -> Result<String, Error> {
    let variant = stock_ops::variant(tx, it.part_number.trim())?;
    check_supplier(&variant, order)?;
    check_quantity(&variant.part_number, it.quantity, (variant.pack, variant.minimum_order))?;
    let price = price(it, UnitPrice::each(variant.unit_cost))?;
    let rows = purchasing::lines_of(tx.conn, order.id)?;
    let what = (&variant, it.quantity, price);
    let line = add(tx, order, &rows, what, it.wanted_on, &one_line(&it.reason))?;
    Ok(format!("line {line}: {} × {} at {price} added", it.quantity, variant.part_number))
}

fn changed(
    tx: &mut Tx<'_>,
    order: &PurchaseOrderRow,
    row: &PurchaseLineRow,
    it: &LineEdit,
) -> Result<String, Error> {
    let (line, part) = (row.line_no, &row.part_number);
    if !it.quantity.is_some() && order.sent_revision == 0 {
        purchasing::remove_line(tx.conn, row.id)?;
        return Ok(format!("line {line}: {part} taken off"));
    }
    let variant = stock_ops::variant(tx, part)?;
    let edit = Edit { quantity: it.quantity, price: price(it, row.price())? };
    check_edit(part, &row.progress(false), row.price(), &edit)?;
    if row.received < edit.quantity {
        check_quantity(part, edit.quantity, (variant.pack, variant.minimum_order))?;
    }
    let said = one_line(&it.reason);
    let reason = if said.is_empty() { row.reason.clone() } else { said };
    let change = LineChange {
        quantity: edit.quantity,
        price: edit.price,
        wanted_on: it.wanted_on,
        reason: &reason,
        revision: order.revision,
    };
    purchasing::change_line(tx.conn, row.id, &change)?;
    let mut words = Vec::new();
    if row.quantity != edit.quantity {
        words.push(format!("{} pieces instead of {}", edit.quantity, row.quantity));
    }
    if row.price() != edit.price {
        words.push(format!("{} instead of {}", edit.price, row.price()));
    }
    if row.wanted_on != it.wanted_on {
        let day = it.wanted_on.map_or("with the rest".to_owned(), |it| format!("by {it}"));
        words.push(format!("wanted {day}"));
    }
    if row.reason != reason {
        words.push(format!("because: {reason}"));
    }
    let words = if words.is_empty() { "nothing else".to_owned() } else { words.join(", ") };
    Ok(format!("line {line}, {part}: {words}"))
}

/// Closes a line of which no more will come, with the reason.
///
/// # Errors
///
/// [`Error::Conflict`] where nothing of it is open; [`Error::Invalid`] without a reason.
pub fn close_line(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    (line, why): (i64, &str),
) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.close", &(number, line, why), |tx| {
        let why = one_line(why);
        if why.is_empty() {
            return Err(Error::invalid("purchasing.why", "write why the rest will not come"));
        }
        let order = order(tx.conn, number)?;
        let row = line_of(tx, &order, line)?;
        let open = row.open();
        if !order.is_with_supplier() || !open.is_some() {
            return Err(wrong_state(tx.conn, &order, "nothing of this line is to come")?);
        }
        purchasing::set_closed(tx.conn, row.id, true, &why)?;
        let words =
            format!("line {line}, {}: closed, {open} will not come: {why}", row.part_number);
        purchasing::note_event(tx, order.id, order.revision, "line closed", &words)?;
        Ok(Done::new(format!("purchase order {number}, {words}")))
    })
}

/// Opens a line again that was closed too early.
///
/// # Errors
///
/// [`Error::Conflict`] where it is not closed.
pub fn reopen_line(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    line: i64,
) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.reopen", &(number, line), |tx| {
        let order = order(tx.conn, number)?;
        let row = line_of(tx, &order, line)?;
        if !row.closed || order.cancelled {
            return Err(wrong_state(tx.conn, &order, "this line is not closed")?);
        }
        purchasing::set_closed(tx.conn, row.id, false, "")?;
        let words = format!("line {line}, {}: open again", row.part_number);
        purchasing::note_event(tx, order.id, order.revision, "line opened", &words)?;
        Ok(Done::new(format!("purchase order {number}, {words}")))
    })
}

/// What a supplier promised of one line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PromiseEntry {
    /// The line's number.
    pub line: i64,
    /// Pieces.
    pub quantity: Quantity,
    /// The day on which they come.
    pub promised_on: NaiveDate,
}

/// Notes what a supplier's confirmation says, line by line; lines that it does not name stay as they
/// are.
///
/// # Errors
///
/// [`Error::Conflict`] where the supplier does not have the order as it is; [`Error::NotFound`] for
/// a line that is not there.
pub fn confirm(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    (reference, promises): (&str, &[PromiseEntry]),
) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.confirm", &(number, reference, promises), |tx| {
        let order = order(tx.conn, number)?;
        if !order.is_with_supplier() || order.progress().is_changed() {
            let why = "a supplier confirms what they have: send it first";
            return Err(wrong_state(tx.conn, &order, why)?);
        }
        if promises.is_empty() {
            let message = "write the day of at least one line";
            return Err(Error::invalid("purchasing.no_promise", message));
        }
        let reference = one_line(reference);
        let mut words = Vec::new();
        for it in promises {
            let row = line_of(tx, &order, it.line)?;
            if it.quantity < Quantity::ZERO || Quantity::MOST < it.quantity {
                let message = format!("line {}: write how many pieces they confirm", it.line);
                return Err(Error::invalid("purchasing.no_promise", message));
            }
            let promise = Promise {
                quantity: it.quantity,
                promised_on: it.promised_on,
                reference: reference.clone(),
                at: tx.now,
            };
            purchasing::note_promise(tx, row.id, order.revision, &promise)?;
            words.push(format!("line {}: {} on {}", it.line, it.quantity, it.promised_on));
        }
        let by = if reference.is_empty() { String::new() } else { format!(" by {reference}") };
        let words = format!("confirmed{by}: {}", words.join("; "));
        purchasing::note_event(tx, order.id, order.revision, "confirmed", &words)?;
        Ok(Done::new(format!("purchase order {number} {words}")))
    })
}
