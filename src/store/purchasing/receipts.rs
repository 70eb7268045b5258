use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{MovementId, PurchaseOrderId, PurchaseOrderLineId, UserId};
use crate::store::schema::{
    lots, movements, places, purchase_order_lines, receipts, serials, users,
};
use crate::store::{CHUNK, Conn};
use crate::units::Quantity;

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
