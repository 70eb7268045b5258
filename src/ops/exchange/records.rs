//! Suppliers, bins, parts and kits: a file or a form states what they are to be.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalog::{BinRecord, PartRecord, SupplierRecord};
use crate::domain::kits::{Bom, BomItem};
use crate::error::Error;
use crate::exchange::{self, At, Fault, Kind, Read};
use crate::store::{Tx, catalog, kits as kit_store};

use super::super::orders as order_ops;
use super::reference::Known;
use super::refuse;

/// What is entered one record at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordKind {
    /// Who sells to the shop.
    Supplier,
    /// A place of the house.
    Bin,
    /// A part number.
    Part,
}

impl RecordKind {
    /// Returns the kind of file that holds such records.
    pub const fn file(self) -> Kind {
        match self {
            Self::Supplier => Kind::Suppliers,
            Self::Bin => Kind::Bins,
            Self::Part => Kind::Parts,
        }
    }

    /// Returns the columns of such a record; the first is its key.
    pub const fn columns(self) -> &'static [&'static str] {
        match self {
            Self::Supplier => &exchange::suppliers::COLUMNS,
            Self::Bin => &exchange::bins::COLUMNS,
            Self::Part => &exchange::parts::COLUMNS,
        }
    }

    /// Returns what such a record is called.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Supplier => "supplier",
            Self::Bin => "bin",
            Self::Part => "part number",
        }
    }
}

/// Takes a file's records, and returns their keys.
pub(super) fn import(tx: &mut Tx<'_>, kind: Kind, bytes: &[u8]) -> Result<Vec<String>, Error> {
    match kind {
        Kind::Suppliers => suppliers(tx, exchange::suppliers::read_all(bytes)),
        Kind::Bins => bins(tx, exchange::bins::read_all(bytes)),
        Kind::Parts => parts(tx, exchange::parts::read_all(bytes)),
        Kind::Kits => super::kits::import(tx, bytes),
        Kind::Glossary
        | Kind::AirCharts
        | Kind::Substitutions
        | Kind::Stock
        | Kind::Orders
        | Kind::PurchaseOrders => Ok(Vec::new()),
    }
}

/// Takes one record whose columns hold what `cell` returns, by the same rules as a file's; returns
/// its key. Where it is to be new, one of that key must not be there.
pub(in crate::ops) fn take_entry(
    tx: &mut Tx<'_>,
    kind: RecordKind,
    new: bool,
    cell: impl Fn(&str) -> String,
) -> Result<String, Error> {
    let keys = match kind {
        RecordKind::Supplier => {
            let mut read = exchange::suppliers::read_entry(cell);
            if new {
                let known = catalog::supplier_ids(tx.conn)?;
                must_be_new(kind, &mut read, |it| it.code.clone(), |key| known.contains_key(key));
            }
            suppliers(tx, read)
        }
        RecordKind::Bin => {
            let mut read = exchange::bins::read_entry(cell);
            if new {
                let known = catalog::bins(tx.conn)?;
                let there = |key: &str| known.iter().any(|it| it.code == key);
                must_be_new(kind, &mut read, |it| it.code.to_string(), there);
            }
            bins(tx, read)
        }
        RecordKind::Part => {
            let mut read = exchange::parts::read_entry(cell);
            if new {
                let known = catalog::variants(tx.conn)?;
                let there = |key: &str| known.iter().any(|it| it.part_number == key);
                must_be_new(kind, &mut read, |it| it.part_number.to_string(), there);
            }
            parts(tx, read)
        }
    };
    match keys {
        Ok(keys) => Ok(keys.into_iter().next().unwrap_or_default()),
        Err(Error::Faults(faults)) => Err(Error::Entry(faults)),
        Err(error) => Err(error),
    }
}

fn must_be_new<T>(
    kind: RecordKind,
    read: &mut Read<T>,
    key: impl Fn(&T) -> String,
    there: impl Fn(&str) -> bool,
) {
    for it in &read.0 {
        let key = key(&it.value);
        if there(&key) {
            let column = kind.columns().first().copied().unwrap_or_default().to_owned();
            let message =
                format!("there is {} {key} already: take another, or edit it", kind.words());
            read.1.push(Fault { line: it.line, column, message });
        }
    }
}

fn suppliers(
    tx: &mut Tx<'_>,
    (records, faults): Read<SupplierRecord>,
) -> Result<Vec<String>, Error> {
    refuse(faults)?;
    for it in &records {
        catalog::put_supplier(tx.conn, &it.value)?;
    }
    Ok(records.into_iter().map(|it| it.value.code).collect())
}

fn bins(tx: &mut Tx<'_>, (records, faults): Read<BinRecord>) -> Result<Vec<String>, Error> {
    refuse(faults)?;
    for it in &records {
        catalog::put_bin(tx.conn, &it.value)?;
    }
    order_ops::reserve(tx)?;
    Ok(records.into_iter().map(|it| it.value.code.to_string()).collect())
}

fn parts(tx: &mut Tx<'_>, (records, mut faults): Read<PartRecord>) -> Result<Vec<String>, Error> {
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
    names_kept(&known, &records, &kit_store::all_boms(tx.conn)?, &mut faults);
    refuse(faults)?;
    for it in &records {
        let supplier = it.value.supplier.as_ref().and_then(|it| known.suppliers.get(it)).copied();
        let bin = it.value.bin.as_ref().and_then(|it| known.bins.get(it.as_str())).copied();
        catalog::put_part(tx.conn, &it.value, supplier, bin)?;
    }
    Ok(records.into_iter().map(|it| it.value.part_number.to_string()).collect())
}

/// Notes each part that takes another base part's name and is the last of the old one, where a kit
/// calls for that.
fn names_kept(known: &Known, records: &[At<PartRecord>], boms: &[Bom], faults: &mut Vec<Fault>) {
    let mut names: BTreeMap<&str, &str> =
        known.variants.values().map(|it| (it.part_number.as_str(), it.part.as_str())).collect();
    names.extend(records.iter().map(|it| (it.value.part_number.as_str(), it.value.part.as_str())));
    let left: BTreeSet<&str> = names.into_values().collect();
    for it in records {
        let Some(old) = known.variants.get(it.value.part_number.as_str()) else { continue };
        let calls =
            |bom: &&Bom| bom.lines.iter().any(|line| line.item == BomItem::Part(old.part.clone()));
        if let Some(bom) = boms.iter().find(calls).filter(|_| !left.contains(old.part.as_str())) {
            let message = format!(
                "kit {} calls for '{}', and no part number would keep that name: change the kit \
                 first",
                bom.code, old.part
            );
            faults.push(Fault { line: it.line, column: "part".to_owned(), message });
        }
    }
}
