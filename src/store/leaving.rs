//! Which orders somebody chose to be served first.

use std::collections::BTreeSet;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{KitId, OrderId};

use super::dialect::insert_many;
use super::schema::{kits, leaving_orders, orders, users};
use super::{Conn, Tx};

/// A choice that holds.
#[derive(Debug, Clone, Queryable)]
pub struct ChosenRow {
    /// The order's number.
    pub order: String,
    /// When it was chosen.
    pub at: NaiveDateTime,
    /// By whom; nobody where the program did.
    pub by: Option<String>,
}

/// Loads the orders that were chosen, by number.
pub fn chosen(conn: &mut Conn) -> QueryResult<Vec<ChosenRow>> {
    leaving_orders::table
        .inner_join(orders::table.on(orders::id.eq(leaving_orders::order_id)))
        .left_join(users::table.on(leaving_orders::chosen_by.eq(users::id.nullable())))
        .select((orders::number, leaving_orders::chosen_at, users::name.nullable()))
        .order(orders::number)
        .load(conn)
}

/// Loads the kits of the orders that were chosen.
pub fn kits_first(conn: &mut Conn) -> QueryResult<BTreeSet<KitId>> {
    let rows: Vec<KitId> = kits::table
        .filter(kits::order_id.eq_any(leaving_orders::table.select(leaving_orders::order_id)))
        .select(kits::id)
        .load(conn)?;
    Ok(rows.into_iter().collect())
}

/// Chooses these orders in the place of those chosen before.
pub fn choose(tx: &mut Tx<'_>, chosen: &[OrderId]) -> QueryResult<()> {
    diesel::delete(leaving_orders::table).execute(tx.conn)?;
    let (at, by) = (tx.now, tx.who.user().map(i64::from));
    let rows: Vec<_> = chosen
        .iter()
        .map(|it| {
            (
                leaving_orders::order_id.eq(i64::from(*it)),
                leaving_orders::chosen_at.eq(at),
                leaving_orders::chosen_by.eq(by),
            )
        })
        .collect();
    insert_many!(&mut *tx.conn, leaving_orders::table, rows)
}
