use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDateTime;
use serde::Serialize;

use crate::domain::ids::VariantId;
use crate::domain::stock::PlaceKind;
use crate::error::Error;
use crate::ops::words;
use crate::store::bench::{self as store, MoveRow, Role, RunRow};
use crate::store::catalog::VariantRow;
use crate::store::{Conn, catalog, stock};
use crate::units::Quantity;

use super::apart::parts_of;

/// A run in a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct RunHeadView {
    /// Its number.
    pub number: String,
    /// The part number that it made.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// The bill's code.
    pub bill: String,
    /// The bill's revision at that time.
    pub revision: String,
    /// How many pieces it made.
    pub pieces: Quantity,
    /// How many of them have been taken apart.
    pub taken_apart: Quantity,
    /// When.
    pub made_at: NaiveDateTime,
    /// Who.
    pub by: String,
}

/// A part in the pieces of a run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct RunPartView {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Its lot or serial number; empty where it is not tracked.
    pub identity: String,
    /// The serial number of the piece that it went into; empty where pieces have none.
    pub piece: String,
    /// How many went into one piece, over all lots.
    pub each: Quantity,
    /// How many went into the run.
    pub used: Quantity,
    /// How many have come back into the house.
    pub back: Quantity,
    /// How many have come out and were thrown away.
    pub scrapped: Quantity,
}

/// A part that was lost while a run was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct LostView {
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// Its lot; empty where it has none.
    pub lot: String,
    /// How many.
    pub quantity: Quantity,
    /// How.
    pub reason: String,
}

/// Pieces of a run that lie in a bin, quarantine or returns.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct RunPlaceView {
    /// The place.
    pub place: String,
    /// Its kind.
    pub kind: String,
    /// The serial number; empty where pieces have none.
    pub serial: String,
    /// How many.
    pub quantity: Quantity,
}

/// A kit that holds pieces of a run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct KitOfRunView {
    /// The kit.
    pub kit: String,
    /// Its order.
    pub order: String,
    /// Where the kit stands: picking, sealed or despatched.
    pub state: String,
    /// How many pieces.
    pub quantity: Quantity,
}

/// A run, what is in its pieces, and where they are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct RunView {
    /// Its head.
    pub head: RunHeadView,
    /// none, lot or serial: how the made pieces are tracked.
    pub tracking: String,
    /// The parts in its pieces.
    pub parts: Vec<RunPartView>,
    /// What was lost while it was made.
    pub lost: Vec<LostView>,
    /// Pieces in the house that no kit holds; empty where pieces are not tracked.
    pub places: Vec<RunPlaceView>,
    /// The kits that hold pieces of it, those of untracked pieces left out.
    pub kits: Vec<KitOfRunView>,
    /// Pieces that are in no bin and in no kit: scrapped, lost in a count, or not tracked.
    pub elsewhere: Quantity,
}

type Rows = BTreeMap<VariantId, VariantRow>;

fn rows(conn: &mut Conn, variants: &BTreeSet<VariantId>) -> Result<Rows, Error> {
    Ok(catalog::variants_of(conn, variants)?.into_iter().map(|it| (it.id, it)).collect())
}

/// Loads the newest runs.
///
/// # Errors
///
/// [`Error::Database`].
pub fn runs(conn: &mut Conn) -> Result<Vec<RunHeadView>, Error> {
    let runs = store::runs(conn, 100)?;
    let rows = rows(conn, &runs.iter().map(|it| it.variant).collect())?;
    let apart = store::taken_apart(conn, &runs.iter().map(|it| it.id).collect::<Vec<_>>())?;
    let of = |run: &RunRow| apart.get(&run.id).copied().unwrap_or_default();
    Ok(runs.into_iter().map(|it| head(of(&it), it, &rows)).collect())
}

fn head(taken_apart: Quantity, run: RunRow, rows: &Rows) -> RunHeadView {
    let row = rows.get(&run.variant);
    let of = |get: fn(&VariantRow) -> &String| row.map(get).cloned().unwrap_or_default();
    RunHeadView {
        number: run.number,
        part_number: of(|it| &it.part_number),
        part: of(|it| &it.part),
        variant: of(|it| &it.variant),
        bill: run.bill,
        revision: run.revision,
        pieces: run.pieces,
        taken_apart,
        made_at: run.made_at,
        by: run.user,
    }
}

/// Loads one run.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn run(conn: &mut Conn, number: &str) -> Result<RunView, Error> {
    let run = store::run(conn, number)?.ok_or_else(|| Error::not_found("run", number))?;
    let moves = store::moves_of(conn, run.id)?;
    let rows = rows(conn, &moves.iter().map(|it| it.variant).chain([run.variant]).collect())?;
    let places = places(conn, &run, &moves)?;
    let kits: Vec<KitOfRunView> = store::kits_with(conn, run.id)?
        .into_iter()
        .map(|it| KitOfRunView {
            kit: it.kit,
            order: it.order_number,
            state: it.state,
            quantity: it.quantity,
        })
        .collect();
    let apart = moves.iter().filter(|it| it.role == Role::TakenApart).map(|it| it.quantity).sum();
    let known: Quantity = places.iter().map(|it| it.quantity).sum();
    let in_kits: Quantity = kits.iter().map(|it| it.quantity).sum();
    let left = run.pieces.less(apart);
    Ok(RunView {
        tracking: rows.get(&run.variant).map(|it| it.tracking.clone()).unwrap_or_default(),
        parts: parts(&moves, run.pieces, &rows),
        lost: lost(&moves, &run.number, &rows),
        elsewhere: left.less(known).less(in_kits).at_least_zero(),
        places,
        kits,
        head: head(apart, run, &rows),
    })
}

fn places(conn: &mut Conn, run: &RunRow, moves: &[MoveRow]) -> Result<Vec<RunPlaceView>, Error> {
    let made: Vec<_> =
        moves.iter().filter(|it| it.role == Role::Made).filter_map(|it| it.serial).collect();
    if run.lot.is_none() && made.is_empty() {
        return Ok(Vec::new());
    }
    let of_run = |lot, serial: Option<_>| match serial {
        Some(serial) => made.contains(&serial),
        None => lot == run.lot,
    };
    let in_kit = [PlaceKind::Tote.as_str(), PlaceKind::Carton.as_str()];
    Ok(stock::held(conn, run.variant)?
        .into_iter()
        .filter(|it| of_run(it.lot, it.serial) && !in_kit.contains(&it.place_kind.as_str()))
        .map(|it| RunPlaceView {
            place: it.place_code,
            kind: it.place_kind,
            serial: it.serial_code.unwrap_or_default(),
            quantity: it.quantity,
        })
        .collect())
}

fn parts(moves: &[MoveRow], pieces: Quantity, rows: &Rows) -> Vec<RunPartView> {
    let sum = |variant: VariantId, role: Role, same: &dyn Fn(&MoveRow) -> bool| -> Quantity {
        let all = moves.iter().filter(|it| it.variant == variant && it.role == role);
        all.filter(|it| same(it)).map(|it| it.quantity).sum()
    };
    let view = |it: &MoveRow, identity: String, piece: String, same: &dyn Fn(&MoveRow) -> bool| {
        let row = rows.get(&it.variant);
        let used = sum(it.variant, Role::Used, &|_| true);
        RunPartView {
            part_number: it.part_number.clone(),
            part: row.map(|it| it.part.clone()).unwrap_or_default(),
            variant: row.map(|it| it.variant.clone()).unwrap_or_default(),
            identity,
            piece,
            each: Quantity::new(used.pieces() / pieces.pieces().max(1)),
            used: sum(it.variant, Role::Used, same),
            back: sum(it.variant, Role::Back, same),
            scrapped: sum(it.variant, Role::Scrapped, same),
        }
    };
    let mut views = Vec::new();
    for part in parts_of(moves) {
        let first = moves.iter().find(|it| (it.variant, it.lot) == (part.variant, part.lot));
        if let Some(it) = first {
            let same = |other: &MoveRow| other.lot == part.lot;
            views.push(view(it, part.lot_code, String::new(), &same));
        }
    }
    for it in moves.iter().filter(|it| it.role == Role::Used && it.serial.is_some()) {
        let serial = it.serial_code.clone().unwrap_or_default();
        let same = |other: &MoveRow| other.serial == it.serial;
        views.push(view(it, serial.clone(), serial, &same));
    }
    views.sort_by(|a, b| a.part_number.cmp(&b.part_number));
    views
}

fn lost(moves: &[MoveRow], number: &str, rows: &Rows) -> Vec<LostView> {
    let start = format!("run {number}: ");
    moves
        .iter()
        .filter(|it| it.role == Role::Lost)
        .map(|it| LostView {
            part_number: it.part_number.clone(),
            part: rows
                .get(&it.variant)
                .map(|it| words::part(&it.part, &it.variant))
                .unwrap_or_default(),
            lot: it.lot_code.clone().unwrap_or_default(),
            quantity: it.quantity,
            reason: it.document.strip_prefix(&start).unwrap_or_default().to_owned(),
        })
        .collect()
}
