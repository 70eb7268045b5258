use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::bench::{self, BenchError, Lack, Need, Plan};
use crate::domain::catalog::Tracking;
use crate::domain::codes::PartNumber;
use crate::domain::ids::{BomId, LotId, PlaceId, VariantId};
use crate::domain::kits::{Bom, contents, explode_to_parts};
use crate::domain::orders::{Free, Incoming, Shortage, cover_after};
use crate::error::Error;
use crate::ops::shortages;
use crate::ops::words::{self, by_variant};
use crate::store::catalog::{BinRow, VariantRow};
use crate::store::{Conn, catalog, kits, purchasing, stock};
use crate::units::Quantity;

/// All that plans are made of, loaded once.
pub(super) struct Shop {
    boms: BTreeMap<String, Bom>,
    bom_ids: BTreeMap<String, BomId>,
    pub(super) variants: BTreeMap<VariantId, VariantRow>,
    bins: Vec<BinRow>,
    /// What bins hold and no kit has reserved.
    pub(super) free: Vec<Free>,
    short: Vec<Shortage>,
    incoming: Vec<Incoming>,
}

/// A part that the house makes, with its bill laid out.
pub(super) struct Job<'a> {
    pub(super) variant: &'a VariantRow,
    pub(super) tracking: Tracking,
    pub(super) bom: BomId,
    pub(super) bill: &'a Bom,
    pub(super) needs: Vec<Need>,
    /// The part whose serial number the made piece takes over.
    pub(super) carried: Option<Need>,
}

impl Shop {
    pub(super) fn load(conn: &mut Conn) -> Result<Self, Error> {
        let rows = catalog::variants(conn)?;
        Ok(Self {
            boms: kits::all_boms(conn)?,
            bom_ids: kits::bom_ids(conn)?,
            variants: rows.into_iter().map(|it| (it.id, it)).collect(),
            bins: catalog::bins(conn)?,
            free: free(conn)?,
            short: shortages::shortages(conn)?,
            incoming: purchasing::incoming(conn)?,
        })
    }

    /// Returns the part of that number as something to be made.
    pub(super) fn job(&self, part_number: &str) -> Result<Job<'_>, Error> {
        let number = part_number.trim();
        let variant = self
            .variants
            .values()
            .find(|it| it.part_number == number)
            .ok_or_else(|| Error::not_found("part number", number))?;
        let not_made = || BenchError::NotMadeHere { part_number: number.to_owned() };
        let parsed: PartNumber = number.parse().map_err(|_| not_made())?;
        let makes = |bom: &&Bom| bom.makes.as_ref() == Some(&parsed);
        let bill = self.boms.values().find(makes).ok_or_else(not_made)?;
        let bom = self.bom_ids.get(&bill.code).copied().ok_or_else(not_made)?;
        explode_to_parts(&self.boms, &parsed)
            .map_err(|fault| Error::invalid(fault.code(), fault.to_string()))?;
        let needs: Vec<Need> = contents(&self.boms, &parsed)
            .into_iter()
            .map(|(part, each)| self.need(part.as_str(), each))
            .collect::<Result<_, Error>>()?;
        if needs.is_empty() {
            return Err(BenchError::EmptyBill { bill: bill.code.clone() }.into());
        }
        let tracking = words::tracking(&variant.tracking)?;
        let carried = self.carried(&bill.code, tracking, &needs)?;
        Ok(Job { variant, tracking, bom, bill, needs, carried })
    }

    fn need(&self, part_number: &str, each: Quantity) -> Result<Need, Error> {
        let row = self.variants.values().find(|it| it.part_number == part_number);
        let row = row.ok_or_else(|| Error::not_found("part number", part_number))?;
        Ok(Need { variant: row.id, part_number: row.part_number.clone(), each })
    }

    fn carried(
        &self,
        bill: &str,
        tracking: Tracking,
        needs: &[Need],
    ) -> Result<Option<Need>, BenchError> {
        let serial = |it: &&Need| self.row(it.variant).is_some_and(|it| it.tracking == "serial");
        let with_serial: Vec<&Need> = needs.iter().filter(serial).collect();
        let bill = bill.to_owned();
        match (tracking, with_serial.as_slice()) {
            (Tracking::Serial, [one]) if one.each == Quantity::ONE => Ok(Some((*one).clone())),
            (Tracking::Serial, _) => Err(BenchError::NoSerialToCarry { bill }),
            (_, [first, ..]) => {
                Err(BenchError::SerialInLot { bill, part_number: first.part_number.clone() })
            }
            (_, []) => Ok(None),
        }
    }

    pub(super) fn row(&self, variant: VariantId) -> Option<&VariantRow> {
        self.variants.get(&variant)
    }

    pub(super) fn part_words(&self, variant: VariantId) -> String {
        self.row(variant).map(|it| words::part(&it.part, &it.variant)).unwrap_or_default()
    }

    pub(super) fn bin(&self, place: PlaceId) -> Option<&BinRow> {
        self.bins.iter().find(|it| it.id == place)
    }

    /// Returns the bin of that code with its id.
    pub(super) fn bin_of_code(&self, code: &str) -> Result<PlaceId, Error> {
        let bin = self.bins.iter().find(|it| it.code == code);
        bin.map(|it| it.id).ok_or_else(|| Error::not_found("bin", code))
    }

    fn lack_view(&self, lack: &Lack) -> LackView {
        let row = self.row(lack.variant);
        let number = row.map(|it| it.part_number.clone()).unwrap_or_default();
        let part = self.part_words(lack.variant);
        let missing = lack.missing();
        let delivery = cover_after(&self.short, &self.incoming, lack.variant, missing);
        LackView {
            words: format!("{part} ({number}) is {missing} short"),
            part_number: number,
            part,
            needed: lack.needed,
            free: lack.free,
            missing,
            covered_by: delivery.as_ref().map(|it| it.purchase_order.clone()),
            due_on: delivery.map(|it| it.due_on),
        }
    }

    pub(super) fn lack_views(&self, plan: &Plan) -> Vec<LackView> {
        plan.lacks.iter().map(|it| self.lack_view(it)).collect()
    }

    /// Returns how many pieces of a part open kits need and no bin holds for them.
    fn short_of(&self, variant: VariantId) -> Quantity {
        self.short.iter().filter(|it| it.variant == variant).map(|it| it.quantity).sum()
    }
}

/// Loads what bins hold and no kit has reserved.
fn free(conn: &mut Conn) -> Result<Vec<Free>, Error> {
    let mut free = stock::in_bins(conn)?;
    let mut held: BTreeMap<(VariantId, PlaceId, Option<LotId>), Quantity> = BTreeMap::new();
    for it in stock::reservations(conn)? {
        let sum = held.entry((it.variant, it.place, it.lot)).or_default();
        *sum = sum.plus(it.quantity);
    }
    for it in &mut free {
        let held = held.get(&(it.variant, it.place, it.lot)).copied().unwrap_or_default();
        it.quantity = it.quantity.less(held).at_least_zero();
    }
    Ok(free)
}

/// A part of which stock has too few for a run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct LackView {
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// How many the run needs.
    pub needed: Quantity,
    /// How many are free.
    pub free: Quantity,
    /// How many are missing.
    pub missing: Quantity,
    /// The purchase order that brings the last missing one, after those that kits wait for.
    pub covered_by: Option<String>,
    /// The day on which it is due.
    pub due_on: Option<NaiveDate>,
    /// That it is missing, in words.
    pub words: String,
}

/// Pieces of one part to be taken from one bin for a run.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct TakeView {
    /// The bin.
    pub bin: String,
    /// Its zone.
    pub zone: String,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// The lot; empty where the part is not tracked by lot.
    pub lot: String,
    /// none, lot or serial.
    pub tracking: String,
    /// How many to take; none from lots that are free as well.
    pub quantity: Quantity,
    /// How many are free there.
    pub free: Quantity,
}

/// What a run of so many pieces takes from stock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PlanView {
    /// The part number to be made.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// How it is tracked: by lot, the run's number is the lot; by serial number, the number of the
    /// part named in `serials_of` is carried over.
    pub tracking: String,
    /// The bill's code.
    pub bill: String,
    /// The bill's revision.
    pub revision: String,
    /// The bin that the made pieces go to.
    pub bin: String,
    /// How many pieces were asked for.
    pub pieces: Quantity,
    /// How many stock allows.
    pub possible: Quantity,
    /// Open kits need as many, and no bin holds them.
    pub short: Quantity,
    /// What to take, in walking order, for as many pieces as stock allows; then, with quantity 0,
    /// the other lots that are free.
    pub takes: Vec<TakeView>,
    /// What is missing for the rest.
    pub lacks: Vec<LackView>,
    /// The part number whose serial numbers are scanned, one for each piece.
    pub serials_of: Option<String>,
    /// How it stands, in words.
    pub words: String,
}

/// Plans a run of a part that the house makes.
///
/// # Errors
///
/// [`Error::NotFound`], and [`BenchError`] where no bill makes the part or its bill can't be made.
pub fn plan(
    conn: &mut Conn,
    part_number: &str,
    pieces: Quantity,
    today: NaiveDate,
) -> Result<PlanView, Error> {
    let shop = Shop::load(conn)?;
    let job = shop.job(part_number)?;
    let plan = bench::plan(&job.needs, &shop.free, pieces, today);
    let lacks = shop.lack_views(&plan);
    let takes = take_views(conn, &shop, &job, &plan, today)?;
    let words = match (plan.lacks.is_empty(), pieces) {
        (true, _) => format!("parts for {pieces} of {pieces}"),
        (false, _) => {
            let lacks: Vec<&str> = lacks.iter().map(|it| it.words.as_str()).collect();
            format!("parts for {} of {pieces}; {}", plan.possible, lacks.join("; "))
        }
    };
    let row = job.variant;
    Ok(PlanView {
        part_number: row.part_number.clone(),
        part: row.part.clone(),
        variant: row.variant.clone(),
        tracking: row.tracking.clone(),
        bill: job.bill.code.clone(),
        revision: job.bill.revision.clone(),
        bin: row.bin_code.clone().unwrap_or_default(),
        pieces,
        possible: plan.possible,
        short: shop.short_of(row.id),
        takes,
        lacks,
        serials_of: job.carried.as_ref().map(|it| it.part_number.clone()),
        words,
    })
}

/// Returns what is free of the run's parts in walking order, with what the plan takes of it.
fn take_views(
    conn: &mut Conn,
    shop: &Shop,
    job: &Job<'_>,
    plan: &Plan,
    today: NaiveDate,
) -> Result<Vec<TakeView>, Error> {
    let mut views = Vec::new();
    let usable = |it: &&Free| it.use_by.is_none_or(|last| today <= last) && it.quantity.is_some();
    for it in shop.free.iter().filter(usable) {
        let needed = job.needs.iter().any(|need| need.variant == it.variant);
        let (Some(row), Some(bin), true) = (shop.row(it.variant), shop.bin(it.place), needed)
        else {
            continue;
        };
        let key = (it.variant, it.place, it.lot);
        let taken = plan.takes.iter().filter(|take| (take.variant, take.place, take.lot) == key);
        let lot = match it.lot {
            Some(lot) => stock::lot_code(conn, lot)?,
            None => String::new(),
        };
        let view = TakeView {
            bin: bin.code.clone(),
            zone: bin.zone.clone(),
            part_number: row.part_number.clone(),
            part: row.part.clone(),
            variant: row.variant.clone(),
            lot,
            tracking: row.tracking.clone(),
            quantity: taken.map(|take| take.quantity).sum(),
            free: it.quantity,
        };
        views.push(((!view.quantity.is_some(), bin.walk_order, bin.code.clone()), view));
    }
    views.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(views.into_iter().map(|it| it.1).collect())
}

/// A part that the house makes, and how it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MadeView {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Pieces in bins.
    pub on_hand: Quantity,
    /// Pieces in bins that no kit has reserved.
    pub free: Quantity,
    /// Open kits need as many, and no bin holds them.
    pub short: Quantity,
    /// Make more at or below this.
    pub reorder_point: Quantity,
    /// The usual run.
    pub usual: Quantity,
    /// How many can be made now.
    pub possible: Quantity,
    /// What stops one more.
    pub stops: Vec<LackView>,
    /// Why its bill can't be made at all; empty where it can.
    pub fault: String,
}

/// Loads what the house makes, what kits wait for first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, today: NaiveDate) -> Result<Vec<MadeView>, Error> {
    let on_hand = by_variant(stock::on_hand(conn)?);
    let shop = Shop::load(conn)?;
    let free = by_variant(shop.free.iter().map(|it| (it.variant, it.quantity)));
    let makes = |row: &&VariantRow| {
        shop.boms
            .values()
            .any(|it| it.makes.as_ref().is_some_and(|it| it.as_str() == row.part_number))
    };
    let mut views = Vec::new();
    for row in shop.variants.values().filter(makes) {
        let of =
            |sums: &BTreeMap<VariantId, Quantity>| sums.get(&row.id).copied().unwrap_or_default();
        let (possible, stops, fault) = match shop.job(&row.part_number) {
            Ok(job) => {
                let possible = bench::plan(&job.needs, &shop.free, Quantity::ONE, today).possible;
                let more = possible.plus(Quantity::ONE);
                let plan = bench::plan(&job.needs, &shop.free, more, today);
                (possible, shop.lack_views(&plan), String::new())
            }
            Err(fault) => (Quantity::ZERO, Vec::new(), fault.to_string()),
        };
        views.push(MadeView {
            part_number: row.part_number.clone(),
            part: row.part.clone(),
            variant: row.variant.clone(),
            on_hand: of(&on_hand),
            free: of(&free),
            short: shop.short_of(row.id),
            reorder_point: row.reorder_point,
            usual: row.order_quantity,
            possible,
            stops,
            fault,
        });
    }
    views.sort_by_key(|it| (!it.short.is_some(), it.part_number.clone()));
    Ok(views)
}

/// How far stock reaches to make what kits wait for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MakeNow {
    /// How many open kits wait for.
    pub short: Quantity,
    /// How many of the part can be made now; other runs may need the same stock.
    pub possible: Quantity,
    /// What stops the rest of what kits wait for.
    pub stops: Vec<LackView>,
}

/// Returns, for the parts that the house makes and kits wait for, how many can be made now.
pub(in crate::ops) fn make_now(
    conn: &mut Conn,
    made: &BTreeSet<String>,
    today: NaiveDate,
) -> Result<BTreeMap<String, MakeNow>, Error> {
    if made.is_empty() {
        return Ok(BTreeMap::new());
    }
    let shop = Shop::load(conn)?;
    let mut all = BTreeMap::new();
    for part_number in made {
        // A bill that can't be made stops nobody from seeing the rest; its own page says why.
        let Ok(job) = shop.job(part_number) else { continue };
        let short = shop.short_of(job.variant.id);
        let plan = bench::plan(&job.needs, &shop.free, short, today);
        let stops = shop.lack_views(&plan);
        all.insert(part_number.clone(), MakeNow { short, possible: plan.possible, stops });
    }
    Ok(all)
}
