//! Files in and out: each import is taken whole or not at all.

mod card;
mod demand;
mod entry;
mod kind;
pub(super) mod kits;
mod orders;
mod records;
mod reference;
mod stock;
mod substitutions;
mod write;

use serde::{Deserialize, Serialize};

use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::{self, Fault, Kind, Records};
use crate::store::Tx;

use super::changes::{self, Comparison};
use super::once::{RequestKey, once};
use super::{orders as order_ops, people};

pub(super) use entry::take_entry;
pub use kind::RecordKind;
pub use write::export;
pub(super) use write::one as export_one;

/// What an import took.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Imported {
    /// What the file held: parts, orders and so on.
    pub kind: String,
    /// How many records were taken.
    pub records: u64,
    /// What came of it, in words.
    pub words: String,
    /// What it changed; none for demand history, stock, orders and purchase orders.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub changes: Option<Comparison>,
}

/// Imports a file of that kind: every record, or none and every fault by line and column.
///
/// The file's content is its request key, so the same file of stock or orders is taken once.
///
/// # Errors
///
/// [`Error::Faults`].
pub fn import(tx: &mut Tx<'_>, kind: Kind, bytes: &[u8]) -> Result<Imported, Error> {
    people::check(tx.who.role(), Permission::ManageOrders)?;
    match kind {
        Kind::Stock | Kind::Orders | Kind::PurchaseOrders => {
            let key = RequestKey::of_content(kind.as_str(), bytes);
            let digest = key.as_str().to_owned();
            once(tx, &key, "exchange.import", &digest, |tx| take(tx, kind, bytes, &key))
        }
        // These only state what is so: the same file twice changes nothing, and after another
        // file has changed a record, the first may change it back.
        Kind::Suppliers
        | Kind::Bins
        | Kind::Parts
        | Kind::Kits
        | Kind::Glossary
        | Kind::AirCharts
        | Kind::Substitutions
        | Kind::Policies
        | Kind::Plan
        | Kind::DemandHistory => {
            let key = RequestKey::fresh();
            take(tx, kind, bytes, &key)
        }
    }
}

fn take(tx: &mut Tx<'_>, kind: Kind, bytes: &[u8], key: &RequestKey) -> Result<Imported, Error> {
    let mut changes = None;
    let records = match kind {
        Kind::Suppliers
        | Kind::Bins
        | Kind::Parts
        | Kind::Kits
        | Kind::Glossary
        | Kind::AirCharts
        | Kind::Substitutions
        | Kind::Policies
        | Kind::Plan => {
            let before = Records::of(kind, &export(tx.conn, kind)?);
            let keys = records::import(tx, kind, bytes)?;
            let after = Records::of(kind, &export(tx.conn, kind)?);
            let compared = Comparison::of(&before, &after, &keys);
            changes::note(tx, kind, true, &compared.changed)?;
            changes = Some(compared);
            count(&keys)
        }
        // Thousands of rows that nobody edits: what they were before is not kept.
        Kind::DemandHistory => demand::history(tx, exchange::demand_history::read_all(bytes))?,
        Kind::Stock => stock::import(tx, bytes, key)?,
        Kind::Orders => orders::import(tx, bytes)?,
        Kind::PurchaseOrders => orders::import_purchase_orders(tx, bytes)?,
    };
    let more = match (&changes, kind) {
        (Some(compared), _) => format!(": {}", compared.words()),
        (None, Kind::Stock | Kind::Orders) => {
            let reserved = order_ops::reserve(tx)?;
            format!("; {} pieces held for orders, {} short", reserved.held, reserved.short)
        }
        _ => String::new(),
    };
    let words = format!("{}: {records} imported{more}", kind.as_str());
    Ok(Imported { kind: kind.as_str().to_owned(), records, words, changes })
}

fn count<T>(records: &[T]) -> u64 {
    u64::try_from(records.len()).unwrap_or(u64::MAX)
}

pub(super) fn refuse(mut faults: Vec<Fault>) -> Result<(), Error> {
    if faults.is_empty() {
        return Ok(());
    }
    faults.sort();
    faults.dedup();
    Err(Error::Faults(faults))
}
