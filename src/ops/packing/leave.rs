use crate::domain::packing::{ShortError, may_ship_short, unproved};
use crate::domain::stock::{Item, Movement, PlaceKind};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::{labels, orders as order_ops, stock as stock_ops, words};
use crate::store::orders::KitRow;
use crate::store::packing::CartonRow;
use crate::store::{Tx, events, orders, packing, stock};
use crate::units::Quantity;

use super::{in_tote, kit_row, line_of, on_bench, proof_lines};

/// Lets a box leave without what is not yet picked of a line, with a stated reason.
///
/// # Errors
///
/// [`ShortError`] when the part's class or the person's role does not allow it.
pub fn ship_short(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    line: i64,
    reason: &str,
) -> Result<(), Error> {
    once(tx, key, "packing.ship_short", &(number, line, reason), |tx| {
        let kit = on_bench(tx, number)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let row = line_of(&lines, line)?;
        let part = words::line_part(row);
        may_ship_short(&part, words::class(&row.class)?, tx.who.role(), reason)?;
        let missing = row.quantity.less(row.picked).less(row.short);
        if !missing.is_some() {
            return Err(ShortError::TooMany { part, asked: Quantity::ONE, missing }.into());
        }
        stock::release_line(tx.conn, row.id)?;
        let (short, by) = (row.short.plus(missing), tx.who.user());
        orders::set_short(tx.conn, row.id, short, Some(reason.trim()), by)?;
        order_ops::reserve(tx)?;
        Ok(())
    })
}

/// Takes back that a box leaves without a part.
///
/// # Errors
///
/// [`Error::Conflict`] when the carton is sealed.
pub fn not_short(tx: &mut Tx<'_>, key: &RequestKey, number: &str, line: i64) -> Result<(), Error> {
    once(tx, key, "packing.not_short", &(number, line), |tx| {
        let kit = on_bench(tx, number)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let row = line_of(&lines, line)?;
        let cartons = packing::cartons_of(tx.conn, &[kit.id])?;
        let sealed = |it: &CartonRow| it.position == row.carton && it.sealed_at.is_some();
        if cartons.iter().any(sealed) {
            return Err(Error::conflict(
                "packing.sealed",
                format!("carton {} is sealed: take a part out to open it", row.carton),
            ));
        }
        orders::set_short(tx.conn, row.id, Quantity::ZERO, None, None)?;
        order_ops::reserve(tx)?;
        Ok(())
    })
}

/// Seals a carton: every piece of it is scanned in, or left out with a reason. With its last carton
/// the kit is sealed.
///
/// # Errors
///
/// [`Error::Unproved`], which names the lines without a proof.
pub fn seal(tx: &mut Tx<'_>, key: &RequestKey, number: &str, position: u32) -> Result<(), Error> {
    once(tx, key, "packing.seal", &(number, position), |tx| {
        let kit = on_bench(tx, number)?;
        let user = tx.who.user().ok_or(Error::SignedOut)?;
        let cartons = packing::cartons_of(tx.conn, &[kit.id])?;
        let carton = cartons
            .iter()
            .find(|it| it.position == i64::from(position))
            .ok_or_else(|| Error::not_found("carton of the kit", position.to_string()))?;
        if carton.sealed_at.is_some() {
            return Ok(());
        }
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let open = unproved(&proof_lines(&lines, carton.position)?);
        if !open.is_empty() {
            return Err(Error::Unproved(open));
        }
        let now = tx.now;
        packing::set_sealed(tx.conn, carton.id, Some((now, user)))?;
        // What the carton is called once it is shut, it is called for good.
        let sscc = labels::sscc_of(tx, &carton.number)?.map(|it| it.0);
        events::make_seal(tx.conn, carton.id, sscc.as_deref(), now, user)?;
        let others = cartons.iter().filter(|it| it.id != carton.id);
        if others.clone().all(|it| it.sealed_at.is_some()) {
            orders::set_state(tx.conn, kit.id, "sealed")?;
        }
        Ok(())
    })
}

/// Hands a sealed kit to the carrier: all that its cartons hold goes to the rider.
///
/// # Errors
///
/// [`Error::Conflict`] when a carton is open or the kit has left.
pub fn hand_over(tx: &mut Tx<'_>, key: &RequestKey, number: &str) -> Result<(), Error> {
    once(tx, key, "packing.hand_over", &number, |tx| {
        let kit = kit_row(tx.conn, number)?;
        if kit.state != "sealed" {
            let why = match kit.state.as_str() {
                "despatched" => "has left already",
                _ => "has a carton that is not sealed",
            };
            return Err(Error::conflict("packing.not_sealed", format!("kit {number} {why}")));
        }
        let rider = stock::outside(tx.conn, PlaceKind::Rider)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        for carton in packing::cartons_of(tx.conn, &[kit.id])? {
            let as_if_tote = KitRow { tote: Some(carton.place), ..kit.clone() };
            for it in in_tote(tx.conn, &as_if_tote, &lines)? {
                let row = lines
                    .iter()
                    .find(|row| row.id == it.line)
                    .ok_or_else(|| Error::Internal(format!("kit line {} is gone", it.line)))?;
                let item =
                    Item { variant: row.variant, lot: it.lot.map(|it| it.0), serial: it.serial };
                let movement = Movement::new(item, it.quantity, carton.place, rider)?;
                let document = format!("carton {} handed to the carrier", carton.number);
                stock_ops::move_for_kit(tx, key, row, &movement, &document)?;
            }
        }
        orders::set_despatched(tx.conn, kit.id, tx.now)?;
        Ok(())
    })
}
