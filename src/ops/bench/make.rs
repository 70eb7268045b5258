use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::domain::bench::{self, BenchError, Need, Take, check_takes};
use crate::domain::catalog::Tracking;
use crate::domain::codes::RunNumber;
use crate::domain::ids::{BenchRunId, PlaceId, SerialId, VariantId};
use crate::domain::orders::Free;
use crate::domain::stock::{Item, Movement, PlaceKind};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::{orders as order_ops, receiving, stock as stock_ops};
use crate::store::bench::{Role, make_move, make_run};
use crate::store::stock::Cause;
use crate::store::{Tx, bench as store, people, stock};
use crate::units::Quantity;

use super::shop::{Job, Shop};

/// A run to be made.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct NewRun {
    /// The part number to be made.
    pub part_number: String,
    /// How many pieces.
    pub pieces: Quantity,
    /// What was taken, where that is not just what the plan says.
    pub takes: Vec<Taken>,
    /// The serial number of each part whose number is carried over.
    pub serials: Vec<String>,
    /// What was lost beside the run.
    pub lost: Vec<LostPart>,
    /// The bin to put the pieces in, where it is not the part's own.
    pub bin: String,
}

/// Pieces of a part that were taken from one bin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Taken {
    /// The part number.
    pub part_number: String,
    /// The bin.
    pub bin: String,
    /// The lot; empty where the part is not tracked by lot.
    #[serde(default)]
    pub lot: String,
    /// How many.
    pub quantity: Quantity,
}

/// Pieces of a part that were lost while the run was made: dropped, broken.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct LostPart {
    /// The part number.
    pub part_number: String,
    /// The bin.
    pub bin: String,
    /// The lot; empty where the part is not tracked by lot.
    #[serde(default)]
    pub lot: String,
    /// How many.
    pub quantity: Quantity,
    /// How they were lost.
    pub reason: String,
}

/// A run that was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct MadeRun {
    /// The run's number, which is the lot of the pieces where they are tracked by lot.
    pub number: String,
    /// What was done, in words.
    pub words: String,
}

/// Makes pieces from stock: the parts are used up, the pieces come into their bin; then holds stock
/// anew, so that waiting kits get them in the order of their promises.
///
/// # Errors
///
/// [`BenchError`], which says what is short, not free or wrongly entered.
pub fn make(tx: &mut Tx<'_>, key: &RequestKey, it: &NewRun) -> Result<MadeRun, Error> {
    once(tx, key, "bench.make", it, |tx| {
        let user = tx.who.user().ok_or(Error::SignedOut)?;
        if !it.pieces.is_some() {
            return Err(BenchError::NoPieces.into());
        }
        let shop = Shop::load(tx.conn, tx.today(), &it.part_number)?;
        let job = shop.job(&it.part_number)?;
        let takes = takes(tx, &shop, &job, it)?;
        let scanned = scanned(tx, &shop, &job, it)?;
        let lost = lost(tx, &shop, &job, it, &takes)?;
        let to = receiving::bin(tx, job.variant, &it.bin)?;
        let number = next_number(tx)?;
        // A bag is good for as long as the first of its parts is.
        let use_by = takes.iter().filter_map(|take| free_at(&shop.free, take)?.use_by).min();
        let lot = match job.tracking {
            Tracking::Lot => Some(stock::make_lot(tx.conn, job.variant.id, &number, use_by)?),
            Tracking::Serial | Tracking::None => None,
        };
        let run = store::NewRun {
            number: &number,
            bom: job.bom,
            revision: &job.bill.revision,
            variant: job.variant.id,
            pieces: it.pieces,
            lot,
            user,
            request_key: key.as_str(),
        };
        let now = tx.now;
        let run = Booking { key, run: make_run(tx.conn, &run, now)?, number: &number };
        let bench = stock::outside(tx.conn, PlaceKind::MadeOrUsedUp)?;
        for take in &takes {
            let row = shop.row(take.variant).map(|it| it.part_number.as_str()).unwrap_or_default();
            let item = Item { variant: take.variant, lot: take.lot, serial: None };
            let moved = Movement::new(item, take.quantity, take.place, bench)?;
            run.post(tx, row, &moved, Role::Used, None, "")?;
        }
        for one in &scanned {
            let piece = piece_serial(tx, &job, &one.code)?;
            let part = job.carried.as_ref().map(|it| it.part_number.as_str()).unwrap_or_default();
            let item = Item { variant: one.variant, lot: None, serial: Some(one.serial) };
            let moved = Movement::new(item, Quantity::ONE, one.place, bench)?;
            run.post(tx, part, &moved, Role::Used, Some(piece), "")?;
            let item = Item { variant: job.variant.id, lot: None, serial: Some(piece) };
            let moved = Movement::new(item, Quantity::ONE, bench, to)?;
            run.post(tx, &job.variant.part_number, &moved, Role::Made, None, "")?;
        }
        if scanned.is_empty() {
            let item = Item { variant: job.variant.id, lot, serial: None };
            let moved = Movement::new(item, it.pieces, bench, to)?;
            run.post(tx, &job.variant.part_number, &moved, Role::Made, None, "")?;
        }
        let scrap = stock::outside(tx.conn, PlaceKind::Scrap)?;
        for (take, entered) in &lost {
            let item = Item { variant: take.variant, lot: take.lot, serial: None };
            let moved = Movement::new(item, take.quantity, take.place, scrap)?;
            let reason = entered.reason.trim();
            run.post(tx, &entered.part_number, &moved, Role::Lost, None, reason)?;
        }
        order_ops::reserve(tx)?;
        let part = shop.part_words(job.variant.id);
        let words = format!("run {number}: {} × {part} made", it.pieces);
        Ok(MadeRun { number, words })
    })
}

/// What stays the same over all movements of a run that one request makes.
pub(super) struct Booking<'a> {
    pub(super) key: &'a RequestKey,
    pub(super) run: BenchRunId,
    pub(super) number: &'a str,
}

impl Booking<'_> {
    /// Posts a movement, and writes down what it did for the run.
    pub(super) fn post(
        &self,
        tx: &mut Tx<'_>,
        part_number: &str,
        movement: &Movement,
        role: Role,
        piece: Option<SerialId>,
        reason: &str,
    ) -> Result<(), Error> {
        let colon = if reason.is_empty() { "" } else { ": " };
        let document = format!("run {}{colon}{reason}", self.number);
        let request_key = self.key.as_str();
        let cause = Cause { request_key, document: &document, kit_line: None, reverses: None };
        let id = stock_ops::post(tx, part_number, movement, cause)?;
        Ok(make_move(tx.conn, self.run, id, role, piece)?)
    }
}

fn next_number(tx: &mut Tx<'_>) -> Result<String, Error> {
    let count = people::next_number(tx.conn, "run")?;
    let number = u32::try_from(count).ok().and_then(RunNumber::nth);
    let number = number.ok_or_else(|| Error::Internal("run numbers are used up".to_owned()))?;
    Ok(number.to_string())
}

/// Returns what is taken of the parts that no serial number tells apart: what the person says, or
/// what the plan says.
fn takes(tx: &mut Tx<'_>, shop: &Shop, job: &Job<'_>, it: &NewRun) -> Result<Vec<Take>, Error> {
    let today = tx.today();
    let plan = bench::plan(&job.needs, &shop.free, it.pieces, today);
    if plan.possible < it.pieces {
        let lacks: Vec<String> = shop.lack_views(&plan).into_iter().map(|it| it.words).collect();
        let (possible, pieces) = (plan.possible, it.pieces);
        return Err(BenchError::Short { possible, pieces, lacks: lacks.join("; ") }.into());
    }
    let carried = job.carried.as_ref().map(|it| it.variant);
    let others: Vec<Need> =
        job.needs.iter().filter(|it| Some(it.variant) != carried).cloned().collect();
    if it.takes.is_empty() {
        let takes = plan.takes.into_iter();
        return Ok(takes.filter(|it| Some(it.variant) != carried).collect());
    }
    let mut takes = Vec::new();
    for entered in it.takes.iter().filter(|it| it.quantity.is_some()) {
        takes.push(take(tx, shop, &others, entered)?);
    }
    check_takes(&others, &shop.free, it.pieces, &takes, today)?;
    Ok(takes)
}

fn take(tx: &mut Tx<'_>, shop: &Shop, needs: &[Need], it: &Taken) -> Result<Take, Error> {
    let number = it.part_number.trim();
    let need = needs.iter().find(|need| need.part_number == number);
    let part_number = number.to_owned();
    let need = need.ok_or(BenchError::NotInRun { part_number })?;
    let place = shop.bin_of_code(it.bin.trim())?;
    let row = stock_ops::variant(tx, number)?;
    let tracking = crate::ops::words::tracking(&row.tracking)?;
    let (lot, _) = stock_ops::identity(tx, &row, tracking, &it.lot, "", false, None)?;
    Ok(Take { variant: need.variant, place, lot, quantity: it.quantity })
}

fn free_at<'a>(free: &'a [Free], take: &Take) -> Option<&'a Free> {
    let key = (take.variant, take.place, take.lot);
    free.iter().find(|it| (it.variant, it.place, it.lot) == key)
}

/// A part whose serial number was scanned, where it lies.
struct Scanned {
    variant: VariantId,
    serial: SerialId,
    code: String,
    place: PlaceId,
}

fn scanned(
    tx: &mut Tx<'_>,
    shop: &Shop,
    job: &Job<'_>,
    it: &NewRun,
) -> Result<Vec<Scanned>, Error> {
    let Some(need) = &job.carried else {
        return match it.serials.as_slice() {
            [] => Ok(Vec::new()),
            [first, ..] => Err(no_serial(&job.variant.part_number, first, "is not asked for here")),
        };
    };
    let codes = once_each(&it.serials, it.pieces)?;
    let mut scanned = Vec::new();
    for code in codes {
        scanned.push(scan_one(tx, shop, need, &code)?);
    }
    let mut by_bin: BTreeMap<PlaceId, Quantity> = BTreeMap::new();
    for one in &scanned {
        let sum = by_bin.entry(one.place).or_default();
        *sum = sum.plus(Quantity::ONE);
    }
    for (place, asked) in by_bin {
        let take = Take { variant: need.variant, place, lot: None, quantity: asked };
        let free = free_at(&shop.free, &take).map(|it| it.quantity).unwrap_or_default();
        if free < asked {
            let part_number = need.part_number.clone();
            return Err(BenchError::NotFree { part_number, asked, free }.into());
        }
    }
    Ok(scanned)
}

/// Returns the serial numbers as entered, once it is sure that each piece has its own.
pub(super) fn once_each(serials: &[String], pieces: Quantity) -> Result<Vec<String>, BenchError> {
    let codes: Vec<String> =
        serials.iter().map(|it| it.trim().to_owned()).filter(|it| !it.is_empty()).collect();
    let count = Quantity::new(i64::try_from(codes.len()).unwrap_or(i64::MAX));
    if count != pieces {
        return Err(BenchError::SerialCount { pieces, serials: count });
    }
    let mut seen = BTreeSet::new();
    match codes.iter().find(|it| !seen.insert(it.as_str())) {
        Some(twice) => Err(BenchError::SerialTwice { serial: twice.clone() }),
        None => Ok(codes),
    }
}

pub(super) fn no_serial(part_number: &str, serial: &str, why: &str) -> Error {
    let (part_number, serial) = (part_number.to_owned(), serial.to_owned());
    BenchError::Serial { part_number, serial, why: why.to_owned() }.into()
}

/// Looks up a serial number as it is printed, or as a scanner sends it, with the letter S in front.
pub(super) fn find_serial(
    tx: &mut Tx<'_>,
    variant: VariantId,
    code: &str,
) -> Result<Option<(SerialId, String)>, Error> {
    for text in [Some(code), code.strip_prefix('S')].into_iter().flatten() {
        if let Some(id) = stock::serial(tx.conn, variant, text)? {
            return Ok(Some((id, text.to_owned())));
        }
    }
    Ok(None)
}

fn scan_one(tx: &mut Tx<'_>, shop: &Shop, need: &Need, code: &str) -> Result<Scanned, Error> {
    let part = need.part_number.as_str();
    let Some((serial, code)) = find_serial(tx, need.variant, code)? else {
        return Err(no_serial(part, code, "is not known: read the piece again"));
    };
    match stock::place_of_serial(tx.conn, serial)? {
        None => Err(no_serial(part, &code, "is not in the house: it has been used or has left")),
        Some((place, at)) => match shop.bin(place) {
            Some(bin) if bin.kind == PlaceKind::Bin.as_str() => {
                Ok(Scanned { variant: need.variant, serial, code, place })
            }
            _ => {
                Err(no_serial(part, &code, &format!("lies in {at}, which is no bin to take from")))
            }
        },
    }
}

/// Returns the serial number of the made piece: that of the part it is made from.
fn piece_serial(tx: &mut Tx<'_>, job: &Job<'_>, code: &str) -> Result<SerialId, Error> {
    let row = job.variant;
    match stock::serial(tx.conn, row.id, code)? {
        None => Ok(stock::make_serial(tx.conn, row.id, code)?),
        Some(known) if !stock::is_held(tx.conn, known)? => Ok(known),
        Some(_) => Err(no_serial(
            &row.part_number,
            code,
            "is in the house or with a rider already: read the piece again",
        )),
    }
}

/// Returns what was lost, after looking that it is free beside what the run takes.
fn lost<'a>(
    tx: &mut Tx<'_>,
    shop: &Shop,
    job: &Job<'_>,
    it: &'a NewRun,
    takes: &[Take],
) -> Result<Vec<(Take, &'a LostPart)>, Error> {
    let mut lost: Vec<(Take, &LostPart)> = Vec::new();
    for entered in it.lost.iter().filter(|it| it.quantity.is_some()) {
        let part_number = entered.part_number.trim().to_owned();
        if entered.reason.trim().is_empty() {
            return Err(BenchError::LostNeedsReason { part_number }.into());
        }
        let taken = Taken {
            part_number: part_number.clone(),
            bin: entered.bin.clone(),
            lot: entered.lot.clone(),
            quantity: entered.quantity,
        };
        let take = take(tx, shop, &job.needs, &taken)?;
        let key = (take.variant, take.place, take.lot);
        let beside = takes.iter().chain(lost.iter().map(|it| &it.0));
        let beside: Quantity =
            beside.filter(|it| (it.variant, it.place, it.lot) == key).map(|it| it.quantity).sum();
        let free = free_at(&shop.free, &take).map(|it| it.quantity).unwrap_or_default();
        let asked = beside.plus(take.quantity);
        if free < asked {
            return Err(BenchError::NotFree { part_number, asked, free }.into());
        }
        lost.push((take, entered));
    }
    Ok(lost)
}
