//! What the ledger knows of lots and serial numbers: their movements, and the runs that used them.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{BenchRunId, KitId, LotId, SerialId, VariantId};
use crate::domain::trace::Traced;
use crate::units::Quantity;

use super::schema::{
    bench_moves, bench_runs, kit_lines, kits, lots, movements, orders, parts, places, serials,
    variants,
};
use super::{CHUNK, Conn};

/// A movement of what is traced.
#[derive(Debug, Clone, Queryable)]
pub struct MoveRow {
    lot: Option<LotId>,
    serial: Option<SerialId>,
    /// How many pieces.
    pub quantity: Quantity,
    /// The place left: its kind in its word, and its code.
    pub from: (String, String),
    /// The place reached.
    pub to: (String, String),
    /// The kit that the movement served.
    pub kit: Option<KitId>,
}

impl MoveRow {
    /// Returns what moved.
    pub fn item(&self) -> Option<Traced> {
        self.serial.map(Traced::Serial).or(self.lot.map(Traced::Lot))
    }
}

/// A lot or serial number with its part.
#[derive(Debug, Clone, Queryable)]
pub struct ItemRow {
    /// The part number's id.
    pub variant: VariantId,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// Size, length or colour.
    pub variant_words: String,
    /// The lot or serial number.
    pub code: String,
}

/// A kit, its order and whoever has it.
#[derive(Debug, Clone, Queryable)]
pub struct KitRow {
    /// The kit.
    pub id: KitId,
    /// Its number.
    pub number: String,
    /// Where it stands, in its word.
    pub state: String,
    /// When it was handed over.
    pub despatched_at: Option<NaiveDateTime>,
    /// The order's number.
    pub order: String,
    /// Who ordered.
    pub customer: String,
    /// Rider or dealer.
    pub channel: String,
    /// Their address for letters, if one is known.
    pub email: String,
    /// Where it went.
    pub address: String,
    /// The country.
    pub country: String,
}

fn lots_and_serials(items: &[Traced]) -> (Vec<LotId>, Vec<SerialId>) {
    let lots = items.iter().filter_map(|it| match it {
        Traced::Lot(id) => Some(*id),
        Traced::Serial(_) => None,
    });
    let serials = items.iter().filter_map(|it| match it {
        Traced::Serial(id) => Some(*id),
        Traced::Lot(_) => None,
    });
    (lots.collect(), serials.collect())
}

/// Loads the movements of lots and serial numbers, the oldest first.
pub fn movements_of(conn: &mut Conn, items: &[Traced]) -> QueryResult<Vec<MoveRow>> {
    let mut rows = Vec::new();
    for chunk in items.chunks(CHUNK) {
        let (in_lots, in_serials) = lots_and_serials(chunk);
        let (left, reached) = diesel::alias!(places as left, places as reached);
        // Two queries, each by its own index: one with OR would read the whole ledger.
        macro_rules! load {
            ($condition:expr) => {
                movements::table
                    .inner_join(left.on(left.field(places::id).eq(movements::from_id)))
                    .inner_join(reached.on(reached.field(places::id).eq(movements::to_id)))
                    .left_join(
                        kit_lines::table.on(movements::kit_line_id.eq(kit_lines::id.nullable())),
                    )
                    .filter($condition)
                    .order(movements::id)
                    .select((
                        movements::lot_id,
                        movements::serial_id,
                        movements::quantity,
                        (left.field(places::kind), left.field(places::code)),
                        (reached.field(places::kind), reached.field(places::code)),
                        kit_lines::kit_id.nullable(),
                    ))
                    .load::<MoveRow>(conn)?
            };
        }
        if !in_lots.is_empty() {
            rows.extend(load!(movements::lot_id.eq_any(&in_lots)));
        }
        if !in_serials.is_empty() {
            rows.extend(load!(movements::serial_id.eq_any(&in_serials)));
        }
    }
    Ok(rows)
}

/// Loads the runs that moved lots and serial numbers: each run with its number and what it made.
pub fn runs_with(conn: &mut Conn, items: &[Traced]) -> QueryResult<Vec<(BenchRunId, String)>> {
    let mut rows: Vec<(BenchRunId, String)> = Vec::new();
    for chunk in items.chunks(CHUNK) {
        let (in_lots, in_serials) = lots_and_serials(chunk);
        macro_rules! load {
            ($condition:expr) => {
                bench_moves::table
                    .inner_join(movements::table.on(movements::id.eq(bench_moves::movement_id)))
                    .inner_join(bench_runs::table.on(bench_runs::id.eq(bench_moves::run_id)))
                    .filter($condition)
                    .select((bench_runs::id, bench_runs::number))
                    .distinct()
                    .load::<(BenchRunId, String)>(conn)?
            };
        }
        if !in_lots.is_empty() {
            rows.extend(load!(movements::lot_id.eq_any(&in_lots)));
        }
        if !in_serials.is_empty() {
            rows.extend(load!(movements::serial_id.eq_any(&in_serials)));
        }
    }
    rows.sort();
    rows.dedup();
    Ok(rows)
}

/// Loads lots and serial numbers with their parts.
pub fn items(conn: &mut Conn, items: &[Traced]) -> QueryResult<Vec<(Traced, ItemRow)>> {
    let mut rows = Vec::new();
    for chunk in items.chunks(CHUNK) {
        let (in_lots, in_serials) = lots_and_serials(chunk);
        macro_rules! load {
            ($table:ident, $ids:expr) => {
                $table::table
                    .inner_join(variants::table.on(variants::id.eq($table::variant_id)))
                    .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
                    .filter($table::id.eq_any($ids))
                    .select((
                        $table::id,
                        (
                            variants::id,
                            variants::part_number,
                            parts::name,
                            variants::variant,
                            $table::code,
                        ),
                    ))
                    .load(conn)?
            };
        }
        let of_lots: Vec<(LotId, ItemRow)> = load!(lots, &in_lots);
        rows.extend(of_lots.into_iter().map(|(id, row)| (Traced::Lot(id), row)));
        let of_serials: Vec<(SerialId, ItemRow)> = load!(serials, &in_serials);
        rows.extend(of_serials.into_iter().map(|(id, row)| (Traced::Serial(id), row)));
    }
    Ok(rows)
}

/// Loads kits with their orders.
pub fn kits(conn: &mut Conn, ids: &[KitId]) -> QueryResult<Vec<KitRow>> {
    let mut rows = Vec::new();
    for chunk in ids.chunks(CHUNK) {
        rows.extend(
            kits::table
                .inner_join(orders::table.on(orders::id.eq(kits::order_id)))
                .filter(kits::id.eq_any(chunk))
                .select((
                    kits::id,
                    kits::number,
                    kits::state,
                    kits::despatched_at,
                    orders::number,
                    orders::customer,
                    orders::channel,
                    orders::email,
                    orders::address,
                    orders::country,
                ))
                .load::<KitRow>(conn)?,
        );
    }
    Ok(rows)
}

/// Loads what a text names as it is printed: lots and serial numbers of that code, and what the run of
/// that number made.
pub fn named(conn: &mut Conn, code: &str) -> QueryResult<Vec<Traced>> {
    let of_lots: Vec<LotId> =
        lots::table.filter(lots::code.eq(code)).select(lots::id).load(conn)?;
    let of_serials: Vec<SerialId> =
        serials::table.filter(serials::code.eq(code)).select(serials::id).load(conn)?;
    let made: Vec<Option<SerialId>> = bench_moves::table
        .inner_join(movements::table.on(movements::id.eq(bench_moves::movement_id)))
        .inner_join(bench_runs::table.on(bench_runs::id.eq(bench_moves::run_id)))
        .filter(bench_runs::number.eq(code).and(bench_moves::role.eq("made")))
        .select(movements::serial_id)
        .load(conn)?;
    let mut found: Vec<Traced> = of_lots.into_iter().map(Traced::Lot).collect();
    found.extend(of_serials.into_iter().chain(made.into_iter().flatten()).map(Traced::Serial));
    found.sort();
    found.dedup();
    Ok(found)
}
