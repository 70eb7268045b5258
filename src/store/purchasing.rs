//! Purchase orders and what was received on them.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::Bool;

use crate::domain::ids::{
    MovementId, PurchaseOrderId, PurchaseOrderLineId, SupplierId, UserId, VariantId,
};
use crate::domain::orders::Incoming;
use crate::units::{Money, Quantity};

use super::schema::{
    lots, movements, parts, places, purchase_order_lines, purchase_orders, receipts, serials,
    suppliers, users, variants,
};
use super::{CHUNK, Conn};

/// A purchase order's head.
#[derive(Debug, Clone, Queryable)]
pub struct PurchaseOrderRow {
    /// The purchase order.
    pub id: PurchaseOrderId,
    /// Its number.
    pub number: String,
    /// The supplier's code.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// When it was sent.
    pub ordered_on: NaiveDate,
    /// When the goods are due.
    pub due_on: NaiveDate,
    /// What the supplier is to know; empty where nothing.
    pub note: String,
    /// Where orders are sent.
    pub email: Option<String>,
    /// The supplier's postal address, its lines parted by semicolons; empty where it is not known.
    pub address: String,
}

macro_rules! purchase_order_rows {
    () => {
        purchase_orders::table
            .inner_join(suppliers::table.on(suppliers::id.eq(purchase_orders::supplier_id)))
            .select((
                purchase_orders::id,
                purchase_orders::number,
                suppliers::code,
                suppliers::name,
                purchase_orders::ordered_on,
                purchase_orders::due_on,
                purchase_orders::note,
                suppliers::email,
                suppliers::address,
            ))
    };
}

/// Loads every purchase order by due date.
pub fn purchase_orders(conn: &mut Conn) -> QueryResult<Vec<PurchaseOrderRow>> {
    purchase_order_rows!().order((purchase_orders::due_on, purchase_orders::number)).load(conn)
}

/// Loads the purchase orders of which more is to come, by due date.
pub fn open_orders(conn: &mut Conn) -> QueryResult<Vec<PurchaseOrderRow>> {
    let open = purchase_order_lines::table
        .filter(is_open())
        .select(purchase_order_lines::purchase_order_id);
    purchase_order_rows!()
        .filter(purchase_orders::id.eq_any(open))
        .order((purchase_orders::due_on, purchase_orders::number))
        .load(conn)
}

/// Loads the purchase orders of which nothing more is to come, the latest first, and no more than
/// `most` where that is given.
pub fn complete_orders(conn: &mut Conn, most: Option<i64>) -> QueryResult<Vec<PurchaseOrderRow>> {
    let open = purchase_order_lines::table
        .filter(is_open())
        .select(purchase_order_lines::purchase_order_id);
    purchase_order_rows!()
        .filter(purchase_orders::id.ne_all(open))
        .order((purchase_orders::due_on.desc(), purchase_orders::number.desc()))
        .limit(most.unwrap_or(i64::MAX))
        .load(conn)
}

/// The condition that more of a line is to come, in the words of the index
/// `purchase_order_lines_open`: a bound value would not find it.
fn is_open() -> diesel::expression::SqlLiteral<Bool> {
    sql::<Bool>(
        "(NOT purchase_order_lines.closed
            AND purchase_order_lines.received < purchase_order_lines.quantity)",
    )
}

/// Loads the purchase order of that number.
pub fn purchase_order(conn: &mut Conn, number: &str) -> QueryResult<Option<PurchaseOrderRow>> {
    purchase_order_rows!().filter(purchase_orders::number.eq(number)).first(conn).optional()
}

/// A purchase order's head to be written.
#[derive(Debug)]
pub struct NewPurchaseOrder<'a> {
    /// Its number.
    pub number: &'a str,
    /// Whom it goes to.
    pub supplier: SupplierId,
    /// When it is sent.
    pub ordered_on: NaiveDate,
    /// When the goods are due.
    pub due_on: NaiveDate,
    /// What the supplier is to know.
    pub note: &'a str,
}

/// Writes a purchase order's head.
pub fn make_purchase_order(
    conn: &mut Conn,
    it: &NewPurchaseOrder<'_>,
) -> QueryResult<PurchaseOrderId> {
    diesel::insert_into(purchase_orders::table)
        .values((
            purchase_orders::number.eq(it.number),
            purchase_orders::supplier_id.eq(it.supplier),
            purchase_orders::ordered_on.eq(it.ordered_on),
            purchase_orders::due_on.eq(it.due_on),
            purchase_orders::note.eq(it.note),
        ))
        .returning(purchase_orders::id)
        .get_result(conn)
}

/// Writes what the supplier is to know of a purchase order.
pub fn set_note(conn: &mut Conn, order: PurchaseOrderId, note: &str) -> QueryResult<()> {
    diesel::update(purchase_orders::table.find(i64::from(order)))
        .set(purchase_orders::note.eq(note))
        .execute(conn)
        .map(drop)
}

/// A line of a purchase order to be written.
#[derive(Debug)]
pub struct NewPurchaseLine<'a> {
    /// The purchase order.
    pub order: PurchaseOrderId,
    /// Its number in the order.
    pub line_no: i64,
    /// The variant.
    pub variant: VariantId,
    /// Pieces ordered.
    pub quantity: Quantity,
    /// What one piece costs.
    pub unit_price: Money,
    /// The currency of the price; empty where it is the shop's own.
    pub currency: &'a str,
    /// The day on which it is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
}

/// Writes a line of a purchase order.
pub fn make_line(conn: &mut Conn, it: &NewPurchaseLine<'_>) -> QueryResult<()> {
    diesel::insert_into(purchase_order_lines::table)
        .values((
            purchase_order_lines::purchase_order_id.eq(it.order),
            purchase_order_lines::line_no.eq(it.line_no),
            purchase_order_lines::variant_id.eq(it.variant),
            purchase_order_lines::quantity.eq(it.quantity),
            purchase_order_lines::unit_price_cents.eq(it.unit_price),
            purchase_order_lines::currency.eq(it.currency),
            purchase_order_lines::wanted_on.eq(it.wanted_on),
        ))
        .execute(conn)
        .map(drop)
}

/// A line of a purchase order, with what the catalogue says of its part.
#[derive(Debug, Clone, Queryable)]
pub struct PurchaseLineRow {
    /// The line.
    pub id: PurchaseOrderLineId,
    /// The purchase order.
    pub order: PurchaseOrderId,
    /// Its number in the order.
    pub line_no: i64,
    /// The variant.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// The variant in words.
    pub variant_words: String,
    /// Pieces ordered.
    pub quantity: Quantity,
    /// Pieces received, good or damaged.
    pub received: Quantity,
    /// What one piece costs.
    pub unit_price: Money,
    /// Whether no more is expected.
    pub closed: bool,
    /// The currency of the price; empty where it is the shop's own.
    pub currency: String,
    /// The day on which it is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
}

impl PurchaseLineRow {
    /// Returns how many pieces are still to come.
    pub fn open(&self) -> Quantity {
        if self.closed { Quantity::ZERO } else { self.quantity.less(self.received).at_least_zero() }
    }
}

macro_rules! line_rows {
    () => {
        purchase_order_lines::table
            .inner_join(variants::table.on(variants::id.eq(purchase_order_lines::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .select((
                purchase_order_lines::id,
                purchase_order_lines::purchase_order_id,
                purchase_order_lines::line_no,
                purchase_order_lines::variant_id,
                variants::part_number,
                parts::name,
                variants::variant,
                purchase_order_lines::quantity,
                purchase_order_lines::received,
                purchase_order_lines::unit_price_cents,
                purchase_order_lines::closed,
                purchase_order_lines::currency,
                purchase_order_lines::wanted_on,
            ))
            .order((purchase_order_lines::purchase_order_id, purchase_order_lines::line_no))
    };
}

/// Loads the lines of every purchase order.
pub fn all_lines(conn: &mut Conn) -> QueryResult<Vec<PurchaseLineRow>> {
    line_rows!().load(conn)
}

/// Loads the lines of purchase orders.
pub fn lines_of_orders(
    conn: &mut Conn,
    orders: &[PurchaseOrderId],
) -> QueryResult<Vec<PurchaseLineRow>> {
    let mut rows = Vec::new();
    for some in orders.chunks(CHUNK) {
        let of_some = line_rows!().filter(purchase_order_lines::purchase_order_id.eq_any(some));
        rows.extend(of_some.load::<PurchaseLineRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the lines of one purchase order.
pub fn lines_of(conn: &mut Conn, order: PurchaseOrderId) -> QueryResult<Vec<PurchaseLineRow>> {
    line_rows!().filter(purchase_order_lines::purchase_order_id.eq(order)).load(conn)
}

/// Loads what is still to come of every variant.
pub fn incoming(conn: &mut Conn) -> QueryResult<Vec<Incoming>> {
    let rows: Vec<(String, NaiveDate, VariantId, Quantity, Quantity)> = purchase_order_lines::table
        .inner_join(
            purchase_orders::table
                .on(purchase_orders::id.eq(purchase_order_lines::purchase_order_id)),
        )
        .filter(is_open())
        .select((
            purchase_orders::number,
            purchase_orders::due_on,
            purchase_order_lines::variant_id,
            purchase_order_lines::quantity,
            purchase_order_lines::received,
        ))
        .order((purchase_orders::due_on, purchase_orders::number))
        .load(conn)?;
    Ok(rows
        .into_iter()
        .map(|(purchase_order, due_on, variant, ordered, received)| Incoming {
            purchase_order,
            due_on,
            variant,
            quantity: ordered.less(received),
        })
        .filter(|it| it.quantity.is_some())
        .collect())
}

/// Sets how many pieces of a line have come, and whether no more is expected.
pub fn set_received(
    conn: &mut Conn,
    line: PurchaseOrderLineId,
    received: Quantity,
    closed: bool,
) -> QueryResult<()> {
    diesel::update(purchase_order_lines::table.find(i64::from(line)))
        .set((purchase_order_lines::received.eq(received), purchase_order_lines::closed.eq(closed)))
        .execute(conn)
        .map(drop)
}

/// A receipt to be written.
#[derive(Debug)]
pub struct NewReceipt<'a> {
    /// The purchase order's line.
    pub line: PurchaseOrderLineId,
    /// Who counted.
    pub user: UserId,
    /// The supplier's delivery note.
    pub delivery_note: &'a str,
    /// Good pieces.
    pub good: Quantity,
    /// Damaged pieces.
    pub damaged: Quantity,
    /// How it differs from what was to come, in words.
    pub difference: &'a str,
    /// What the receiver had to say.
    pub note: &'a str,
    /// The request that books it.
    pub request_key: &'a str,
}

/// Writes a receipt.
pub fn make_receipt(conn: &mut Conn, it: &NewReceipt<'_>, at: NaiveDateTime) -> QueryResult<()> {
    diesel::insert_into(receipts::table)
        .values((
            receipts::purchase_order_line_id.eq(it.line),
            receipts::received_at.eq(at),
            receipts::user_id.eq(it.user),
            receipts::delivery_note.eq(it.delivery_note),
            receipts::quantity.eq(it.good),
            receipts::damaged.eq(it.damaged),
            receipts::difference.eq(it.difference),
            receipts::note.eq(it.note),
            receipts::request_key.eq(it.request_key),
        ))
        .execute(conn)
        .map(drop)
}

/// A receipt as stored.
#[derive(Debug, Clone, Queryable)]
pub struct ReceiptRow {
    /// The purchase order's line.
    pub line: PurchaseOrderLineId,
    /// When.
    pub received_at: NaiveDateTime,
    /// Who counted.
    pub user: String,
    /// The supplier's delivery note.
    pub delivery_note: String,
    /// Good pieces.
    pub good: Quantity,
    /// Damaged pieces.
    pub damaged: Quantity,
    /// How it differed from what was to come.
    pub difference: String,
    /// What the receiver had to say.
    pub note: String,
    /// The request that booked it.
    pub request_key: String,
}

/// Loads the receipts of a purchase order, the newest first.
pub fn receipts_of(conn: &mut Conn, order: PurchaseOrderId) -> QueryResult<Vec<ReceiptRow>> {
    receipts_of_orders(conn, &[order])
}

/// Loads the receipts of purchase orders, the newest first.
pub fn receipts_of_orders(
    conn: &mut Conn,
    orders: &[PurchaseOrderId],
) -> QueryResult<Vec<ReceiptRow>> {
    let mut rows = Vec::new();
    for some in orders.chunks(CHUNK) {
        let of_some = receipts::table
            .inner_join(
                purchase_order_lines::table
                    .on(purchase_order_lines::id.eq(receipts::purchase_order_line_id)),
            )
            .inner_join(users::table.on(users::id.eq(receipts::user_id)))
            .filter(purchase_order_lines::purchase_order_id.eq_any(some))
            .select((
                receipts::purchase_order_line_id,
                receipts::received_at,
                users::name,
                receipts::delivery_note,
                receipts::quantity,
                receipts::damaged,
                receipts::difference,
                receipts::note,
                receipts::request_key,
            ))
            .order(receipts::id.desc());
        rows.extend(of_some.load::<ReceiptRow>(conn)?);
    }
    Ok(rows)
}

/// A movement that a receipt made, seen from the place in the house.
#[derive(Debug, Clone, Queryable)]
pub struct ReceiptMovementRow {
    /// The request that booked it.
    pub request_key: String,
    /// How many pieces.
    pub quantity: Quantity,
    /// The lot's code.
    pub lot: Option<String>,
    /// The serial number's code.
    pub serial: Option<String>,
    /// The code of the bin or quarantine place.
    pub place: String,
    /// What that place is, in its word.
    pub kind: String,
}

/// Loads the movements of a purchase order's receipts, in the order in which they were posted.
pub fn receipt_movements(
    conn: &mut Conn,
    order: PurchaseOrderId,
) -> QueryResult<Vec<ReceiptMovementRow>> {
    receipts::table
        .inner_join(movements::table.on(movements::request_key.eq(receipts::request_key)))
        .inner_join(
            purchase_order_lines::table
                .on(purchase_order_lines::id.eq(receipts::purchase_order_line_id)),
        )
        .inner_join(
            places::table.on(places::id.eq(movements::to_id).or(places::id.eq(movements::from_id))),
        )
        .left_join(lots::table.on(movements::lot_id.eq(lots::id.nullable())))
        .left_join(serials::table.on(movements::serial_id.eq(serials::id.nullable())))
        .filter(purchase_order_lines::purchase_order_id.eq(order))
        .filter(places::outside.eq(false))
        .select((
            movements::request_key,
            movements::quantity,
            lots::code.nullable(),
            serials::code.nullable(),
            places::code,
            places::kind,
        ))
        .order(movements::id)
        .load(conn)
}

/// Loads the purchase order line that a movement was received on, with how many pieces have come
/// and whether it is closed.
pub fn line_of_movement(
    conn: &mut Conn,
    movement: MovementId,
) -> QueryResult<Option<(PurchaseOrderLineId, Quantity, bool)>> {
    receipts::table
        .inner_join(movements::table.on(movements::request_key.eq(receipts::request_key)))
        .inner_join(
            purchase_order_lines::table
                .on(purchase_order_lines::id.eq(receipts::purchase_order_line_id)),
        )
        .filter(movements::id.eq(movement))
        .select((
            purchase_order_lines::id,
            purchase_order_lines::received,
            purchase_order_lines::closed,
        ))
        .first(conn)
        .optional()
}
