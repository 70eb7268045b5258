//! Movements and seals as other people's systems are told of them.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{CartonId, KitId, KitLineId, MovementId, PlaceId, UserId};
use crate::domain::stock::PlaceKind;
use crate::units::Quantity;

use super::Conn;
use super::bench::Role;
use super::schema::{
    bench_moves, bench_runs, carton_seals, cartons, kit_lines, kits, lots, movements, orders,
    places, purchase_order_lines, purchase_orders, receipts, serials, suppliers, variants,
};

/// A movement, with what tells its pieces from others.
#[derive(Debug, Clone, Queryable)]
pub struct MoveRow {
    /// The movement.
    pub id: MovementId,
    /// When.
    pub at: NaiveDateTime,
    /// The part number.
    pub part_number: String,
    /// The lot's code.
    pub lot: Option<String>,
    /// The lot's last day of use.
    pub use_by: Option<NaiveDate>,
    /// The serial number's code.
    pub serial: Option<String>,
    /// How many pieces.
    pub quantity: Quantity,
    /// The place left.
    pub from: PlaceId,
    /// The place reached.
    pub to: PlaceId,
    /// The document or reason.
    pub document: String,
    /// The kit line served.
    pub kit_line: Option<KitLineId>,
    /// The movement reversed.
    pub reverses: Option<MovementId>,
    /// The request that caused it.
    pub request_key: String,
}

macro_rules! move_rows {
    () => {
        movements::table
            .inner_join(variants::table.on(variants::id.eq(movements::variant_id)))
            .left_join(lots::table.on(movements::lot_id.eq(lots::id.nullable())))
            .left_join(serials::table.on(movements::serial_id.eq(serials::id.nullable())))
            .select((
                movements::id,
                movements::at,
                variants::part_number,
                lots::code.nullable(),
                lots::use_by.nullable(),
                serials::code.nullable(),
                movements::quantity,
                movements::from_id,
                movements::to_id,
                movements::document,
                movements::kit_line_id,
                movements::reverses_id,
                movements::request_key,
            ))
            .order(movements::id)
    };
}

/// Loads the movements after one, the oldest first.
pub fn moves_after(conn: &mut Conn, after: i64, most: i64) -> QueryResult<Vec<MoveRow>> {
    move_rows!().filter(movements::id.gt(MovementId::from(after))).limit(most).load(conn)
}

/// Loads the number of the last movement before a moment; 0 where there is none.
pub fn last_before(conn: &mut Conn, at: NaiveDateTime) -> QueryResult<i64> {
    let last: Option<i64> = movements::table
        .filter(movements::at.lt(at))
        .select(diesel::dsl::max(movements::id))
        .first(conn)?;
    Ok(last.unwrap_or(0))
}

/// Loads all movements of requests.
pub fn moves_of_requests(conn: &mut Conn, keys: &[String]) -> QueryResult<Vec<MoveRow>> {
    move_rows!().filter(movements::request_key.eq_any(keys)).load(conn)
}

/// Loads movements by their numbers.
pub fn moves_of_ids(conn: &mut Conn, ids: &[MovementId]) -> QueryResult<Vec<MoveRow>> {
    move_rows!().filter(movements::id.eq_any(ids)).load(conn)
}

/// Loads all that was moved for a kit.
pub fn moves_of_kit(conn: &mut Conn, kit: KitId) -> QueryResult<Vec<MoveRow>> {
    let lines: Vec<Option<KitLineId>> = kit_lines::table
        .filter(kit_lines::kit_id.eq(kit))
        .select(kit_lines::id.nullable())
        .load(conn)?;
    move_rows!().filter(movements::kit_line_id.eq_any(lines)).load(conn)
}

/// Loads all that came into or left places.
pub fn moves_at(conn: &mut Conn, places: &[PlaceId]) -> QueryResult<Vec<MoveRow>> {
    move_rows!()
        .filter(movements::from_id.eq_any(places).or(movements::to_id.eq_any(places)))
        .load(conn)
}

/// Writes that a carton is sealed.
pub fn make_seal(
    conn: &mut Conn,
    carton: CartonId,
    sscc: Option<&str>,
    at: NaiveDateTime,
    user: UserId,
) -> QueryResult<()> {
    let last: Option<i64> = movements::table.select(diesel::dsl::max(movements::id)).first(conn)?;
    diesel::insert_into(carton_seals::table)
        .values((
            carton_seals::carton_id.eq(carton),
            carton_seals::after_movement.eq(last.unwrap_or(0)),
            carton_seals::sscc.eq(sscc),
            carton_seals::sealed_at.eq(at),
            carton_seals::user_id.eq(user),
        ))
        .execute(conn)
        .map(drop)
}

/// A seal of a carton.
#[derive(Debug, Clone, Queryable)]
pub struct SealRow {
    /// Its number.
    pub id: i64,
    /// The newest movement of the ledger at that moment.
    pub after: i64,
    /// The place that is the carton.
    pub place: PlaceId,
    /// When.
    pub at: NaiveDateTime,
}

macro_rules! seal_rows {
    () => {
        carton_seals::table
            .inner_join(cartons::table.on(cartons::id.eq(carton_seals::carton_id)))
            .select((
                carton_seals::id,
                carton_seals::after_movement,
                cartons::place_id,
                carton_seals::sealed_at,
            ))
            .order((carton_seals::after_movement, carton_seals::id))
    };
}

/// Loads the seals that follow movement `after` or, at the same movement, the seal of that number,
/// up to movement `last`.
pub fn seals_between(
    conn: &mut Conn,
    (after, seal): (i64, i64),
    last: i64,
) -> QueryResult<Vec<SealRow>> {
    seal_rows!()
        .filter(
            carton_seals::after_movement
                .gt(after)
                .or(carton_seals::after_movement.eq(after).and(carton_seals::id.gt(seal))),
        )
        .filter(carton_seals::after_movement.le(last))
        .load(conn)
}

/// Loads every seal of the cartons that are those places.
pub fn seals_at(conn: &mut Conn, places: &[PlaceId]) -> QueryResult<Vec<SealRow>> {
    seal_rows!().filter(cartons::place_id.eq_any(places)).load(conn)
}

/// A place, and the carton that it is.
#[derive(Debug, Clone)]
pub struct PlaceRow {
    /// The place.
    pub id: PlaceId,
    /// Its code.
    pub code: String,
    /// Its kind.
    pub kind: PlaceKind,
    /// The carton's number, the number that it travels under, its kit and order.
    pub carton: Option<CartonRow>,
}

/// A carton, as others know it.
#[derive(Debug, Clone)]
pub struct CartonRow {
    /// Its number.
    pub number: String,
    /// The SSCC that it had when it was sealed first.
    pub sscc: Option<String>,
    /// Its kit's number.
    pub kit: String,
    /// The order's number.
    pub order: String,
}

/// Loads places, and the cartons that they are.
pub fn places_of(conn: &mut Conn, ids: &[PlaceId]) -> QueryResult<Vec<PlaceRow>> {
    let rows: Vec<(PlaceId, String, String)> = places::table
        .filter(places::id.eq_any(ids))
        .select((places::id, places::code, places::kind))
        .load(conn)?;
    let boxes: Vec<(PlaceId, String, String, String)> = cartons::table
        .inner_join(kits::table.on(kits::id.eq(cartons::kit_id)))
        .inner_join(orders::table.on(orders::id.eq(kits::order_id)))
        .filter(cartons::place_id.eq_any(ids))
        .select((cartons::place_id, cartons::number, kits::number, orders::number))
        .load(conn)?;
    let mut ssccs: Vec<(PlaceId, Option<String>)> = carton_seals::table
        .inner_join(cartons::table.on(cartons::id.eq(carton_seals::carton_id)))
        .filter(cartons::place_id.eq_any(ids))
        .select((cartons::place_id, carton_seals::sscc))
        .order(carton_seals::id)
        .load(conn)?;
    // The first seal counts: what a carton was called once, it is called for good.
    ssccs.reverse();
    let ssccs: std::collections::BTreeMap<PlaceId, Option<String>> = ssccs.into_iter().collect();
    let carton = |place: PlaceId| {
        let (_, number, kit, order) = boxes.iter().find(|it| it.0 == place)?.clone();
        Some(CartonRow { number, sscc: ssccs.get(&place).cloned().flatten(), kit, order })
    };
    Ok(rows
        .into_iter()
        .filter_map(|(id, code, kind)| {
            let kind = PlaceKind::from_word(&kind)?;
            Some(PlaceRow { id, code, kind, carton: carton(id) })
        })
        .collect())
}

/// Loads the kit and order that kit lines belong to: line, kit's number, order's number.
pub fn kits_of_lines(
    conn: &mut Conn,
    lines: &[KitLineId],
) -> QueryResult<Vec<(KitLineId, String, String)>> {
    kit_lines::table
        .inner_join(kits::table.on(kits::id.eq(kit_lines::kit_id)))
        .inner_join(orders::table.on(orders::id.eq(kits::order_id)))
        .filter(kit_lines::id.eq_any(lines))
        .select((kit_lines::id, kits::number, orders::number))
        .load(conn)
}

/// Loads the purchase orders that requests booked deliveries on: request, order's number,
/// supplier's code.
pub fn purchases_of_requests(
    conn: &mut Conn,
    keys: &[String],
) -> QueryResult<Vec<(String, String, String)>> {
    receipts::table
        .inner_join(
            purchase_order_lines::table
                .on(purchase_order_lines::id.eq(receipts::purchase_order_line_id)),
        )
        .inner_join(
            purchase_orders::table
                .on(purchase_orders::id.eq(purchase_order_lines::purchase_order_id)),
        )
        .inner_join(suppliers::table.on(suppliers::id.eq(purchase_orders::supplier_id)))
        .filter(receipts::request_key.eq_any(keys))
        .select((receipts::request_key, purchase_orders::number, suppliers::code))
        .load(conn)
}

/// Loads what movements did for runs: movement, run's number, role.
pub fn runs_of(
    conn: &mut Conn,
    movements: &[MovementId],
) -> QueryResult<Vec<(MovementId, String, Role)>> {
    let rows: Vec<(MovementId, String, String)> = bench_moves::table
        .inner_join(bench_runs::table.on(bench_runs::id.eq(bench_moves::run_id)))
        .filter(bench_moves::movement_id.eq_any(movements))
        .select((bench_moves::movement_id, bench_runs::number, bench_moves::role))
        .load(conn)?;
    let role =
        |(id, run, word): (MovementId, String, String)| Some((id, run, Role::from_word(&word)?));
    Ok(rows.into_iter().filter_map(role).collect())
}
