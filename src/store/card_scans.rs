//! Which cards of empty bins were scanned and what that ordered; which bins somebody was told of.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{PurchaseOrderId, UserId, VariantId};
use crate::units::Quantity;

use super::dialect::insert_many;
use super::schema::{bin_alerts, card_scans, parts, purchase_orders, users, variants};
use super::{Conn, Tx};

/// A scan as stored.
#[derive(Debug, Clone, Queryable)]
pub struct CardScanRow {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// When.
    pub at: NaiveDateTime,
    /// Who.
    pub person: String,
    /// Pieces that it ordered.
    pub quantity: Quantity,
    /// The purchase order's number.
    pub purchase_order: String,
    /// The number of the line on it.
    pub line: i64,
}

macro_rules! scan_rows {
    () => {
        card_scans::table
            .inner_join(variants::table.on(variants::id.eq(card_scans::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .inner_join(users::table.on(users::id.eq(card_scans::user_id)))
            .inner_join(
                purchase_orders::table.on(purchase_orders::id.eq(card_scans::purchase_order_id)),
            )
            .select((
                variants::part_number,
                parts::name,
                variants::variant,
                card_scans::scanned_at,
                users::name,
                card_scans::quantity,
                purchase_orders::number,
                card_scans::line_no,
            ))
            .order(card_scans::id.desc())
    };
}

/// Loads the newest scan of a part's card.
pub fn newest_of(conn: &mut Conn, variant: VariantId) -> QueryResult<Option<CardScanRow>> {
    scan_rows!().filter(card_scans::variant_id.eq(variant)).first(conn).optional()
}

/// Loads the newest scans, at most so many.
pub fn newest(conn: &mut Conn, most: i64) -> QueryResult<Vec<CardScanRow>> {
    scan_rows!().limit(most).load(conn)
}

/// Writes that a card was scanned and what it ordered.
pub fn make(
    tx: &mut Tx<'_>,
    (variant, user): (VariantId, UserId),
    quantity: Quantity,
    (order, line): (PurchaseOrderId, i64),
) -> QueryResult<()> {
    diesel::insert_into(card_scans::table)
        .values((
            card_scans::variant_id.eq(variant),
            card_scans::scanned_at.eq(tx.now),
            card_scans::user_id.eq(user),
            card_scans::quantity.eq(quantity),
            card_scans::purchase_order_id.eq(order),
            card_scans::line_no.eq(line),
        ))
        .execute(tx.conn)
        .map(drop)
}

/// Loads the parts whose bins somebody was told of.
pub fn told(conn: &mut Conn) -> QueryResult<Vec<VariantId>> {
    bin_alerts::table.select(bin_alerts::variant_id).order(bin_alerts::variant_id).load(conn)
}

/// Writes that somebody was told of the bins of parts.
pub fn note_told(conn: &mut Conn, variants: &[VariantId], on: NaiveDate) -> QueryResult<()> {
    let values: Vec<_> = variants
        .iter()
        .map(|it| (bin_alerts::variant_id.eq(*it), bin_alerts::told_on.eq(on)))
        .collect();
    insert_many!(conn, bin_alerts::table, values)
}

/// Forgets that somebody was told of the bins of parts.
pub fn forget_told(conn: &mut Conn, variants: &[VariantId]) -> QueryResult<()> {
    diesel::delete(bin_alerts::table.filter(bin_alerts::variant_id.eq_any(variants)))
        .execute(conn)
        .map(drop)
}
