//! Opening stock, and stock found by a count: it comes in from the place "count difference".

use std::collections::BTreeSet;

use crate::domain::catalog::Tracking;
use crate::domain::ids::PlaceId;
use crate::domain::stock::{Item, Movement, PlaceKind};
use crate::error::Error;
use crate::exchange::stock::StockRecord;
use crate::exchange::{self, At, Fault};
use crate::ops::once::RequestKey;
use crate::ops::{stock as stock_ops, words};
use crate::store::catalog::VariantRow;
use crate::store::stock::Cause;
use crate::store::{Tx, stock, valuation};

use super::reference::Known;
use super::{count, refuse};

pub(super) fn import(tx: &mut Tx<'_>, bytes: &[u8], key: &RequestKey) -> Result<u64, Error> {
    let (records, mut faults) = exchange::stock::read_all(bytes);
    let known = Known::load(tx.conn)?;
    let mut rows: Vec<(&StockRecord, &VariantRow, Tracking, PlaceId)> = Vec::new();
    for it in &records {
        known.bin(it.line, it.value.bin.as_str(), &mut faults);
        let Some(variant) = known.variant(it.line, &it.value.part_number, &mut faults) else {
            continue;
        };
        let tracking = words::tracking(&variant.tracking)?;
        check_tracking(it, tracking, &mut faults);
        if let Some(bin) = known.bins.get(it.value.bin.as_str()) {
            rows.push((&it.value, variant, tracking, *bin));
        }
    }
    check_serials(tx, &records, &known, &mut faults)?;
    refuse(faults)?;
    let difference = stock::outside(tx.conn, PlaceKind::CountDifference)?;
    for (record, variant, tracking, bin) in rows {
        let lot = record.lot.as_deref().unwrap_or_default();
        let serial = record.serial.as_deref().unwrap_or_default();
        let (lot, serial) =
            stock_ops::identity(tx, variant, tracking, lot, serial, true, record.use_by)?;
        let item = Item { variant: variant.id, lot, serial };
        let movement = Movement::new(item, record.quantity, difference, bin)?;
        let cause = Cause {
            request_key: key.as_str(),
            document: "stock import",
            kit_line: None,
            reverses: None,
        };
        let id = stock::post(tx, &movement, cause)?;
        let cost = variant.unit_cost.times(record.quantity.pieces());
        valuation::note_cost(tx.conn, id, cost, "catalogue")?;
    }
    Ok(count(&records))
}

/// Notes a lot or serial number that is wanting or not wanted.
fn check_tracking(it: &At<StockRecord>, tracking: Tracking, faults: &mut Vec<Fault>) {
    let number = &it.value.part_number;
    let mut fault = |column: &str, message: String| {
        faults.push(Fault { line: it.line, column: column.to_owned(), message });
    };
    let (lot, serial) = (it.value.lot.is_some(), it.value.serial.is_some());
    match tracking {
        Tracking::Lot if !lot => fault("lot", format!("{number} is tracked by lot: enter it")),
        Tracking::Serial if !serial => fault(
            "serial",
            format!("{number} is tracked by serial number: one row with its number for each piece"),
        ),
        _ => {}
    }
    if serial && tracking != Tracking::Serial {
        fault("serial", format!("{number} is not tracked by serial number: leave it empty"));
    }
    if lot && tracking != Tracking::Lot {
        fault("lot", format!("{number} is not tracked by lot: leave it empty"));
    }
}

/// Notes serial numbers that the shop has already.
fn check_serials(
    tx: &mut Tx<'_>,
    records: &[At<StockRecord>],
    known: &Known,
    faults: &mut Vec<Fault>,
) -> Result<(), Error> {
    let mut seen = BTreeSet::new();
    for it in records {
        let (Some(serial), Some(variant)) =
            (&it.value.serial, known.variants.get(it.value.part_number.as_str()))
        else {
            continue;
        };
        let in_file = !seen.insert((variant.id, serial.clone()));
        if in_file || stock::serial(tx.conn, variant.id, serial)?.is_some() {
            let message =
                format!("serial number '{serial}' is in the books already: read it again");
            faults.push(Fault { line: it.line, column: "serial".to_owned(), message });
        }
    }
    Ok(())
}
