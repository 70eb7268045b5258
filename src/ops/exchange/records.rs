//! What a file or a form states that there is to be: suppliers, bins, parts, and whatever else is a
//! record with a key.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalog::{BinRecord, PartRecord, SupplierRecord};
use crate::domain::kits::{Bom, BomItem};
use crate::error::Error;
use crate::exchange::{self, At, Fault, Kind, Read};
use crate::store::{Tx, catalog, kits as kit_store};

use super::super::orders as order_ops;
use super::reference::Known;
use super::{card, demand, refuse, substitutions};

/// Takes a file's records, and returns their keys.
pub(super) fn import(tx: &mut Tx<'_>, kind: Kind, bytes: &[u8]) -> Result<Vec<String>, Error> {
    match kind {
        Kind::Suppliers => suppliers(tx, exchange::suppliers::read_all(bytes)),
        Kind::Bins => bins(tx, exchange::bins::read_all(bytes)),
        Kind::Parts => parts(tx, exchange::parts::read_all(bytes)),
        Kind::Kits => super::kits::import(tx, bytes),
        Kind::Glossary => card::glossary(tx, exchange::glossary::read_all(bytes)),
        Kind::AirCharts => card::air_charts(tx, exchange::air_charts::read_all(bytes)),
        Kind::Substitutions => substitutions::rules(tx, exchange::substitutions::read_all(bytes)),
        Kind::Policies => demand::policies(tx, exchange::policies::read_all(bytes)),
        Kind::Plan => demand::plan(tx, exchange::plan::read_all(bytes)),
        Kind::DemandHistory | Kind::Stock | Kind::Orders | Kind::PurchaseOrders => Ok(Vec::new()),
    }
}

pub(super) fn suppliers(
    tx: &mut Tx<'_>,
    (records, faults): Read<SupplierRecord>,
) -> Result<Vec<String>, Error> {
    refuse(faults)?;
    for it in &records {
        catalog::put_supplier(tx.conn, &it.value)?;
    }
    Ok(records.into_iter().map(|it| it.value.code).collect())
}

pub(super) fn bins(
    tx: &mut Tx<'_>,
    (records, faults): Read<BinRecord>,
) -> Result<Vec<String>, Error> {
    refuse(faults)?;
    for it in &records {
        catalog::put_bin(tx.conn, &it.value)?;
    }
    order_ops::reserve(tx)?;
    Ok(records.into_iter().map(|it| it.value.code.to_string()).collect())
}

pub(super) fn parts(
    tx: &mut Tx<'_>,
    (records, mut faults): Read<PartRecord>,
) -> Result<Vec<String>, Error> {
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
