use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{KitLineId, LotId, MovementId, PlaceId, SerialId, UserId, VariantId};
use crate::domain::stock::Item;
use crate::store::Conn;
use crate::store::schema::{cartons, kits, lots, movements, parts, serials, users, variants};
use crate::units::Quantity;

/// How a piece with a serial number went into a carton.
#[derive(Debug, Clone, Queryable)]
pub struct PackedRow {
    /// The kit's number.
    pub kit: String,
    /// The carton's number.
    pub carton: String,
    /// When.
    pub at: NaiveDateTime,
    /// Who packed it.
    pub by: Option<String>,
}

/// Loads how a piece went into a carton for the last time.
pub fn packed(conn: &mut Conn, serial: SerialId) -> QueryResult<Option<PackedRow>> {
    movements::table
        .inner_join(cartons::table.on(cartons::place_id.eq(movements::to_id)))
        .inner_join(kits::table.on(kits::id.eq(cartons::kit_id)))
        .left_join(users::table.on(movements::user_id.eq(users::id.nullable())))
        .filter(movements::serial_id.eq(serial))
        .order(movements::id.desc())
        .select((kits::number, cartons::number, movements::at, users::name.nullable()))
        .first(conn)
        .optional()
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

/// Returns what an item of a movement row is.
pub fn item_of(row: &MovementRow) -> Item {
    Item { variant: row.variant, lot: row.lot, serial: row.serial }
}
