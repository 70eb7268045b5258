//! Goods-in: book a delivery against a purchase order.

mod papers;
mod views;

pub use papers::{goods_receipt, purchase_order, set_note};
pub use views::{PurchaseLineView, PurchaseOrderView, ReceiptView, detail, list};

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::domain::catalog::Tracking;
use crate::domain::ids::{AdviceLineId, MovementId, PlaceId};
use crate::domain::purchasing::UnitPrice;
use crate::domain::receiving::{Delivered, ReceivingError, check_delivery};
use crate::domain::stock::{Item, Movement, PlaceKind};
use crate::error::Error;
use crate::store::catalog::VariantRow;
use crate::store::purchasing::{NewReceipt, PurchaseLineRow};
use crate::store::stock::Cause;
use crate::store::{Tx, advices as advice_rows, events, purchasing, stock, valuation};
use crate::units::Quantity;

use super::once::{RequestKey, once};
use super::shop;
use super::{orders as order_ops, stock as stock_ops, words};

/// What was counted of one line.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(default)]
pub struct Count {
    /// The line's number in the purchase order.
    pub line: i64,
    /// Good pieces, which go to their bin.
    pub good: Quantity,
    /// Damaged pieces, which go to quarantine.
    pub damaged: Quantity,
    /// The supplier's lot.
    pub lot: String,
    /// The lot's last day of use.
    pub use_by: Option<NaiveDate>,
    /// Serial numbers, those of good pieces first.
    pub serials: Vec<String>,
    /// The bin to put them in, where it is not the part's own.
    pub bin: String,
    /// The supplier's delivery note.
    pub delivery_note: String,
    /// What the receiver has to say.
    pub note: String,
    /// Whether the rest of the line will not come.
    pub close: bool,
    /// The announcement that it was counted of.
    pub announced: Option<i64>,
}

/// What came of booking a count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Booked {
    /// How it differs from what was still to come.
    pub difference: String,
    /// What was done, in words.
    pub words: String,
}

/// Books what was counted of one line: good pieces into their bin, damaged ones into quarantine;
/// then holds stock anew, so that waiting orders get it in the order of their promises.
///
/// # Errors
///
/// [`ReceivingError`], which says what to enter.
pub fn receive(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    count: &Count,
) -> Result<Booked, Error> {
    once(tx, key, "receiving.receive", &(number, count), |tx| {
        let user = tx.who.user().ok_or(Error::SignedOut)?;
        let order = purchasing::purchase_order(tx.conn, number)?
            .ok_or_else(|| Error::not_found("purchase order", number))?;
        if !order.is_with_supplier() {
            return Err(ReceivingError::NotSent { order: order.number }.into());
        }
        let lines = purchasing::lines_of(tx.conn, order.id)?;
        let line = lines
            .iter()
            .find(|it| it.line_no == count.line)
            .ok_or_else(|| Error::not_found("purchase order line", count.line.to_string()))?;
        let variant = stock_ops::variant(tx, &line.part_number)?;
        let tracking = words::tracking(&variant.tracking)?;
        let delivered = delivered(count);
        check_use_by(&line.part_number, count.use_by, tx.today())?;
        let difference =
            check_delivery(&line.part_number, tracking, line.open(), &delivered)?.to_string();
        let document = format!("purchase order {number}");
        let own = line.currency.is_empty() || line.currency == shop::details(tx.conn)?.currency;
        let price = Some(line.price()).filter(|_| own);
        let document = document.as_str();
        let booking = Booking { key, document, variant: &variant, tracking, count, price };
        book(tx, &booking, &delivered)?;
        let receipt = NewReceipt {
            line: line.id,
            user,
            delivery_note: count.delivery_note.trim(),
            good: delivered.good,
            damaged: delivered.damaged,
            difference: &difference,
            note: count.note.trim(),
            request_key: key.as_str(),
        };
        let now = tx.now;
        purchasing::make_receipt(tx.conn, &receipt, now)?;
        let received = line.received.plus(delivered.good).plus(delivered.damaged);
        purchasing::set_received(tx.conn, line.id, received, line.closed || count.close)?;
        order_ops::reserve(tx)?;
        let words = booked_words(&line.part_number, &delivered, &difference);
        let words = words + &announcement(tx, key, line, count)?;
        Ok(Booked { difference, words })
    })
}

/// Writes that what was announced has been counted; returns it in words where it differs.
fn announcement(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    line: &PurchaseLineRow,
    count: &Count,
) -> Result<String, Error> {
    let Some(id) = count.announced else { return Ok(String::new()) };
    let row = advice_rows::announcement(tx.conn, AdviceLineId::from(id))?
        .filter(|it| it.order_line == line.id)
        .ok_or_else(|| Error::not_found("announcement of this line", id.to_string()))?;
    if row.request_key.is_some() {
        return Err(Error::conflict(
            "advices.booked",
            format!(
                "{}: what advice {} announces here has been booked: load the page anew",
                line.part_number, row.advice
            ),
        ));
    }
    advice_rows::set_booked(tx.conn, row.id, key.as_str())?;
    let came = count.good.plus(count.damaged);
    Ok(match came == row.quantity {
        true => format!(", as advice {} says", row.advice),
        false => format!("; advice {} says {}", row.advice, row.quantity),
    })
}

/// Refuses what is past its last day of use already: no kit may be served from it.
fn check_use_by(
    part_number: &str,
    use_by: Option<NaiveDate>,
    today: NaiveDate,
) -> Result<(), ReceivingError> {
    match use_by {
        Some(use_by) if use_by < today => {
            Err(ReceivingError::PastItsDay { part_number: part_number.to_owned(), use_by })
        }
        _ => Ok(()),
    }
}

fn booked_words(part_number: &str, delivered: &Delivered, difference: &str) -> String {
    let damaged = if delivered.damaged.is_some() {
        format!(", {} damaged to quarantine", delivered.damaged)
    } else {
        String::new()
    };
    format!("{part_number}: {} booked{damaged}, {difference}", delivered.good)
}

fn delivered(count: &Count) -> Delivered {
    Delivered {
        good: count.good,
        damaged: count.damaged,
        lot: count.lot.trim().to_owned(),
        serials: count
            .serials
            .iter()
            .map(|it| it.trim().to_owned())
            .filter(|it| !it.is_empty())
            .collect(),
        note: count.note.clone(),
        close: count.close,
    }
}

/// Returns the bin that good pieces go to: the one entered, or the part's own.
pub(super) fn bin(tx: &mut Tx<'_>, variant: &VariantRow, entered: &str) -> Result<PlaceId, Error> {
    let entered = entered.trim();
    if entered.is_empty() {
        let part_number = variant.part_number.clone();
        return variant.bin.ok_or(ReceivingError::NoBin { part_number }.into());
    }
    match stock::place(tx.conn, entered)? {
        Some(place) if matches!(place.kind, PlaceKind::Bin | PlaceKind::Quarantine) => Ok(place.id),
        _ => Err(Error::not_found("bin", entered)),
    }
}

/// What stays the same over all movements of one booking.
struct Booking<'a> {
    key: &'a RequestKey,
    document: &'a str,
    variant: &'a VariantRow,
    tracking: Tracking,
    count: &'a Count,
    /// The price in the shop's own currency.
    price: Option<UnitPrice>,
}

fn book(tx: &mut Tx<'_>, booking: &Booking<'_>, delivered: &Delivered) -> Result<(), Error> {
    let bin = match delivered.good.is_some() {
        true => Some(bin(tx, booking.variant, &booking.count.bin)?),
        false => None,
    };
    let quarantine = match delivered.damaged.is_some() {
        true => Some(stock_ops::quarantine(tx)?),
        false => None,
    };
    if booking.tracking == Tracking::Serial {
        let good = usize::try_from(delivered.good.pieces()).unwrap_or(usize::MAX);
        for (at, serial) in delivered.serials.iter().enumerate() {
            let to = if at < good { bin } else { quarantine };
            new_serial(tx, booking.variant, serial)?;
            move_in(tx, booking, serial, Quantity::ONE, to)?;
        }
        return Ok(());
    }
    move_in(tx, booking, "", delivered.good, bin)?;
    move_in(tx, booking, "", delivered.damaged, quarantine)
}

/// Refuses a serial number that somebody has: it is one piece, and was read wrong. One whose
/// booking was reversed may come again.
fn new_serial(tx: &mut Tx<'_>, variant: &VariantRow, serial: &str) -> Result<(), Error> {
    let Some(known) = stock::serial(tx.conn, variant.id, serial)? else { return Ok(()) };
    if !stock::is_held(tx.conn, known)? {
        return Ok(());
    }
    let (part_number, serial) = (variant.part_number.clone(), serial.to_owned());
    Err(ReceivingError::SerialKnown { part_number, serial }.into())
}

fn move_in(
    tx: &mut Tx<'_>,
    booking: &Booking<'_>,
    serial: &str,
    quantity: Quantity,
    to: Option<PlaceId>,
) -> Result<(), Error> {
    let Some(to) = to.filter(|_| quantity.is_some()) else { return Ok(()) };
    let Booking { key, document, variant, tracking, count, price } = booking;
    let lot = if *tracking == Tracking::Lot { count.lot.as_str() } else { "" };
    let (lot, serial) =
        stock_ops::identity(tx, variant, *tracking, lot, serial, true, count.use_by)?;
    let supplier = stock::outside(tx.conn, PlaceKind::Supplier)?;
    let item = Item { variant: variant.id, lot, serial };
    let movement = Movement::new(item, quantity, supplier, to)?;
    let cause = Cause { request_key: key.as_str(), document, kit_line: None, reverses: None };
    let id = stock_ops::post(tx, &variant.part_number, &movement, cause)?;
    let catalogue = variant.unit_cost.times(quantity.pieces());
    let priced = price.and_then(|it| it.cost(quantity));
    let source = if priced.is_some() { "price" } else { "catalogue" };
    Ok(valuation::note_cost(tx.conn, id, priced.unwrap_or(catalogue), source)?)
}

/// Counts a booking that is being reversed off its purchase order line, which is then open again.
pub(super) fn count_off(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    movement: MovementId,
    quantity: Quantity,
) -> Result<(), Error> {
    let Some((line, received, closed)) = purchasing::line_of_movement(tx.conn, movement)? else {
        return Ok(());
    };
    let receipt = NewReceipt {
        line,
        user: tx.who.user().ok_or(Error::SignedOut)?,
        delivery_note: "",
        good: Quantity::ZERO.less(quantity),
        damaged: Quantity::ZERO,
        difference: "reversed",
        note: &format!("movement {movement} was reversed"),
        request_key: key.as_str(),
    };
    let now = tx.now;
    purchasing::make_receipt(tx.conn, &receipt, now)?;
    for booked in events::moves_of_ids(tx.conn, &[movement])? {
        advice_rows::set_waiting(tx.conn, &booked.request_key)?;
    }
    Ok(purchasing::set_received(tx.conn, line, received.less(quantity), closed)?)
}
