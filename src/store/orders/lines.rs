use std::collections::BTreeSet;

use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::Bool;

use crate::domain::ids::{KitId, KitLineId, UserId, VariantId};
use crate::store::schema::{kit_lines, kits, orders, parts, reservations, users, variants};
use crate::store::{CHUNK, Conn};
use crate::units::{Mass, Quantity};

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
    let mut lines: Vec<KitLineRow> = Vec::new();
    for some in kits.chunks(CHUNK) {
        let of_some = kit_line_rows!().filter(kit_lines::kit_id.eq_any(some));
        lines.extend(of_some.load::<KitLineRow>(conn)?);
    }
    lines.sort_by_key(|it| (it.kit, it.step == 0, it.step, it.number));
    Ok(lines)
}

/// Loads kit lines by id, in no order.
pub fn lines_by_id(conn: &mut Conn, ids: &BTreeSet<KitLineId>) -> QueryResult<Vec<KitLineRow>> {
    let ids: Vec<KitLineId> = ids.iter().copied().collect();
    let mut lines = Vec::new();
    for some in ids.chunks(CHUNK) {
        let of_some = kit_line_rows!().filter(kit_lines::id.eq_any(some));
        lines.extend(of_some.load::<KitLineRow>(conn)?);
    }
    Ok(lines)
}

/// Loads the lines of which pieces are left out. The condition is that of the
/// index `kit_lines_short`, which a bound value would not find.
pub fn lines_left_out(conn: &mut Conn) -> QueryResult<Vec<KitLineId>> {
    let left_out = sql::<Bool>("kit_lines.short > 0");
    kit_lines::table.filter(left_out).select(kit_lines::id).load(conn)
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
        .filter(kit_lines::picked.lt(kit_lines::quantity))
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
