//! The answer to a wrong movement: a second one that leads back.

use crate::domain::bench::BenchError;
use crate::domain::stock::{Movement, StockError};
use crate::error::Error;
use crate::store::stock::Cause;
use crate::store::{Tx, bench, orders, stock};

use super::once::{RequestKey, once};
use super::stock::{Posted, post};
use super::{orders as order_ops, receiving};

/// Posts the movement that undoes another one.
///
/// # Errors
///
/// [`StockError::Reversed`] when it is undone already or undoes one itself,
/// [`StockError::BelongsToKit`] when the kit's own page must undo it, [`BenchError::BelongsToRun`]
/// when the pieces must be taken apart, [`StockError::NotEnough`] when its pieces have gone on.
pub fn reverse(tx: &mut Tx<'_>, key: &RequestKey, id: i64) -> Result<Posted, Error> {
    once(tx, key, "stock.reverse", &id, |tx| {
        let row = stock::movement(tx.conn, id.into())?
            .ok_or_else(|| Error::not_found("movement", id.to_string()))?;
        if row.reverses.is_some() || stock::is_reversed(tx.conn, row.id)? {
            return Err(StockError::Reversed { movement: id }.into());
        }
        if let Some(run) = bench::runs_of_movements(tx.conn, &[row.id])?.remove(&row.id) {
            return Err(BenchError::BelongsToRun { movement: id, run }.into());
        }
        if let Some(line) = row.kit_line {
            let kit = orders::kit_of_line(tx.conn, line)?;
            return Err(StockError::BelongsToKit { movement: id, kit }.into());
        }
        let movement = Movement::new(stock::item_of(&row), row.quantity, row.to, row.from)?;
        let document = format!("reverses movement {id}");
        let cause = Cause {
            request_key: key.as_str(),
            document: &document,
            kit_line: None,
            reverses: Some(row.id),
        };
        stock::release_at(tx.conn, row.variant, row.to)?;
        let movement = post(tx, &row.part_number, &movement, cause)?;
        receiving::count_off(tx, key, row.id, row.quantity)?;
        order_ops::reserve(tx)?;
        Ok(Posted { movement: movement.into() })
    })
}
