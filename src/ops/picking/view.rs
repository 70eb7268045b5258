use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use crate::domain::ids::{KitId, PickListId};
use crate::domain::packing::{StripLine, strip};
use crate::error::Error;
use crate::ops::kits::{Contents, contents, strip_lines};
use crate::ops::orders::{self as order_ops, Leave, StripView};
use crate::ops::shortages::{self, Alert, Cause};
use crate::ops::words;
use crate::store::picking::{PickListRow, TakeRow};
use crate::store::{Conn, kits, orders, picking};
use crate::units::Quantity;

use super::list_row;

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
    for order in order_ops::unasked(conn)? {
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
pub(in crate::ops) fn build_words(name: &str, options: &[(String, String)]) -> String {
    let values: Vec<&str> = options.iter().map(|(_, value)| value.as_str()).collect();
    if values.is_empty() { name.to_owned() } else { format!("{name}: {}", values.join(", ")) }
}

/// Loads pick lists with what is still to be taken: the open ones, or all of the newest hundred.
///
/// # Errors
///
/// [`Error::Database`].
pub fn lists(conn: &mut Conn, open_only: bool) -> Result<Vec<PickListView>, Error> {
    let rows = if open_only { picking::open_lists(conn)? } else { picking::pick_lists(conn, 100)? };
    let alerts = shortages::alerts(conn)?;
    let mut contents = BTreeMap::new();
    let mut views = Vec::new();
    for row in rows {
        let view = list_view(conn, row, &alerts, &mut contents)?;
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
    list_view(conn, row, &alerts, &mut BTreeMap::new())
}

/// What sub-kits hold, by the day of the bills, as far as it has been loaded.
type Known = BTreeMap<NaiveDate, Contents>;

fn list_view(
    conn: &mut Conn,
    row: PickListRow,
    alerts: &[Alert],
    known: &mut Known,
) -> Result<PickListView, Error> {
    let takes = picking::takes(conn, row.id)?;
    let kits = list_kits(conn, row.id)?;
    let on_list =
        |it: &&Alert| it.cause == Cause::NotInStock && kits.iter().any(|kit| kit.kit == it.kit);
    let alerts: Vec<Alert> = alerts.iter().filter(on_list).cloned().collect();
    Ok(PickListView {
        number: row.number,
        created_at: row.created_at,
        made_by: row.made_by,
        stops: stops(&takes)?,
        picked: kits.iter().map(|it| it.picked).sum(),
        left: takes.iter().map(|it| it.quantity).sum(),
        strip: list_strip(conn, row.id, &alerts, known)?,
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

fn list_strip(
    conn: &mut Conn,
    list: PickListId,
    alerts: &[Alert],
    known: &mut Known,
) -> Result<StripView, Error> {
    let on_list = picking::kits_of(conn, &[list])?;
    let ids: Vec<_> = on_list.iter().map(|it| it.1).collect();
    let lines = orders::lines_of(conn, &ids)?;
    let Some((_, _, first, _)) = on_list.first() else { return Ok(StripView::default()) };
    let kit = orders::kit(conn, first)?.ok_or_else(|| Error::not_found("kit", first))?;
    let steps = kits::steps(conn, kit.bom)?;
    let contents = match known.entry(kit.bills_on) {
        Entry::Occupied(known) => known.into_mut(),
        Entry::Vacant(entry) => entry.insert(contents(conn, kit.bills_on)?),
    };
    let numbers: BTreeMap<KitId, &str> =
        on_list.iter().map(|(_, id, number, _)| (*id, number.as_str())).collect();
    let mut counted: Vec<StripLine> = Vec::new();
    for line in &lines {
        let number = numbers.get(&line.kit).copied().unwrap_or_default();
        let of_line = |it: &&Alert| it.kit == number && it.line == line.number;
        let missing: Quantity = alerts.iter().filter(of_line).map(|it| it.quantity).sum();
        counted.extend(strip_lines(line, line.picked, missing.min(line.quantity), contents)?);
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
