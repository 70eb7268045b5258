//! Runs of the bench, what their movements did, and which kits hold what they made.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Text};

use crate::domain::ids::{
    BenchRunId, BomId, LotId, MovementId, PlaceId, SerialId, UserId, VariantId,
};
use crate::units::Quantity;

use super::schema::{bench_moves, bench_runs, boms, lots, movements, serials, users, variants};
use super::{CHUNK, Conn};

/// What a movement of a run did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Put a part into the run.
    Used,
    /// Brought a made piece into its bin.
    Made,
    /// Lost a part beside the run: dropped, broken.
    Lost,
    /// Took a made piece out of its bin, to be taken apart.
    TakenApart,
    /// Brought a part back out of a piece.
    Back,
    /// Threw away a part that came out of a piece.
    Scrapped,
}

impl Role {
    const ALL: [Self; 6] =
        [Self::Used, Self::Made, Self::Lost, Self::TakenApart, Self::Back, Self::Scrapped];

    /// Returns the role's word, as it is stored and shown.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Used => "used",
            Self::Made => "made",
            Self::Lost => "lost",
            Self::TakenApart => "taken apart",
            Self::Back => "back",
            Self::Scrapped => "scrapped",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.as_str() == word)
    }
}

/// A run to be written.
#[derive(Debug, Clone, Copy)]
pub struct NewRun<'a> {
    /// Its number.
    pub number: &'a str,
    /// Its bill of materials.
    pub bom: BomId,
    /// The bill's revision.
    pub revision: &'a str,
    /// What it makes.
    pub variant: VariantId,
    /// How many pieces.
    pub pieces: Quantity,
    /// The lot of what it makes, where that is tracked by lot.
    pub lot: Option<LotId>,
    /// Who makes it.
    pub user: UserId,
    /// The request that makes it.
    pub request_key: &'a str,
}

/// Writes a run.
pub fn make_run(conn: &mut Conn, it: &NewRun<'_>, at: NaiveDateTime) -> QueryResult<BenchRunId> {
    diesel::insert_into(bench_runs::table)
        .values((
            bench_runs::number.eq(it.number),
            bench_runs::bom_id.eq(it.bom),
            bench_runs::bom_revision.eq(it.revision),
            bench_runs::variant_id.eq(it.variant),
            bench_runs::pieces.eq(it.pieces),
            bench_runs::lot_id.eq(it.lot),
            bench_runs::made_at.eq(at),
            bench_runs::user_id.eq(it.user),
            bench_runs::request_key.eq(it.request_key),
        ))
        .returning(bench_runs::id)
        .get_result(conn)
}

/// Writes what a movement did for a run. `piece` is the serial number of the made piece that a part
/// went into or came out of.
pub fn make_move(
    conn: &mut Conn,
    run: BenchRunId,
    movement: MovementId,
    role: Role,
    piece: Option<SerialId>,
) -> QueryResult<()> {
    diesel::insert_into(bench_moves::table)
        .values((
            bench_moves::run_id.eq(run),
            bench_moves::movement_id.eq(movement),
            bench_moves::role.eq(role.as_str()),
            bench_moves::piece_serial_id.eq(piece),
        ))
        .execute(conn)
        .map(drop)
}

/// A run as stored.
#[derive(Debug, Clone, Queryable)]
pub struct RunRow {
    /// The run.
    pub id: BenchRunId,
    /// Its number.
    pub number: String,
    /// The code of its bill.
    pub bill: String,
    /// The bill's revision at that time.
    pub revision: String,
    /// What it made.
    pub variant: VariantId,
    /// How many pieces.
    pub pieces: Quantity,
    /// The lot of what it made.
    pub lot: Option<LotId>,
    /// When.
    pub made_at: NaiveDateTime,
    /// Who.
    pub user: String,
}

macro_rules! run_rows {
    () => {
        bench_runs::table
            .inner_join(boms::table.on(boms::id.eq(bench_runs::bom_id)))
            .inner_join(users::table.on(users::id.eq(bench_runs::user_id)))
            .select((
                bench_runs::id,
                bench_runs::number,
                boms::code,
                bench_runs::bom_revision,
                bench_runs::variant_id,
                bench_runs::pieces,
                bench_runs::lot_id,
                bench_runs::made_at,
                users::name,
            ))
    };
}

/// Loads the newest runs.
pub fn runs(conn: &mut Conn, most: i64) -> QueryResult<Vec<RunRow>> {
    run_rows!().order(bench_runs::id.desc()).limit(most).load(conn)
}

/// Loads the run of that number.
pub fn run(conn: &mut Conn, number: &str) -> QueryResult<Option<RunRow>> {
    run_rows!().filter(bench_runs::number.eq(number)).first(conn).optional()
}

/// A movement of a run.
#[derive(Debug, Clone)]
pub struct MoveRow {
    /// The movement.
    pub movement: MovementId,
    /// What it did.
    pub role: Role,
    /// The serial number of the made piece, where the part has one too.
    pub piece: Option<SerialId>,
    /// The variant that moved.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// Its lot.
    pub lot: Option<LotId>,
    /// The lot's code.
    pub lot_code: Option<String>,
    /// Its serial number.
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
    /// The person.
    pub user: Option<String>,
    /// The document, in words.
    pub document: String,
}

type MoveColumns = (
    (MovementId, String, Option<SerialId>, VariantId, String),
    (Option<LotId>, Option<String>, Option<SerialId>, Option<String>, Quantity),
    (PlaceId, PlaceId, NaiveDateTime, Option<String>, String),
);

/// Loads what the movements of a run did, the oldest first.
pub fn moves_of(conn: &mut Conn, run: BenchRunId) -> QueryResult<Vec<MoveRow>> {
    let rows: Vec<MoveColumns> = bench_moves::table
        .inner_join(movements::table.on(movements::id.eq(bench_moves::movement_id)))
        .inner_join(variants::table.on(variants::id.eq(movements::variant_id)))
        .left_join(lots::table.on(movements::lot_id.eq(lots::id.nullable())))
        .left_join(serials::table.on(movements::serial_id.eq(serials::id.nullable())))
        .left_join(users::table.on(movements::user_id.eq(users::id.nullable())))
        .filter(bench_moves::run_id.eq(run))
        .order(bench_moves::id)
        .select((
            (
                movements::id,
                bench_moves::role,
                bench_moves::piece_serial_id,
                movements::variant_id,
                variants::part_number,
            ),
            (
                movements::lot_id,
                lots::code.nullable(),
                movements::serial_id,
                serials::code.nullable(),
                movements::quantity,
            ),
            (
                movements::from_id,
                movements::to_id,
                movements::at,
                users::name.nullable(),
                movements::document,
            ),
        ))
        .load(conn)?;
    Ok(rows.into_iter().filter_map(move_row).collect())
}

fn move_row((head, item, rest): MoveColumns) -> Option<MoveRow> {
    let (movement, role, piece, variant, part_number) = head;
    let (lot, lot_code, serial, serial_code, quantity) = item;
    let (from, to, at, user, document) = rest;
    let role = Role::from_word(&role)?;
    Some(MoveRow {
        movement,
        role,
        piece,
        variant,
        part_number,
        lot,
        lot_code,
        serial,
        serial_code,
        quantity,
        from,
        to,
        at,
        user,
        document,
    })
}

/// Loads, for those of the movements that belong to a run, the run's number.
pub fn runs_of_movements(
    conn: &mut Conn,
    movements: &[MovementId],
) -> QueryResult<BTreeMap<MovementId, String>> {
    let rows: Vec<(MovementId, String)> = bench_moves::table
        .inner_join(bench_runs::table.on(bench_runs::id.eq(bench_moves::run_id)))
        .filter(bench_moves::movement_id.eq_any(movements))
        .select((bench_moves::movement_id, bench_runs::number))
        .load(conn)?;
    Ok(rows.into_iter().collect())
}

/// Loads, by run, how many of its pieces have been taken apart.
pub fn taken_apart(
    conn: &mut Conn,
    runs: &[BenchRunId],
) -> QueryResult<BTreeMap<BenchRunId, Quantity>> {
    let rows: Vec<(BenchRunId, Quantity)> = bench_moves::table
        .inner_join(movements::table.on(movements::id.eq(bench_moves::movement_id)))
        .filter(bench_moves::run_id.eq_any(runs))
        .filter(bench_moves::role.eq(Role::TakenApart.as_str()))
        .select((bench_moves::run_id, movements::quantity))
        .load(conn)?;
    let mut sums: BTreeMap<BenchRunId, Quantity> = BTreeMap::new();
    for (run, quantity) in rows {
        let sum = sums.entry(run).or_default();
        *sum = sum.plus(quantity);
    }
    Ok(sums)
}

/// A kit that holds pieces of a run.
#[derive(Debug, Clone, QueryableByName)]
pub struct KitOfRunRow {
    /// The kit's number.
    #[diesel(sql_type = Text)]
    pub kit: String,
    /// Where the kit stands, in its word.
    #[diesel(sql_type = Text)]
    pub state: String,
    /// The order's number.
    #[diesel(sql_type = Text)]
    pub order_number: String,
    /// How many pieces.
    #[diesel(sql_type = BigInt)]
    pub quantity: Quantity,
}

/// Loads the kits that hold pieces of a run: in their tote, in a carton, or with the rider.
pub fn kits_with(conn: &mut Conn, run: BenchRunId) -> QueryResult<Vec<KitOfRunRow>> {
    sql_query(
        "SELECT k.number AS kit, k.state AS state, o.number AS order_number,
            CAST(SUM(CASE WHEN f.kind IN ('tote', 'carton', 'rider') THEN 0 ELSE m.quantity END
                - CASE WHEN t.kind IN ('tote', 'carton', 'rider') THEN 0 ELSE m.quantity END)
                AS BIGINT) AS quantity
         FROM movements m JOIN kit_lines l ON l.id = m.kit_line_id JOIN kits k ON k.id = l.kit_id
         JOIN orders o ON o.id = k.order_id
         JOIN places f ON f.id = m.from_id JOIN places t ON t.id = m.to_id
         WHERE m.id IN (
            SELECT s.id FROM bench_moves b JOIN movements x ON x.id = b.movement_id
                JOIN movements s ON s.lot_id = x.lot_id
                WHERE b.run_id = $1 AND b.role = 'made'
            UNION
            SELECT s.id FROM bench_moves b JOIN movements x ON x.id = b.movement_id
                JOIN movements s ON s.serial_id = x.serial_id
                WHERE b.run_id = $1 AND b.role = 'made')
         GROUP BY k.number, k.state, o.number
         HAVING SUM(CASE WHEN f.kind IN ('tote', 'carton', 'rider') THEN 0 ELSE m.quantity END
            - CASE WHEN t.kind IN ('tote', 'carton', 'rider') THEN 0 ELSE m.quantity END) > 0
         ORDER BY k.number",
    )
    .bind::<BigInt, _>(run)
    .load(conn)
}

/// Loads how many runs were made by each revision of a bill: code, revision, runs.
pub fn runs_by_bill(conn: &mut Conn) -> QueryResult<Vec<(String, String, i64)>> {
    bench_runs::table
        .inner_join(boms::table.on(boms::id.eq(bench_runs::bom_id)))
        .group_by((boms::code, boms::revision))
        .select((boms::code, boms::revision, diesel::dsl::count_star()))
        .load(conn)
}

/// The bill of a run.
#[derive(Debug, Clone)]
pub struct RunBillRow {
    /// The run's number.
    pub number: String,
    /// The revision that it was made by.
    pub bom: BomId,
}

/// Loads, by lot, the run that made it; lots that no run made are left out.
pub fn runs_of_lots(conn: &mut Conn, lots: &[LotId]) -> QueryResult<BTreeMap<LotId, RunBillRow>> {
    let lots: Vec<Option<LotId>> = lots.iter().map(|it| Some(*it)).collect();
    let mut rows: Vec<(Option<LotId>, String, BomId)> = Vec::new();
    for some in lots.chunks(CHUNK) {
        let of_some = bench_runs::table.filter(bench_runs::lot_id.eq_any(some)).select((
            bench_runs::lot_id,
            bench_runs::number,
            bench_runs::bom_id,
        ));
        rows.extend(of_some.load::<(Option<LotId>, String, BomId)>(conn)?);
    }
    let row = |(lot, number, bom): (Option<LotId>, _, _)| Some((lot?, RunBillRow { number, bom }));
    Ok(rows.into_iter().filter_map(row).collect())
}

/// Loads, by serial number, the last run that made the piece; those that no run made are left out.
pub fn runs_of_serials(
    conn: &mut Conn,
    serials: &[SerialId],
) -> QueryResult<BTreeMap<SerialId, RunBillRow>> {
    let serials: Vec<Option<SerialId>> = serials.iter().map(|it| Some(*it)).collect();
    let mut rows: Vec<(Option<SerialId>, String, BomId)> = Vec::new();
    for some in serials.chunks(CHUNK) {
        let of_some = bench_moves::table
            .inner_join(movements::table.on(movements::id.eq(bench_moves::movement_id)))
            .inner_join(bench_runs::table.on(bench_runs::id.eq(bench_moves::run_id)))
            .filter(bench_moves::role.eq(Role::Made.as_str()))
            .filter(movements::serial_id.eq_any(some))
            .order(bench_runs::id)
            .select((movements::serial_id, bench_runs::number, bench_runs::bom_id));
        rows.extend(of_some.load::<(Option<SerialId>, String, BomId)>(conn)?);
    }
    let row = |(serial, number, bom): (Option<SerialId>, _, _)| {
        Some((serial?, RunBillRow { number, bom }))
    };
    Ok(rows.into_iter().filter_map(row).collect())
}
