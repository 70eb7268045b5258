//! Movements, balances, lots, serial numbers and what is held for whom.

mod history;
mod reservation;

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Bool};

use crate::domain::ids::{KitLineId, LotId, MovementId, PlaceId, SerialId, VariantId};
use crate::domain::orders::Free;
use crate::domain::stock::{Holding, Movement, PlaceKind};
use crate::units::Quantity;

use super::schema::{balances, lots, movements, places, serials};
use super::{CHUNK, Conn, Tx};

pub use history::{MovementRow, PackedRow, is_reversed, item_of, movement, movements_of, packed};
pub use reservation::{
    release_at, release_line, release_open, release_past_day, reservations, reserve,
    use_reservation,
};

/// A place, as the ledger needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceRow {
    /// The place.
    pub id: PlaceId,
    /// Its code.
    pub code: String,
    /// Its kind.
    pub kind: PlaceKind,
}

fn place_row((id, code, kind): (PlaceId, String, String)) -> Option<PlaceRow> {
    Some(PlaceRow { id, code, kind: PlaceKind::from_word(&kind)? })
}

/// Loads the place of that code.
pub fn place(conn: &mut Conn, code: &str) -> QueryResult<Option<PlaceRow>> {
    let row = places::table
        .filter(places::code.eq(code))
        .select((places::id, places::code, places::kind))
        .first(conn)
        .optional()?;
    Ok(row.and_then(place_row))
}

/// Loads the place of that id.
pub fn place_of(conn: &mut Conn, id: PlaceId) -> QueryResult<Option<PlaceRow>> {
    let row = places::table
        .find(i64::from(id))
        .select((places::id, places::code, places::kind))
        .first(conn)
        .optional()?;
    Ok(row.and_then(place_row))
}

/// Loads the outside place of that kind, making it the first time.
pub fn outside(conn: &mut Conn, kind: PlaceKind) -> QueryResult<PlaceId> {
    match place(conn, kind.as_str())? {
        Some(row) => Ok(row.id),
        None => make_place(conn, kind.as_str(), kind, "", 0),
    }
}

/// Makes a place.
pub fn make_place(
    conn: &mut Conn,
    code: &str,
    kind: PlaceKind,
    zone: &str,
    walk_order: i64,
) -> QueryResult<PlaceId> {
    diesel::insert_into(places::table)
        .values((
            places::code.eq(code),
            places::kind.eq(kind.as_str()),
            places::zone.eq(zone),
            places::walk_order.eq(walk_order),
            places::outside.eq(kind.is_outside()),
        ))
        .returning(places::id)
        .get_result(conn)
}

/// Loads what one place holds of one item.
pub fn balance(conn: &mut Conn, holding: Holding) -> QueryResult<Quantity> {
    Ok(balance_row(conn, holding)?.map_or(Quantity::ZERO, |(_, quantity)| quantity))
}

fn balance_row(conn: &mut Conn, holding: Holding) -> QueryResult<Option<(i64, Quantity)>> {
    let Holding { item, place } = holding;
    balances::table
        .filter(balances::variant_id.eq(item.variant))
        .filter(balances::place_id.eq(place))
        .filter(sql::<BigInt>("COALESCE(lot_id, 0)").eq(item.lot.map_or(0, i64::from)))
        .filter(sql::<BigInt>("COALESCE(serial_id, 0)").eq(item.serial.map_or(0, i64::from)))
        .select((balances::id, balances::quantity))
        .first(conn)
        .optional()
}

/// What a movement is for.
#[derive(Debug, Clone, Copy)]
pub struct Cause<'a> {
    /// The request that causes it.
    pub request_key: &'a str,
    /// The document or reason, in words.
    pub document: &'a str,
    /// The kit line that it serves.
    pub kit_line: Option<KitLineId>,
    /// The movement that it reverses.
    pub reverses: Option<MovementId>,
}

/// Writes a movement and brings the balances of both places up to date.
///
/// The database refuses it where an inside place would fall below zero.
pub fn post(tx: &mut Tx<'_>, movement: &Movement, cause: Cause<'_>) -> QueryResult<MovementId> {
    let item = movement.item();
    let id = diesel::insert_into(movements::table)
        .values((
            movements::variant_id.eq(item.variant),
            movements::lot_id.eq(item.lot),
            movements::serial_id.eq(item.serial),
            movements::quantity.eq(movement.quantity()),
            movements::from_id.eq(movement.from()),
            movements::to_id.eq(movement.to()),
            movements::at.eq(tx.now),
            movements::user_id.eq(tx.who.user()),
            movements::document.eq(cause.document),
            movements::kit_line_id.eq(cause.kit_line),
            movements::reverses_id.eq(cause.reverses),
            movements::request_key.eq(cause.request_key),
        ))
        .returning(movements::id)
        .get_result(tx.conn)?;
    let taken = Quantity::ZERO.less(movement.quantity());
    change(tx.conn, Holding { item, place: movement.from() }, taken)?;
    change(tx.conn, Holding { item, place: movement.to() }, movement.quantity())?;
    Ok(id)
}

fn change(conn: &mut Conn, holding: Holding, by: Quantity) -> QueryResult<()> {
    if let Some((id, quantity)) = balance_row(conn, holding)? {
        return diesel::update(balances::table.find(id))
            .set(balances::quantity.eq(quantity.plus(by)))
            .execute(conn)
            .map(drop);
    }
    let outside: bool =
        places::table.find(i64::from(holding.place)).select(places::outside).first(conn)?;
    diesel::insert_into(balances::table)
        .values((
            balances::variant_id.eq(holding.item.variant),
            balances::lot_id.eq(holding.item.lot),
            balances::serial_id.eq(holding.item.serial),
            balances::place_id.eq(holding.place),
            balances::outside.eq(outside),
            balances::quantity.eq(by),
        ))
        .execute(conn)
        .map(drop)
}

/// Loads the lot of that code of a variant, with its last day of use.
pub fn lot(
    conn: &mut Conn,
    variant: VariantId,
    code: &str,
) -> QueryResult<Option<(LotId, Option<NaiveDate>)>> {
    lots::table
        .filter(lots::variant_id.eq(variant))
        .filter(lots::code.eq(code))
        .select((lots::id, lots::use_by))
        .first(conn)
        .optional()
}

/// Makes a lot.
pub fn make_lot(
    conn: &mut Conn,
    variant: VariantId,
    code: &str,
    use_by: Option<NaiveDate>,
) -> QueryResult<LotId> {
    diesel::insert_into(lots::table)
        .values((lots::variant_id.eq(variant), lots::code.eq(code), lots::use_by.eq(use_by)))
        .returning(lots::id)
        .get_result(conn)
}

/// Loads the serial number of that code of a variant.
pub fn serial(conn: &mut Conn, variant: VariantId, code: &str) -> QueryResult<Option<SerialId>> {
    serials::table
        .filter(serials::variant_id.eq(variant))
        .filter(serials::code.eq(code))
        .select(serials::id)
        .first(conn)
        .optional()
}

/// Makes a serial number.
pub fn make_serial(conn: &mut Conn, variant: VariantId, code: &str) -> QueryResult<SerialId> {
    diesel::insert_into(serials::table)
        .values((serials::variant_id.eq(variant), serials::code.eq(code)))
        .returning(serials::id)
        .get_result(conn)
}

/// Loads every lot of that code with its variant, at most ten.
pub fn lots_of_code(conn: &mut Conn, code: &str) -> QueryResult<Vec<(LotId, VariantId)>> {
    lots::table
        .filter(lots::code.eq(code))
        .select((lots::id, lots::variant_id))
        .order(lots::id)
        .limit(10)
        .load(conn)
}

/// Loads every serial number of that code with its variant, at most ten.
pub fn serials_of_code(conn: &mut Conn, code: &str) -> QueryResult<Vec<(SerialId, VariantId)>> {
    serials::table
        .filter(serials::code.eq(code))
        .select((serials::id, serials::variant_id))
        .order(serials::id)
        .limit(10)
        .load(conn)
}

/// Loads a serial number as it is printed.
pub fn serial_code(conn: &mut Conn, serial: SerialId) -> QueryResult<String> {
    serials::table.find(i64::from(serial)).select(serials::code).first(conn)
}

/// Loads a lot as it is printed.
pub fn lot_code(conn: &mut Conn, lot: LotId) -> QueryResult<String> {
    lots::table.find(i64::from(lot)).select(lots::code).first(conn)
}

/// Loads whether a serial number is in the house or with a rider.
pub fn is_held(conn: &mut Conn, serial: SerialId) -> QueryResult<bool> {
    let held: Option<PlaceId> = balances::table
        .filter(balances::serial_id.eq(serial))
        .filter(balances::quantity.gt(0))
        .select(balances::place_id)
        .first(conn)
        .optional()?;
    Ok(held.is_some())
}

/// Sets a lot's last day of use.
pub fn set_use_by(conn: &mut Conn, lot: LotId, use_by: NaiveDate) -> QueryResult<()> {
    diesel::update(lots::table.find(i64::from(lot)))
        .set(lots::use_by.eq(use_by))
        .execute(conn)
        .map(drop)
}

/// Loads the place inside the house that holds a serial number.
pub fn place_of_serial(
    conn: &mut Conn,
    serial: SerialId,
) -> QueryResult<Option<(PlaceId, String)>> {
    balances::table
        .inner_join(places::table.on(places::id.eq(balances::place_id)))
        .filter(balances::serial_id.eq(serial))
        .filter(balances::outside.eq(false))
        .filter(balances::quantity.gt(0))
        .select((places::id, places::code))
        .first(conn)
        .optional()
}

/// The condition that pieces lie in the house, in the words of the index `balances_here`: places that
/// held some once are passed over. A bound value would not find that index.
fn is_here() -> diesel::expression::SqlLiteral<Bool> {
    sql::<Bool>("(balances.quantity > 0 AND NOT balances.outside)")
}

/// What one place holds of a variant, with the lot or serial number in words.
#[derive(Debug, Queryable)]
pub struct HeldRow {
    /// The item's lot.
    pub lot: Option<LotId>,
    /// The lot's code.
    pub lot_code: Option<String>,
    /// The lot's last day of use.
    pub use_by: Option<NaiveDate>,
    /// The item's serial number.
    pub serial: Option<SerialId>,
    /// The serial number's code.
    pub serial_code: Option<String>,
    /// The place.
    pub place: PlaceId,
    /// Its code.
    pub place_code: String,
    /// Its kind.
    pub place_kind: String,
    /// How many.
    pub quantity: Quantity,
}

/// Loads what each place inside the house holds of a variant, in walking order.
pub fn held(conn: &mut Conn, variant: VariantId) -> QueryResult<Vec<HeldRow>> {
    balances::table
        .inner_join(places::table.on(places::id.eq(balances::place_id)))
        .left_join(lots::table.on(balances::lot_id.eq(lots::id.nullable())))
        .left_join(serials::table.on(balances::serial_id.eq(serials::id.nullable())))
        .filter(balances::variant_id.eq(variant))
        .filter(is_here())
        .select((
            balances::lot_id,
            lots::code.nullable(),
            lots::use_by.nullable(),
            balances::serial_id,
            serials::code.nullable(),
            places::id,
            places::code,
            places::kind,
            balances::quantity,
        ))
        .order((places::walk_order, lots::code, serials::code))
        .load(conn)
}

/// What a bin holds of a variant and lot, with the lot's last day of use.
type FreeColumns = (VariantId, PlaceId, Option<LotId>, Option<NaiveDate>, Quantity);

macro_rules! in_bins {
    () => {
        balances::table
            .inner_join(places::table.on(places::id.eq(balances::place_id)))
            .left_join(lots::table.on(balances::lot_id.eq(lots::id.nullable())))
            .filter(is_here())
            .filter(places::kind.eq(PlaceKind::Bin.as_str()))
    };
}

/// Loads what bins hold of variants, with serial numbers of a variant counted together; ordered by
/// variant, place and lot.
pub fn in_bins(conn: &mut Conn, variants: &BTreeSet<VariantId>) -> QueryResult<Vec<Free>> {
    let variants: Vec<VariantId> = variants.iter().copied().collect();
    let mut free: Vec<Free> = Vec::new();
    for some in variants.chunks(CHUNK) {
        let rows: Vec<FreeColumns> = in_bins!()
            .filter(balances::variant_id.eq_any(some))
            .select((
                balances::variant_id,
                balances::place_id,
                balances::lot_id,
                lots::use_by.nullable(),
                balances::quantity,
            ))
            .order((balances::variant_id, balances::place_id, balances::lot_id))
            .load(conn)?;
        for (variant, place, lot, use_by, quantity) in rows {
            match free.last_mut() {
                Some(it) if (it.variant, it.place, it.lot) == (variant, place, lot) => {
                    it.quantity = it.quantity.plus(quantity);
                }
                _ => free.push(Free { variant, place, lot, use_by, quantity }),
            }
        }
    }
    Ok(free)
}

/// Loads what kind of place each is, in its word.
pub fn place_kinds(conn: &mut Conn, ids: &[PlaceId]) -> QueryResult<BTreeMap<PlaceId, String>> {
    let mut kinds = BTreeMap::new();
    for some in ids.chunks(CHUNK) {
        let rows = places::table.filter(places::id.eq_any(some)).select((places::id, places::kind));
        kinds.extend(rows.load::<(PlaceId, String)>(conn)?);
    }
    Ok(kinds)
}

/// Loads the codes of places by id.
pub fn place_codes(conn: &mut Conn, ids: &[PlaceId]) -> QueryResult<Vec<(PlaceId, String)>> {
    places::table.filter(places::id.eq_any(ids)).select((places::id, places::code)).load(conn)
}

/// The sum of a group's quantities.
fn pieces() -> diesel::expression::SqlLiteral<BigInt> {
    sql::<BigInt>("CAST(SUM(balances.quantity) AS BIGINT)")
}

/// Loads, by variant, how many pieces bins hold that may be used on a day.
pub fn usable(conn: &mut Conn, today: NaiveDate) -> QueryResult<Vec<(VariantId, Quantity)>> {
    in_bins!()
        .filter(lots::use_by.is_null().or(lots::use_by.ge(today)))
        .group_by(balances::variant_id)
        .select((balances::variant_id, pieces()))
        .load(conn)
}

/// Loads, by variant, how many pieces bins hold of variants.
pub fn on_hand(conn: &mut Conn, variants: &[VariantId]) -> QueryResult<Vec<(VariantId, Quantity)>> {
    let mut rows = Vec::new();
    for some in variants.chunks(CHUNK) {
        let of_some = in_bins!()
            .filter(balances::variant_id.eq_any(some))
            .group_by(balances::variant_id)
            .select((balances::variant_id, pieces()));
        rows.extend(of_some.load::<(VariantId, Quantity)>(conn)?);
    }
    Ok(rows)
}
