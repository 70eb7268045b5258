//! Orders: hold stock for them, see what can leave, and what each waits for.

mod list;

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use crate::domain::ids::{KitId, KitLineId};
use crate::domain::kits::Step;
use crate::domain::orders::{Free, Want, allocate};
use crate::domain::packing::{Strip, StripLine, strip};
use crate::error::Error;
use crate::store::orders::{KitLineRow, KitRow, OrderRow};
use crate::store::{Conn, Tx, kits, leaving, orders, picking, stock, verification};
use crate::units::Quantity;

use super::fit::{self, FitView, Fitter};
use super::kits::{Contents, contents_by_day, strip_lines};
use super::once::{RequestKey, once};
use super::shortages::{self, Alert};
use super::substitution::{self, InPlaceView};

pub(super) use list::unasked;
pub use list::{Listed, list, open};

/// What holding stock anew came to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Reserved {
    /// Pieces held for kits that nobody has begun to pick.
    pub held: Quantity,
    /// Pieces that open kits need and no bin has free.
    pub short: Quantity,
}

/// Holds free stock for all open kits: first for the orders that were chosen to leave, then in order
/// of promised date.
///
/// What is held for kits that nobody has begun to pick is given back first, so that an order with
/// an earlier promise is served before one that merely came in earlier. Kits being picked keep
/// what they hold, unless it is past its last day of use. Bags of a revision that does not fit a kit
/// are not held for it.
///
/// # Errors
///
/// [`Error::Database`].
pub fn reserve(tx: &mut Tx<'_>) -> Result<Reserved, Error> {
    let today = tx.today();
    stock::release_open(tx.conn)?;
    stock::release_past_day(tx.conn, today)?;
    let mut open = orders::open_lines(tx.conn)?;
    let kept = stock::reservations(tx.conn)?;
    let wanted = open.iter().map(|it| it.variant).collect();
    let mut free: BTreeMap<_, Free> = stock::in_bins(tx.conn, &wanted)?
        .into_iter()
        .map(|it| ((it.variant, it.place, it.lot), it))
        .collect();
    let mut held: BTreeMap<KitLineId, Quantity> = BTreeMap::new();
    for it in &kept {
        if let Some(bin) = free.get_mut(&(it.variant, it.place, it.lot)) {
            bin.quantity = bin.quantity.less(it.quantity).at_least_zero();
        }
        let sum = held.entry(it.line).or_default();
        *sum = sum.plus(it.quantity);
    }
    let mut unfit = fit::unfit_lots(tx.conn, &open)?;
    let first = leaving::kits_first(tx.conn)?;
    open.sort_by_key(|it| !first.contains(&it.kit));
    let wants: Vec<Want> = open
        .into_iter()
        .map(|it| Want {
            line: it.line,
            variant: it.variant,
            quantity: it.left().less(held.get(&it.line).copied().unwrap_or_default()),
            unfit: unfit.remove(&it.line).into_iter().flatten().map(|it| it.lot).collect(),
        })
        .filter(|it| it.quantity.is_some())
        .collect();
    let allocation = allocate(&wants, free.into_values().collect(), tx.today());
    stock::reserve(tx.conn, &allocation.reserved)?;
    Ok(Reserved {
        held: allocation.reserved.iter().map(|it| it.quantity).sum(),
        short: allocation.short.iter().map(|it| it.quantity).sum(),
    })
}

/// Whether an order or kit can leave today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Leave {
    /// It was cancelled.
    Cancelled,
    /// It has left.
    Left,
    /// Packed and sealed: hand it over.
    Ready,
    /// All its parts are in the house.
    CanLeave,
    /// All but parts that only look good are in the house.
    CanLeaveShort,
    /// A part holds it back.
    Held,
}

impl Leave {
    /// Returns the standing in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cancelled => "cancelled",
            Self::Left => "has left",
            Self::Ready => "sealed: hand it to the carrier",
            Self::CanLeave => "can leave",
            Self::CanLeaveShort => "can leave, short of parts that are looks only",
            Self::Held => "held back",
        }
    }
}

/// A cell of the assembly strip.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct StripCellView {
    /// The step's number.
    pub number: u32,
    /// Its title.
    pub title: String,
    /// Pieces confirmed so far.
    pub done: Quantity,
    /// Pieces that it needs.
    pub total: Quantity,
    /// Pieces missing.
    pub missing: Quantity,
}

/// The assembly strip.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct StripView {
    /// One cell for each step.
    pub cells: Vec<StripCellView>,
    /// What is missing, in words.
    pub missing: Vec<String>,
}

impl From<Strip> for StripView {
    fn from(strip: Strip) -> Self {
        let cells = strip
            .cells
            .into_iter()
            .map(|it| StripCellView {
                number: it.number,
                title: it.title,
                done: it.done,
                total: it.total,
                missing: it.missing,
            })
            .collect();
        Self { cells, missing: strip.missing }
    }
}

/// A kit of an order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct KitView {
    /// The kit's number.
    pub number: String,
    /// What is built.
    pub name: String,
    /// The code of its bill of materials.
    pub bill: String,
    /// The revision that it was promised, or was moved to.
    pub revision: String,
    /// The day whose bills it follows, bags included.
    pub bills_on: NaiveDate,
    /// What stands in its lines in the place of other parts.
    pub in_place: Vec<InPlaceView>,
    /// The options chosen, by name.
    pub options: Vec<(String, String)>,
    /// open, picking, sealed, despatched or cancelled.
    pub state: String,
    /// Whether it can leave today.
    pub leave: Leave,
    /// The pick list that it stands on.
    pub pick_list: Option<String>,
    /// When it left.
    pub despatched_at: Option<NaiveDateTime>,
    /// What the receiver has confirmed, in words; empty before anyone has opened the box page.
    pub receiver: String,
    /// Whether the receiver has confirmed every line.
    pub all_confirmed: bool,
    /// The assembly strip: pieces in the carton, or confirmed by the receiver once it has left.
    pub strip: StripView,
    /// Pieces of all lines.
    pub pieces: Quantity,
    /// Pieces picked.
    pub picked: Quantity,
    /// Pieces packed.
    pub packed: Quantity,
    /// What the rules of fit say of it. A list of orders names only what does not fit.
    pub fit: FitView,
}

/// An order, with all that a page about it shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct OrderView {
    /// The order's number.
    pub number: String,
    /// When it was placed.
    pub placed_on: NaiveDate,
    /// When it is to leave the house.
    pub promised_on: NaiveDate,
    /// Who ordered.
    pub customer: String,
    /// rider or dealer.
    pub channel: String,
    /// Their e-mail address, if one is known.
    pub email: String,
    /// Where it goes.
    pub address: String,
    /// The country it goes to.
    pub country: String,
    /// Whether it can leave today.
    pub leave: Leave,
    /// Its kits.
    pub kits: Vec<KitView>,
    /// Its missing-part alerts.
    pub alerts: Vec<Alert>,
}

impl Leave {
    /// Returns whether the shop still has to do something for it.
    pub const fn is_open(self) -> bool {
        !matches!(self, Self::Cancelled | Self::Left)
    }
}

/// Cancels an order that nobody has begun to pick; what was held for it serves the next promises.
///
/// # Errors
///
/// [`Error::Conflict`] when a kit of it is being picked or has left.
pub fn cancel(tx: &mut Tx<'_>, key: &RequestKey, number: &str) -> Result<(), Error> {
    once(tx, key, "orders.cancel", &number, |tx| {
        let order =
            orders::order(tx.conn, number)?.ok_or_else(|| Error::not_found("order", number))?;
        let kits = orders::kits_of(tx.conn, order.id)?;
        if let Some(kit) = kits.iter().find(|it| it.state != "open") {
            return Err(Error::conflict(
                "orders.begun",
                format!(
                    "kit {} is {} already: put its parts back and take it off its list first",
                    kit.number, kit.state
                ),
            ));
        }
        for kit in &kits {
            orders::set_state(tx.conn, kit.id, "cancelled")?;
            orders::release(tx.conn, kit.id)?;
        }
        reserve(tx)?;
        Ok(())
    })
}

/// Loads one order.
///
/// # Errors
///
/// [`Error::NotFound`] and [`Error::Database`].
pub fn detail(conn: &mut Conn, number: &str, today: NaiveDate) -> Result<OrderView, Error> {
    let order = orders::order(conn, number)?.ok_or_else(|| Error::not_found("order", number))?;
    let mut views = views(conn, vec![order], Findings::All)?;
    let mut alerts: Vec<_> = views.iter_mut().flat_map(|it| &mut it.alerts).collect();
    shortages::ask_around(conn, &mut alerts, today)?;
    views.into_iter().next().ok_or_else(|| Error::not_found("order", number))
}

/// What all views of a page are made of, loaded once.
struct Page {
    alerts: Vec<Alert>,
    in_place: BTreeMap<KitId, Vec<InPlaceView>>,
    lines: BTreeMap<KitId, Vec<KitLineRow>>,
    options: BTreeMap<KitId, Vec<(String, String)>>,
    reports: BTreeMap<KitLineId, verification::ReportRow>,
    steps: BTreeMap<i64, Vec<Step>>,
    pick_lists: BTreeMap<KitId, String>,
    contents: BTreeMap<NaiveDate, Contents>,
    fitter: Fitter,
    findings: Findings,
}

/// Which findings of fit a view carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Findings {
    All,
    Misfits,
}

fn views(
    conn: &mut Conn,
    orders: Vec<OrderRow>,
    findings: Findings,
) -> Result<Vec<OrderView>, Error> {
    let ids: Vec<_> = orders.iter().map(|it| it.id).collect();
    let kits = orders::kits_of_orders(conn, &ids)?;
    let page = page(conn, &kits, findings)?;
    let mut by_order: BTreeMap<_, Vec<KitRow>> = BTreeMap::new();
    for kit in kits {
        by_order.entry(kit.order).or_default().push(kit);
    }
    orders
        .into_iter()
        .map(|order| {
            let kits = by_order.remove(&order.id).unwrap_or_default();
            order_view(&page, order, &kits)
        })
        .collect()
}

fn page(conn: &mut Conn, kits: &[KitRow], findings: Findings) -> Result<Page, Error> {
    let ids: Vec<KitId> = kits.iter().map(|it| it.id).collect();
    let mut page = Page {
        alerts: shortages::alerts(conn)?,
        in_place: substitution::in_place(conn, &ids)?,
        lines: BTreeMap::new(),
        options: BTreeMap::new(),
        reports: BTreeMap::new(),
        steps: BTreeMap::new(),
        pick_lists: picking::lists_of_kits(conn, &ids)?.into_iter().collect(),
        contents: contents_by_day(conn, kits.iter().map(|it| it.bills_on))?,
        fitter: Fitter::load(conn, kits.iter().map(|it| it.bills_on))?,
        findings,
    };
    let lines = orders::lines_of(conn, &ids)?;
    let line_ids: Vec<KitLineId> = lines.iter().map(|it| it.id).collect();
    page.fitter = page.fitter.with_runs(conn, &line_ids)?;
    for line in lines {
        page.lines.entry(line.kit).or_default().push(line);
    }
    for (kit, name, value) in orders::options_of_kits(conn, &ids)? {
        page.options.entry(kit).or_default().push((name, value));
    }
    for report in verification::reports_of(conn, &ids)? {
        page.reports.insert(report.line, report);
    }
    for kit in kits {
        let bom = i64::from(kit.bom);
        if let Entry::Vacant(entry) = page.steps.entry(bom) {
            entry.insert(kits::steps(conn, kit.bom)?);
        }
    }
    Ok(page)
}

fn order_view(page: &Page, order: OrderRow, kits: &[KitRow]) -> Result<OrderView, Error> {
    let alerts: Vec<Alert> =
        page.alerts.iter().filter(|it| it.order == order.number).cloned().collect();
    let kits: Vec<KitView> =
        kits.iter().map(|kit| kit_view(page, kit, &alerts)).collect::<Result<_, _>>()?;
    Ok(OrderView {
        leave: kits.iter().map(|it| it.leave).max().unwrap_or(Leave::Held),
        number: order.number,
        placed_on: order.placed_on,
        promised_on: order.promised_on,
        customer: order.customer,
        channel: order.channel,
        email: order.email,
        address: order.address,
        country: order.country,
        kits,
        alerts,
    })
}

fn kit_view(page: &Page, kit: &KitRow, alerts: &[Alert]) -> Result<KitView, Error> {
    let lines = page.lines.get(&kit.id).map(Vec::as_slice).unwrap_or_default();
    let of_kit = || alerts.iter().filter(|it| it.kit == kit.number);
    let fit = fit::of_lines(&page.fitter, kit.bills_on, lines)?;
    let fits = fit.misfits().next().is_none();
    let leave = match kit.state.as_str() {
        "cancelled" => Leave::Cancelled,
        "despatched" => Leave::Left,
        "sealed" => Leave::Ready,
        _ if !fits || of_kit().any(Alert::holds_back) => Leave::Held,
        _ if of_kit().any(|it| it.cause == shortages::Cause::NotInStock) => Leave::CanLeaveShort,
        _ => Leave::CanLeave,
    };
    let steps = page.steps.get(&i64::from(kit.bom)).map(Vec::as_slice).unwrap_or_default();
    let (receiver, all_confirmed) = receiver_words(page, lines);
    Ok(KitView {
        number: kit.number.clone(),
        name: kit.bom_name.clone(),
        bill: kit.bom_code.clone(),
        revision: kit.bom_revision.clone(),
        bills_on: kit.bills_on,
        in_place: page.in_place.get(&kit.id).cloned().unwrap_or_default(),
        options: page.options.get(&kit.id).cloned().unwrap_or_default(),
        state: kit.state.clone(),
        leave,
        pick_list: page.pick_lists.get(&kit.id).cloned(),
        despatched_at: kit.despatched_at,
        receiver,
        all_confirmed,
        strip: strip(steps, &counted(page, kit, lines, alerts)?).into(),
        pieces: lines.iter().map(|it| it.quantity).sum(),
        picked: lines.iter().map(|it| it.picked).sum(),
        packed: lines.iter().map(|it| it.packed).sum(),
        fit: match page.findings {
            Findings::All => fit,
            Findings::Misfits => fit.misfits_only(),
        },
    })
}

/// Returns what a kit's strip counts: pieces packed, or confirmed by the receiver once it has left.
fn counted(
    page: &Page,
    kit: &KitRow,
    lines: &[KitLineRow],
    alerts: &[Alert],
) -> Result<Vec<StripLine>, Error> {
    let left = kit.state == "despatched";
    let nothing = Contents::new();
    let contents = page.contents.get(&kit.bills_on).unwrap_or(&nothing);
    let mut counted = Vec::new();
    for line in lines {
        let of_line = |it: &&Alert| it.kit == kit.number && it.line == line.number;
        let missing: Quantity = alerts.iter().filter(of_line).map(|it| it.quantity).sum();
        let confirmed = page.reports.get(&line.id).is_some_and(|it| it.outcome == "here");
        let done = if left && !confirmed { Quantity::ZERO } else { line.packed };
        counted.extend(strip_lines(line, done, missing.min(line.quantity), contents)?);
    }
    Ok(counted)
}

/// Returns what the receiver has confirmed, in words, and whether that is every line.
fn receiver_words(page: &Page, lines: &[KitLineRow]) -> (String, bool) {
    let of_kit: Vec<&KitLineRow> =
        lines.iter().filter(|it| it.packed.is_some() && it.step != 0).collect();
    let count = |outcome: &str| {
        let said = |it: &&&KitLineRow| {
            page.reports.get(&it.id).is_some_and(|report| report.outcome == outcome)
        };
        of_kit.iter().filter(said).count()
    };
    let (here, missing, damaged) = (count("here"), count("missing"), count("damaged"));
    if here + missing + damaged == 0 {
        return (String::new(), false);
    }
    let mut words = format!("{here} of {} lines confirmed", of_kit.len());
    if 0 < missing {
        words.push_str(&format!(", {missing} missing"));
    }
    if 0 < damaged {
        words.push_str(&format!(", {damaged} damaged"));
    }
    (words, here == of_kit.len())
}
