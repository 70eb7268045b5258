//! Orders from customers, and purchase orders that were sent to suppliers.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::codes::KitNumber;
use crate::domain::ids::BomId;
use crate::domain::kits::{Bom, KitError, resolve, revision};
use crate::error::Error;
use crate::exchange::orders::{OrderLine, OrderRecord};
use crate::exchange::{self, At, Fault};
use crate::ops::kits::as_variant;
use crate::ops::substitution::Succession;
use crate::store::orders::{NewKit, NewLine};
use crate::store::purchasing::{NewPurchaseLine, NewPurchaseOrder};
use crate::store::{Tx, kits, orders, people, purchasing};
use crate::units::Quantity;

use super::reference::Known;
use super::{count, refuse};

/// The most kits that one line of an order may ask for.
const MOST_KITS: Quantity = Quantity::new(500);

/// What one kit of an order line consists of.
type Lines = Vec<NewLine>;

pub(super) fn import(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<u64, Error> {
    let (records, mut faults) = exchange::orders::read_all(bytes);
    let resolver = Resolver {
        known: Known::load(tx.conn)?,
        days: bills_by_day(tx, &records)?,
        ids: kits::bom_ids(tx.conn)?,
    };
    let mut resolved: Vec<(&OrderRecord, Vec<(&OrderLine, Lines)>)> = Vec::new();
    for it in &records {
        if orders::order(tx.conn, &it.value.number)?.is_some() {
            let message =
                format!("order '{}' is here already: leave it out of the file", it.value.number);
            faults.push(Fault { line: it.line, column: "order".to_owned(), message });
        }
        let lines = it
            .value
            .lines
            .iter()
            .filter_map(|line| Some((line, resolver.lines(it.value.placed_on, line, &mut faults)?)))
            .collect();
        resolved.push((&it.value, lines));
    }
    refuse(faults)?;
    let mut succession = Succession::load(tx.conn, tx.today())?;
    for (order, lines) in &resolved {
        make_order(tx, &resolver, &mut succession, order, lines)?;
    }
    Ok(count(&records))
}

/// Loads, for the day of each order, the bills in force on it.
fn bills_by_day(
    tx: &mut Tx<'_>,
    records: &[At<OrderRecord>],
) -> Result<BTreeMap<NaiveDate, Bills>, Error> {
    let all = kits::all_boms(tx.conn)?;
    let days = records.iter().map(|it| it.value.placed_on);
    Ok(days.map(|day| (day, revision::on_day(&all, day))).collect())
}

/// The bills in force on one day, by code.
type Bills = BTreeMap<String, Bom>;

struct Resolver {
    known: Known,
    days: BTreeMap<NaiveDate, Bills>,
    ids: BTreeMap<(String, String), BomId>,
}

impl Resolver {
    /// Returns what an order line's kit consists of, or notes why it can't be told.
    fn lines(&self, day: NaiveDate, line: &OrderLine, faults: &mut Vec<Fault>) -> Option<Lines> {
        let boms = self.days.get(&day)?;
        let mut fault = |column: &str, message: String| {
            faults.push(Fault { line: line.at, column: column.to_owned(), message });
        };
        if !line.quantity.is_some() || MOST_KITS < line.quantity {
            fault("quantity", format!("order from 1 to {MOST_KITS} kits on one line"));
        }
        let is_known = self.ids.keys().any(|(code, _)| *code == line.kit);
        if is_known && !boms.contains_key(&line.kit) {
            fault("kit", format!("kit '{}' is a draft as yet: release it first", line.kit));
            return None;
        }
        if boms.get(&line.kit).is_some_and(|bom| bom.makes.is_some() || bom.steps.is_empty()) {
            fault("kit", format!("'{}' is part of a kit and not sold by itself", line.kit));
            return None;
        }
        let variants: Vec<_> = self.known.variants.values().filter_map(as_variant).collect();
        match resolve(boms, &line.kit, &line.options, &variants) {
            Err(errors) => {
                for error in errors {
                    fault(&column_of(&error), error.to_string());
                }
                None
            }
            Ok(resolved) => resolved
                .into_iter()
                .map(|it| {
                    let row = self.known.variants.get(it.part_number.as_str())?;
                    Some((it.step, row.id, it.quantity, it.carton.max(1)))
                })
                .collect(),
        }
    }
}

/// Returns the column to mend: the option that is wrong, or else the kit.
fn column_of(error: &KitError) -> String {
    match error {
        KitError::OptionMissing { option, .. }
        | KitError::OptionUnknown { option, .. }
        | KitError::ValueUnknown { option, .. } => option.clone(),
        _ => "kit".to_owned(),
    }
}

fn make_order(
    tx: &mut Tx<'_>,
    resolver: &Resolver,
    succession: &mut Succession,
    record: &OrderRecord,
    lines: &[(&OrderLine, Lines)],
) -> Result<(), Error> {
    let order = orders::make_order(tx.conn, record)?;
    for (line, parts) in lines {
        let bom = resolver.days.get(&record.placed_on).and_then(|it| it.get(&line.kit));
        let id = bom.and_then(|it| resolver.ids.get(&(it.code.clone(), it.revision.clone())));
        let (Some(bom), Some(id)) = (bom, id) else {
            return Err(Error::Internal(format!("kit {} is gone", line.kit)));
        };
        let options: Vec<(&str, &str)> = bom
            .options
            .iter()
            .filter_map(|it| Some((it.name.as_str(), line.options.get(&it.name)?.as_str())))
            .collect();
        for piece_no in 1..=line.quantity.pieces() {
            let number = next_kit_number(tx)?;
            let succeeded = succession.apply(parts, record.placed_on);
            let kit = NewKit {
                number: number.as_str(),
                order,
                line_no: line.line_no,
                piece_no,
                bom: *id,
                revision: &bom.revision,
                bills_on: record.placed_on,
                options: &options,
                lines: &succeeded.lines,
            };
            let kit = orders::make_kit(tx.conn, &kit)?;
            succeeded.note(tx.conn, kit, tx.who.user(), tx.now)?;
        }
    }
    Ok(())
}

fn next_kit_number(tx: &mut Tx<'_>) -> Result<KitNumber, Error> {
    let count = people::next_number(tx.conn, "kit")?;
    u32::try_from(count)
        .ok()
        .and_then(KitNumber::nth)
        .ok_or_else(|| Error::Internal("the kit numbers are used up".to_owned()))
}

pub(super) fn import_purchase_orders(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<u64, Error> {
    let (records, mut faults) = exchange::purchase_orders::read_all(bytes);
    let known = Known::load(tx.conn)?;
    for At { line, value } in &records {
        known.supplier(*line, Some(&value.supplier), &mut faults);
        if purchasing::purchase_order(tx.conn, &value.number)?.is_some() {
            let message = format!(
                "purchase order '{}' is here already: leave it out of the file",
                value.number
            );
            faults.push(Fault { line: *line, column: "purchase_order".to_owned(), message });
        }
        for it in &value.lines {
            known.variant(it.at, &it.part_number, &mut faults);
            if !it.quantity.is_some() {
                let message = "order 1 piece or more".to_owned();
                faults.push(Fault { line: it.at, column: "quantity".to_owned(), message });
            }
        }
    }
    refuse(faults)?;
    for At { value, .. } in &records {
        let Some(supplier) = known.suppliers.get(&value.supplier) else { continue };
        let head = NewPurchaseOrder {
            number: &value.number,
            supplier: *supplier,
            ordered_on: value.ordered_on,
            due_on: value.due_on,
            note: &value.note,
        };
        let order = purchasing::make_purchase_order(tx.conn, &head)?;
        for it in &value.lines {
            let Some(variant) = known.variants.get(it.part_number.as_str()) else { continue };
            let line = NewPurchaseLine {
                order,
                line_no: i64::from(it.line_no),
                variant: variant.id,
                quantity: it.quantity,
                price: it.price,
                currency: &it.currency,
                wanted_on: it.wanted_on,
                reason: "",
                revision: 1,
            };
            purchasing::make_line(tx.conn, &line)?;
        }
    }
    Ok(count(&records))
}
