//! By which bills the bags were made that a kit holds, and those that it could get.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::domain::ids::{BomId, KitId, KitLineId, LotId, PlaceId, SerialId, VariantId};
use crate::domain::kits::Bom;
use crate::domain::kits::revision::{on_day, same_content};
use crate::error::Error;
use crate::store::bench::{self, RunBillRow};
use crate::store::orders::{KitLineRow, KitRow, OpenLineRow};
use crate::store::{Conn, card, kits, orders, packing, stock};
use crate::units::Quantity;

use super::{Bills, Fitter, in_words, of_lines};

/// Pieces of a kit line that one run made.
#[derive(Debug, Clone)]
pub(in crate::ops) struct HeldRun {
    /// The run's number.
    pub(in crate::ops) run: String,
    /// The bill that it made them by.
    pub(in crate::ops) bom: BomId,
    /// How many.
    pub(in crate::ops) quantity: Quantity,
}

/// By kit line, what it holds of which run: reserved, picked, packed, or with the rider.
pub(in crate::ops) type HeldRuns = BTreeMap<KitLineId, Vec<HeldRun>>;

/// Loads what lines hold of which run.
pub(in crate::ops) fn held_runs(conn: &mut Conn, lines: &[KitLineId]) -> Result<HeldRuns, Error> {
    let items = items_of(conn, lines)?;
    let lots: BTreeSet<LotId> = items.keys().filter_map(|it| it.1).collect();
    let serials: BTreeSet<SerialId> = items.keys().filter_map(|it| it.2).collect();
    let of_lots = bench::runs_of_lots(conn, &Vec::from_iter(lots))?;
    let of_serials = bench::runs_of_serials(conn, &Vec::from_iter(serials))?;
    let mut held = HeldRuns::new();
    for ((line, lot, serial), quantity) in items {
        let by_lot = lot.and_then(|it| of_lots.get(&it));
        let by_serial = || serial.and_then(|it| of_serials.get(&it));
        let Some(it) = by_lot.or_else(by_serial).filter(|_| quantity.is_some()) else { continue };
        let run = HeldRun { run: it.number.clone(), bom: it.bom, quantity };
        held.entry(line).or_default().push(run);
    }
    Ok(held)
}

/// A line with the lot or serial number of what it holds.
type ItemOfLine = (KitLineId, Option<LotId>, Option<SerialId>);

fn items_of(conn: &mut Conn, lines: &[KitLineId]) -> Result<BTreeMap<ItemOfLine, Quantity>, Error> {
    let mut items: BTreeMap<ItemOfLine, Quantity> = BTreeMap::new();
    let wanted: BTreeSet<KitLineId> = lines.iter().copied().collect();
    for it in stock::reservations(conn)?.into_iter().filter(|it| wanted.contains(&it.line)) {
        let sum = items.entry((it.line, it.lot, None)).or_default();
        *sum = sum.plus(it.quantity);
    }
    let moves = packing::moves_of_lines(conn, lines)?;
    let places: BTreeSet<PlaceId> = moves.iter().flat_map(|it| [it.from, it.to]).collect();
    let kinds = stock::place_kinds(conn, &Vec::from_iter(places))?;
    let with_kit = |it: &PlaceId| {
        kinds.get(it).is_some_and(|it| ["tote", "carton", "rider"].contains(&it.as_str()))
    };
    for it in moves {
        let sum = items.entry((it.line, it.lot, it.serial)).or_default();
        match (with_kit(&it.from), with_kit(&it.to)) {
            (false, true) => *sum = sum.plus(it.quantity),
            (true, false) => *sum = sum.less(it.quantity),
            _ => {}
        }
    }
    Ok(items)
}

/// Returns those bills, with that one in the place of whatever makes its part.
pub(super) fn with_bill(bills: &Bills, bill: &Bom) -> Bills {
    let others = bills.iter().filter(|(_, it)| it.makes != bill.makes);
    let mut changed: Bills = others.map(|(code, it)| (code.clone(), it.clone())).collect();
    changed.insert(bill.code.clone(), bill.clone());
    changed
}

/// A lot of bags in bins that does not fit a kit.
pub(in crate::ops) struct UnfitLot {
    /// The lot.
    pub(in crate::ops) lot: LotId,
    /// Which it is, and why it does not fit.
    pub(in crate::ops) words: String,
}

/// Loads, by line, the lots in bins that hold another revision of a bag than the kit was promised,
/// and do not fit the rest of it.
pub(in crate::ops) fn unfit_lots(
    conn: &mut Conn,
    wanting: &[OpenLineRow],
) -> Result<BTreeMap<KitLineId, Vec<UnfitLot>>, Error> {
    let mut unfit: BTreeMap<KitLineId, Vec<UnfitLot>> = BTreeMap::new();
    let lots = lots_in_bins(conn, wanting)?;
    if lots.is_empty() {
        return Ok(unfit);
    }
    let ids: BTreeSet<KitId> = wanting.iter().map(|it| it.kit).collect();
    let kits: BTreeMap<KitId, KitRow> =
        orders::kits_by_id(conn, &ids)?.into_iter().map(|it| (it.id, it)).collect();
    if all_promised(conn, wanting, &lots, &kits)? {
        return Ok(unfit);
    }
    let bills: BTreeMap<BomId, Bom> = card::bills(conn)?.into_iter().collect();
    let fitter = Fitter::load(conn, kits.values().map(|it| it.bills_on))?;
    let mut lines: BTreeMap<KitId, Vec<KitLineRow>> = BTreeMap::new();
    for line in orders::lines_of(conn, &Vec::from_iter(ids))? {
        lines.entry(line.kit).or_default().push(line);
    }
    for line in wanting {
        let Some(kit) = kits.get(&line.kit) else { continue };
        let of_kit = lines.get(&kit.id).map(Vec::as_slice).unwrap_or_default();
        for (lot, run) in lots.get(&line.variant).into_iter().flatten() {
            let Some(bill) = bills.get(&run.bom) else { continue };
            if fitter.makes_the_same(kit.bills_on, bill) {
                continue;
            }
            let misfits = misfits_with(&fitter, kit.bills_on, of_kit, (line.line, bill, run))?;
            if !misfits.is_empty() {
                let (words, lot) = (in_words(run, bill, &misfits), *lot);
                unfit.entry(line.line).or_default().push(UnfitLot { lot, words });
            }
        }
    }
    Ok(unfit)
}

/// By made variant, the lots of it in bins with the runs that made them.
type LotsInBins = BTreeMap<VariantId, Vec<(LotId, RunBillRow)>>;

fn lots_in_bins(conn: &mut Conn, wanting: &[OpenLineRow]) -> Result<LotsInBins, Error> {
    let wanted: BTreeSet<VariantId> = wanting.iter().map(|it| it.variant).collect();
    let made = kits::made_variants(conn)?.into_iter().filter(|it| wanted.contains(it)).collect();
    let bins = stock::in_bins(conn, &made)?.into_iter();
    let lots: BTreeMap<LotId, VariantId> =
        bins.filter_map(|it| Some((it.lot?, it.variant))).collect();
    let ids: Vec<LotId> = lots.keys().copied().collect();
    let mut found = LotsInBins::new();
    for (lot, run) in bench::runs_of_lots(conn, &ids)? {
        if let Some(variant) = lots.get(&lot) {
            found.entry(*variant).or_default().push((lot, run));
        }
    }
    Ok(found)
}

/// Returns whether each lot was made by the very revision that its kit was promised: then nothing
/// else needs to be loaded to know that it fits as promised.
fn all_promised(
    conn: &mut Conn,
    wanting: &[OpenLineRow],
    lots: &LotsInBins,
    kits: &BTreeMap<KitId, KitRow>,
) -> Result<bool, Error> {
    let heads = kits::bom_heads(conn)?;
    let mut in_force: BTreeMap<NaiveDate, BTreeSet<BomId>> = BTreeMap::new();
    for line in wanting {
        let Some(kit) = kits.get(&line.kit) else { continue };
        let day = kit.bills_on;
        let promised = in_force.entry(day).or_insert_with(|| ids_on_day(&heads, day));
        let mut runs = lots.get(&line.variant).into_iter().flatten();
        if runs.any(|(_, run)| !promised.contains(&run.bom)) {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Returns which of the revisions are in force on a day.
fn ids_on_day(heads: &[(BomId, Bom)], day: NaiveDate) -> BTreeSet<BomId> {
    let all: Vec<Bom> = heads.iter().map(|it| it.1.clone()).collect();
    let in_force = on_day(&all, day);
    let is = |bom: &Bom| in_force.get(&bom.code).is_some_and(|it| it.revision == bom.revision);
    heads.iter().filter(|it| is(&it.1)).map(|it| it.0).collect()
}

/// Returns what does not fit once a line holds bags of that bill, and did before.
fn misfits_with(
    fitter: &Fitter,
    day: NaiveDate,
    lines: &[KitLineRow],
    (line, bill, run): (KitLineId, &Bom, &RunBillRow),
) -> Result<Vec<String>, Error> {
    let before: BTreeSet<String> = of_lines(fitter, day, lines)?.misfits().collect();
    let quantity = lines.iter().filter(|it| it.id == line).map(|it| it.quantity).sum();
    let held = HeldRun { run: run.number.clone(), bom: run.bom, quantity };
    let trial = fitter.trial(line, held, bill);
    let after = of_lines(&trial, day, lines)?;
    Ok(after.misfits().filter(|it| !before.contains(it)).collect())
}

impl Fitter {
    /// Returns whether the bill in force on that day puts the same into what this one makes.
    fn makes_the_same(&self, day: NaiveDate, bill: &Bom) -> bool {
        let bills = self.bills.get(&day);
        let makers = bills.into_iter().flat_map(|it| it.values());
        let mut makers = makers.filter(|it| it.makes.is_some() && it.makes == bill.makes);
        makers.any(|it| it.lines == bill.lines || same_content(it, bill))
    }
}
