//! Documents of UBL 2.1 for other people's systems: an order, and what left the house.

use std::collections::BTreeMap;

use crate::domain::ids::{KitLineId, PlaceId};
use crate::domain::stock::PlaceKind;
use crate::error::Error;
use crate::exchange::ubl::{
    Despatch, DespatchLine, Forbidden, Goods, LineStatus, Order, OrderLine, Party, Price,
};
use crate::store::orders::KitLineRow;
use crate::store::packing::LineMoveRow;
use crate::store::{
    Conn, advices, catalog, events, orders, packing, people, purchasing, stock, supplier_codes,
};
use crate::units::Quantity;

use super::labels::{LOCATION, shop_name};
use super::words;

fn shop(conn: &mut Conn) -> Result<Party, Error> {
    let (name, location_number) = (shop_name(conn)?, people::setting(conn, LOCATION)?);
    Ok(Party { name, location_number, ..Party::default() })
}

fn unwritable(fault: Forbidden) -> Error {
    Error::invalid("ubl.character", fault.to_string())
}

/// Returns a purchase order as a UBL 2.1 Order, or as an OrderChange where it was sent before.
///
/// # Errors
///
/// [`Error::NotFound`]; [`Error::Invalid`] where a text of it can't stand in XML.
pub fn order(conn: &mut Conn, number: &str) -> Result<String, Error> {
    let missing = || Error::not_found("purchase order", number);
    let order = purchasing::purchase_order(conn, number)?.ok_or_else(missing)?;
    let supplier = advices::supplier_of(conn, number)?.ok_or_else(missing)?;
    let variants = catalog::variants(conn)?;
    let gtins: Vec<_> = supplier_codes::all(conn)?
        .into_iter()
        .filter(|it| it.supplier_code == supplier.code && it.kind == "gtin")
        .filter(|it| it.confirmed_at.is_some())
        .collect();
    let own = super::shop::details(conn)?.currency;
    let changed = 1 < order.revision;
    let newest = purchasing::events_of(conn, order.id)?.into_iter().next();
    let issued_on = newest.filter(|_| changed).map_or(order.ordered_on, |it| it.at.date());
    let lines = purchasing::lines_of(conn, order.id)?.into_iter().map(|line| {
        let (price, row) = (line.price(), variants.iter().find(|it| it.id == line.variant));
        let mut known = gtins.iter().filter(|it| it.variant == line.variant);
        let gtin = known.next().filter(|_| known.next().is_none()).map(|it| it.code.clone());
        let goods = Goods {
            name: words::part(&line.part, &line.variant_words),
            part_number: line.part_number,
            their_item: row.and_then(|it| it.supplier_item.clone()).unwrap_or_default(),
            gtin,
            ..Goods::default()
        };
        let currency = if line.currency.is_empty() { &own } else { &line.currency };
        let price = Price { price, currency: currency.clone() };
        OrderLine {
            number: line.line_no,
            status: match (changed, line.closed) {
                (true, true) => Some(LineStatus::Cancelled),
                (true, false) if line.changed_in == order.revision => Some(LineStatus::Revised),
                _ => None,
            },
            quantity: if changed && line.closed { line.received } else { line.quantity },
            goods,
            price: Some(price).filter(|it| !it.currency.is_empty()),
            wanted_on: line.wanted_on,
        }
    });
    let lines = lines.collect();
    let order = Order {
        number: order.number,
        change: order.revision - 1,
        issued_on,
        due_on: order.due_on,
        buyer: shop(conn)?,
        seller: Party {
            name: supplier.name,
            account: supplier.code,
            email: supplier.email.unwrap_or_default(),
            ..Party::default()
        },
        lines,
    };
    order.to_xml().map_err(unwritable)
}

/// Returns what left the house in the cartons of a kit as a UBL 2.1 DespatchAdvice.
///
/// # Errors
///
/// [`Error::NotFound`]; [`Error::Conflict`] while the kit is in the house; [`Error::Invalid`] where
/// a text of it can't stand in XML.
pub fn despatch_advice(conn: &mut Conn, number: &str) -> Result<String, Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let at = kit.despatched_at.ok_or_else(|| {
        let words = format!("kit {number} is in the house: its advice is made when it has left");
        Error::conflict("ubl.not_left", words)
    })?;
    let order = orders::order_of(conn, kit.order)?;
    let order_line = orders::line_of_kit(conn, kit.id)?;
    let lines = orders::lines_of(conn, &[kit.id])?;
    let ids: Vec<KitLineId> = lines.iter().map(|it| it.id).collect();
    let rider = stock::place(conn, PlaceKind::Rider.as_str())?.map(|it| it.id);
    let mut left: BTreeMap<KitLineId, Vec<LineMoveRow>> = BTreeMap::new();
    for it in packing::moves_of_lines(conn, &ids)?.into_iter().filter(|it| Some(it.to) == rider) {
        left.entry(it.line).or_default().push(it);
    }
    let cartons = packing::cartons_of(conn, &[kit.id])?;
    let places: Vec<PlaceId> = cartons.iter().map(|it| it.place).collect();
    let units: BTreeMap<PlaceId, String> = events::places_of(conn, &places)?
        .into_iter()
        .filter_map(|it| Some((it.id, it.carton.map(|it| it.sscc.unwrap_or(it.number))?)))
        .collect();
    let days = use_by_days(conn, &lines, &left)?;
    let despatch = Despatch {
        number: kit.number,
        at,
        order: order.number,
        supplier: shop(conn)?,
        customer: Party {
            name: order.customer,
            address: order.address,
            country: order.country,
            email: order.email,
            ..Party::default()
        },
        units: places.iter().filter_map(|it| units.get(it).cloned()).collect(),
        lines: lines
            .iter()
            .flat_map(|row| {
                let moves = left.get(&row.id).map(Vec::as_slice).unwrap_or_default();
                despatch_lines(row, moves, order_line, &units, &days)
            })
            .collect(),
    };
    despatch.to_xml().map_err(unwritable)
}

/// The last day of use of lots, by part number and lot.
type Days = BTreeMap<(String, String), chrono::NaiveDate>;

fn use_by_days(
    conn: &mut Conn,
    lines: &[KitLineRow],
    left: &BTreeMap<KitLineId, Vec<LineMoveRow>>,
) -> Result<Days, Error> {
    let mut days = Days::new();
    for row in lines {
        for it in left.get(&row.id).into_iter().flatten() {
            let Some(code) = &it.lot_code else { continue };
            if let Some((_, Some(day))) = stock::lot(conn, row.variant, code)? {
                days.insert((row.part_number.clone(), code.clone()), day);
            }
        }
    }
    Ok(days)
}

/// Returns the lines of one kit line: one for each lot, so that each has its own quantity.
fn despatch_lines(
    row: &KitLineRow,
    moves: &[LineMoveRow],
    order_line: i64,
    units: &BTreeMap<PlaceId, String>,
    days: &Days,
) -> Vec<DespatchLine> {
    let mut lots: BTreeMap<&str, (Quantity, Vec<String>, Option<PlaceId>)> = BTreeMap::new();
    for it in moves {
        let lot = lots.entry(it.lot_code.as_deref().unwrap_or_default()).or_default();
        lot.0 = lot.0.plus(it.quantity);
        lot.1.extend(it.serial_code.clone());
        lot.2 = Some(it.from);
    }
    if lots.is_empty() {
        lots.insert("", (Quantity::ZERO, Vec::new(), None));
    }
    let many = 1 < lots.len();
    let line = |(nth, (lot, (quantity, serials, from))): (usize, (&str, (_, _, Option<_>)))| {
        let first = nth == 0;
        DespatchLine {
            number: if many {
                format!("{}.{}", row.number, nth + 1)
            } else {
                row.number.to_string()
            },
            order_line,
            quantity,
            outstanding: if first { row.short } else { Quantity::ZERO },
            reason: row.short_reason.clone().unwrap_or_default(),
            goods: Goods {
                name: words::line_part(row),
                part_number: row.part_number.clone(),
                lot: lot.to_owned(),
                use_by: days.get(&(row.part_number.clone(), lot.to_owned())).copied(),
                serials,
                ..Goods::default()
            },
            unit: from.and_then(|it| units.get(&it).cloned()).unwrap_or_default(),
        }
    };
    lots.into_iter().enumerate().map(line).collect()
}
