//! What can leave today: the best set of whole orders, strict promise order, what holds the rest
//! back, and the earliest promise for a new order.

mod floor;
mod promise;

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

use crate::domain::kits::Bom;
use crate::domain::optimum::ProblemError;
use crate::domain::orders::{
    AtMost, Plan, Relief, best_plan, lacking, promise_order, relief, standing,
};
use crate::error::Error;
use crate::store::{Conn, Tx, kits, leaving, orders};
use crate::units::Quantity;

use super::once::{RequestKey, once};
use super::orders::reserve;
use floor::{Floor, Waiting};

pub use promise::{OptionView, PromiseAsk, PromisePartView, PromiseView, kits_on_offer, promise};

/// How much may be computed for one view: half a second of one core.
const BUDGET: u64 = 300_000_000;

/// Whether an order waits for parts that are looks only, too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Looks {
    /// An order leaves when nothing is missing.
    WaitedFor,
    /// It may leave without; what is missing is sent after it.
    SentAfter,
}

/// A set of whole orders.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PlanView {
    /// The orders' numbers, by promised date.
    pub orders: Vec<String>,
    /// Kits that leave.
    pub kits: i64,
    /// Kits among them whose promise is overdue.
    pub overdue: i64,
}

/// An order that strict promise order would let leave, and the best set does not.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct DelayedView {
    /// The order's number.
    pub order: String,
    /// Who ordered.
    pub customer: String,
    /// The day on which it is to leave.
    pub promised_on: NaiveDate,
    /// What it lacks once the best set has its parts, in words.
    pub lacks: Vec<String>,
    /// The day on which all of it will be there; none where that is not known.
    pub until: Option<NaiveDate>,
}

/// What some more pieces of one part would let leave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MoreView {
    /// How many pieces more.
    pub pieces: Quantity,
    /// What they cost, in cents; none where no price is known.
    pub cost_cents: Option<i64>,
    /// Kits that would leave in promise order.
    pub strict: i64,
    /// Kits that the best set would have.
    pub best: i64,
    /// What no set could pass; above `best` where it is not proved.
    pub at_most: i64,
}

/// A part that holds orders back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct HoldView {
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// What one piece more, two, and as many as are enough would let leave.
    pub more: Vec<MoreView>,
}

/// Who chose which orders to be served first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ChosenView {
    /// The orders' numbers.
    pub orders: Vec<String>,
    /// Who chose them.
    pub by: String,
    /// When.
    pub at: NaiveDateTime,
}

/// What can leave today.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct LeavingView {
    /// The day that it speaks of.
    pub today: NaiveDate,
    /// Orders that wait, each with at least one kit that is not sealed.
    pub waiting: usize,
    /// The best set: the most overdue promises, then the most kits, then those that waited longest.
    pub best: PlanView,
    /// Whether nothing better is possible.
    pub proved: bool,
    /// The kits that no set can pass.
    pub at_most: i64,
    /// What leaves if each in turn takes what it needs, by promised date.
    pub strict: PlanView,
    /// Orders that leave in the best set alone.
    pub only_best: Vec<String>,
    /// Orders that the best set delays.
    pub delayed: Vec<DelayedView>,
    /// The parts that hold most orders back.
    pub holds_back: Vec<HoldView>,
    /// Orders that can't leave whatever the stock, and why, in words.
    pub stuck: Vec<String>,
    /// The choice that holds, if somebody made one.
    pub chosen: Option<ChosenView>,
}

/// Loads what can leave today.
///
/// # Errors
///
/// [`Error::Invalid`] when there is more than can be computed.
pub fn view(conn: &mut Conn, today: NaiveDate, looks: Looks) -> Result<LeavingView, Error> {
    let floor = Floor::load(conn, today, looks)?;
    let boms = kits::boms_on(conn, today)?;
    let open: Vec<_> = floor.waiting.iter().map(|it| it.open.clone()).collect();
    let too_much = |fault: ProblemError| Error::invalid(fault.code(), fault.to_string());
    let strict = promise_order(&open, &floor.free);
    let best = best_plan(&open, &floor.free, today, BUDGET).map_err(too_much)?;
    let reliefs = relief(&open, &floor.free, &best.plan, &[1, 2], BUDGET).map_err(too_much)?;
    let numbers = |which: &dyn Fn(usize) -> bool| -> Vec<String> {
        let named = floor.waiting.iter().enumerate().filter(|it| which(it.0));
        named.map(|it| it.1.number.clone()).collect()
    };
    let plan = |plan: &Plan| PlanView {
        orders: numbers(&|at| plan.leaves(at)),
        kits: plan.kits(&open),
        overdue: (0..open.len())
            .filter(|at| plan.leaves(*at))
            .filter_map(|at| open.get(at).filter(|it| it.promised_on < today))
            .map(|it| it.kits)
            .sum(),
    };
    let delayed = (0..open.len())
        .filter(|at| strict.leaves(*at) && !best.plan.leaves(*at))
        .filter_map(|at| floor.waiting.get(at))
        .map(|it| delayed(&floor, &boms, it, &best.plan))
        .collect();
    Ok(LeavingView {
        today,
        waiting: open.len(),
        best: plan(&best.plan),
        proved: best.kits.reached == best.kits.at_most
            && best.overdue.iter().all(|it| is_met(it.1)),
        at_most: best.kits.at_most,
        strict: plan(&strict),
        only_best: numbers(&|at| best.plan.leaves(at) && !strict.leaves(at)),
        delayed,
        holds_back: reliefs.iter().map(|it| hold(&floor, it)).collect(),
        stuck: floor.stuck.clone(),
        chosen: chosen(conn)?,
    })
}

const fn is_met(it: AtMost) -> bool {
    it.reached == it.at_most
}

fn delayed(floor: &Floor, boms: &BTreeMap<String, Bom>, it: &Waiting, best: &Plan) -> DelayedView {
    let open: Vec<_> = floor.waiting.iter().map(|it| it.open.clone()).collect();
    let left = best.left(&open, &floor.free);
    let lacks = lacking(&it.open, &left)
        .iter()
        .map(|it| format!("{} × {}", it.quantity, floor.part(it.variant)))
        .collect();
    // Others that stay behind are served before it where their promise is earlier.
    let earlier: Vec<_> = open.iter().map(|other| other.turn() < it.open.turn()).collect();
    let staying = Plan {
        ways: best
            .ways
            .iter()
            .zip(earlier)
            .map(|(way, earlier)| if earlier { *way } else { Some(0) })
            .collect(),
    };
    let claims = standing(&open, &staying);
    let needs = it.open.ways.first().map(|it| it.needs.clone()).unwrap_or_default();
    let promise = promise::Ahead::of(floor, boms, &left, claims).promise(&needs);
    DelayedView {
        order: it.number.clone(),
        customer: it.customer.clone(),
        promised_on: it.open.promised_on,
        lacks,
        until: promise.on,
    }
}

fn hold(floor: &Floor, it: &Relief) -> HoldView {
    let more = it
        .more
        .iter()
        .map(|more| MoreView {
            pieces: more.pieces,
            cost_cents: floor.cost_cents(it.variant, more.pieces),
            strict: more.strict,
            best: more.best.reached,
            at_most: more.best.at_most,
        })
        .collect();
    let (part_number, part) = floor.named(it.variant);
    HoldView { part_number, part, more }
}

fn chosen(conn: &mut Conn) -> Result<Option<ChosenView>, Error> {
    let rows = leaving::chosen(conn)?;
    let Some(first) = rows.first() else { return Ok(None) };
    let (by, at) = (first.by.clone().unwrap_or_default(), first.at);
    Ok(Some(ChosenView { orders: rows.into_iter().map(|it| it.order).collect(), by, at }))
}

/// What was allocated.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Allocated {
    /// How many orders have all their parts held.
    pub orders: usize,
    /// Pieces held for kits that nobody has begun to pick.
    pub held: Quantity,
    /// Pieces that open kits need and no bin has free.
    pub short: Quantity,
}

/// Holds stock for these orders first, and from now on whenever stock is held anew; without any, in
/// promise order alone.
///
/// # Errors
///
/// [`Error::NotFound`] for an order that is not there; [`Error::Conflict`] when the stock does not
/// cover every one of them any more: then nothing is changed.
pub fn allocate(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    numbers: &[String],
    looks: Looks,
) -> Result<Allocated, Error> {
    let body = (numbers, looks == Looks::SentAfter);
    once(tx, key, "leaving.allocate", &body, |tx| {
        let mut ids = Vec::new();
        for number in numbers {
            let order =
                orders::order(tx.conn, number)?.ok_or_else(|| Error::not_found("order", number))?;
            if !ids.contains(&order.id) {
                ids.push(order.id);
            }
        }
        leaving::choose(tx, &ids)?;
        let reserved = reserve(tx)?;
        let short = floor::short_of(tx.conn, numbers, looks)?;
        if let Some(words) = short.first() {
            let message =
                format!("{words}: the stock has changed since; look at what can leave now");
            return Err(Error::conflict("leaving.changed", message));
        }
        Ok(Allocated { orders: ids.len(), held: reserved.held, short: reserved.short })
    })
}
