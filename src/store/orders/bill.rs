//! The bills that kits follow.

use chrono::NaiveDate;
use diesel::prelude::*;

use crate::domain::ids::{BomId, KitId, VariantId};
use crate::store::Conn;
use crate::store::schema::{boms, kit_lines, kits, movements, variants};

/// Returns whether any piece has ever moved for a kit.
pub fn has_moved(conn: &mut Conn, kit: KitId) -> QueryResult<bool> {
    let lines = kit_lines::table.filter(kit_lines::kit_id.eq(kit)).select(kit_lines::id);
    let moved = movements::table.filter(movements::kit_line_id.eq_any(lines.nullable()));
    diesel::select(diesel::dsl::exists(moved)).get_result(conn)
}

/// Sets the revision that a kit follows, and the day whose other bills it follows.
pub fn set_bill(
    conn: &mut Conn,
    kit: KitId,
    bom: BomId,
    revision: &str,
    day: NaiveDate,
) -> QueryResult<()> {
    diesel::update(kits::table.find(i64::from(kit)))
        .set((kits::bom_id.eq(bom), kits::bom_revision.eq(revision), kits::bills_on.eq(day)))
        .execute(conn)
        .map(drop)
}

/// Loads what kits that are not cancelled were promised: the kit, its bill's code and revision, and
/// the day whose bills it follows.
pub fn promises(conn: &mut Conn) -> QueryResult<Vec<(KitId, String, String, NaiveDate)>> {
    kits::table
        .inner_join(boms::table.on(boms::id.eq(kits::bom_id)))
        .filter(kits::state.ne("cancelled"))
        .select((kits::id, boms::code, boms::revision, kits::bills_on))
        .load(conn)
}

/// Loads, by kit, the variants of its lines that a bill makes.
pub fn made_lines(conn: &mut Conn) -> QueryResult<Vec<(KitId, VariantId)>> {
    let made = boms::table
        .filter(boms::makes_variant_id.is_not_null())
        .select(boms::makes_variant_id.assume_not_null());
    kit_lines::table
        .filter(kit_lines::variant_id.eq_any(made))
        .select((kit_lines::kit_id, kit_lines::variant_id))
        .load(conn)
}

/// Loads, by kit, the part numbers of its lines that a bill makes.
pub fn made_parts(conn: &mut Conn) -> QueryResult<Vec<(KitId, String)>> {
    let made = boms::table
        .filter(boms::makes_variant_id.is_not_null())
        .select(boms::makes_variant_id.assume_not_null());
    kit_lines::table
        .inner_join(variants::table.on(variants::id.eq(kit_lines::variant_id)))
        .filter(kit_lines::variant_id.eq_any(made))
        .select((kit_lines::kit_id, variants::part_number))
        .load(conn)
}
