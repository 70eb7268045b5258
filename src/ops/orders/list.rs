use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::error::Error;
use crate::ops::shortages;
use crate::store::orders::OrderRow;
use crate::store::{Conn, orders};

use super::{Findings, OrderView, views};

/// The most orders with nothing left in the house that one list shows; others are looked for.
const MOST_CLOSED: usize = 200;

/// Orders that answer to what was looked for.
#[derive(Debug, Clone, Default)]
pub struct Listed {
    /// Those in the house by promised date; then those that have left or were cancelled, the latest
    /// promise first.
    pub orders: Vec<OrderView>,
    /// How many more have left.
    pub more: usize,
}

/// Loads the orders of which something is still in the house, or is to be, by promised date, each with
/// its kits and alerts.
///
/// # Errors
///
/// [`Error::Database`].
pub fn open(conn: &mut Conn, today: NaiveDate) -> Result<Vec<OrderView>, Error> {
    let orders = orders::open_orders(conn)?;
    asked_around(conn, orders, today)
}

/// Loads the orders whose number, customer or kits have all words of `query`.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, query: &str, today: NaiveDate) -> Result<Listed, Error> {
    let words: Vec<String> = query.split_whitespace().map(str::to_lowercase).collect();
    let mut open = orders::open_orders(conn)?;
    let (mut closed, more) = if words.is_empty() {
        let all = usize::try_from(orders::count(conn)?).unwrap_or_default();
        let most = i64::try_from(MOST_CLOSED).ok();
        let closed = orders::closed_orders(conn, most)?;
        let more = all.saturating_sub(open.len() + closed.len());
        (closed, more)
    } else {
        let mut kits: BTreeMap<_, String> = BTreeMap::new();
        for (order, number) in orders::kit_numbers(conn)? {
            let numbers = kits.entry(order).or_default();
            numbers.push(' ');
            numbers.push_str(&number);
        }
        let answers = |it: &OrderRow| {
            let kits = kits.get(&it.id).map(String::as_str).unwrap_or_default();
            let text = format!("{} {}{kits}", it.number, it.customer).to_lowercase();
            words.iter().all(|word| text.contains(word))
        };
        let mut closed = orders::closed_orders(conn, None)?;
        open.retain(answers);
        closed.retain(answers);
        let more = closed.len().saturating_sub(MOST_CLOSED);
        (closed, more)
    };
    closed.truncate(MOST_CLOSED);
    open.append(&mut closed);
    Ok(Listed { orders: asked_around(conn, open, today)?, more })
}

fn asked_around(
    conn: &mut Conn,
    orders: Vec<OrderRow>,
    today: NaiveDate,
) -> Result<Vec<OrderView>, Error> {
    let mut views = views(conn, orders, Findings::Misfits)?;
    let mut alerts: Vec<_> = views.iter_mut().flat_map(|it| &mut it.alerts).collect();
    shortages::ask_around(conn, &mut alerts, today)?;
    Ok(views)
}

/// Loads the orders of which something is still in the house, or is to be, without asking the bench
/// what it can make.
pub(in crate::ops) fn unasked(conn: &mut Conn) -> Result<Vec<OrderView>, Error> {
    let orders = orders::open_orders(conn)?;
    views(conn, orders, Findings::Misfits)
}
