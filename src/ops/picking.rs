//! Picking: make a list, walk it, and confirm each take by scanning.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

use crate::domain::catalog::Tracking;
use crate::domain::codes::{CartonNumber, Scan, read_scan};
use crate::domain::ids::{KitId, KitLineId, PickListId, PlaceId, SerialId};
use crate::domain::orders::Reservation;
use crate::domain::packing::{StripLine, strip};
use crate::domain::picking::{Found, FoundPart, PickAnswer, Stop, judge};
use crate::domain::stock::{Holding, Item, Movement, PlaceKind};
use crate::error::Error;
use crate::store::orders::KitRow;
use crate::store::picking::{PickListRow, TakeRow};
use crate::store::stock::Cause;
use crate::store::{Conn, Tx, kits, orders, packing, people, picking, stock};
use crate::units::Quantity;

use super::kits::{contents, strip_lines};
use super::once::{RequestKey, once};
use super::orders::{Leave, StripView};
use super::scan::{ScanAnswer, ScanOutcome, find};
use super::shortages::{self, Alert};
use super::{orders as order_ops, stock as stock_ops, words};

/// What goes into one kit's tote at a stop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct TakeView {
    /// The take's number, while it is open.
    pub take: i64,
    /// The kit.
    pub kit: String,
    /// Its slot on the cart.
    pub slot: u32,
    /// How many pieces.
    pub quantity: Quantity,
}

/// A stop of the walk: one part in one bin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct StopView {
    /// The bin's code.
    pub bin: String,
    /// The bin's zone.
    pub zone: String,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// none, lot or serial.
    pub tracking: String,
    /// The lot to take.
    pub lot: Option<String>,
    /// The lot's last day of use.
    pub use_by: Option<NaiveDate>,
    /// What goes into which tote; the first is the one to take next.
    pub takes: Vec<TakeView>,
    /// Pieces of all takes.
    pub quantity: Quantity,
}

/// A kit on a pick list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PickKitView {
    /// The kit.
    pub kit: String,
    /// Its slot on the cart.
    pub slot: u32,
    /// The order.
    pub order: String,
    /// Who it is for.
    pub customer: String,
    /// What is built, in words.
    pub build: String,
    /// Pieces picked.
    pub picked: Quantity,
    /// Pieces of all lines.
    pub pieces: Quantity,
}

/// A pick list, with what is still to be taken in the order of the walk.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PickListView {
    /// Its number.
    pub number: String,
    /// When it was made.
    pub created_at: NaiveDateTime,
    /// Who made it.
    pub made_by: String,
    /// Its kits.
    pub kits: Vec<PickKitView>,
    /// The stops still to come.
    pub stops: Vec<StopView>,
    /// Pieces picked.
    pub picked: Quantity,
    /// Pieces still to be taken from bins.
    pub left: Quantity,
    /// The assembly strip of all its kits together.
    pub strip: StripView,
    /// What its kits lack.
    pub alerts: Vec<Alert>,
}

/// A kit that could go on a pick list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PickableView {
    /// The kit.
    pub kit: String,
    /// The order.
    pub order: String,
    /// Who it is for.
    pub customer: String,
    /// When the order is to leave.
    pub promised_on: NaiveDate,
    /// What is built, in words.
    pub build: String,
    /// Whether it could leave today.
    pub leave: Leave,
    /// Pieces to pick.
    pub pieces: Quantity,
    /// What it lacks.
    pub alerts: Vec<Alert>,
}

/// Loads the kits that nobody has begun to pick, in order of promised date.
///
/// # Errors
///
/// [`Error::Database`].
pub fn pickable(conn: &mut Conn) -> Result<Vec<PickableView>, Error> {
    let mut pickable = Vec::new();
    for order in order_ops::list(conn)? {
        for kit in order.kits.iter().filter(|it| it.state == "open") {
            pickable.push(PickableView {
                kit: kit.number.clone(),
                order: order.number.clone(),
                customer: order.customer.clone(),
                promised_on: order.promised_on,
                build: build_words(&kit.name, &kit.options),
                leave: kit.leave,
                pieces: kit.pieces,
                alerts: order.alerts.iter().filter(|it| it.kit == kit.number).cloned().collect(),
            });
        }
    }
    Ok(pickable)
}

/// Returns what is built, in words: the kit's name with the values chosen.
pub(super) fn build_words(name: &str, options: &[(String, String)]) -> String {
    let values: Vec<&str> = options.iter().map(|(_, value)| value.as_str()).collect();
    if values.is_empty() { name.to_owned() } else { format!("{name}: {}", values.join(", ")) }
}

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
/// [`Error::Conflict`] when a kit is being picked already, [`Error::Invalid`] when none is named.
pub fn make_list(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    kit_numbers: &[String],
) -> Result<MadePickList, Error> {
    once(tx, key, "picking.make_list", &kit_numbers, |tx| {
        if kit_numbers.is_empty() {
            return Err(Error::invalid("picking.no_kits", "kits: choose at least one kit"));
        }
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
            picking::add_kit(tx.conn, list, kit.id, slot)?;
            begin(tx, &kit)?;
        }
        Ok(MadePickList { number })
    })
}

/// Gives a kit its tote and its cartons.
fn begin(tx: &mut Tx<'_>, kit: &KitRow) -> Result<(), Error> {
    let tote = stock::make_place(tx.conn, &kit.number, PlaceKind::Tote, "bench", 0)?;
    orders::begin_picking(tx.conn, kit.id, tote)?;
    let lines = orders::lines_of(tx.conn, &[kit.id])?;
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

/// Loads pick lists with what is still to be taken: the open ones, or all of the newest hundred.
///
/// # Errors
///
/// [`Error::Database`].
pub fn lists(conn: &mut Conn, open_only: bool) -> Result<Vec<PickListView>, Error> {
    let rows = picking::pick_lists(conn, 100)?;
    let alerts = shortages::alerts(conn)?;
    let mut views = Vec::new();
    for row in rows {
        let view = list_view(conn, row, &alerts)?;
        if !open_only || view.left.is_some() {
            views.push(view);
        }
    }
    Ok(views)
}

/// Loads one pick list.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn list(conn: &mut Conn, number: &str) -> Result<PickListView, Error> {
    let row = list_row(conn, number)?;
    let alerts = shortages::alerts(conn)?;
    list_view(conn, row, &alerts)
}

fn list_row(conn: &mut Conn, number: &str) -> Result<PickListRow, Error> {
    picking::pick_list(conn, number)?.ok_or_else(|| Error::not_found("pick list", number))
}

fn list_view(conn: &mut Conn, row: PickListRow, alerts: &[Alert]) -> Result<PickListView, Error> {
    let takes = picking::takes(conn, row.id)?;
    let kits = list_kits(conn, row.id)?;
    let on_list = |it: &&Alert| kits.iter().any(|kit| kit.kit == it.kit);
    let alerts: Vec<Alert> = alerts.iter().filter(on_list).cloned().collect();
    Ok(PickListView {
        number: row.number,
        created_at: row.created_at,
        made_by: row.made_by,
        stops: stops(&takes)?,
        picked: kits.iter().map(|it| it.picked).sum(),
        left: takes.iter().map(|it| it.quantity).sum(),
        strip: list_strip(conn, row.id, &alerts)?,
        kits,
        alerts,
    })
}

fn list_kits(conn: &mut Conn, list: PickListId) -> Result<Vec<PickKitView>, Error> {
    let mut views = Vec::new();
    for (_, id, number, slot) in picking::kits_of(conn, &[list])? {
        let kit = orders::kit(conn, &number)?.ok_or_else(|| Error::not_found("kit", &number))?;
        let order = orders::order_of(conn, kit.order)?;
        let options = orders::options_of(conn, id)?;
        let lines = orders::lines_of(conn, &[id])?;
        views.push(PickKitView {
            kit: number,
            slot: words::small(slot)?,
            order: order.number,
            customer: order.customer,
            build: build_words(&kit.bom_name, &options),
            picked: lines.iter().map(|it| it.picked).sum(),
            pieces: lines.iter().map(|it| it.quantity).sum(),
        });
    }
    Ok(views)
}

fn list_strip(conn: &mut Conn, list: PickListId, alerts: &[Alert]) -> Result<StripView, Error> {
    let on_list = picking::kits_of(conn, &[list])?;
    let ids: Vec<_> = on_list.iter().map(|it| it.1).collect();
    let lines = orders::lines_of(conn, &ids)?;
    let Some((_, _, first, _)) = on_list.first() else { return Ok(StripView::default()) };
    let kit = orders::kit(conn, first)?.ok_or_else(|| Error::not_found("kit", first))?;
    let steps = kits::steps(conn, kit.bom)?;
    let contents = contents(conn)?;
    let numbers: BTreeMap<KitId, &str> =
        on_list.iter().map(|(_, id, number, _)| (*id, number.as_str())).collect();
    let mut counted: Vec<StripLine> = Vec::new();
    for line in &lines {
        let number = numbers.get(&line.kit).copied().unwrap_or_default();
        let of_line = |it: &&Alert| it.kit == number && it.line == line.number;
        let missing: Quantity = alerts.iter().filter(of_line).map(|it| it.quantity).sum();
        counted.extend(strip_lines(line, line.picked, missing.min(line.quantity), &contents)?);
    }
    Ok(strip(&steps, &counted).into())
}

/// Returns takes gathered to stops; takes of one stop follow each other.
fn stops(takes: &[TakeRow]) -> Result<Vec<StopView>, Error> {
    let mut stops: Vec<StopView> = Vec::new();
    let mut last = None;
    for take in takes {
        let this = (take.bin, take.variant, take.lot);
        if last != Some(this) {
            stops.push(stop_view(take));
            last = Some(this);
        }
        if let Some(stop) = stops.last_mut() {
            stop.quantity = stop.quantity.plus(take.quantity);
            stop.takes.push(TakeView {
                take: take.id,
                kit: take.kit_number.clone(),
                slot: words::small(take.slot)?,
                quantity: take.quantity,
            });
        }
    }
    Ok(stops)
}

fn stop_view(take: &TakeRow) -> StopView {
    StopView {
        bin: take.bin_code.clone(),
        zone: take.zone.clone(),
        part_number: take.part_number.clone(),
        part: take.part.clone(),
        variant: take.variant_words.clone(),
        tracking: take.tracking.clone(),
        lot: take.lot_code.clone(),
        use_by: take.use_by,
        takes: Vec::new(),
        quantity: Quantity::ZERO,
    }
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
/// [`Error::Conflict`] when nothing is left to take, [`Error::Scan`] when the text can't be read.
pub fn scan(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: &PickScan,
) -> Result<ScanAnswer, Error> {
    once(tx, key, "picking.scan", &(number, it), |tx| {
        let list = list_row(tx.conn, number)?;
        let takes = picking::takes(tx.conn, list.id)?;
        let Some(take) = current(&takes, it.take) else {
            return Err(Error::conflict(
                "picking.nothing_left",
                format!("pick list {number} has nothing left to take: go on to the bench"),
            ));
        };
        let scan = match read_scan(&it.code) {
            Ok(scan) => scan,
            Err(fault) => {
                return Ok(ScanAnswer {
                    bin: it.bin.clone(),
                    ..ScanAnswer::new(ScanOutcome::Refused, "scan.unreadable", fault.to_string())
                });
            }
        };
        take_scan(tx, key, take, &scan, it)
    })
}

/// Returns the take that the page shows, or the first where that one is done.
fn current(takes: &[TakeRow], wanted: Option<i64>) -> Option<&TakeRow> {
    takes.iter().find(|it| Some(it.id) == wanted).or(takes.first())
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
    let confirmed = it.bin.as_deref() == Some(take.bin_code.as_str());
    let answer = match judge(&stop, confirmed, &found, it.quantity) {
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
        PickAnswer::Take { quantity, serial } => {
            return picked(tx, key, take, &stop, &found, quantity, serial);
        }
        PickAnswer::Refused(refusal) => {
            ScanAnswer::new(ScanOutcome::Refused, refusal.code(), refusal.to_string())
        }
    };
    let now_confirmed = matches!(&found, Found::Bin { place, .. } if *place == stop.bin);
    let bin = (confirmed || now_confirmed).then(|| take.bin_code.clone());
    Ok(ScanAnswer { bin, ..answer })
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
    let cause = Cause {
        request_key: key.as_str(),
        document: &format!("picked for kit {}", kit.number),
        kit_line: Some(take.line),
        reverses: None,
    };
    stock_ops::post(tx, &take.part_number, &movement, cause)?;
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
    let line = orders::line(tx.conn, take.line)?
        .ok_or_else(|| Error::Internal(format!("kit line {} is not there", take.line)))?;
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
            let cause = Cause {
                request_key: key.as_str(),
                document: &format!("put back from kit {kit}"),
                kit_line: Some(row.id),
                reverses: None,
            };
            stock_ops::post(tx, &row.part_number, &movement, cause)?;
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
        let row = current(&takes, take).ok_or_else(|| Error::not_found("stop", number))?;
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
