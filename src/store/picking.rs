//! Pick lists and what is still to be taken from which bin.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{KitId, KitLineId, LotId, PickListId, PlaceId, UserId, VariantId};
use crate::units::Quantity;

use super::schema::{
    kit_lines, kits, lots, parts, pick_list_kits, pick_lists, places, reservations, users, variants,
};
use super::{CHUNK, Conn};

/// A pick list's head.
#[derive(Debug, Clone, Queryable)]
pub struct PickListRow {
    /// The pick list.
    pub id: PickListId,
    /// Its number.
    pub number: String,
    /// When it was made.
    pub created_at: NaiveDateTime,
    /// Who made it.
    pub made_by: String,
}

macro_rules! pick_list_rows {
    () => {
        pick_lists::table.inner_join(users::table.on(users::id.eq(pick_lists::user_id))).select((
            pick_lists::id,
            pick_lists::number,
            pick_lists::created_at,
            users::name,
        ))
    };
}

/// Loads the pick lists with a kit that is not yet sealed, the oldest first.
pub fn open_lists(conn: &mut Conn) -> QueryResult<Vec<PickListRow>> {
    let open = pick_list_kits::table
        .inner_join(kits::table.on(kits::id.eq(pick_list_kits::kit_id)))
        .filter(kits::state.eq("picking"))
        .select(pick_list_kits::pick_list_id);
    pick_list_rows!().filter(pick_lists::id.eq_any(open)).order(pick_lists::id).load(conn)
}

/// Loads the newest pick lists.
pub fn pick_lists(conn: &mut Conn, most: i64) -> QueryResult<Vec<PickListRow>> {
    pick_list_rows!().order(pick_lists::id.desc()).limit(most).load(conn)
}

/// Loads the pick list of that number.
pub fn pick_list(conn: &mut Conn, number: &str) -> QueryResult<Option<PickListRow>> {
    pick_list_rows!().filter(pick_lists::number.eq(number)).first(conn).optional()
}

/// Writes a pick list.
pub fn make_pick_list(
    conn: &mut Conn,
    number: &str,
    user: UserId,
    at: NaiveDateTime,
) -> QueryResult<PickListId> {
    diesel::insert_into(pick_lists::table)
        .values((
            pick_lists::number.eq(number),
            pick_lists::created_at.eq(at),
            pick_lists::user_id.eq(user),
        ))
        .returning(pick_lists::id)
        .get_result(conn)
}

/// Puts a kit on a pick list, in a slot of the cart.
pub fn add_kit(conn: &mut Conn, list: PickListId, kit: KitId, slot: i64) -> QueryResult<()> {
    diesel::insert_into(pick_list_kits::table)
        .values((
            pick_list_kits::pick_list_id.eq(list),
            pick_list_kits::kit_id.eq(kit),
            pick_list_kits::slot.eq(slot),
        ))
        .execute(conn)
        .map(drop)
}

/// Takes a kit off the pick list that it stands on.
pub fn remove_kit(conn: &mut Conn, kit: KitId) -> QueryResult<()> {
    diesel::delete(pick_list_kits::table.filter(pick_list_kits::kit_id.eq(kit)))
        .execute(conn)
        .map(drop)
}

/// Loads the kits of pick lists with their slots: list, kit, kit number, slot.
pub fn kits_of(
    conn: &mut Conn,
    lists: &[PickListId],
) -> QueryResult<Vec<(PickListId, KitId, String, i64)>> {
    pick_list_kits::table
        .inner_join(kits::table.on(kits::id.eq(pick_list_kits::kit_id)))
        .filter(pick_list_kits::pick_list_id.eq_any(lists))
        .select((
            pick_list_kits::pick_list_id,
            pick_list_kits::kit_id,
            kits::number,
            pick_list_kits::slot,
        ))
        .order((pick_list_kits::pick_list_id, pick_list_kits::slot))
        .load(conn)
}

/// Pieces to be taken from one bin for one kit.
#[derive(Debug, Clone, Queryable)]
pub struct TakeRow {
    /// The reservation's number, by which the take is known while it lasts.
    pub id: i64,
    /// The bin.
    pub bin: PlaceId,
    /// Its code.
    pub bin_code: String,
    /// Its zone.
    pub zone: String,
    /// Its place in the walk.
    pub walk_order: i64,
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
    /// The lot held.
    pub lot: Option<LotId>,
    /// The lot's code.
    pub lot_code: Option<String>,
    /// The lot's last day of use.
    pub use_by: Option<NaiveDate>,
    /// The kit line.
    pub line: KitLineId,
    /// The kit.
    pub kit: KitId,
    /// The kit's number.
    pub kit_number: String,
    /// The kit's slot on the cart.
    pub slot: i64,
    /// How many pieces.
    pub quantity: Quantity,
}

macro_rules! take_rows {
    ($list:expr) => {
        reservations::table
            .inner_join(kit_lines::table.on(kit_lines::id.eq(reservations::kit_line_id)))
            .inner_join(kits::table.on(kits::id.eq(kit_lines::kit_id)))
            .inner_join(pick_list_kits::table.on(pick_list_kits::kit_id.eq(kits::id)))
            .inner_join(places::table.on(places::id.eq(reservations::place_id)))
            .inner_join(variants::table.on(variants::id.eq(reservations::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .left_join(lots::table.on(reservations::lot_id.eq(lots::id.nullable())))
            .filter(pick_list_kits::pick_list_id.eq($list))
            .select((
                reservations::id,
                places::id,
                places::code,
                places::zone,
                places::walk_order,
                variants::id,
                variants::part_number,
                parts::name,
                variants::variant,
                variants::tracking,
                reservations::lot_id,
                lots::code.nullable(),
                lots::use_by.nullable(),
                kit_lines::id,
                kits::id,
                kits::number,
                pick_list_kits::slot,
                reservations::quantity,
            ))
            .order((
                places::walk_order,
                places::code,
                variants::part_number,
                reservations::lot_id,
                pick_list_kits::slot,
                reservations::id,
            ))
    };
}

/// Loads what is still to be taken for a pick list, in the order of the walk.
pub fn takes(conn: &mut Conn, list: PickListId) -> QueryResult<Vec<TakeRow>> {
    take_rows!(list).load(conn)
}

/// Loads one take of a pick list by its number, or the first of the walk.
pub fn take(
    conn: &mut Conn,
    list: PickListId,
    number: Option<i64>,
) -> QueryResult<Option<TakeRow>> {
    match number {
        Some(number) => take_rows!(list).filter(reservations::id.eq(number)).first(conn).optional(),
        None => take_rows!(list).first(conn).optional(),
    }
}

/// Loads the pick list that each of the kits stands on.
pub fn lists_of_kits(conn: &mut Conn, kits: &[KitId]) -> QueryResult<Vec<(KitId, String)>> {
    let mut rows = Vec::new();
    for some in kits.chunks(CHUNK) {
        let of_some = pick_list_kits::table
            .inner_join(pick_lists::table.on(pick_lists::id.eq(pick_list_kits::pick_list_id)))
            .filter(pick_list_kits::kit_id.eq_any(some))
            .select((pick_list_kits::kit_id, pick_lists::number));
        rows.extend(of_some.load::<(KitId, String)>(conn)?);
    }
    Ok(rows)
}
