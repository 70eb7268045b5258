//! Movements, balances, lots, serial numbers and what is held for whom.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::BigInt;

use crate::domain::ids::{
    KitId, KitLineId, LotId, MovementId, PlaceId, SerialId, UserId, VariantId,
};
use crate::domain::orders::{Free, Reservation};
use crate::domain::stock::{Holding, Item, Movement, PlaceKind};
use crate::units::Quantity;

use super::dialect::insert_many;
use super::schema::{
    balances, kit_lines, kits, lots, movements, parts, places, reservations, serials, users,
    variants,
};
use super::{Conn, Tx};

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
        .filter(balances::outside.eq(false))
        .filter(balances::quantity.gt(0))
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

/// Loads what each place of a list holds, for every variant.
pub fn held_in(
    conn: &mut Conn,
    place: PlaceId,
) -> QueryResult<Vec<(VariantId, Option<LotId>, Option<SerialId>, Quantity)>> {
    balances::table
        .filter(balances::place_id.eq(place))
        .filter(balances::quantity.gt(0))
        .select((balances::variant_id, balances::lot_id, balances::serial_id, balances::quantity))
        .order(balances::id)
        .load(conn)
}

/// Loads what bins hold of all variants, with serial numbers of a variant counted together.
pub fn in_bins(conn: &mut Conn) -> QueryResult<Vec<Free>> {
    let rows: Vec<(VariantId, PlaceId, Option<LotId>, Option<NaiveDate>, Quantity)> =
        balances::table
            .inner_join(places::table.on(places::id.eq(balances::place_id)))
            .left_join(lots::table.on(balances::lot_id.eq(lots::id.nullable())))
            .filter(places::kind.eq(PlaceKind::Bin.as_str()))
            .filter(balances::quantity.gt(0))
            .select((
                balances::variant_id,
                balances::place_id,
                balances::lot_id,
                lots::use_by.nullable(),
                balances::quantity,
            ))
            .order((balances::variant_id, balances::place_id, balances::lot_id))
            .load(conn)?;
    let mut free: Vec<Free> = Vec::with_capacity(rows.len());
    for (variant, place, lot, use_by, quantity) in rows {
        match free.last_mut() {
            Some(it) if (it.variant, it.place, it.lot) == (variant, place, lot) => {
                it.quantity = it.quantity.plus(quantity);
            }
            _ => free.push(Free { variant, place, lot, use_by, quantity }),
        }
    }
    Ok(free)
}

/// Loads every reservation.
pub fn reservations(conn: &mut Conn) -> QueryResult<Vec<Reservation>> {
    let rows: Vec<(KitLineId, VariantId, PlaceId, Option<LotId>, Quantity)> = reservations::table
        .select((
            reservations::kit_line_id,
            reservations::variant_id,
            reservations::place_id,
            reservations::lot_id,
            reservations::quantity,
        ))
        .order(reservations::id)
        .load(conn)?;
    Ok(rows
        .into_iter()
        .map(|(line, variant, place, lot, quantity)| Reservation {
            line,
            variant,
            place,
            lot,
            quantity,
        })
        .collect())
}

/// Gives back all that is held for kits which nobody has begun to pick.
pub fn release_open(conn: &mut Conn) -> QueryResult<()> {
    let open = kit_lines::table
        .inner_join(kits::table.on(kits::id.eq(kit_lines::kit_id)))
        .filter(kits::state.eq("open"))
        .select(kit_lines::id);
    diesel::delete(reservations::table.filter(reservations::kit_line_id.eq_any(open)))
        .execute(conn)
        .map(drop)
}

/// Gives back all that is held of a variant and lot in a place.
pub fn release_at(conn: &mut Conn, variant: VariantId, place: PlaceId) -> QueryResult<()> {
    diesel::delete(
        reservations::table
            .filter(reservations::variant_id.eq(variant))
            .filter(reservations::place_id.eq(place)),
    )
    .execute(conn)
    .map(drop)
}

/// Gives back all that is held for a kit line.
pub fn release_line(conn: &mut Conn, line: KitLineId) -> QueryResult<()> {
    diesel::delete(reservations::table.filter(reservations::kit_line_id.eq(line)))
        .execute(conn)
        .map(drop)
}

/// Writes reservations.
pub fn reserve(conn: &mut Conn, reserved: &[Reservation]) -> QueryResult<()> {
    let rows: Vec<_> = reserved
        .iter()
        .map(|it| {
            (
                reservations::kit_line_id.eq(it.line),
                reservations::variant_id.eq(it.variant),
                reservations::place_id.eq(it.place),
                reservations::lot_id.eq(it.lot),
                reservations::quantity.eq(it.quantity),
            )
        })
        .collect();
    insert_many!(conn, reservations::table, rows)
}

/// Takes pieces off what is held for a kit line in a place, as they are picked.
pub fn use_reservation(conn: &mut Conn, used: &Reservation) -> QueryResult<bool> {
    let held: Option<(i64, Quantity)> = reservations::table
        .filter(reservations::kit_line_id.eq(used.line))
        .filter(reservations::place_id.eq(used.place))
        .filter(sql::<BigInt>("COALESCE(lot_id, 0)").eq(used.lot.map_or(0, i64::from)))
        .select((reservations::id, reservations::quantity))
        .first(conn)
        .optional()?;
    match held {
        Some((id, quantity)) if quantity == used.quantity => {
            diesel::delete(reservations::table.find(id)).execute(conn)?;
            Ok(true)
        }
        Some((id, quantity)) if used.quantity < quantity => {
            diesel::update(reservations::table.find(id))
                .set(reservations::quantity.eq(quantity.less(used.quantity)))
                .execute(conn)?;
            Ok(true)
        }
        _ => Ok(false),
    }
}

/// Loads how many pieces are held for kits of a variant in a place, whatever the lot.
pub fn held_for_kits(conn: &mut Conn, variant: VariantId, place: PlaceId) -> QueryResult<Quantity> {
    let rows: Vec<Quantity> = reservations::table
        .filter(reservations::variant_id.eq(variant))
        .filter(reservations::place_id.eq(place))
        .select(reservations::quantity)
        .load(conn)?;
    Ok(rows.into_iter().sum())
}

/// A movement, with what a person needs to read it.
#[derive(Debug, Queryable)]
pub struct MovementRow {
    /// The movement.
    pub id: MovementId,
    /// The variant.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// The variant in words.
    pub variant_words: String,
    /// The lot.
    pub lot: Option<LotId>,
    /// The lot's code.
    pub lot_code: Option<String>,
    /// The serial number.
    pub serial: Option<SerialId>,
    /// The serial number's code.
    pub serial_code: Option<String>,
    /// How many pieces.
    pub quantity: Quantity,
    /// The place left.
    pub from: PlaceId,
    /// The place reached.
    pub to: PlaceId,
    /// When.
    pub at: NaiveDateTime,
    /// The person, by id.
    pub user: Option<UserId>,
    /// The person's name.
    pub user_name: Option<String>,
    /// The document or reason.
    pub document: String,
    /// The kit line served.
    pub kit_line: Option<KitLineId>,
    /// The movement reversed.
    pub reverses: Option<MovementId>,
}

macro_rules! movement_rows {
    () => {
        movements::table
            .inner_join(variants::table.on(variants::id.eq(movements::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .left_join(lots::table.on(movements::lot_id.eq(lots::id.nullable())))
            .left_join(serials::table.on(movements::serial_id.eq(serials::id.nullable())))
            .left_join(users::table.on(movements::user_id.eq(users::id.nullable())))
            .select((
                movements::id,
                movements::variant_id,
                variants::part_number,
                parts::name,
                variants::variant,
                movements::lot_id,
                lots::code.nullable(),
                movements::serial_id,
                serials::code.nullable(),
                movements::quantity,
                movements::from_id,
                movements::to_id,
                movements::at,
                movements::user_id,
                users::name.nullable(),
                movements::document,
                movements::kit_line_id,
                movements::reverses_id,
            ))
    };
}

/// Loads the newest movements of a variant.
pub fn movements_of(
    conn: &mut Conn,
    variant: VariantId,
    most: i64,
) -> QueryResult<Vec<MovementRow>> {
    movement_rows!()
        .filter(movements::variant_id.eq(variant))
        .order(movements::id.desc())
        .limit(most)
        .load(conn)
}

/// Loads the movements that served a kit, the oldest first.
pub fn movements_of_kit(conn: &mut Conn, kit: KitId) -> QueryResult<Vec<MovementRow>> {
    movement_rows!()
        .filter(movements::kit_line_id.eq_any(
            kit_lines::table.filter(kit_lines::kit_id.eq(kit)).select(kit_lines::id.nullable()),
        ))
        .order(movements::id)
        .load(conn)
}

/// Loads one movement.
pub fn movement(conn: &mut Conn, id: MovementId) -> QueryResult<Option<MovementRow>> {
    movement_rows!().filter(movements::id.eq(id)).first(conn).optional()
}

/// Loads whether a movement has been reversed.
pub fn is_reversed(conn: &mut Conn, id: MovementId) -> QueryResult<bool> {
    let by: Option<MovementId> = movements::table
        .filter(movements::reverses_id.eq(id))
        .select(movements::id)
        .first(conn)
        .optional()?;
    Ok(by.is_some())
}

/// Loads the codes of places by id.
pub fn place_codes(conn: &mut Conn, ids: &[PlaceId]) -> QueryResult<Vec<(PlaceId, String)>> {
    places::table.filter(places::id.eq_any(ids)).select((places::id, places::code)).load(conn)
}

/// Loads, by variant, how many pieces bins hold.
pub fn on_hand(conn: &mut Conn) -> QueryResult<Vec<(VariantId, Quantity)>> {
    Ok(in_bins(conn)?.into_iter().map(|it| (it.variant, it.quantity)).collect())
}

/// Returns what an item of a movement row is.
pub fn item_of(row: &MovementRow) -> Item {
    Item { variant: row.variant, lot: row.lot, serial: row.serial }
}
