use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::bench::{self, Plan};
use crate::domain::ids::VariantId;
use crate::domain::orders::Free;
use crate::error::Error;
use crate::ops::words::by_variant;
use crate::store::{Conn, stock};
use crate::units::Quantity;

use super::shop::{Job, Shop};

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
    let shop = Shop::load(conn, today, part_number)?;
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
    let shop = Shop::load(conn, today, "")?;
    let made: Vec<VariantId> =
        shop.variants.values().filter(|it| shop.makes(it)).map(|it| it.id).collect();
    let on_hand = by_variant(stock::on_hand(conn, &made)?);
    let free = by_variant(shop.free.iter().map(|it| (it.variant, it.quantity)));
    let mut views = Vec::new();
    for row in shop.variants.values().filter(|it| shop.makes(it)) {
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
    let shop = Shop::load(conn, today, "")?;
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
