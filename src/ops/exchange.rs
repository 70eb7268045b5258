//! Files in and out: each import is taken whole or not at all.

mod card;
mod orders;
mod reference;
mod stock;
mod write;

use serde::{Deserialize, Serialize};

use crate::error::Error;
use crate::exchange::{self, Fault, Kind};
use crate::store::{Tx, catalog, kits as kit_store};

use super::once::{RequestKey, once};
use super::{orders as order_ops, people};
use reference::Known;

pub use write::export;

/// What an import took.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Imported {
    /// What the file held: parts, orders and so on.
    pub kind: String,
    /// How many records were taken.
    pub records: u64,
    /// What came of it, in words.
    pub words: String,
}

/// Imports a file of that kind: every record, or none and every fault by line and column.
///
/// The file's content is its request key, so the same file of stock or orders is taken once.
///
/// # Errors
///
/// [`Error::Faults`].
pub fn import(tx: &mut Tx<'_>, kind: Kind, bytes: &[u8]) -> Result<Imported, Error> {
    people::only_owner(tx.who.role())?;
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
        | Kind::AirCharts => {
            let key = RequestKey::fresh();
            take(tx, kind, bytes, &key)
        }
    }
}

fn take(tx: &mut Tx<'_>, kind: Kind, bytes: &[u8], key: &RequestKey) -> Result<Imported, Error> {
    let records = match kind {
        Kind::Suppliers => suppliers(tx, bytes),
        Kind::Bins => bins(tx, bytes),
        Kind::Parts => parts(tx, bytes),
        Kind::Kits => kits(tx, bytes),
        Kind::Glossary => card::glossary(tx, bytes),
        Kind::AirCharts => card::air_charts(tx, bytes),
        Kind::Stock => stock::import(tx, bytes, key),
        Kind::Orders => orders::import(tx, bytes),
        Kind::PurchaseOrders => orders::import_purchase_orders(tx, bytes),
    }?;
    let held = match kind {
        Kind::Stock | Kind::Orders => {
            let reserved = order_ops::reserve(tx)?;
            format!("; {} pieces held for orders, {} short", reserved.held, reserved.short)
        }
        _ => String::new(),
    };
    let words = format!("{}: {records} imported{held}", kind.as_str());
    Ok(Imported { kind: kind.as_str().to_owned(), records, words })
}

fn suppliers(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<u64, Error> {
    let (records, faults) = exchange::suppliers::read_all(bytes);
    refuse(faults)?;
    for it in &records {
        catalog::put_supplier(tx.conn, &it.value)?;
    }
    Ok(count(&records))
}

fn bins(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<u64, Error> {
    let (records, faults) = exchange::bins::read_all(bytes);
    refuse(faults)?;
    for it in &records {
        catalog::put_bin(tx.conn, &it.value)?;
    }
    order_ops::reserve(tx)?;
    Ok(count(&records))
}

fn parts(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<u64, Error> {
    let (records, mut faults) = exchange::parts::read_all(bytes);
    let known = Known::load(tx.conn)?;
    let moved = catalog::moved_variants(tx.conn)?;
    for it in &records {
        let part = &it.value;
        known.supplier(it.line, part.supplier.as_deref(), &mut faults);
        if let Some(bin) = &part.bin {
            known.bin(it.line, bin.as_str(), &mut faults);
        }
        let old = known.variants.get(part.part_number.as_str());
        let tracked = old.is_some_and(|old| old.tracking != part.tracking.as_str());
        if tracked && moved.iter().any(|it| it == part.part_number.as_str()) {
            let message = format!(
                "{} has moved already, so its tracking stays '{}'",
                part.part_number,
                old.map(|it| it.tracking.as_str()).unwrap_or_default()
            );
            faults.push(Fault { line: it.line, column: "tracking".to_owned(), message });
        }
    }
    refuse(faults)?;
    for it in &records {
        let supplier = it.value.supplier.as_ref().and_then(|it| known.suppliers.get(it)).copied();
        let bin = it.value.bin.as_ref().and_then(|it| known.bins.get(it.as_str())).copied();
        catalog::put_part(tx.conn, &it.value, supplier, bin)?;
    }
    Ok(count(&records))
}

fn kits(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<u64, Error> {
    let (records, mut faults) = exchange::kits::read_all(bytes);
    let known = Known::load(tx.conn)?;
    let mut boms = kit_store::all_boms(tx.conn)?;
    boms.extend(records.iter().map(|it| (it.value.bom.code.clone(), it.value.bom.clone())));
    for it in &records {
        known.bom(it, &boms, &mut faults);
        known.tools(it, &boms, &mut faults);
    }
    refuse(faults)?;
    for it in &records {
        let bom = &it.value.bom;
        let made = bom.makes.as_ref().and_then(|it| known.variants.get(it.as_str()));
        kit_store::put_bom(tx.conn, bom, made.map(|it| it.id))?;
    }
    Ok(count(&records))
}

fn count<T>(records: &[T]) -> u64 {
    u64::try_from(records.len()).unwrap_or(u64::MAX)
}

fn refuse(mut faults: Vec<Fault>) -> Result<(), Error> {
    if faults.is_empty() {
        return Ok(());
    }
    faults.sort();
    faults.dedup();
    Err(Error::Faults(faults))
}
