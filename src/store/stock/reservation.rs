use chrono::NaiveDate;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::BigInt;

use crate::domain::ids::{KitLineId, LotId, PlaceId, VariantId};
use crate::domain::orders::Reservation;
use crate::store::Conn;
use crate::store::dialect::insert_many;
use crate::store::schema::{kit_lines, kits, lots, reservations};
use crate::units::Quantity;

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

/// Gives back all that is held of lots past their last day of use.
pub fn release_past_day(conn: &mut Conn, today: NaiveDate) -> QueryResult<()> {
    let past = lots::table.filter(lots::use_by.lt(today)).select(lots::id.nullable());
    diesel::delete(reservations::table.filter(reservations::lot_id.eq_any(past)))
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
