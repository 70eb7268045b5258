//! Suppliers' despatch advices.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{
    AdviceLineId, DespatchAdviceId, PurchaseOrderId, PurchaseOrderLineId, SupplierId, UserId,
};
use crate::units::Quantity;

use super::Conn;
use super::schema::{
    despatch_advice_lines, despatch_advices, parts, purchase_order_lines, purchase_orders,
    suppliers, users, variants,
};

/// An advice to be written.
#[derive(Debug)]
pub struct NewAdvice<'a> {
    /// Who sends it.
    pub supplier: SupplierId,
    /// Its number.
    pub number: &'a str,
    /// When it was written.
    pub issued_on: NaiveDate,
    /// The digest of the file.
    pub content: &'a str,
}

/// Writes an advice's head.
pub fn make(
    conn: &mut Conn,
    it: &NewAdvice<'_>,
    at: NaiveDateTime,
    user: Option<UserId>,
) -> QueryResult<DespatchAdviceId> {
    diesel::insert_into(despatch_advices::table)
        .values((
            despatch_advices::supplier_id.eq(it.supplier),
            despatch_advices::number.eq(it.number),
            despatch_advices::issued_on.eq(it.issued_on),
            despatch_advices::content.eq(it.content),
            despatch_advices::taken_at.eq(at),
            despatch_advices::user_id.eq(user),
        ))
        .returning(despatch_advices::id)
        .get_result(conn)
}

/// Pieces that an advice announces, to be written.
#[derive(Debug)]
pub struct NewAdviceLine<'a> {
    /// The number that the supplier gave the line.
    pub line: &'a str,
    /// The line of the purchase order.
    pub order_line: PurchaseOrderLineId,
    /// How many.
    pub quantity: Quantity,
    /// The lot; empty where there is none.
    pub lot: &'a str,
    /// The last day of use.
    pub use_by: Option<NaiveDate>,
    /// Serial numbers, one a line.
    pub serials: &'a str,
    /// The box or pallet; empty where none is named.
    pub unit: &'a str,
}

/// Writes a line of an advice.
pub fn make_line(
    conn: &mut Conn,
    advice: DespatchAdviceId,
    it: &NewAdviceLine<'_>,
) -> QueryResult<()> {
    diesel::insert_into(despatch_advice_lines::table)
        .values((
            despatch_advice_lines::advice_id.eq(advice),
            despatch_advice_lines::line.eq(it.line),
            despatch_advice_lines::purchase_order_line_id.eq(it.order_line),
            despatch_advice_lines::quantity.eq(it.quantity),
            despatch_advice_lines::lot.eq(it.lot),
            despatch_advice_lines::use_by.eq(it.use_by),
            despatch_advice_lines::serials.eq(it.serials),
            despatch_advice_lines::unit.eq(it.unit),
        ))
        .execute(conn)
        .map(drop)
}

/// An advice's head as stored.
#[derive(Debug, Clone, Queryable)]
pub struct AdviceRow {
    /// Its digest.
    pub content: String,
    /// When it was taken in.
    pub taken_at: NaiveDateTime,
    /// Who took it in.
    pub by: Option<String>,
}

/// Loads the advice of that number of a supplier.
pub fn find(conn: &mut Conn, supplier: SupplierId, number: &str) -> QueryResult<Option<AdviceRow>> {
    despatch_advices::table
        .left_join(users::table.on(despatch_advices::user_id.eq(users::id.nullable())))
        .filter(despatch_advices::supplier_id.eq(supplier))
        .filter(despatch_advices::number.eq(number))
        .select((despatch_advices::content, despatch_advices::taken_at, users::name.nullable()))
        .first(conn)
        .optional()
}

/// Pieces that an advice announced.
#[derive(Debug, Clone, Queryable)]
pub struct AnnouncedRow {
    /// The row.
    pub id: AdviceLineId,
    /// The advice's number.
    pub advice: String,
    /// The purchase order.
    pub order: PurchaseOrderId,
    /// The line of the purchase order.
    pub order_line: PurchaseOrderLineId,
    /// That line's number.
    pub line_no: i64,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// The variant in words.
    pub variant_words: String,
    /// How many.
    pub quantity: Quantity,
    /// The lot.
    pub lot: String,
    /// The last day of use.
    pub use_by: Option<NaiveDate>,
    /// Serial numbers, one a line.
    pub serials: String,
    /// The box or pallet.
    pub unit: String,
    /// The request that booked what was counted of it.
    pub request_key: Option<String>,
}

macro_rules! announced_rows {
    () => {
        despatch_advice_lines::table
            .inner_join(
                despatch_advices::table
                    .on(despatch_advices::id.eq(despatch_advice_lines::advice_id)),
            )
            .inner_join(
                purchase_order_lines::table
                    .on(purchase_order_lines::id.eq(despatch_advice_lines::purchase_order_line_id)),
            )
            .inner_join(variants::table.on(variants::id.eq(purchase_order_lines::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .select((
                despatch_advice_lines::id,
                despatch_advices::number,
                purchase_order_lines::purchase_order_id,
                purchase_order_lines::id,
                purchase_order_lines::line_no,
                variants::part_number,
                parts::name,
                variants::variant,
                despatch_advice_lines::quantity,
                despatch_advice_lines::lot,
                despatch_advice_lines::use_by,
                despatch_advice_lines::serials,
                despatch_advice_lines::unit,
                despatch_advice_lines::request_key,
            ))
            .order(despatch_advice_lines::id)
    };
}

/// Loads all that was announced of purchase orders.
pub fn announced(conn: &mut Conn, orders: &[PurchaseOrderId]) -> QueryResult<Vec<AnnouncedRow>> {
    announced_rows!().filter(purchase_order_lines::purchase_order_id.eq_any(orders)).load(conn)
}

/// Loads one announcement.
pub fn announcement(conn: &mut Conn, id: AdviceLineId) -> QueryResult<Option<AnnouncedRow>> {
    announced_rows!().filter(despatch_advice_lines::id.eq(id)).first(conn).optional()
}

/// Loads the numbers of the purchase orders that a box or pallet is announced for, those first
/// that wait for it.
pub fn orders_of_unit(conn: &mut Conn, unit: &str) -> QueryResult<Vec<String>> {
    let rows: Vec<(Option<String>, String)> = despatch_advice_lines::table
        .inner_join(
            purchase_order_lines::table
                .on(purchase_order_lines::id.eq(despatch_advice_lines::purchase_order_line_id)),
        )
        .inner_join(
            purchase_orders::table
                .on(purchase_orders::id.eq(purchase_order_lines::purchase_order_id)),
        )
        .filter(despatch_advice_lines::unit.eq(unit))
        .select((despatch_advice_lines::request_key, purchase_orders::number))
        .order(despatch_advice_lines::id)
        .load(conn)?;
    let (booked, waiting): (Vec<_>, Vec<_>) = rows.into_iter().partition(|it| it.0.is_some());
    Ok(waiting.into_iter().chain(booked).map(|it| it.1).collect())
}

/// Sets which request booked what was counted of an announcement.
pub fn set_booked(conn: &mut Conn, id: AdviceLineId, request_key: &str) -> QueryResult<()> {
    diesel::update(despatch_advice_lines::table.find(i64::from(id)))
        .set(despatch_advice_lines::request_key.eq(request_key))
        .execute(conn)
        .map(drop)
}

/// Opens what a request had booked: it is waited for again.
pub fn set_waiting(conn: &mut Conn, request_key: &str) -> QueryResult<()> {
    diesel::update(
        despatch_advice_lines::table.filter(despatch_advice_lines::request_key.eq(request_key)),
    )
    .set(despatch_advice_lines::request_key.eq(None::<String>))
    .execute(conn)
    .map(drop)
}

/// A supplier, as papers name it.
#[derive(Debug, Clone, Queryable)]
pub struct SupplierRow {
    /// The supplier.
    pub id: SupplierId,
    /// Its code here.
    pub code: String,
    /// Its name.
    pub name: String,
    /// Its address for letters, where one is known.
    pub email: Option<String>,
}

/// Loads the supplier of a purchase order.
pub fn supplier_of(conn: &mut Conn, order: &str) -> QueryResult<Option<SupplierRow>> {
    purchase_orders::table
        .inner_join(suppliers::table.on(suppliers::id.eq(purchase_orders::supplier_id)))
        .filter(purchase_orders::number.eq(order))
        .select((suppliers::id, suppliers::code, suppliers::name, suppliers::email))
        .first(conn)
        .optional()
}
