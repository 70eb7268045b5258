//! What pieces cost as they came in, charges on deliveries, and what crossed the door of the house.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use diesel::dsl::max;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::BigInt;

use crate::domain::ids::{MovementId, PlaceId, PurchaseOrderId, VariantId};
use crate::units::{Mass, Money, Quantity};

use super::schema::{
    bench_moves, landed_cost_shares, landed_costs, movement_costs, movements, places,
    purchase_order_lines, receipts, users, variants,
};
use super::{Conn, Tx};

/// Writes what the pieces of a movement cost together; `source` is "price" or "catalogue".
pub fn note_cost(
    conn: &mut Conn,
    movement: MovementId,
    cost: Money,
    source: &str,
) -> QueryResult<()> {
    diesel::insert_into(movement_costs::table)
        .values((
            movement_costs::movement_id.eq(movement),
            movement_costs::cost_cents.eq(cost),
            movement_costs::source.eq(source),
        ))
        .execute(conn)
        .map(drop)
}

/// Pieces that a delivery brought, and what a charge on it is shared by.
#[derive(Debug, Clone, Queryable)]
pub struct DeliveredRow {
    /// The movement.
    pub movement: MovementId,
    /// The part number.
    pub part_number: String,
    /// How many.
    pub quantity: Quantity,
    /// What one weighs.
    pub mass: Mass,
    /// What they cost together.
    pub cost: Money,
}

/// Loads what one delivery note brought of a purchase order, without what was booked wrongly.
pub fn delivered(
    conn: &mut Conn,
    order: PurchaseOrderId,
    delivery_note: &str,
) -> QueryResult<Vec<DeliveredRow>> {
    let reversed: Vec<Option<MovementId>> = movements::table
        .filter(movements::reverses_id.is_not_null())
        .select(movements::reverses_id)
        .load(conn)?;
    let mut rows: Vec<DeliveredRow> = receipts::table
        .inner_join(
            purchase_order_lines::table
                .on(purchase_order_lines::id.eq(receipts::purchase_order_line_id)),
        )
        .inner_join(movements::table.on(movements::request_key.eq(receipts::request_key)))
        .inner_join(variants::table.on(variants::id.eq(movements::variant_id)))
        .inner_join(movement_costs::table.on(movement_costs::movement_id.eq(movements::id)))
        .filter(purchase_order_lines::purchase_order_id.eq(order))
        .filter(receipts::delivery_note.eq(delivery_note))
        .filter(movements::reverses_id.is_null())
        .select((
            movements::id,
            variants::part_number,
            movements::quantity,
            variants::mass_mg,
            movement_costs::cost_cents,
        ))
        .order(movements::id)
        .load(conn)?;
    rows.retain(|it| !reversed.contains(&Some(it.movement)));
    Ok(rows)
}

/// Loads the number of the newest movement; 0 where there is none.
pub fn newest_movement(conn: &mut Conn) -> QueryResult<i64> {
    let newest: Option<i64> = movements::table.select(max(movements::id)).first(conn)?;
    Ok(newest.unwrap_or(0))
}

/// A charge on a delivery to be written.
#[derive(Debug)]
pub struct NewCharge<'a> {
    /// The purchase order.
    pub order: PurchaseOrderId,
    /// The delivery note.
    pub delivery_note: &'a str,
    /// freight, duty, other or price difference.
    pub kind: &'a str,
    /// How much; below zero for a credit.
    pub amount: Money,
    /// value, mass or pieces.
    pub basis: &'a str,
    /// The paper that says so; empty where it is an estimate.
    pub document: &'a str,
    /// What each movement bears.
    pub shares: &'a [(MovementId, Money)],
}

/// Writes a charge with its shares.
pub fn make_charge(tx: &mut Tx<'_>, it: &NewCharge<'_>) -> QueryResult<()> {
    let after = newest_movement(tx.conn)?;
    let id: i64 = diesel::insert_into(landed_costs::table)
        .values((
            landed_costs::purchase_order_id.eq(it.order),
            landed_costs::delivery_note.eq(it.delivery_note),
            landed_costs::kind.eq(it.kind),
            landed_costs::amount_cents.eq(it.amount),
            landed_costs::basis.eq(it.basis),
            landed_costs::document.eq(it.document),
            landed_costs::after_movement.eq(after),
            landed_costs::at.eq(tx.now),
            landed_costs::user_id.eq(tx.who.user()),
        ))
        .returning(landed_costs::id)
        .get_result(tx.conn)?;
    for (movement, amount) in it.shares {
        diesel::insert_into(landed_cost_shares::table)
            .values((
                landed_cost_shares::landed_cost_id.eq(id),
                landed_cost_shares::movement_id.eq(movement),
                landed_cost_shares::amount_cents.eq(amount),
            ))
            .execute(tx.conn)?;
    }
    Ok(())
}

/// A charge on a delivery.
#[derive(Debug, Clone, Queryable)]
pub struct ChargeRow {
    /// The charge.
    pub id: i64,
    /// The delivery note.
    pub delivery_note: String,
    /// freight, duty, other or price difference.
    pub kind: String,
    /// How much.
    pub amount: Money,
    /// value, mass or pieces.
    pub basis: String,
    /// The paper that says so.
    pub document: String,
    /// When it was written.
    pub at: NaiveDateTime,
    /// By whom, where somebody was signed in.
    pub by: Option<String>,
}

/// Loads the charges on a purchase order's deliveries, the newest first.
pub fn charges_of(conn: &mut Conn, order: PurchaseOrderId) -> QueryResult<Vec<ChargeRow>> {
    landed_costs::table
        .left_join(users::table.on(landed_costs::user_id.eq(users::id.nullable())))
        .filter(landed_costs::purchase_order_id.eq(order))
        .select((
            landed_costs::id,
            landed_costs::delivery_note,
            landed_costs::kind,
            landed_costs::amount_cents,
            landed_costs::basis,
            landed_costs::document,
            landed_costs::at,
            users::name.nullable(),
        ))
        .order(landed_costs::id.desc())
        .load(conn)
}

/// Loads what parts bear of a charge: part number, pieces, amount.
pub fn shares_of(conn: &mut Conn, charge: i64) -> QueryResult<Vec<(String, Quantity, Money)>> {
    landed_cost_shares::table
        .inner_join(movements::table.on(movements::id.eq(landed_cost_shares::movement_id)))
        .inner_join(variants::table.on(variants::id.eq(movements::variant_id)))
        .filter(landed_cost_shares::landed_cost_id.eq(charge))
        .select((variants::part_number, movements::quantity, landed_cost_shares::amount_cents))
        .order(landed_cost_shares::id)
        .load(conn)
}

/// A share of a charge, with the place in the order of movements at which it was written.
#[derive(Debug, Clone, Queryable)]
pub struct ShareRow {
    /// The movement that bears it.
    pub movement: MovementId,
    /// How much.
    pub amount: Money,
    /// The newest movement at that moment.
    pub after: i64,
    /// When.
    pub at: NaiveDateTime,
}

/// Loads the shares of all charges, in the order in which they were written.
pub fn shares(conn: &mut Conn) -> QueryResult<Vec<ShareRow>> {
    landed_cost_shares::table
        .inner_join(landed_costs::table.on(landed_costs::id.eq(landed_cost_shares::landed_cost_id)))
        .select((
            landed_cost_shares::movement_id,
            landed_cost_shares::amount_cents,
            landed_costs::after_movement,
            landed_costs::at,
        ))
        .order(landed_cost_shares::id)
        .load(conn)
}

/// A movement that crossed the door of the house, or took a part out of a made piece to scrap.
#[derive(Debug, Clone, Queryable)]
pub struct CrossingRow {
    /// The movement.
    pub id: MovementId,
    /// The variant.
    pub variant: VariantId,
    /// How many pieces.
    pub quantity: Quantity,
    /// The place left.
    pub from: PlaceId,
    /// The place reached.
    pub to: PlaceId,
    /// When.
    pub at: NaiveDateTime,
    /// The movement that it undoes.
    pub reverses: Option<MovementId>,
    /// What the pieces cost together, where that is known.
    pub cost: Option<Money>,
    /// Where that is known from.
    pub source: Option<String>,
    /// The run that it belongs to.
    pub run: Option<i64>,
    /// What it did in the run.
    pub role: Option<String>,
    /// The request that posted it.
    pub request_key: String,
}

/// Loads every movement from or to a place outside, in the order in which they were posted.
pub fn crossings(conn: &mut Conn) -> QueryResult<Vec<CrossingRow>> {
    let outside: Vec<PlaceId> = outside_kinds(conn)?.into_keys().collect();
    movements::table
        .left_join(movement_costs::table.on(movement_costs::movement_id.eq(movements::id)))
        .left_join(bench_moves::table.on(bench_moves::movement_id.eq(movements::id)))
        .filter(movements::from_id.eq_any(&outside).or(movements::to_id.eq_any(&outside)))
        .select((
            movements::id,
            movements::variant_id,
            movements::quantity,
            movements::from_id,
            movements::to_id,
            movements::at,
            movements::reverses_id,
            movement_costs::cost_cents.nullable(),
            movement_costs::source.nullable(),
            bench_moves::run_id.nullable(),
            bench_moves::role.nullable(),
            movements::request_key,
        ))
        .order(movements::id)
        .load(conn)
}

/// Loads the kind of each outside place, in its word.
pub fn outside_kinds(conn: &mut Conn) -> QueryResult<BTreeMap<PlaceId, String>> {
    let rows: Vec<(PlaceId, String)> = places::table
        .filter(places::outside.eq(true))
        .select((places::id, places::kind))
        .load(conn)?;
    Ok(rows.into_iter().collect())
}

#[derive(QueryableByName)]
struct PiecesRow {
    #[diesel(sql_type = BigInt)]
    variant: i64,
    #[diesel(sql_type = BigInt)]
    pieces: i64,
}

/// Loads, by variant, the pieces that the ledger's movements leave inside the house at the end of a
/// day.
pub fn pieces_inside(
    conn: &mut Conn,
    last_day: NaiveDate,
) -> QueryResult<BTreeMap<VariantId, i64>> {
    let next = last_day.succ_opt().unwrap_or(last_day);
    let statement = format!(
        "SELECT m.variant_id AS variant, CAST(SUM(CASE WHEN t.outside THEN 0 ELSE m.quantity END)
            - SUM(CASE WHEN f.outside THEN 0 ELSE m.quantity END) AS BIGINT) AS pieces
         FROM movements m JOIN places f ON f.id = m.from_id JOIN places t ON t.id = m.to_id
         WHERE m.at < '{next}' GROUP BY m.variant_id"
    );
    let rows: Vec<PiecesRow> = sql_query(statement).load(conn)?;
    Ok(rows.into_iter().map(|it| (it.variant.into(), it.pieces)).collect())
}
