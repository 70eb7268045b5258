//! Packing: scan into the carton, seal when each line has its proof, hand over to the carrier.

mod bench;
mod leave;
mod scan;

use std::collections::BTreeMap;

use crate::domain::ids::{KitLineId, LotId, SerialId};
use crate::domain::packing::{InTote, ProofLine};
use crate::domain::stock::{Item, Movement};
use crate::error::Error;
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::{Conn, Tx, catalog, orders, packing};
use crate::units::Quantity;

use super::once::{RequestKey, once};
use super::scan::{ScanAnswer, ScanOutcome};
use super::{stock as stock_ops, words};

pub use bench::{BenchCartonView, BenchLineView, BenchView, bench, on_benches};
pub use leave::{hand_over, not_short, seal, ship_short};
pub use scan::{PackScan, scan};

fn kit_row(conn: &mut Conn, number: &str) -> Result<KitRow, Error> {
    orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))
}

fn proof_lines(lines: &[KitLineRow], carton: i64) -> Result<Vec<ProofLine>, Error> {
    lines
        .iter()
        .filter(|it| it.carton == carton)
        .map(|it| {
            Ok(ProofLine {
                part: words::line_part(it),
                step: words::small(it.step)?,
                quantity: it.quantity,
                packed: it.packed,
                short: it.short,
            })
        })
        .collect()
}

/// Loads a kit that is being picked and packed.
fn on_bench(tx: &mut Tx<'_>, number: &str) -> Result<KitRow, Error> {
    let kit = kit_row(tx.conn, number)?;
    match kit.state.as_str() {
        "picking" | "sealed" => Ok(kit),
        "open" => Err(Error::conflict(
            "packing.not_picked",
            format!("kit {number} has not been picked: put it on a pick list first"),
        )),
        _ => Err(Error::conflict("packing.left", format!("kit {number} has left the house"))),
    }
}

/// What lies in a tote for a line: which lot, which serial number.
type Held = (KitLineId, Option<(LotId, String)>, Option<SerialId>);

/// Loads what the kit's tote holds, line by line, from what was moved for each line.
fn in_tote(conn: &mut Conn, kit: &KitRow, lines: &[KitLineRow]) -> Result<Vec<InTote>, Error> {
    let ids: Vec<KitLineId> = lines.iter().map(|it| it.id).collect();
    let mut held: BTreeMap<Held, Quantity> = BTreeMap::new();
    for it in packing::moves_of_lines(conn, &ids)? {
        let sum = held.entry((it.line, it.lot.zip(it.lot_code), it.serial)).or_default();
        if Some(it.to) == kit.tote {
            *sum = sum.plus(it.quantity);
        } else if Some(it.from) == kit.tote {
            *sum = sum.less(it.quantity);
        }
    }
    Ok(held
        .into_iter()
        .filter(|(_, quantity)| quantity.is_some())
        .map(|((line, lot, serial), quantity)| InTote { line, lot, serial, quantity })
        .collect())
}

/// Takes a line out of its carton again, back into the tote; a sealed carton is opened by it.
///
/// # Errors
///
/// [`Error::Conflict`] when the carton holds none of it or the kit has left.
pub fn take_out(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    line: i64,
) -> Result<ScanAnswer, Error> {
    once(tx, key, "packing.take_out", &(number, line), |tx| {
        let kit = on_bench(tx, number)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let row = line_of(&lines, line)?;
        let cartons = packing::cartons_of(tx.conn, &[kit.id])?;
        let carton = cartons
            .iter()
            .find(|it| it.position == row.carton)
            .ok_or_else(|| Error::not_found("carton of the kit", row.carton.to_string()))?;
        let tote = kit.tote.ok_or_else(|| Error::Internal(format!("kit {number} has no tote")))?;
        if !row.packed.is_some() {
            return Err(Error::conflict(
                "packing.not_in_carton",
                format!("carton {} holds no {}", carton.number, words::line_part(row)),
            ));
        }
        let as_if_tote = KitRow { tote: Some(carton.place), ..kit.clone() };
        for it in in_tote(tx.conn, &as_if_tote, std::slice::from_ref(row))? {
            let item = Item { variant: row.variant, lot: it.lot.map(|it| it.0), serial: it.serial };
            let movement = Movement::new(item, it.quantity, carton.place, tote)?;
            let document = format!("taken out of carton {}", carton.number);
            stock_ops::move_for_kit(tx, key, row, &movement, &document)?;
        }
        orders::set_progress(tx.conn, row.id, row.picked, Quantity::ZERO)?;
        packing::set_sealed(tx.conn, carton.id, None)?;
        orders::set_state(tx.conn, kit.id, "picking")?;
        let words = format!("{} × {} back in the tote", row.packed, words::line_part(row));
        Ok(ScanAnswer {
            moved: row.packed,
            ..ScanAnswer::new(ScanOutcome::Ok, "pack.taken_out", words)
        })
    })
}

fn line_of(lines: &[KitLineRow], number: i64) -> Result<&KitLineRow, Error> {
    lines
        .iter()
        .find(|it| it.number == number)
        .ok_or_else(|| Error::not_found("line of the kit", number.to_string()))
}

/// Loads the number of the kit that a carton or kit number scanned anywhere belongs to.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn kit_of_code(conn: &mut Conn, code: &str) -> Result<String, Error> {
    if let Some((kit, _)) = packing::carton(conn, code)? {
        return Ok(kit);
    }
    if let Some(kit) = orders::kit(conn, code)? {
        return Ok(kit.number);
    }
    if catalog::variant(conn, code)?.is_some() {
        return Err(Error::invalid(
            "packing.part_scanned",
            format!("{code} is a part: scan the kit's label"),
        ));
    }
    Err(Error::not_found("kit or carton", code))
}

/// Loads the kit that a carton belongs to, and the carton's place there.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn carton_place(conn: &mut Conn, number: &str) -> Result<(String, u32), Error> {
    let (kit, position) =
        packing::carton(conn, number)?.ok_or_else(|| Error::not_found("carton", number))?;
    Ok((kit, words::small(position)?))
}
