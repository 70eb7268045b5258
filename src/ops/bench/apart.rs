use serde::{Deserialize, Serialize};

use crate::domain::bench::{Back, BenchError, Goes, PartOfRun, Said, take_apart as judge};
use crate::domain::catalog::Tracking;
use crate::domain::ids::{PlaceId, SerialId};
use crate::domain::stock::{Item, Movement, PlaceKind};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::{orders as order_ops, receiving, stock as stock_ops, words};
use crate::store::bench::{MoveRow, Role, RunRow, moves_of, run as load_run};
use crate::store::catalog::VariantRow;
use crate::store::{Tx, catalog, stock};
use crate::units::Quantity;

use super::make::{Booking, find_serial, no_serial, once_each};

/// Pieces of a run to be taken apart.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakeApart {
    /// How many pieces.
    pub pieces: Quantity,
    /// The bin that they lie in, where it is not the part's own; serial numbers say it themselves.
    pub from: String,
    /// The serial number of each piece, where they have them.
    pub serials: Vec<String>,
    /// What comes back, where the run drew several lots or something does not go to its bin.
    pub back: Vec<BackPart>,
}

/// What comes back of a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct BackPart {
    /// The part number.
    pub part_number: String,
    /// The lot; may be empty where the run drew one lot only.
    #[serde(default)]
    pub lot: String,
    /// How many.
    pub quantity: Quantity,
    /// Where they go: bin, quarantine or scrap.
    pub to: String,
}

/// What came of taking pieces apart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Apart {
    /// What was done, in words.
    pub words: String,
}

/// Takes pieces of a run apart: the pieces are used up, their parts come back to their bins, to
/// quarantine or to scrap, each to the lot or serial number that it went in as.
///
/// # Errors
///
/// [`BenchError`], which says which lots must be named or what can't be;
/// [`crate::domain::stock::StockError::NotEnough`] when the bin does not hold the pieces.
pub fn take_apart(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: &TakeApart,
) -> Result<Apart, Error> {
    once(tx, key, "bench.take_apart", &(number, it), |tx| {
        let run = load_run(tx.conn, number)?.ok_or_else(|| Error::not_found("run", number))?;
        let made = catalog::variant_of(tx.conn, run.variant)?
            .ok_or_else(|| Error::Internal(format!("run {number} made a part that is gone")))?;
        if !it.pieces.is_some() {
            return Err(BenchError::NoPieces.into());
        }
        let moves = moves_of(tx.conn, run.id)?;
        let apart = moves.iter().filter(|it| it.role == Role::TakenApart).map(|it| it.quantity);
        let parts = parts_of(&moves);
        let said = said(tx, &moves, &parts, &it.back)?;
        let back = judge(&parts, run.pieces, apart.sum(), it.pieces, &said)?;
        let booking = Booking { key, run: run.id, number };
        let pieces = pieces(tx, &run, &made, &moves, it)?;
        take_pieces(tx, &booking, &made, &pieces)?;
        for it in &back {
            bring_back(tx, &booking, it)?;
        }
        for piece in pieces.iter().filter_map(|it| it.item.serial) {
            bring_back_serial(tx, &booking, &moves, piece, &it.back)?;
        }
        order_ops::reserve(tx)?;
        let part = words::part(&made.part, &made.variant);
        Ok(Apart { words: format!("run {number}: {} × {part} taken apart", it.pieces) })
    })
}

/// Returns the parts of a run that no serial number tells apart, by lot.
pub(super) fn parts_of(moves: &[MoveRow]) -> Vec<PartOfRun> {
    let mut parts: Vec<PartOfRun> = Vec::new();
    for it in moves.iter().filter(|it| it.serial.is_none()) {
        let (used, back) = match it.role {
            Role::Used => (it.quantity, Quantity::ZERO),
            Role::Back | Role::Scrapped => (Quantity::ZERO, it.quantity),
            Role::Made | Role::Lost | Role::TakenApart => continue,
        };
        let known = parts.iter_mut().find(|part| (part.variant, part.lot) == (it.variant, it.lot));
        match known {
            Some(part) => {
                part.used = part.used.plus(used);
                part.back = part.back.plus(back);
            }
            None => parts.push(PartOfRun {
                variant: it.variant,
                part_number: it.part_number.clone(),
                lot: it.lot,
                lot_code: it.lot_code.clone().unwrap_or_default(),
                used,
                back,
            }),
        }
    }
    parts
}

fn goes(word: &str) -> Result<Goes, Error> {
    match word.trim() {
        "bin" | "" => Ok(Goes::Bin),
        "quarantine" => Ok(Goes::Quarantine),
        "scrap" => Ok(Goes::Scrap),
        other => Err(Error::invalid(
            "bench.where_to",
            format!("to: '{other}' is no way to go: enter bin, quarantine or scrap"),
        )),
    }
}

/// Returns what the person says of the parts without serial numbers.
fn said(
    tx: &mut Tx<'_>,
    moves: &[MoveRow],
    parts: &[PartOfRun],
    back: &[BackPart],
) -> Result<Vec<Said>, Error> {
    let mut said = Vec::new();
    for it in back.iter().filter(|it| it.quantity.is_some()) {
        let number = it.part_number.trim();
        let goes = goes(&it.to)?;
        let Some(part) = parts.iter().find(|part| part.part_number == number) else {
            let has_serial =
                moves.iter().any(|row| row.part_number == number && row.piece.is_some());
            if has_serial {
                continue;
            }
            return Err(BenchError::NotInRun { part_number: number.to_owned() }.into());
        };
        let lot = match it.lot.trim() {
            "" => None,
            code => Some(
                stock::lot(tx.conn, part.variant, code)?
                    .map(|it| it.0)
                    .ok_or_else(|| Error::not_found("lot of that part", code))?,
            ),
        };
        said.push(Said { variant: part.variant, lot, quantity: it.quantity, goes });
    }
    Ok(said)
}

/// Pieces to be taken out of a place.
struct Piece {
    item: Item,
    quantity: Quantity,
    place: PlaceId,
}

fn pieces(
    tx: &mut Tx<'_>,
    run: &RunRow,
    made: &VariantRow,
    moves: &[MoveRow],
    it: &TakeApart,
) -> Result<Vec<Piece>, Error> {
    if words::tracking(&made.tracking)? != Tracking::Serial {
        let place = from(tx, made, &it.from)?;
        let item = Item { variant: run.variant, lot: run.lot, serial: None };
        return Ok(vec![Piece { item, quantity: it.pieces, place }]);
    }
    let mut pieces = Vec::new();
    for code in once_each(&it.serials, it.pieces)? {
        let refused = |why: &str| no_serial(&made.part_number, &code, why);
        let Some((serial, _)) = find_serial(tx, made.id, &code)? else {
            return Err(refused("is not known: read the piece again"));
        };
        let of_run =
            |role: Role| moves.iter().any(|it| it.role == role && it.serial == Some(serial));
        if !of_run(Role::Made) {
            return Err(refused("was not made in this run: read the piece again"));
        }
        if of_run(Role::TakenApart) {
            return Err(refused("was taken apart before"));
        }
        let Some((place, at)) = stock::place_of_serial(tx.conn, serial)? else {
            return Err(refused("is not in the house"));
        };
        let place = from_place(tx, &at, place)?;
        let item = Item { variant: run.variant, lot: None, serial: Some(serial) };
        pieces.push(Piece { item, quantity: Quantity::ONE, place });
    }
    Ok(pieces)
}

/// Returns the bin that the pieces lie in: the one entered, or the part's own.
fn from(tx: &mut Tx<'_>, made: &VariantRow, entered: &str) -> Result<PlaceId, Error> {
    match (entered.trim(), made.bin) {
        ("", Some(bin)) => Ok(bin),
        (code, _) => {
            let place =
                stock::place(tx.conn, code)?.ok_or_else(|| Error::not_found("bin", code))?;
            from_place(tx, code, place.id)
        }
    }
}

/// Refuses pieces that are in a kit's hands.
fn from_place(tx: &mut Tx<'_>, code: &str, place: PlaceId) -> Result<PlaceId, Error> {
    let kind = stock::place_of(tx.conn, place)?.map(|it| it.kind);
    match kind {
        Some(PlaceKind::Bin | PlaceKind::Quarantine | PlaceKind::Returns) => Ok(place),
        _ => Err(Error::conflict(
            "bench.in_kit",
            format!("{code} belongs to a kit: put the pieces back into a bin on its page first"),
        )),
    }
}

fn take_pieces(
    tx: &mut Tx<'_>,
    booking: &Booking<'_>,
    made: &VariantRow,
    pieces: &[Piece],
) -> Result<(), Error> {
    let bench = stock::outside(tx.conn, PlaceKind::MadeOrUsedUp)?;
    for it in pieces {
        stock::release_at(tx.conn, made.id, it.place)?;
        let moved = Movement::new(it.item, it.quantity, it.place, bench)?;
        booking.post(tx, &made.part_number, &moved, Role::TakenApart, None, "taken apart")?;
    }
    Ok(())
}

fn bring_back(tx: &mut Tx<'_>, booking: &Booking<'_>, it: &Back) -> Result<(), Error> {
    let item = Item { variant: it.variant, lot: it.lot, serial: None };
    arrive(tx, booking, item, it.quantity, it.goes, None)
}

/// Gives the part of a piece with a serial number its own number back.
fn bring_back_serial(
    tx: &mut Tx<'_>,
    booking: &Booking<'_>,
    moves: &[MoveRow],
    piece: SerialId,
    back: &[BackPart],
) -> Result<(), Error> {
    let used = moves.iter().find(|it| it.role == Role::Used && it.piece == Some(piece));
    let used = used.ok_or_else(|| Error::Internal(format!("nothing went into piece {piece}")))?;
    let serial = used.serial_code.as_deref().unwrap_or_default();
    let of_part = |it: &&BackPart| it.part_number.trim() == used.part_number;
    let named = |it: &&BackPart| it.lot.trim().is_empty() || it.lot.trim() == serial;
    let word = back.iter().filter(of_part).find(named).map(|it| it.to.as_str());
    let goes = goes(word.unwrap_or_default())?;
    let item = Item { variant: used.variant, lot: None, serial: used.serial };
    arrive(tx, booking, item, Quantity::ONE, goes, Some(piece))
}

fn arrive(
    tx: &mut Tx<'_>,
    booking: &Booking<'_>,
    item: Item,
    quantity: Quantity,
    goes: Goes,
    piece: Option<SerialId>,
) -> Result<(), Error> {
    let row = catalog::variant_of(tx.conn, item.variant)?
        .ok_or_else(|| Error::Internal(format!("part {} is gone", item.variant)))?;
    let bench = stock::outside(tx.conn, PlaceKind::MadeOrUsedUp)?;
    let (to, role) = match goes {
        Goes::Bin => (receiving::bin(tx, &row, "")?, Role::Back),
        Goes::Quarantine => (stock_ops::quarantine(tx)?, Role::Back),
        Goes::Scrap => (stock::outside(tx.conn, PlaceKind::Scrap)?, Role::Scrapped),
    };
    let moved = Movement::new(item, quantity, bench, to)?;
    booking.post(tx, &row.part_number, &moved, role, piece, "taken apart")
}
