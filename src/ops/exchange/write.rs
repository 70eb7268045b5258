//! Files out, in the form in which they come in.

use super::RecordKind;
use crate::domain::catalog::{
    BinRecord, Closings, PartRecord, StatedFacts, SupplierRecord, SupplierTerms,
};
use crate::domain::substitution::Rule;
use crate::error::Error;
use crate::exchange::orders::{OrderLine, OrderRecord};
use crate::exchange::purchase_orders::{PurchaseLine, PurchaseOrderRecord};
use crate::exchange::stock::StockRecord;
use crate::exchange::{self, Kind};
use crate::ops::words;
use crate::store::catalog::VariantRow;
use crate::store::{
    Conn, card, catalog, demand, kits, orders, purchasing, reorder, stock, substitution,
};
use crate::units::Quantity;

/// Returns all records of that kind as the text of a CSV file that imports again.
///
/// # Errors
///
/// [`Error::Database`].
pub fn export(conn: &mut Conn, kind: Kind) -> Result<String, Error> {
    Ok(match kind {
        Kind::Suppliers => exchange::suppliers::write(&suppliers(conn)?),
        Kind::Bins => exchange::bins::write(&bins(conn)?),
        Kind::Parts => exchange::parts::write(&parts(conn)?),
        Kind::Kits => exchange::kits::write(&kits::all_boms(conn)?),
        Kind::Glossary => exchange::glossary::write(&card::glossary_entries(conn)?),
        Kind::AirCharts => exchange::air_charts::write(&card::charts(conn)?),
        Kind::Substitutions => exchange::substitutions::write(&substitution::rules(conn)?),
        Kind::Policies => exchange::policies::write(&reorder::policies(conn)?),
        Kind::Plan => exchange::plan::write(&demand::plan(conn)?),
        Kind::DemandHistory => exchange::demand_history::write(&demand::history(conn)?),
        Kind::Stock => exchange::stock::write(&stock_records(conn)?),
        Kind::Orders => exchange::orders::write(&order_records(conn)?),
        Kind::PurchaseOrders => exchange::purchase_orders::write(&purchase_records(conn)?),
    })
}

/// Returns the one record of that kind and key as the text of a CSV file, which is empty but for its
/// heading where there is none.
pub(in crate::ops) fn one(conn: &mut Conn, kind: RecordKind, key: &str) -> Result<String, Error> {
    Ok(match kind {
        RecordKind::Supplier => {
            exchange::suppliers::write(suppliers(conn)?.iter().filter(|it| it.code == key))
        }
        RecordKind::Bin => {
            exchange::bins::write(bins(conn)?.iter().filter(|it| it.code.as_str() == key))
        }
        RecordKind::Part => {
            let row = catalog::variant(conn, key)?;
            exchange::parts::write(row.map(part).transpose()?.iter())
        }
        RecordKind::AirChart => {
            exchange::air_charts::write(card::charts(conn)?.iter().filter(|it| it.code == key))
        }
        RecordKind::Word => {
            let entries = card::glossary_entries(conn)?;
            exchange::glossary::write(entries.iter().filter(|it| it.text == key))
        }
        RecordKind::Rule => {
            let (from, to) = exchange::substitutions::of_key(key);
            let rules = substitution::rules(conn)?;
            let about = |it: &&Rule| it.from.as_str() == from && it.to.as_str() == to;
            exchange::substitutions::write(rules.iter().filter(about))
        }
        RecordKind::Policy => {
            let all = reorder::policies(conn)?;
            exchange::policies::write(all.iter().filter(|it| it.scope.to_string() == key))
        }
        RecordKind::PlannedMonth => {
            let all = demand::plan(conn)?;
            exchange::plan::write(all.iter().filter(|it| exchange::plan::key(it) == key))
        }
    })
}

fn stored<T, E: std::fmt::Display>(read: Result<T, E>) -> Result<T, Error> {
    read.map_err(|fault| Error::Internal(format!("a stored record can't be read: {fault}")))
}

fn suppliers(conn: &mut Conn) -> Result<Vec<SupplierRecord>, Error> {
    let mut closings = purchasing::closings(conn)?;
    catalog::suppliers(conn)?
        .into_iter()
        .map(|it| {
            Ok(SupplierRecord {
                code: it.code,
                name: it.name,
                email: it.email,
                lead_days: words::small(it.lead_days)?,
                lead_sd_tenths: words::small(it.lead_sd_tenths)?,
                address: Some(it.address),
                terms: Some(SupplierTerms {
                    minimum_value: it.minimum_value,
                    order_cost: it.order_cost,
                    budget: it.budget,
                    container_litres: it.container_litres.map(words::small).transpose()?,
                    container_kg: it.container_kg.map(words::small).transpose()?,
                    closed: Closings::of(closings.remove(&it.id).unwrap_or_default()),
                }),
            })
        })
        .collect()
}

fn bins(conn: &mut Conn) -> Result<Vec<BinRecord>, Error> {
    catalog::bins(conn)?
        .into_iter()
        .map(|it| {
            Ok(BinRecord {
                code: stored(it.code.parse())?,
                kind: stored(it.kind.parse())?,
                walk_order: words::small(it.walk_order)?,
                zone: it.zone,
            })
        })
        .collect()
}

fn parts(conn: &mut Conn) -> Result<Vec<PartRecord>, Error> {
    catalog::variants(conn)?.into_iter().map(part).collect()
}

fn part(row: VariantRow) -> Result<PartRecord, Error> {
    Ok(PartRecord {
        part_number: stored(row.part_number.parse())?,
        part: row.part,
        variant: row.variant,
        specification: row.specification,
        attributes: stored(row.attributes.parse())?,
        mass: row.mass,
        mass_sd: row.mass_sd,
        box_size: match row.box_size.as_str() {
            "" => None,
            text => Some(stored(text.parse())?),
        },
        tracking: words::tracking(&row.tracking)?,
        class: words::class(&row.class)?,
        supplier: row.supplier_code,
        supplier_item: row.supplier_item,
        unit_cost: row.unit_cost,
        pack: row.pack,
        minimum_order: row.minimum_order,
        reorder_point: row.reorder_point,
        order_quantity: row.order_quantity,
        bin: row.bin_code.map(|it| stored(it.parse())).transpose()?,
        facts: Some(StatedFacts { facts: stored(row.facts.parse())?, source: row.facts_source }),
    })
}

fn stock_records(conn: &mut Conn) -> Result<Vec<StockRecord>, Error> {
    let mut records = Vec::new();
    for variant in catalog::variants(conn)? {
        for held in stock::held(conn, variant.id)? {
            // Totes and cartons are no bins: what lies there is on its way out.
            let Ok(bin) = held.place_code.parse() else { continue };
            records.push(StockRecord {
                part_number: stored(variant.part_number.parse())?,
                bin,
                quantity: held.quantity,
                lot: held.lot_code,
                use_by: held.use_by,
                serial: held.serial_code,
            });
        }
    }
    Ok(records)
}

fn order_records(conn: &mut Conn) -> Result<Vec<OrderRecord>, Error> {
    let kits = orders::kits(conn)?;
    let lines = orders::order_lines(conn)?;
    let options = orders::kit_options(conn)?;
    orders::orders(conn)?
        .into_iter()
        .map(|order| {
            let mut of_order: Vec<OrderLine> = Vec::new();
            for kit in kits.iter().filter(|it| it.order == order.id) {
                let line_no = lines.iter().find(|(id, _)| *id == kit.id).map_or(1, |it| it.1);
                let line_no = words::small(line_no)?;
                match of_order.iter_mut().find(|it| it.line_no == line_no) {
                    Some(line) => line.quantity = line.quantity.plus(Quantity::ONE),
                    None => of_order.push(OrderLine {
                        line_no,
                        kit: kit.bom_code.clone(),
                        quantity: Quantity::ONE,
                        options: options
                            .iter()
                            .filter(|it| it.0 == kit.id)
                            .map(|it| (it.1.clone(), it.2.clone()))
                            .collect(),
                        at: 0,
                    }),
                }
            }
            Ok(OrderRecord {
                number: order.number,
                placed_on: order.placed_on,
                promised_on: order.promised_on,
                customer: order.customer,
                channel: stored(order.channel.parse())?,
                email: Some(order.email).filter(|it| !it.is_empty()),
                address: order.address,
                country: order.country,
                lines: of_order,
            })
        })
        .collect()
}

fn purchase_records(conn: &mut Conn) -> Result<Vec<PurchaseOrderRecord>, Error> {
    let lines = purchasing::all_lines(conn)?;
    purchasing::purchase_orders(conn)?
        .into_iter()
        .map(|order| {
            let of_order = lines.iter().filter(|it| it.order == order.id);
            Ok(PurchaseOrderRecord {
                lines: of_order
                    .map(|it| {
                        Ok(PurchaseLine {
                            line_no: words::small(it.line_no)?,
                            part_number: stored(it.part_number.parse())?,
                            quantity: it.quantity,
                            price: it.price(),
                            currency: it.currency.clone(),
                            wanted_on: it.wanted_on,
                            at: 0,
                        })
                    })
                    .collect::<Result<_, Error>>()?,
                number: order.number,
                supplier: order.supplier_code,
                ordered_on: order.ordered_on,
                due_on: order.due_on,
                note: order.note,
            })
        })
        .collect()
}
