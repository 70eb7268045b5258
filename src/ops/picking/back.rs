use std::collections::BTreeMap;

use crate::domain::catalog::Tracking;
use crate::domain::ids::{KitLineId, PlaceId};
use crate::domain::stock::{Holding, Item, Movement, PlaceKind};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::scan::{ScanAnswer, ScanOutcome};
use crate::ops::{orders as order_ops, stock as stock_ops, words};
use crate::store::stock::Cause;
use crate::store::{Tx, orders, packing, picking, stock};
use crate::units::Quantity;

use super::{TAKE_DONE, current, list_row};

/// Puts a picked line back: all its pieces that are in the tote return to the bins they came from.
///
/// # Errors
///
/// [`Error::Conflict`] when the tote holds none of it.
pub fn put_back(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    kit: &str,
    line: i64,
) -> Result<ScanAnswer, Error> {
    once(tx, key, "picking.put_back", &(kit, line), |tx| {
        let kit_row = orders::kit(tx.conn, kit)?.ok_or_else(|| Error::not_found("kit", kit))?;
        let lines = orders::lines_of(tx.conn, &[kit_row.id])?;
        let row = lines
            .into_iter()
            .find(|it| it.number == line)
            .ok_or_else(|| Error::not_found("line of the kit", line.to_string()))?;
        let tote = kit_row.tote.filter(|_| row.packed < row.picked).ok_or_else(|| {
            Error::conflict(
                "picking.nothing_to_put_back",
                format!("the tote of kit {kit} holds no {}", words::line_part(&row)),
            )
        })?;
        let mut returned = Quantity::ZERO;
        for (item, bin, quantity) in in_tote_by_bin(tx, row.id, tote)? {
            let movement = Movement::new(item, quantity, tote, bin)?;
            let document = format!("put back from kit {kit}");
            stock_ops::move_for_kit(tx, key, &row, &movement, &document)?;
            returned = returned.plus(quantity);
        }
        orders::set_progress(tx.conn, row.id, row.picked.less(returned), row.packed)?;
        order_ops::reserve(tx)?;
        let words = format!("{returned} × {} put back", words::line_part(&row));
        Ok(ScanAnswer {
            moved: returned,
            ..ScanAnswer::new(ScanOutcome::Ok, "pick.put_back", words)
        })
    })
}

/// Returns what the tote holds of a kit line, with the bin that each piece came from last.
fn in_tote_by_bin(
    tx: &mut Tx<'_>,
    line: KitLineId,
    tote: PlaceId,
) -> Result<Vec<(Item, PlaceId, Quantity)>, Error> {
    let row = orders::line(tx.conn, line)?
        .ok_or_else(|| Error::Internal(format!("kit line {line} is not there")))?;
    let mut held: BTreeMap<(Item, PlaceId), Quantity> = BTreeMap::new();
    let mut in_carton: BTreeMap<Item, Quantity> = BTreeMap::new();
    for it in packing::moves_of_lines(tx.conn, &[line])? {
        let item = Item { variant: row.variant, lot: it.lot, serial: it.serial };
        let from = stock::place_of(tx.conn, it.from)?.map(|it| it.kind);
        let to = stock::place_of(tx.conn, it.to)?.map(|it| it.kind);
        match (from, to) {
            (Some(PlaceKind::Carton), _) => {
                let sum = in_carton.entry(item).or_default();
                *sum = sum.less(it.quantity);
            }
            (_, Some(PlaceKind::Carton)) => {
                let sum = in_carton.entry(item).or_default();
                *sum = sum.plus(it.quantity);
            }
            _ if it.to == tote => {
                let sum = held.entry((item, it.from)).or_default();
                *sum = sum.plus(it.quantity);
            }
            _ => {
                let sum = held.entry((item, it.to)).or_default();
                *sum = sum.less(it.quantity);
            }
        }
    }
    Ok(held
        .into_iter()
        .map(|((item, bin), quantity)| {
            let packed = in_carton.get_mut(&item);
            let here = packed.map_or(quantity, |packed| {
                let taken = quantity.min(*packed);
                *packed = packed.less(taken);
                quantity.less(taken)
            });
            (item, bin, here)
        })
        .filter(|it| it.2.is_some())
        .collect())
}

/// Takes a kit off its pick list, as long as nothing of it has been picked: it can be put on another
/// list, and what was held for it is held anew in the order of promises.
///
/// # Errors
///
/// [`Error::Conflict`] when something has been picked, which must be put back first.
pub fn take_off(tx: &mut Tx<'_>, key: &RequestKey, kit: &str) -> Result<ScanAnswer, Error> {
    once(tx, key, "picking.take_off", &kit, |tx| {
        let row = orders::kit(tx.conn, kit)?.ok_or_else(|| Error::not_found("kit", kit))?;
        let lines = orders::lines_of(tx.conn, &[row.id])?;
        if row.state != "picking" || lines.iter().any(|it| it.picked.is_some()) {
            return Err(Error::conflict(
                "picking.begun",
                format!("kit {kit} can't come off its list: put back what was picked for it first"),
            ));
        }
        picking::remove_kit(tx.conn, row.id)?;
        orders::set_state(tx.conn, row.id, "open")?;
        order_ops::reserve(tx)?;
        let words = format!("kit {kit} is off its list");
        Ok(ScanAnswer::new(ScanOutcome::Ok, "pick.taken_off", words))
    })
}

/// Corrects the book where a bin holds less than it says, and holds stock anew, so that the walk
/// goes on to another bin or the alert is raised.
///
/// # Errors
///
/// [`Error::Invalid`] when the bin is said to hold as many as the book says, or the part is tracked
/// by serial number, whose missing piece must be named.
pub fn bin_holds_less(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    take: Option<i64>,
    there: Quantity,
) -> Result<ScanAnswer, Error> {
    once(tx, key, "picking.bin_holds_less", &(number, take, there), |tx| {
        let list = list_row(tx.conn, number)?;
        let takes = picking::takes(tx.conn, list.id)?;
        let row =
            current(&takes, take).ok_or_else(|| Error::conflict("picking.take_done", TAKE_DONE))?;
        if row.tracking == Tracking::Serial.as_str() {
            return Err(Error::invalid(
                "picking.serial_short",
                format!(
                    "{} is tracked by serial number: scan another piece of the bin, or let the \
                     owner take the missing serial number out of the book",
                    row.part_number
                ),
            ));
        }
        let item = Item { variant: row.variant, lot: row.lot, serial: None };
        let book = stock::balance(tx.conn, Holding { item, place: row.bin })?;
        if book <= there {
            return Err(Error::invalid(
                "picking.not_short",
                format!("the book says {book} too: enter how many are there, or take them"),
            ));
        }
        let missing = book.less(there);
        let outside = stock::outside(tx.conn, PlaceKind::CountDifference)?;
        let movement = Movement::new(item, missing, row.bin, outside)?;
        let cause = Cause {
            request_key: key.as_str(),
            document: &format!("{there} found by the picker of {number}, the book said {book}"),
            kit_line: None,
            reverses: None,
        };
        stock::release_at(tx.conn, row.variant, row.bin)?;
        stock_ops::post(tx, &row.part_number, &movement, cause)?;
        order_ops::reserve(tx)?;
        let words = format!("{}: the book now says {there} of {}", row.bin_code, row.part_number);
        Ok(ScanAnswer {
            moved: missing,
            ..ScanAnswer::new(ScanOutcome::Ok, "pick.book_corrected", words)
        })
    })
}
