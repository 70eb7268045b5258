use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use super::life::worth;
use crate::domain::ids::PurchaseOrderLineId;
use crate::domain::purchasing::State;
use crate::error::Error;
use crate::ops::shop;
use crate::store::purchasing::{Promise, PurchaseLineRow, PurchaseOrderRow};
use crate::store::{Conn, purchasing};
use crate::units::Quantity;

/// A line of a purchase order, as its buyer sees it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BuyingLineView {
    /// Its number in the order.
    pub line: i64,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Pieces ordered.
    pub ordered: Quantity,
    /// Pieces received, good or damaged.
    pub received: Quantity,
    /// Pieces still to come.
    pub open: Quantity,
    /// What `price_per` pieces cost, in cents.
    pub price_cents: i64,
    /// The pieces that the price is for.
    pub price_per: Quantity,
    /// The currency of the price; empty where it is the shop's own.
    pub currency: String,
    /// What the line comes to, in cents; nothing where no books could hold it.
    pub amount_cents: Option<i64>,
    /// The day on which it is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
    /// Why it was ordered.
    pub reason: String,
    /// Why the rest will not come.
    pub closed_because: String,
    /// Whether no more is expected.
    pub closed: bool,
    /// The pieces that the supplier promised of the line as it is now.
    pub promised: Option<Quantity>,
    /// The day that the supplier promised.
    pub promised_on: Option<NaiveDate>,
    /// The number of the supplier's own document.
    pub promise_reference: String,
}

/// Something that happened to an order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct EventView {
    /// When.
    pub at: NaiveDateTime,
    /// Who did it; the program where nobody was signed in.
    pub by: String,
    /// The revision that it happened to.
    pub revision: i64,
    /// drafted, changed, approved, sent, confirmed, chased, line closed, line opened or cancelled.
    pub kind: String,
    /// What, in words.
    pub words: String,
}

/// A purchase order, as its buyer sees it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BuyingView {
    /// Its number.
    pub number: String,
    /// The supplier's code.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// draft, approved, sent, confirmed, partly received, received, closed short or cancelled.
    pub state: String,
    /// The revision that the books hold.
    pub revision: i64,
    /// Whether that revision waits for somebody's approval.
    pub wants_approval: bool,
    /// Whether that revision is approved and not with the supplier.
    pub wants_sending: bool,
    /// Whether the supplier holds an older revision.
    pub changed: bool,
    /// The day of the order.
    pub ordered_on: NaiveDate,
    /// The day on which it is expected, by the supplier's lead time and closing days.
    pub due_on: NaiveDate,
    /// What its open and received lines come to, in cents of the shop's currency; nothing where a
    /// price is in another.
    pub worth_cents: Option<i64>,
    /// The least that the supplier takes an order for, in cents.
    pub minimum_cents: i64,
    /// What the supplier is to know.
    pub note: String,
    /// Its lines.
    pub lines: Vec<BuyingLineView>,
    /// What happened to it, the newest first; empty in a list.
    pub history: Vec<EventView>,
}

/// Loads how an order stands.
pub(super) fn state(conn: &mut Conn, order: &PurchaseOrderRow) -> Result<State, Error> {
    let (lines, promises) = (purchasing::lines_of(conn, order.id)?, purchasing::promises(conn)?);
    Ok(state_of(order, &lines.iter().collect::<Vec<_>>(), &promises))
}

fn state_of(
    order: &PurchaseOrderRow,
    lines: &[&PurchaseLineRow],
    promises: &BTreeMap<PurchaseOrderLineId, Promise>,
) -> State {
    let lines: Vec<_> = lines.iter().map(|it| it.progress(promises.contains_key(&it.id))).collect();
    order.progress().state(&lines)
}

/// Loads every purchase order, the newest first, in one state or in all.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, only: Option<State>) -> Result<Vec<BuyingView>, Error> {
    let lines = purchasing::all_lines(conn)?;
    let promises = purchasing::promises(conn)?;
    let own = shop::details(conn)?.currency;
    let mut orders = purchasing::purchase_orders(conn)?;
    orders.sort_by_key(|it| std::cmp::Reverse((it.ordered_on, it.id)));
    let mut views = Vec::new();
    for order in orders {
        let rows: Vec<&PurchaseLineRow> = lines.iter().filter(|it| it.order == order.id).collect();
        let state = state_of(&order, &rows, &promises);
        if only.is_none_or(|it| it == state) {
            views.push(view(order, state, &rows, &promises, &own));
        }
    }
    Ok(views)
}

/// Loads one purchase order with its history.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn detail(conn: &mut Conn, number: &str) -> Result<BuyingView, Error> {
    let order = super::draft::order(conn, number)?;
    let (rows, promises) = (purchasing::lines_of(conn, order.id)?, purchasing::promises(conn)?);
    let rows: Vec<&PurchaseLineRow> = rows.iter().collect();
    let own = shop::details(conn)?.currency;
    let state = state_of(&order, &rows, &promises);
    let minimum = purchasing::supplier_terms(conn, &order.supplier_code)?;
    let history = purchasing::events_of(conn, order.id)?.into_iter().map(|it| EventView {
        at: it.at,
        by: it.by.unwrap_or_else(|| "the program".to_owned()),
        revision: it.revision,
        kind: it.kind,
        words: it.words,
    });
    let history = history.collect();
    let view = view(order, state, &rows, &promises, &own);
    let minimum_cents = minimum.map_or(0, |it| it.minimum_order.cents());
    Ok(BuyingView { history, minimum_cents, ..view })
}

fn view(
    order: PurchaseOrderRow,
    state: State,
    rows: &[&PurchaseLineRow],
    promises: &BTreeMap<PurchaseOrderLineId, Promise>,
    own: &str,
) -> BuyingView {
    let progress = order.progress();
    let owned: Vec<PurchaseLineRow> = rows.iter().map(|it| (*it).clone()).collect();
    BuyingView {
        number: order.number,
        supplier_code: order.supplier_code,
        supplier: order.supplier,
        state: state.as_str().to_owned(),
        revision: progress.revision,
        wants_approval: progress.wants_approval(),
        wants_sending: progress.wants_sending(),
        changed: progress.is_changed(),
        ordered_on: order.ordered_on,
        due_on: order.due_on,
        worth_cents: worth(&owned, own).map(|it| it.cents()),
        minimum_cents: 0,
        note: order.note,
        lines: rows.iter().map(|it| line(it, promises.get(&it.id))).collect(),
        history: Vec::new(),
    }
}

fn line(it: &PurchaseLineRow, promise: Option<&Promise>) -> BuyingLineView {
    BuyingLineView {
        line: it.line_no,
        part_number: it.part_number.clone(),
        part: it.part.clone(),
        variant: it.variant_words.clone(),
        ordered: it.quantity,
        received: it.received,
        open: it.open(),
        price_cents: it.price_cents.cents(),
        price_per: it.price_per,
        currency: it.currency.clone(),
        amount_cents: it.price().cost(it.quantity).map(|it| it.cents()),
        wanted_on: it.wanted_on,
        reason: it.reason.clone(),
        closed_because: it.closed_because.clone(),
        closed: it.closed,
        promised: promise.map(|it| it.quantity),
        promised_on: promise.map(|it| it.promised_on),
        promise_reference: promise.map(|it| it.reference.clone()).unwrap_or_default(),
    }
}
