//! Picking: make a list, walk it, and confirm each take by scanning.

mod back;
mod view;

use chrono::Datelike;
use serde::{Deserialize, Serialize};

use crate::domain::catalog::Tracking;
use crate::domain::codes::{CartonNumber, Scan, read_scan};
use crate::domain::ids::SerialId;
use crate::domain::orders::Reservation;
use crate::domain::picking::{Counted, Found, FoundPart, PickAnswer, Stop, judge};
use crate::domain::stock::{Item, Movement, PlaceKind};
use crate::error::Error;
use crate::store::orders::{KitLineRow, KitRow, OpenLineRow};
use crate::store::picking::{PickListRow, TakeRow};
use crate::store::{Conn, Tx, orders, packing, people, picking, stock};
use crate::units::Quantity;

use super::fit::{of_one, refuse_misfit, unfit_lots};
use super::once::{RequestKey, once};
use super::scan::{ScanAnswer, ScanOutcome, find};
use super::{label_story, orders as order_ops, stock as stock_ops, words};

pub use back::{bin_holds_less, put_back, take_off};
pub(super) use view::build_words;
pub use view::{
    PickKitView, PickListView, PickableView, StopView, TakeView, list, lists, pickable,
};

/// A pick list that was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct MadePickList {
    /// Its number.
    pub number: String,
}

/// Makes a pick list over kits: each gets a tote, a slot on the cart and its cartons.
///
/// # Errors
///
/// [`Error::Conflict`] when a kit is being picked already or does not fit together, [`Error::Invalid`] when none is named.
pub fn make_list(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    kit_numbers: &[String],
) -> Result<MadePickList, Error> {
    once(tx, key, "picking.make_list", &kit_numbers, |tx| {
        if kit_numbers.is_empty() {
            return Err(Error::invalid("picking.no_kits", "kits: choose at least one kit"));
        }
        // What was held days ago may be past its day, or be found missing since.
        order_ops::reserve(tx)?;
        let user = tx.who.user().ok_or(Error::SignedOut)?;
        let number = format!("PL{:05}", people::next_number(tx.conn, "pick list")?);
        let list = picking::make_pick_list(tx.conn, &number, user, tx.now)?;
        for (slot, kit_number) in (1_i64..).zip(kit_numbers) {
            let kit = orders::kit(tx.conn, kit_number)?
                .ok_or_else(|| Error::not_found("kit", kit_number))?;
            if kit.state != "open" {
                return Err(Error::conflict(
                    "picking.not_open",
                    format!("kit {kit_number} is {} already: leave it out", kit.state),
                ));
            }
            let lines = orders::lines_of(tx.conn, &[kit.id])?;
            refuse_misfit(&of_one(tx.conn, &kit, &lines)?, &kit, &lines)?;
            picking::add_kit(tx.conn, list, kit.id, slot)?;
            begin(tx, &kit, &lines)?;
        }
        Ok(MadePickList { number })
    })
}

/// Gives a kit its tote and its cartons, unless it has them from a list that it was taken off.
fn begin(tx: &mut Tx<'_>, kit: &KitRow, lines: &[KitLineRow]) -> Result<(), Error> {
    if let Some(tote) = kit.tote {
        return Ok(orders::begin_picking(tx.conn, kit.id, tote)?);
    }
    let tote = stock::make_place(tx.conn, &kit.number, PlaceKind::Tote, "bench", 0)?;
    orders::begin_picking(tx.conn, kit.id, tote)?;
    let last = lines.iter().map(|it| it.carton).max().unwrap_or(1);
    for position in 1..=last {
        let count = people::next_number(tx.conn, "carton")?;
        let number = u32::try_from(count)
            .ok()
            .and_then(CartonNumber::nth)
            .ok_or_else(|| Error::Internal("the carton numbers are used up".to_owned()))?;
        let number = number.as_str();
        let place = stock::make_place(tx.conn, number, PlaceKind::Carton, "bench", 0)?;
        packing::make_carton(tx.conn, kit.id, position, number, place)?;
    }
    Ok(())
}

fn list_row(conn: &mut Conn, number: &str) -> Result<PickListRow, Error> {
    picking::pick_list(conn, number)?.ok_or_else(|| Error::not_found("pick list", number))
}

/// One scan on a walk.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct PickScan {
    /// What the scanner sent, or what was typed.
    pub code: String,
    /// The take that the page shows; the first of the list where it is left out.
    pub take: Option<i64>,
    /// The bin that was confirmed at this stop.
    pub bin: Option<String>,
    /// How many pieces are in hand; all that are still to be taken where it is left out.
    pub quantity: Option<Quantity>,
}

/// Takes one scan on a walk: confirms the bin, refuses what is wrong, or moves the pieces into the
/// kit's tote.
///
/// # Errors
///
/// [`Error::Conflict`] when nothing is left to take. A text that can't be read is a refused answer.
pub fn scan(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: &PickScan,
) -> Result<ScanAnswer, Error> {
    once(tx, key, "picking.scan", &(number, it), |tx| {
        let list = list_row(tx.conn, number)?;
        let Some(take) = picking::take(tx.conn, list.id, it.take)? else {
            if it.take.is_some() && picking::take(tx.conn, list.id, None)?.is_some() {
                return Ok(ScanAnswer::new(ScanOutcome::Refused, "pick.take_done", TAKE_DONE));
            }
            return Err(Error::conflict(
                "picking.nothing_left",
                format!("pick list {number} has nothing left to take: go on to the bench"),
            ));
        };
        let scan = match read_scan(&it.code, tx.today().year()) {
            Ok(scan) => scan,
            Err(fault) => {
                return Ok(ScanAnswer {
                    bin: it.bin.clone(),
                    ..ScanAnswer::new(ScanOutcome::Refused, "scan.unreadable", fault.to_string())
                });
            }
        };
        take_scan(tx, key, &take, &scan, it)
    })
}

/// What is said of a take that is no longer there: a second trigger of the scanner, or another
/// picker's scan, must not be taken for the next tote or the next bin.
const TAKE_DONE: &str = "that was taken already, or the walk has changed: look what comes next";

/// Returns the take that the page shows; the first of the list where the asker names none.
fn current(takes: &[TakeRow], wanted: Option<i64>) -> Option<&TakeRow> {
    match wanted {
        Some(wanted) => takes.iter().find(|it| it.id == wanted),
        None => takes.first(),
    }
}

fn take_scan(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    take: &TakeRow,
    scan: &Scan,
    it: &PickScan,
) -> Result<ScanAnswer, Error> {
    let stop = stop(tx.conn, take)?;
    let found = find(tx.conn, scan, &[take.variant])?;
    if let Some(answer) = label_story::void(tx.conn, scan, &found)? {
        return Ok(ScanAnswer { bin: it.bin.clone(), ..answer });
    }
    let confirmed = it.bin.as_deref() == Some(take.bin_code.as_str());
    let counted = Counted { entered: it.quantity, stated: scan.stated() };
    let answer = match judge(&stop, confirmed, &found, counted, tx.today()) {
        PickAnswer::BinConfirmed => ScanAnswer::new(
            ScanOutcome::Next,
            "pick.bin_confirmed",
            format!("{}: right bin. Take {} × {}", stop.bin_code, stop.left, stop.part.words()),
        ),
        PickAnswer::ToteConfirmed => ScanAnswer::new(
            ScanOutcome::Next,
            "pick.tote_confirmed",
            format!("{}: right tote", stop.kit),
        ),
        PickAnswer::ScanLot => ScanAnswer::new(
            ScanOutcome::Next,
            "pick.scan_lot",
            format!("right part; this bin holds more than one lot: scan lot {}", lot_words(&stop)),
        ),
        PickAnswer::ScanSerial => ScanAnswer::new(
            ScanOutcome::Next,
            "pick.scan_serial",
            "right part; scan its serial number",
        ),
        PickAnswer::Take { quantity, serial } => match unfit(tx.conn, take)? {
            None => {
                let answer = picked(tx, key, take, &stop, &found, quantity, serial)?;
                if serial.is_some() {
                    return Ok(answer);
                }
                return Ok(ScanAnswer { words: answer.words + &counted.words(quantity), ..answer });
            }
            Some(why) => ScanAnswer::new(ScanOutcome::Refused, "pick.bag_unfit", why),
        },
        PickAnswer::Refused(refusal) => {
            let story = label_story::used(tx.conn, scan, &found)?;
            let words = story.unwrap_or_else(|| refusal.to_string());
            ScanAnswer::new(ScanOutcome::Refused, refusal.code(), words)
        }
    };
    let now_confirmed = matches!(&found, Found::Bin { place, .. } if *place == stop.bin);
    let bin = (confirmed || now_confirmed).then(|| take.bin_code.clone());
    Ok(ScanAnswer { bin, ..answer })
}

/// Returns why the bags of a take don't fit its kit, although they were held for it.
fn unfit(conn: &mut Conn, take: &TakeRow) -> Result<Option<String>, Error> {
    let Some(line) = orders::line(conn, take.line)? else { return Ok(None) };
    let wanting = OpenLineRow {
        line: line.id,
        kit: line.kit,
        variant: line.variant,
        quantity: line.quantity,
        picked: line.picked,
        short: line.short,
    };
    let found = unfit_lots(conn, &[wanting])?.into_values().flatten();
    let words = found.filter(|it| Some(it.lot) == take.lot).map(|it| it.words).next();
    Ok(words.map(|it| format!("{it}. Take the kit off its list, so that it gets others")))
}

fn lot_words(stop: &Stop) -> String {
    stop.lot.as_ref().map(|(_, code)| code.clone()).unwrap_or_default()
}

fn stop(conn: &mut Conn, take: &TakeRow) -> Result<Stop, Error> {
    let tracking = words::tracking(&take.tracking)?;
    let other_lots = tracking == Tracking::Lot
        && stock::held(conn, take.variant)?
            .iter()
            .any(|it| it.place == take.bin && it.lot != take.lot);
    Ok(Stop {
        bin: take.bin,
        bin_code: take.bin_code.clone(),
        part: FoundPart {
            variant: take.variant,
            part_number: take.part_number.clone(),
            part: take.part.clone(),
            variant_words: take.variant_words.clone(),
        },
        tracking,
        lot: take.lot.zip(take.lot_code.clone()),
        use_by: take.use_by,
        other_lots,
        left: take.quantity,
        kit: take.kit_number.clone(),
    })
}

/// Moves picked pieces into the tote, and counts them on the kit's line.
fn picked(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    take: &TakeRow,
    stop: &Stop,
    found: &Found,
    quantity: Quantity,
    serial: Option<SerialId>,
) -> Result<ScanAnswer, Error> {
    let kit = orders::kit(tx.conn, &take.kit_number)?
        .ok_or_else(|| Error::not_found("kit", &take.kit_number))?;
    let tote =
        kit.tote.ok_or_else(|| Error::Internal(format!("kit {} has no tote", kit.number)))?;
    let item = Item { variant: take.variant, lot: take.lot, serial };
    let movement = Movement::new(item, quantity, take.bin, tote)?;
    let line = orders::line(tx.conn, take.line)?
        .ok_or_else(|| Error::Internal(format!("kit line {} is not there", take.line)))?;
    let document = format!("picked for kit {}", kit.number);
    stock_ops::move_for_kit(tx, key, &line, &movement, &document)?;
    let used = Reservation {
        line: take.line,
        variant: take.variant,
        place: take.bin,
        lot: take.lot,
        quantity,
    };
    if !stock::use_reservation(tx.conn, &used)? {
        return Err(Error::Internal(format!("take {} was not held", take.id)));
    }
    orders::set_progress(tx.conn, line.id, line.picked.plus(quantity), line.packed)?;
    let which = match found {
        Found::Serial { code, .. } => format!(", serial number {code}"),
        _ => String::new(),
    };
    let words = format!(
        "{quantity} × {}{which}: into tote {} ({})",
        stop.part.words(),
        take.slot,
        kit.number
    );
    Ok(ScanAnswer {
        moved: quantity,
        bin: Some(take.bin_code.clone()),
        ..ScanAnswer::new(ScanOutcome::Ok, "pick.taken", words)
    })
}
