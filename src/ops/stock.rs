//! Stock moved by hand, outside the flow of kits and deliveries.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::domain::ids::{LotId, MovementId, PlaceId, SerialId};
use crate::domain::stock::{Holding, Item, Movement, PlaceKind, StockError};
use crate::error::Error;
use crate::store::catalog::VariantRow;
use crate::store::orders::KitLineRow;
use crate::store::stock::{Cause, PlaceRow};
use crate::store::{Tx, catalog, stock, valuation};
use crate::units::Quantity;

use super::once::{RequestKey, once};
use super::{orders as order_ops, words};

/// Pieces to be moved by hand, with the reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Correction {
    /// The part number.
    pub part_number: String,
    /// The place left: a bin's code, or "count difference", "supplier", "rider".
    pub from: String,
    /// The place reached: a bin's code, or "count difference", "scrap".
    pub to: String,
    /// How many pieces.
    pub quantity: Quantity,
    /// The lot; empty where the part is not tracked by lot.
    pub lot: String,
    /// The serial number; empty where the part is not tracked by serial number.
    pub serial: String,
    /// Why.
    pub reason: String,
}

/// A movement that was posted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Posted {
    /// The movement's number.
    pub movement: i64,
}

/// Moves pieces between bins, or corrects the book against a count or for scrap.
///
/// What is held for kits of the part in the place left is given back and held anew, so that the
/// orders with the earliest promises keep what there is.
///
/// # Errors
///
/// [`StockError`] when the place does not hold that many, [`Error::Invalid`] when a place, lot or
/// serial number is wrong for the part.
pub fn correct(tx: &mut Tx<'_>, key: &RequestKey, it: &Correction) -> Result<Posted, Error> {
    once(tx, key, "stock.correct", it, |tx| {
        let variant = variant(tx, &it.part_number)?;
        if it.reason.trim().is_empty() {
            return Err(Error::invalid(
                "stock.no_reason",
                "reason: say why the stock is corrected",
            ));
        }
        let (from, to) = (hand_place(tx, &it.from, "from")?, hand_place(tx, &it.to, "to")?);
        if from.kind.is_outside() && to.kind.is_outside() {
            return Err(Error::invalid(
                "stock.outside",
                "from, to: one of the two places must be a bin of the house",
            ));
        }
        let item = item(tx, &variant, it, from.kind.is_outside())?;
        let movement = Movement::new(item, it.quantity, from.id, to.id)?;
        let cause = Cause {
            request_key: key.as_str(),
            document: it.reason.trim(),
            kit_line: None,
            reverses: None,
        };
        stock::release_at(tx.conn, variant.id, from.id)?;
        let cost = variant.unit_cost.times(it.quantity.pieces());
        let movement = post(tx, &variant.part_number, &movement, cause)?;
        if from.kind.is_outside() {
            valuation::note_cost(tx.conn, movement, cost, "catalogue")?;
        }
        order_ops::reserve(tx)?;
        Ok(Posted { movement: movement.into() })
    })
}

/// Posts a movement after looking whether the place left holds that many; from outside, whether the
/// serial number is not in the house already.
pub(super) fn post(
    tx: &mut Tx<'_>,
    part_number: &str,
    movement: &Movement,
    cause: Cause<'_>,
) -> Result<MovementId, Error> {
    let place = stock::place_of(tx.conn, movement.from())?
        .ok_or_else(|| Error::Internal(format!("place {} is not there", movement.from())))?;
    if !place.kind.is_outside() {
        let holding = Holding { item: movement.item(), place: place.id };
        let on_hand = stock::balance(tx.conn, holding)?;
        if on_hand < movement.quantity() {
            return Err(StockError::NotEnough {
                part_number: part_number.to_owned(),
                place: place.code,
                asked: movement.quantity(),
                on_hand,
            }
            .into());
        }
    } else if let Some(serial) = movement.item().serial {
        not_in_house(tx, part_number, serial)?;
    }
    Ok(stock::post(tx, movement, cause)?)
}

/// Posts a movement that serves a kit line.
pub(super) fn move_for_kit(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    line: &KitLineRow,
    movement: &Movement,
    document: &str,
) -> Result<MovementId, Error> {
    let kit_line = Some(line.id);
    let cause = Cause { request_key: key.as_str(), document, kit_line, reverses: None };
    post(tx, &line.part_number, movement, cause)
}

/// Refuses a serial number that comes in while the house has it: one of the two was read wrong.
fn not_in_house(tx: &mut Tx<'_>, part_number: &str, serial: SerialId) -> Result<(), Error> {
    let Some((_, place)) = stock::place_of_serial(tx.conn, serial)? else { return Ok(()) };
    let code = stock::serial_code(tx.conn, serial)?;
    let part_number = part_number.to_owned();
    Err(StockError::SerialInHouse { part_number, serial: code, place }.into())
}

pub(super) fn variant(tx: &mut Tx<'_>, part_number: &str) -> Result<VariantRow, Error> {
    catalog::variant(tx.conn, part_number)?
        .ok_or_else(|| Error::not_found("part number", part_number))
}

/// Loads a place that a hand may move to or from: totes and cartons have pages of their own.
fn hand_place(tx: &mut Tx<'_>, code: &str, field: &str) -> Result<PlaceRow, Error> {
    if let Some(kind) = PlaceKind::from_word(code).filter(|it| it.is_outside()) {
        let id = stock::outside(tx.conn, kind)?;
        return Ok(PlaceRow { id, code: code.to_owned(), kind });
    }
    let place = stock::place(tx.conn, code)?.ok_or_else(|| Error::not_found("place", code))?;
    match place.kind {
        PlaceKind::Tote | PlaceKind::Carton => Err(Error::invalid(
            "stock.kit_place",
            format!("{field}: {code} belongs to a kit, whose own page puts pieces in and out"),
        )),
        _ => Ok(place),
    }
}

/// Returns the item that a correction means, making a lot or serial number that comes in new.
fn item(
    tx: &mut Tx<'_>,
    variant: &VariantRow,
    it: &Correction,
    comes_in: bool,
) -> Result<Item, Error> {
    let tracking = words::tracking(&variant.tracking)?;
    let (lot, serial) = identity(tx, variant, tracking, &it.lot, &it.serial, comes_in, None)?;
    Ok(Item { variant: variant.id, lot, serial })
}

/// Returns the lot or serial number that a part is tracked by, as it was entered.
///
/// # Errors
///
/// [`Error::Invalid`] when it is wanting, not wanted, or not known while `comes_in` is not set.
pub(super) fn identity(
    tx: &mut Tx<'_>,
    variant: &VariantRow,
    tracking: crate::domain::catalog::Tracking,
    lot: &str,
    serial: &str,
    comes_in: bool,
    use_by: Option<NaiveDate>,
) -> Result<(Option<LotId>, Option<SerialId>), Error> {
    use crate::domain::catalog::Tracking;
    let (lot, serial, number) = (lot.trim(), serial.trim(), &variant.part_number);
    let wrong = |message: String| Err(Error::invalid("stock.identity", message));
    match tracking {
        Tracking::None if lot.is_empty() && serial.is_empty() => Ok((None, None)),
        Tracking::None => wrong(format!("{number} is not tracked: leave lot and serial empty")),
        Tracking::Lot if lot.is_empty() => wrong(format!("{number} is tracked by lot: enter it")),
        Tracking::Lot => match stock::lot(tx.conn, variant.id, lot)? {
            Some((id, known)) => {
                keep_use_by(tx, number, lot, id, known, use_by)?;
                Ok((Some(id), None))
            }
            None if comes_in => {
                Ok((Some(stock::make_lot(tx.conn, variant.id, lot, use_by)?), None))
            }
            None => wrong(format!("{number} has no lot '{lot}': read the lot label again")),
        },
        Tracking::Serial if serial.is_empty() => {
            wrong(format!("{number} is tracked by serial number: enter it"))
        }
        Tracking::Serial => match stock::serial(tx.conn, variant.id, serial)? {
            Some(id) => Ok((None, Some(id))),
            None if comes_in => Ok((None, Some(stock::make_serial(tx.conn, variant.id, serial)?))),
            None => wrong(format!("{number} has no serial number '{serial}': read it again")),
        },
    }
}

/// Gives a lot the last day of use that it lacks; a day that differs from the one known is refused,
/// since one of the two was read wrong.
fn keep_use_by(
    tx: &mut Tx<'_>,
    part_number: &str,
    code: &str,
    lot: LotId,
    known: Option<NaiveDate>,
    given: Option<NaiveDate>,
) -> Result<(), Error> {
    match (known, given) {
        (Some(known), Some(given)) if known != given => Err(Error::invalid(
            "stock.use_by",
            format!(
                "lot {code} of {part_number} is to be used by {known}, not {given}: read the label again"
            ),
        )),
        (None, Some(given)) => Ok(stock::set_use_by(tx.conn, lot, given)?),
        _ => Ok(()),
    }
}

/// Loads the place of quarantine that damaged goods go to: the first in walking order.
pub(super) fn quarantine(tx: &mut Tx<'_>) -> Result<PlaceId, Error> {
    let bins = catalog::bins(tx.conn)?;
    bins.iter().find(|it| it.kind == PlaceKind::Quarantine.as_str()).map(|it| it.id).ok_or_else(
        || {
            Error::conflict(
                "receiving.no_quarantine",
                "there is no quarantine bin for damaged pieces: import one with kind quarantine",
            )
        },
    )
}
