//! Orders, their kits and the kits' lines.

pub use bill::{has_moved, made_parts, promises, set_bill};

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{BomId, KitId, KitLineId, OrderId, PlaceId, UserId, VariantId};
use crate::exchange::orders::OrderRecord;
use crate::units::{Mass, Quantity};

mod bill;

use super::Conn;
use super::dialect::insert_many;
use super::schema::{
    boms, kit_lines, kit_options, kits, orders, parts, reservations, users, variants,
};

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

/// A line of a kit, with what the catalogue says of its part.
#[derive(Debug, Clone, Queryable)]
pub struct KitLineRow {
    /// The line.
    pub id: KitLineId,
    /// Its kit.
    pub kit: KitId,
    /// Its number in the kit, from 1.
    pub number: i64,
    /// The assembly step, 0 for packing material.
    pub step: i64,
    /// The variant.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// The variant in words.
    pub variant_words: String,
    /// How it is tracked, in its word.
    pub tracking: String,
    /// What its absence does, in its letter.
    pub class: String,
    /// The mean mass of one piece.
    pub mass: Mass,
    /// Pieces that the kit needs.
    pub quantity: Quantity,
    /// The carton that it belongs in.
    pub carton: i64,
    /// Pieces picked.
    pub picked: Quantity,
    /// Pieces in the carton.
    pub packed: Quantity,
    /// Pieces left out with a reason.
    pub short: Quantity,
    /// The reason.
    pub short_reason: Option<String>,
    /// Who said so.
    pub short_by: Option<String>,
}

macro_rules! kit_line_rows {
    () => {
        kit_lines::table
            .inner_join(variants::table.on(variants::id.eq(kit_lines::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .left_join(users::table.on(kit_lines::short_by.eq(users::id.nullable())))
            .select((
                kit_lines::id,
                kit_lines::kit_id,
                kit_lines::number,
                kit_lines::step,
                kit_lines::variant_id,
                variants::part_number,
                parts::name,
                variants::variant,
                variants::tracking,
                variants::class,
                variants::mass_mg,
                kit_lines::quantity,
                kit_lines::carton,
                kit_lines::picked,
                kit_lines::packed,
                kit_lines::short,
                kit_lines::short_reason,
                users::name.nullable(),
            ))
    };
}

/// Loads the lines of kits in assembly order: packing material (step 0) last.
pub fn lines_of(conn: &mut Conn, kits: &[KitId]) -> QueryResult<Vec<KitLineRow>> {
    let mut lines: Vec<KitLineRow> = kit_line_rows!()
        .filter(kit_lines::kit_id.eq_any(kits))
        .order((kit_lines::kit_id, kit_lines::step, kit_lines::number))
        .load(conn)?;
    lines.sort_by_key(|it| (it.kit, it.step == 0, it.step, it.number));
    Ok(lines)
}

/// Loads one kit line.
pub fn line(conn: &mut Conn, id: KitLineId) -> QueryResult<Option<KitLineRow>> {
    kit_line_rows!().filter(kit_lines::id.eq(id)).first(conn).optional()
}

/// A line that still needs pieces, in the order of promises.
#[derive(Debug, Clone, Queryable)]
pub struct OpenLineRow {
    /// The line.
    pub line: KitLineId,
    /// Its kit.
    pub kit: KitId,
    /// The variant.
    pub variant: VariantId,
    /// Pieces that the kit needs.
    pub quantity: Quantity,
    /// Pieces picked.
    pub picked: Quantity,
    /// Pieces left out with a reason.
    pub short: Quantity,
}

impl OpenLineRow {
    /// Returns how many pieces are still to be picked.
    pub fn left(&self) -> Quantity {
        self.quantity.less(self.picked).less(self.short)
    }
}

/// Loads the lines of kits that are not yet sealed and need more pieces, by promised date, order
/// number, kit and line.
pub fn open_lines(conn: &mut Conn) -> QueryResult<Vec<OpenLineRow>> {
    let rows: Vec<OpenLineRow> = kit_lines::table
        .inner_join(kits::table.on(kits::id.eq(kit_lines::kit_id)))
        .inner_join(orders::table.on(orders::id.eq(kits::order_id)))
        .filter(kits::state.eq_any(["open", "picking"]))
        .select((
            kit_lines::id,
            kit_lines::kit_id,
            kit_lines::variant_id,
            kit_lines::quantity,
            kit_lines::picked,
            kit_lines::short,
        ))
        .order((
            orders::promised_on,
            orders::number,
            kits::line_no,
            kits::piece_no,
            kit_lines::number,
        ))
        .load(conn)?;
    Ok(rows.into_iter().filter(|it| it.left().is_some()).collect())
}

/// Sets how many pieces of a line are picked and packed.
pub fn set_progress(
    conn: &mut Conn,
    line: KitLineId,
    picked: Quantity,
    packed: Quantity,
) -> QueryResult<()> {
    diesel::update(kit_lines::table.find(i64::from(line)))
        .set((kit_lines::picked.eq(picked), kit_lines::packed.eq(packed)))
        .execute(conn)
        .map(drop)
}

/// Sets how many pieces of a line are left out, and why.
pub fn set_short(
    conn: &mut Conn,
    line: KitLineId,
    short: Quantity,
    reason: Option<&str>,
    by: Option<UserId>,
) -> QueryResult<()> {
    diesel::update(kit_lines::table.find(i64::from(line)))
        .set((
            kit_lines::short.eq(short),
            kit_lines::short_reason.eq(reason),
            kit_lines::short_by.eq(by),
        ))
        .execute(conn)
        .map(drop)
}

/// Loads, by kit line, how many pieces are held in bins.
pub fn reserved_by_line(conn: &mut Conn) -> QueryResult<Vec<(KitLineId, Quantity)>> {
    reservations::table
        .select((reservations::kit_line_id, reservations::quantity))
        .order(reservations::kit_line_id)
        .load(conn)
}

/// Loads the number of the order line that each kit was made for.
pub fn order_lines(conn: &mut Conn) -> QueryResult<Vec<(KitId, i64)>> {
    kits::table.select((kits::id, kits::line_no)).load(conn)
}
