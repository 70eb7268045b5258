//! What deliveries cost, by supplier and month.

use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Text};

use super::Conn;

/// Good pieces that a supplier delivered in a month at one price.
#[derive(Debug, Clone, PartialEq, Eq, QueryableByName)]
pub struct DeliveredRow {
    /// The supplier's code.
    #[diesel(sql_type = Text)]
    pub code: String,
    /// The supplier's name.
    #[diesel(sql_type = Text)]
    pub name: String,
    /// The month, as "2026-11".
    #[diesel(sql_type = Text)]
    pub month: String,
    /// What so many pieces cost, in cents.
    #[diesel(sql_type = BigInt)]
    pub price_cents: i64,
    /// The pieces that the price is for.
    #[diesel(sql_type = BigInt)]
    pub price_per: i64,
    /// The currency; empty where it is the shop's own.
    #[diesel(sql_type = Text)]
    pub currency: String,
    /// How many pieces.
    #[diesel(sql_type = BigInt)]
    pub pieces: i64,
}

/// Deliveries that were booked back count as never come; damaged pieces wait for the supplier's word.
const DELIVERED: &str = "
SELECT s.code AS code, s.name AS name,
    substr(CAST(date(r.received_at) AS TEXT), 1, 7) AS month,
    l.unit_price_cents AS price_cents, l.price_per AS price_per, l.currency AS currency,
    CAST(SUM(m.quantity) AS BIGINT) AS pieces
FROM receipts r
JOIN movements m ON m.request_key = r.request_key
JOIN places f ON f.id = m.from_id
JOIN places t ON t.id = m.to_id
JOIN purchase_order_lines l ON l.id = r.purchase_order_line_id
JOIN purchase_orders o ON o.id = l.purchase_order_id
JOIN suppliers s ON s.id = o.supplier_id
WHERE f.kind = 'supplier' AND t.kind = 'bin'
    AND NOT EXISTS (SELECT 1 FROM movements x WHERE x.reverses_id = m.id)
GROUP BY 1, 2, 3, 4, 5, 6 ORDER BY 1, 3, 4, 5, 6";

/// Loads what every supplier delivered, by month and price.
pub fn delivered(conn: &mut Conn) -> QueryResult<Vec<DeliveredRow>> {
    sql_query(DELIVERED).load(conn)
}
