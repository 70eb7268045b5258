use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::catalog::Closing;
use crate::domain::ids::{PurchaseOrderId, PurchaseOrderLineId, SupplierId, UserId, VariantId};
use crate::domain::purchasing::{Progress, UnitPrice};
use crate::store::schema::{
    purchase_chases, purchase_confirmations, purchase_events, purchase_order_lines,
    purchase_orders, supplier_closings, suppliers, users,
};
use crate::store::{Conn, Tx};
use crate::units::{Money, Quantity};

/// What a supplier asks of an order, and how long one takes.
#[derive(Debug, Clone)]
pub struct SupplierTerms {
    /// The supplier.
    pub id: SupplierId,
    /// Days from order to arrival.
    pub lead_days: i64,
    /// The least that an order may come to.
    pub minimum_order: Money,
    /// Days on which the supplier does nothing.
    pub closings: Vec<Closing>,
}

/// Loads what the supplier of that code asks.
pub fn supplier_terms(conn: &mut Conn, code: &str) -> QueryResult<Option<SupplierTerms>> {
    let row: Option<(SupplierId, i64, Money)> = suppliers::table
        .filter(suppliers::code.eq(code))
        .select((suppliers::id, suppliers::lead_days, suppliers::minimum_order_cents))
        .first(conn)
        .optional()?;
    let Some((id, lead_days, minimum_order)) = row else { return Ok(None) };
    let closings = closings(conn)?.remove(&id).unwrap_or_default();
    Ok(Some(SupplierTerms { id, lead_days, minimum_order, closings }))
}

/// Loads, by supplier, the days on which each does nothing, the earliest first.
pub fn closings(conn: &mut Conn) -> QueryResult<BTreeMap<SupplierId, Vec<Closing>>> {
    let rows: Vec<(SupplierId, NaiveDate, NaiveDate)> = supplier_closings::table
        .select((
            supplier_closings::supplier_id,
            supplier_closings::first_day,
            supplier_closings::last_day,
        ))
        .order((supplier_closings::supplier_id, supplier_closings::first_day))
        .load(conn)?;
    let mut closings: BTreeMap<SupplierId, Vec<Closing>> = BTreeMap::new();
    for (supplier, from, until) in rows {
        closings.entry(supplier).or_default().push(Closing { from, until });
    }
    Ok(closings)
}

/// Loads the number of the supplier's newest draft that nobody has approved.
pub fn open_draft(conn: &mut Conn, supplier: SupplierId) -> QueryResult<Option<String>> {
    purchase_orders::table
        .filter(purchase_orders::supplier_id.eq(supplier))
        .filter(purchase_orders::sent_revision.eq(0))
        .filter(purchase_orders::approved_revision.eq(0))
        .filter(purchase_orders::cancelled.eq(false))
        .select(purchase_orders::number)
        .order(purchase_orders::id.desc())
        .first(conn)
        .optional()
}

/// Loads, by variant, how many pieces stand on orders that no supplier has yet.
pub fn drafted(conn: &mut Conn) -> QueryResult<Vec<(VariantId, Quantity)>> {
    purchase_order_lines::table
        .inner_join(
            purchase_orders::table
                .on(purchase_orders::id.eq(purchase_order_lines::purchase_order_id)),
        )
        .filter(purchase_orders::sent_revision.eq(0))
        .filter(purchase_orders::cancelled.eq(false))
        .select((purchase_order_lines::variant_id, purchase_order_lines::quantity))
        .order(purchase_order_lines::id)
        .load(conn)
}

/// Sets how far an order has come on its way to the supplier.
pub fn set_progress(conn: &mut Conn, order: PurchaseOrderId, it: Progress) -> QueryResult<()> {
    diesel::update(purchase_orders::table.find(i64::from(order)))
        .set((
            purchase_orders::revision.eq(it.revision),
            purchase_orders::approved_revision.eq(it.approved),
            purchase_orders::sent_revision.eq(it.sent),
            purchase_orders::cancelled.eq(it.cancelled),
        ))
        .execute(conn)
        .map(drop)
}

/// Sets the day of an order and the day on which it is due.
pub fn set_days(
    conn: &mut Conn,
    order: PurchaseOrderId,
    (ordered_on, due_on): (NaiveDate, NaiveDate),
) -> QueryResult<()> {
    diesel::update(purchase_orders::table.find(i64::from(order)))
        .set((purchase_orders::ordered_on.eq(ordered_on), purchase_orders::due_on.eq(due_on)))
        .execute(conn)
        .map(drop)
}

/// What a line is to become.
#[derive(Debug, Clone)]
pub struct LineChange<'a> {
    /// Pieces ordered.
    pub quantity: Quantity,
    /// What they cost.
    pub price: UnitPrice,
    /// The day on which it is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
    /// Why it is ordered; empty where nobody said.
    pub reason: &'a str,
    /// The revision of the order that changes it.
    pub revision: i64,
}

/// Writes what a line has become.
pub fn change_line(
    conn: &mut Conn,
    line: PurchaseOrderLineId,
    it: &LineChange<'_>,
) -> QueryResult<()> {
    diesel::update(purchase_order_lines::table.find(i64::from(line)))
        .set((
            purchase_order_lines::quantity.eq(it.quantity),
            purchase_order_lines::unit_price_cents.eq(it.price.amount()),
            purchase_order_lines::price_per.eq(it.price.per()),
            purchase_order_lines::wanted_on.eq(it.wanted_on),
            purchase_order_lines::reason.eq(it.reason),
            purchase_order_lines::changed_in.eq(it.revision),
        ))
        .execute(conn)
        .map(drop)
}

/// Takes a line off an order that no supplier has seen.
pub fn remove_line(conn: &mut Conn, line: PurchaseOrderLineId) -> QueryResult<()> {
    diesel::delete(purchase_order_lines::table.find(i64::from(line))).execute(conn).map(drop)
}

/// Sets whether no more is expected of a line, and why.
pub fn set_closed(
    conn: &mut Conn,
    line: PurchaseOrderLineId,
    closed: bool,
    because: &str,
) -> QueryResult<()> {
    diesel::update(purchase_order_lines::table.find(i64::from(line)))
        .set((
            purchase_order_lines::closed.eq(closed),
            purchase_order_lines::closed_because.eq(because),
        ))
        .execute(conn)
        .map(drop)
}

/// Something that happened to a purchase order.
#[derive(Debug, Clone, Queryable)]
pub struct PurchaseEventRow {
    /// The revision that it happened to.
    pub revision: i64,
    /// What kind of thing, in its word.
    pub kind: String,
    /// What, in words.
    pub words: String,
    /// When.
    pub at: NaiveDateTime,
    /// Who did it, where somebody was signed in.
    pub by: Option<String>,
    /// Who did it.
    pub user: Option<UserId>,
}

/// Writes that something happened to a purchase order.
pub fn note_event(
    tx: &mut Tx<'_>,
    order: PurchaseOrderId,
    revision: i64,
    kind: &str,
    words: &str,
) -> QueryResult<()> {
    diesel::insert_into(purchase_events::table)
        .values((
            purchase_events::purchase_order_id.eq(order),
            purchase_events::revision.eq(revision),
            purchase_events::kind.eq(kind),
            purchase_events::words.eq(words),
            purchase_events::at.eq(tx.now),
            purchase_events::user_id.eq(tx.who.user()),
        ))
        .execute(tx.conn)
        .map(drop)
}

/// Loads what happened to a purchase order, the newest first.
pub fn events_of(conn: &mut Conn, order: PurchaseOrderId) -> QueryResult<Vec<PurchaseEventRow>> {
    purchase_events::table
        .left_join(users::table.on(purchase_events::user_id.eq(users::id.nullable())))
        .filter(purchase_events::purchase_order_id.eq(order))
        .select((
            purchase_events::revision,
            purchase_events::kind,
            purchase_events::words,
            purchase_events::at,
            users::name.nullable(),
            purchase_events::user_id,
        ))
        .order(purchase_events::id.desc())
        .load(conn)
}

/// What a supplier promised of a line.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct Promise {
    /// Pieces.
    pub quantity: Quantity,
    /// The day.
    pub promised_on: NaiveDate,
    /// The number of the supplier's own document; empty where none.
    pub reference: String,
    /// When it was noted.
    pub at: NaiveDateTime,
}

/// Writes what a supplier promised of a line.
pub fn note_promise(
    tx: &mut Tx<'_>,
    line: PurchaseOrderLineId,
    revision: i64,
    it: &Promise,
) -> QueryResult<()> {
    diesel::insert_into(purchase_confirmations::table)
        .values((
            purchase_confirmations::purchase_order_line_id.eq(line),
            purchase_confirmations::revision.eq(revision),
            purchase_confirmations::quantity.eq(it.quantity),
            purchase_confirmations::promised_on.eq(it.promised_on),
            purchase_confirmations::reference.eq(&it.reference),
            purchase_confirmations::at.eq(it.at),
            purchase_confirmations::user_id.eq(tx.who.user()),
        ))
        .execute(tx.conn)
        .map(drop)
}

/// Loads, by line, what its supplier last promised of it as it is now.
pub fn promises(conn: &mut Conn) -> QueryResult<BTreeMap<PurchaseOrderLineId, Promise>> {
    let rows: Vec<(PurchaseOrderLineId, Promise)> = purchase_confirmations::table
        .inner_join(
            purchase_order_lines::table
                .on(purchase_order_lines::id.eq(purchase_confirmations::purchase_order_line_id)),
        )
        .filter(purchase_confirmations::revision.ge(purchase_order_lines::changed_in))
        .select((
            purchase_order_lines::id,
            (
                purchase_confirmations::quantity,
                purchase_confirmations::promised_on,
                purchase_confirmations::reference,
                purchase_confirmations::at,
            ),
        ))
        .order(purchase_confirmations::id)
        .load(conn)?;
    // The last of a line takes the place of those before it.
    Ok(rows.into_iter().collect())
}

/// A time that a supplier was asked where an order stays.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct Chase {
    /// The day.
    pub chased_on: NaiveDate,
    /// Why a second time on that day; empty for the first.
    pub again_because: String,
    /// What was written or said.
    pub words: String,
}

/// Writes that a supplier was asked where an order stays.
pub fn note_chase(tx: &mut Tx<'_>, order: PurchaseOrderId, it: &Chase) -> QueryResult<()> {
    diesel::insert_into(purchase_chases::table)
        .values((
            purchase_chases::purchase_order_id.eq(order),
            purchase_chases::chased_on.eq(it.chased_on),
            purchase_chases::again_because.eq(&it.again_because),
            purchase_chases::words.eq(&it.words),
            purchase_chases::at.eq(tx.now),
            purchase_chases::user_id.eq(tx.who.user()),
        ))
        .execute(tx.conn)
        .map(drop)
}

/// Loads, by order, each time that its supplier was asked where it stays, the newest first.
pub fn chases(conn: &mut Conn) -> QueryResult<BTreeMap<PurchaseOrderId, Vec<Chase>>> {
    let rows: Vec<(PurchaseOrderId, Chase)> = purchase_chases::table
        .select((
            purchase_chases::purchase_order_id,
            (purchase_chases::chased_on, purchase_chases::again_because, purchase_chases::words),
        ))
        .order(purchase_chases::id.desc())
        .load(conn)?;
    let mut chases: BTreeMap<PurchaseOrderId, Vec<Chase>> = BTreeMap::new();
    for (order, it) in rows {
        chases.entry(order).or_default().push(it);
    }
    Ok(chases)
}
