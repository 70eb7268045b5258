//! Orders, their kits and the kits' lines.

mod bill;
mod lines;

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{BomId, KitId, KitLineId, OrderId, PlaceId, VariantId};
use crate::exchange::orders::OrderRecord;
use crate::units::Quantity;

use super::dialect::insert_many;
use super::schema::{boms, kit_lines, kit_options, kits, orders, reservations};
use super::{CHUNK, Conn};

pub use bill::{has_moved, made_lines, made_parts, promises, set_bill};
pub use lines::{
    KitLineRow, OpenLineRow, line, lines_by_id, lines_left_out, lines_of, open_lines,
    reserved_by_line, set_progress, set_short,
};

/// The states of kits that are still in the house, or are to be.
const OPEN: [&str; 3] = ["open", "picking", "sealed"];

/// An order's head.
#[derive(Debug, Clone, Queryable)]
pub struct OrderRow {
    /// The order.
    pub id: OrderId,
    /// Its number.
    pub number: String,
    /// When it was placed.
    pub placed_on: NaiveDate,
    /// When it is to leave the house.
    pub promised_on: NaiveDate,
    /// Who ordered.
    pub customer: String,
    /// Rider or dealer.
    pub channel: String,
    /// Their address for letters, if one is known.
    pub email: String,
    /// Where it goes.
    pub address: String,
    /// The country it goes to.
    pub country: String,
}

macro_rules! order_rows {
    () => {
        orders::table.select((
            orders::id,
            orders::number,
            orders::placed_on,
            orders::promised_on,
            orders::customer,
            orders::channel,
            orders::email,
            orders::address,
            orders::country,
        ))
    };
}

/// Loads every order by promised date, then number.
pub fn orders(conn: &mut Conn) -> QueryResult<Vec<OrderRow>> {
    order_rows!().order((orders::promised_on, orders::number)).load(conn)
}

/// Loads the orders of which a kit is still in the house, or is to be, by promised date, then number.
pub fn open_orders(conn: &mut Conn) -> QueryResult<Vec<OrderRow>> {
    let open = kits::table.filter(kits::state.eq_any(OPEN)).select(kits::order_id);
    order_rows!()
        .filter(orders::id.eq_any(open))
        .order((orders::promised_on, orders::number))
        .load(conn)
}

/// Loads the newest promises of which nothing is in the house any more, the newest first, and no more
/// than `most` where that is given.
pub fn closed_orders(conn: &mut Conn, most: Option<i64>) -> QueryResult<Vec<OrderRow>> {
    let open = kits::table.filter(kits::state.eq_any(OPEN)).select(kits::order_id);
    order_rows!()
        .filter(orders::id.ne_all(open))
        .order((orders::promised_on.desc(), orders::number.desc()))
        .limit(most.unwrap_or(i64::MAX))
        .load(conn)
}

/// Loads how many orders there are.
pub fn count(conn: &mut Conn) -> QueryResult<i64> {
    orders::table.count().get_result(conn)
}

/// Loads orders by id, in no order.
pub fn orders_of(conn: &mut Conn, ids: &BTreeSet<OrderId>) -> QueryResult<Vec<OrderRow>> {
    let ids: Vec<OrderId> = ids.iter().copied().collect();
    let mut rows = Vec::new();
    for some in ids.chunks(CHUNK) {
        rows.extend(order_rows!().filter(orders::id.eq_any(some)).load::<OrderRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the order of that number.
pub fn order(conn: &mut Conn, number: &str) -> QueryResult<Option<OrderRow>> {
    order_rows!().filter(orders::number.eq(number)).first(conn).optional()
}

/// Loads the order of that id.
pub fn order_of(conn: &mut Conn, id: OrderId) -> QueryResult<OrderRow> {
    order_rows!().filter(orders::id.eq(id)).first(conn)
}

/// Writes an order's head.
pub fn make_order(conn: &mut Conn, it: &OrderRecord) -> QueryResult<OrderId> {
    diesel::insert_into(orders::table)
        .values((
            orders::number.eq(&it.number),
            orders::placed_on.eq(it.placed_on),
            orders::promised_on.eq(it.promised_on),
            orders::customer.eq(&it.customer),
            orders::channel.eq(it.channel.as_str()),
            orders::email.eq(it.email.as_deref().unwrap_or_default()),
            orders::address.eq(&it.address),
            orders::country.eq(&it.country),
        ))
        .returning(orders::id)
        .get_result(conn)
}

/// A kit to be written.
#[derive(Debug)]
pub struct NewKit<'a> {
    /// Its number.
    pub number: &'a str,
    /// Its order.
    pub order: OrderId,
    /// The order's line.
    pub line_no: u32,
    /// Which of the line's kits it is, from 1.
    pub piece_no: i64,
    /// Its bill of materials.
    pub bom: BomId,
    /// The bill's revision.
    pub revision: &'a str,
    /// The day whose bills the kit follows.
    pub bills_on: NaiveDate,
    /// The options chosen, in the order of the bill.
    pub options: &'a [(&'a str, &'a str)],
    /// What it consists of.
    pub lines: &'a [NewLine],
}

/// A line of a kit to be written: step, variant, quantity, carton.
pub type NewLine = (u32, VariantId, Quantity, u32);

/// Writes a kit with its options and lines.
pub fn make_kit(conn: &mut Conn, it: &NewKit<'_>) -> QueryResult<KitId> {
    let kit: KitId = diesel::insert_into(kits::table)
        .values((
            kits::number.eq(it.number),
            kits::order_id.eq(it.order),
            kits::line_no.eq(i64::from(it.line_no)),
            kits::piece_no.eq(it.piece_no),
            kits::bom_id.eq(it.bom),
            kits::bom_revision.eq(it.revision),
            kits::bills_on.eq(it.bills_on),
            kits::state.eq("open"),
        ))
        .returning(kits::id)
        .get_result(conn)?;
    let options: Vec<_> = it
        .options
        .iter()
        .map(|(name, value)| {
            (
                kit_options::kit_id.eq(kit),
                kit_options::name.eq(*name),
                kit_options::value.eq(*value),
            )
        })
        .collect();
    insert_many!(&mut *conn, kit_options::table, options)?;
    put_lines(conn, kit, it.lines)?;
    Ok(kit)
}

fn put_lines(conn: &mut Conn, kit: KitId, lines: &[NewLine]) -> QueryResult<()> {
    let lines: Vec<_> = (1_i64..)
        .zip(lines)
        .map(|(number, (step, variant, quantity, carton))| {
            (
                kit_lines::kit_id.eq(kit),
                kit_lines::number.eq(number),
                kit_lines::step.eq(i64::from(*step)),
                kit_lines::variant_id.eq(*variant),
                kit_lines::quantity.eq(*quantity),
                kit_lines::carton.eq(i64::from(*carton)),
            )
        })
        .collect();
    insert_many!(&mut *conn, kit_lines::table, lines)
}

/// Puts other lines in the place of a kit's; none of the old ones may have moved.
pub fn put_lines_anew(conn: &mut Conn, kit: KitId, lines: &[NewLine]) -> QueryResult<()> {
    diesel::delete(kit_lines::table.filter(kit_lines::kit_id.eq(kit))).execute(conn)?;
    put_lines(conn, kit, lines)
}

/// A kit's head.
#[derive(Debug, Clone, Queryable)]
pub struct KitRow {
    /// The kit.
    pub id: KitId,
    /// Its number.
    pub number: String,
    /// Its order.
    pub order: OrderId,
    /// Its bill of materials.
    pub bom: BomId,
    /// The bill's code.
    pub bom_code: String,
    /// The very revision of it that the kit was promised.
    pub bom_revision: String,
    /// The bill's name.
    pub bom_name: String,
    /// The day whose bills the kit follows, bags included.
    pub bills_on: NaiveDate,
    /// Where it stands, in its word.
    pub state: String,
    /// The tote that its parts are gathered in.
    pub tote: Option<PlaceId>,
    /// When it left.
    pub despatched_at: Option<NaiveDateTime>,
}

macro_rules! kit_rows {
    () => {
        kits::table.inner_join(boms::table.on(boms::id.eq(kits::bom_id))).select((
            kits::id,
            kits::number,
            kits::order_id,
            kits::bom_id,
            boms::code,
            boms::revision,
            boms::name,
            kits::bills_on,
            kits::state,
            kits::tote_id,
            kits::despatched_at,
        ))
    };
}

/// Loads every kit in the order in which they were promised to orders.
pub fn kits(conn: &mut Conn) -> QueryResult<Vec<KitRow>> {
    kit_rows!()
        .inner_join(orders::table.on(orders::id.eq(kits::order_id)))
        .order((orders::promised_on, orders::number, kits::line_no, kits::piece_no))
        .load(conn)
}

/// Loads kits by id, in no order.
pub fn kits_by_id(conn: &mut Conn, ids: &BTreeSet<KitId>) -> QueryResult<Vec<KitRow>> {
    let ids: Vec<KitId> = ids.iter().copied().collect();
    let mut rows = Vec::new();
    for some in ids.chunks(CHUNK) {
        rows.extend(kit_rows!().filter(kits::id.eq_any(some)).load::<KitRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the kits of orders, those of one order by line and piece.
pub fn kits_of_orders(conn: &mut Conn, orders: &[OrderId]) -> QueryResult<Vec<KitRow>> {
    let mut rows = Vec::new();
    for some in orders.chunks(CHUNK) {
        let of_some = kit_rows!().filter(kits::order_id.eq_any(some)).order((
            kits::order_id,
            kits::line_no,
            kits::piece_no,
        ));
        rows.extend(of_some.load::<KitRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the numbers of kits by order.
pub fn kit_numbers(conn: &mut Conn) -> QueryResult<Vec<(OrderId, String)>> {
    kits::table.select((kits::order_id, kits::number)).load(conn)
}

/// Loads the kits of an order.
pub fn kits_of(conn: &mut Conn, order: OrderId) -> QueryResult<Vec<KitRow>> {
    kit_rows!().filter(kits::order_id.eq(order)).order((kits::line_no, kits::piece_no)).load(conn)
}

/// Loads the kit of that number.
pub fn kit(conn: &mut Conn, number: &str) -> QueryResult<Option<KitRow>> {
    kit_rows!().filter(kits::number.eq(number)).first(conn).optional()
}

/// Loads the line of its order that a kit is for.
pub fn line_of_kit(conn: &mut Conn, kit: KitId) -> QueryResult<i64> {
    kits::table.find(i64::from(kit)).select(kits::line_no).first(conn)
}

/// Loads the number of the kit that a line belongs to.
pub fn kit_of_line(conn: &mut Conn, line: KitLineId) -> QueryResult<String> {
    kits::table
        .inner_join(kit_lines::table.on(kit_lines::kit_id.eq(kits::id)))
        .filter(kit_lines::id.eq(line))
        .select(kits::number)
        .first(conn)
}

/// Loads the options chosen for every kit.
pub fn kit_options(conn: &mut Conn) -> QueryResult<Vec<(KitId, String, String)>> {
    kit_options::table
        .select((kit_options::kit_id, kit_options::name, kit_options::value))
        .order(kit_options::id)
        .load(conn)
}

/// Loads the options chosen for kits.
pub fn options_of_kits(
    conn: &mut Conn,
    kits: &[KitId],
) -> QueryResult<Vec<(KitId, String, String)>> {
    let mut rows = Vec::new();
    for some in kits.chunks(CHUNK) {
        let of_some = kit_options::table
            .filter(kit_options::kit_id.eq_any(some))
            .select((kit_options::kit_id, kit_options::name, kit_options::value))
            .order(kit_options::id);
        rows.extend(of_some.load::<(KitId, String, String)>(conn)?);
    }
    Ok(rows)
}

/// Loads the options chosen for one kit.
pub fn options_of(conn: &mut Conn, kit: KitId) -> QueryResult<Vec<(String, String)>> {
    kit_options::table
        .filter(kit_options::kit_id.eq(kit))
        .select((kit_options::name, kit_options::value))
        .order(kit_options::id)
        .load(conn)
}

/// Sets where a kit stands.
pub fn set_state(conn: &mut Conn, kit: KitId, state: &str) -> QueryResult<()> {
    diesel::update(kits::table.find(i64::from(kit)))
        .set(kits::state.eq(state))
        .execute(conn)
        .map(drop)
}

/// Gives back all that is held for a kit.
pub fn release(conn: &mut Conn, kit: KitId) -> QueryResult<()> {
    let lines = kit_lines::table.filter(kit_lines::kit_id.eq(kit)).select(kit_lines::id);
    diesel::delete(reservations::table.filter(reservations::kit_line_id.eq_any(lines)))
        .execute(conn)
        .map(drop)
}

/// Sets a kit's tote and that picking has begun.
pub fn begin_picking(conn: &mut Conn, kit: KitId, tote: PlaceId) -> QueryResult<()> {
    diesel::update(kits::table.find(i64::from(kit)))
        .set((kits::state.eq("picking"), kits::tote_id.eq(tote)))
        .execute(conn)
        .map(drop)
}

/// Sets that a kit has left the house.
pub fn set_despatched(conn: &mut Conn, kit: KitId, at: NaiveDateTime) -> QueryResult<()> {
    diesel::update(kits::table.find(i64::from(kit)))
        .set((kits::state.eq("despatched"), kits::despatched_at.eq(at)))
        .execute(conn)
        .map(drop)
}

/// Loads the number of the order line that each kit was made for.
pub fn order_lines(conn: &mut Conn) -> QueryResult<Vec<(KitId, i64)>> {
    kits::table.select((kits::id, kits::line_no)).load(conn)
}
