//! Cartons and what lies in them.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{
    CartonId, KitId, KitLineId, LotId, MovementId, PlaceId, SerialId, UserId,
};
use crate::units::Quantity;

use super::schema::{cartons, kits, lots, movements, serials, users};
use super::{CHUNK, Conn};

/// A carton of a kit.
#[derive(Debug, Clone, Queryable)]
pub struct CartonRow {
    /// The carton.
    pub id: CartonId,
    /// Its kit.
    pub kit: KitId,
    /// Its place among the kit's cartons, from 1.
    pub position: i64,
    /// Its number.
    pub number: String,
    /// The place that its pieces lie in.
    pub place: PlaceId,
    /// When it was sealed.
    pub sealed_at: Option<NaiveDateTime>,
    /// Who sealed it.
    pub sealed_by: Option<String>,
}

macro_rules! carton_rows {
    () => {
        cartons::table
            .left_join(users::table.on(cartons::sealed_by.eq(users::id.nullable())))
            .select((
                cartons::id,
                cartons::kit_id,
                cartons::position,
                cartons::number,
                cartons::place_id,
                cartons::sealed_at,
                users::name.nullable(),
            ))
    };
}

/// Loads the cartons of kits, in order of place.
pub fn cartons_of(conn: &mut Conn, kits: &[KitId]) -> QueryResult<Vec<CartonRow>> {
    carton_rows!()
        .filter(cartons::kit_id.eq_any(kits))
        .order((cartons::kit_id, cartons::position))
        .load(conn)
}

/// Loads the number of the kit that a carton belongs to, with its place there.
pub fn carton(conn: &mut Conn, number: &str) -> QueryResult<Option<(String, i64)>> {
    cartons::table
        .inner_join(kits::table.on(kits::id.eq(cartons::kit_id)))
        .filter(cartons::number.eq(number))
        .select((kits::number, cartons::position))
        .first(conn)
        .optional()
}

/// Writes a carton.
pub fn make_carton(
    conn: &mut Conn,
    kit: KitId,
    position: i64,
    number: &str,
    place: PlaceId,
) -> QueryResult<()> {
    diesel::insert_into(cartons::table)
        .values((
            cartons::kit_id.eq(kit),
            cartons::position.eq(position),
            cartons::number.eq(number),
            cartons::place_id.eq(place),
        ))
        .execute(conn)
        .map(drop)
}

/// Sets that a carton is sealed, or open again.
pub fn set_sealed(
    conn: &mut Conn,
    carton: CartonId,
    sealed: Option<(NaiveDateTime, UserId)>,
) -> QueryResult<()> {
    diesel::update(cartons::table.find(i64::from(carton)))
        .set((
            cartons::sealed_at.eq(sealed.map(|it| it.0)),
            cartons::sealed_by.eq(sealed.map(|it| it.1)),
        ))
        .execute(conn)
        .map(drop)
}

/// Pieces of one kit line, with their lot or serial number, that came to or left a place.
#[derive(Debug, Clone, Queryable)]
pub struct LineMoveRow {
    /// The kit line.
    pub line: KitLineId,
    /// The lot.
    pub lot: Option<LotId>,
    /// The lot's code.
    pub lot_code: Option<String>,
    /// The serial number.
    pub serial: Option<SerialId>,
    /// The serial number's code.
    pub serial_code: Option<String>,
    /// The place left.
    pub from: PlaceId,
    /// The place reached.
    pub to: PlaceId,
    /// How many pieces.
    pub quantity: Quantity,
}

/// The columns of a move, before it is known to serve a line.
type MoveColumns = (
    Option<KitLineId>,
    Option<LotId>,
    Option<String>,
    Option<SerialId>,
    Option<String>,
    PlaceId,
    PlaceId,
    Quantity,
);

/// Loads all that was moved for kit lines, the oldest first.
pub fn moves_of_lines(conn: &mut Conn, lines: &[KitLineId]) -> QueryResult<Vec<LineMoveRow>> {
    let lines: Vec<Option<KitLineId>> = lines.iter().map(|it| Some(*it)).collect();
    let mut rows: Vec<(MovementId, MoveColumns)> = Vec::new();
    for some in lines.chunks(CHUNK) {
        let of_some = movements::table
            .left_join(lots::table.on(movements::lot_id.eq(lots::id.nullable())))
            .left_join(serials::table.on(movements::serial_id.eq(serials::id.nullable())))
            .filter(movements::kit_line_id.eq_any(some))
            .select((
                movements::id,
                (
                    movements::kit_line_id,
                    movements::lot_id,
                    lots::code.nullable(),
                    movements::serial_id,
                    serials::code.nullable(),
                    movements::from_id,
                    movements::to_id,
                    movements::quantity,
                ),
            ));
        rows.extend(of_some.load::<(MovementId, MoveColumns)>(conn)?);
    }
    rows.sort_by_key(|it| it.0);
    Ok(rows
        .into_iter()
        .map(|it| it.1)
        .filter_map(|(line, lot, lot_code, serial, serial_code, from, to, quantity)| {
            let line = line?;
            Some(LineMoveRow { line, lot, lot_code, serial, serial_code, from, to, quantity })
        })
        .collect())
}
