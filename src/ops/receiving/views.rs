//! What stands on a purchase order, and what of it has come.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use crate::domain::ids::VariantId;
use crate::error::Error;
use crate::ops::advices::{self, AnnouncedView};
use crate::ops::shortages;
use crate::store::catalog::VariantRow;
use crate::store::purchasing::{PurchaseLineRow, PurchaseOrderRow, ReceiptRow};
use crate::store::{Conn, catalog, purchasing};
use crate::units::Quantity;

/// A line of a purchase order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PurchaseLineView {
    /// Its number in the order.
    pub line: i64,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// The supplier's own number for it.
    pub supplier_item: String,
    /// none, lot or serial.
    pub tracking: String,
    /// The bin that it goes to.
    pub bin: String,
    /// Pieces in one pack.
    pub pack: Quantity,
    /// Pieces ordered.
    pub ordered: Quantity,
    /// Pieces received, good or damaged.
    pub received: Quantity,
    /// Pieces still to come.
    pub open: Quantity,
    /// What `price_per` pieces cost, in cents.
    pub unit_price_cents: i64,
    /// The pieces that the price is for.
    pub price_per: Quantity,
    /// The currency of that price, in the capitals of ISO 4217; empty where it is the shop's own.
    pub currency: String,
    /// The day on which the line is wanted.
    pub wanted_on: NaiveDate,
    /// How it stands, in words.
    pub words: String,
}

/// What was booked of a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ReceiptView {
    /// The part number.
    pub part_number: String,
    /// When.
    pub received_at: NaiveDateTime,
    /// Who counted.
    pub by: String,
    /// The supplier's delivery note.
    pub delivery_note: String,
    /// Good pieces.
    pub good: Quantity,
    /// Damaged pieces.
    pub damaged: Quantity,
    /// How it differed from what was to come.
    pub difference: String,
    /// What the receiver had to say.
    pub note: String,
}

/// A purchase order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PurchaseOrderView {
    /// Its number.
    pub number: String,
    /// The supplier's code.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// When it was sent.
    pub ordered_on: NaiveDate,
    /// When the goods are due.
    pub due_on: NaiveDate,
    /// What the supplier is to know; empty where nothing.
    pub note: String,
    /// Its lines.
    pub lines: Vec<PurchaseLineView>,
    /// What was booked on it, the newest first.
    pub receipts: Vec<ReceiptView>,
    /// What its supplier has announced.
    pub announced: Vec<AnnouncedView>,
    /// Orders that wait for it.
    pub waited_for_by: Vec<String>,
    /// Whether nothing more is to come.
    pub complete: bool,
}

/// The most complete purchase orders that one list shows; others are looked for.
const MOST_COMPLETE: usize = 50;

/// Loads the purchase orders that their suppliers have, whose number and supplier hold `query`: those of which more is to come by
/// due date, then those that are complete, the latest first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, query: &str) -> Result<Vec<PurchaseOrderView>, Error> {
    let query = query.trim().to_lowercase();
    let answers = |it: &PurchaseOrderRow| {
        it.is_with_supplier()
            && format!("{} {}", it.number, it.supplier).to_lowercase().contains(&query)
    };
    let most = i64::try_from(MOST_COMPLETE).ok().filter(|_| query.is_empty());
    let mut orders = purchasing::open_orders(conn)?;
    let mut complete = purchasing::complete_orders(conn, most)?;
    orders.retain(answers);
    complete.retain(answers);
    complete.truncate(MOST_COMPLETE);
    orders.append(&mut complete);
    views(conn, orders)
}

/// Loads one purchase order.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn detail(conn: &mut Conn, number: &str) -> Result<PurchaseOrderView, Error> {
    let missing = || Error::not_found("purchase order", number);
    let order = purchasing::purchase_order(conn, number)?.ok_or_else(missing)?;
    views(conn, vec![order])?.into_iter().next().ok_or_else(missing)
}

fn views(conn: &mut Conn, orders: Vec<PurchaseOrderRow>) -> Result<Vec<PurchaseOrderView>, Error> {
    let ids: Vec<_> = orders.iter().map(|it| it.id).collect();
    let lines = purchasing::lines_of_orders(conn, &ids)?;
    let named = lines.iter().map(|it| it.variant).collect();
    let variants: BTreeMap<VariantId, VariantRow> =
        catalog::variants_of(conn, &named)?.into_iter().map(|it| (it.id, it)).collect();
    let alerts = shortages::alerts(conn)?;
    let announced = advices::announced(conn, &orders)?;
    let receipts = purchasing::receipts_of_orders(conn, &ids)?;
    let mut views = Vec::new();
    for order in orders {
        let rows: Vec<&PurchaseLineRow> = lines.iter().filter(|it| it.order == order.id).collect();
        let line_views: Vec<PurchaseLineView> =
            rows.iter().map(|it| line_view(it, variants.get(&it.variant), order.due_on)).collect();
        let of_order = |it: &&ReceiptRow| rows.iter().any(|row| row.id == it.line);
        let receipts = receipts
            .iter()
            .filter(of_order)
            .cloned()
            .map(|it| ReceiptView {
                part_number: rows
                    .iter()
                    .find(|row| row.id == it.line)
                    .map(|row| row.part_number.clone())
                    .unwrap_or_default(),
                received_at: it.received_at,
                by: it.user,
                delivery_note: it.delivery_note,
                good: it.good,
                damaged: it.damaged,
                difference: it.difference,
                note: it.note,
            })
            .collect();
        let mut waiting: Vec<String> = alerts
            .iter()
            .filter(|it| it.covered_by.as_deref() == Some(order.number.as_str()))
            .map(|it| it.order.clone())
            .collect();
        waiting.sort();
        waiting.dedup();
        let number = order.number;
        views.push(PurchaseOrderView {
            complete: line_views.iter().all(|it| !it.open.is_some()),
            supplier_code: order.supplier_code,
            supplier: order.supplier,
            ordered_on: order.ordered_on,
            due_on: order.due_on,
            note: order.note,
            lines: line_views,
            announced: announced.iter().filter(|it| it.order == number).cloned().collect(),
            number,
            receipts,
            waited_for_by: waiting,
        });
    }
    Ok(views)
}

fn line_view(
    line: &PurchaseLineRow,
    variant: Option<&VariantRow>,
    due_on: NaiveDate,
) -> PurchaseLineView {
    let of = |get: fn(&VariantRow) -> String| variant.map(get).unwrap_or_default();
    PurchaseLineView {
        line: line.line_no,
        part_number: line.part_number.clone(),
        part: line.part.clone(),
        variant: line.variant_words.clone(),
        supplier_item: of(|it| it.supplier_item.clone().unwrap_or_default()),
        tracking: of(|it| it.tracking.clone()),
        bin: of(|it| it.bin_code.clone().unwrap_or_default()),
        pack: variant.map(|it| it.pack).unwrap_or_default(),
        ordered: line.quantity,
        received: line.received,
        open: line.open(),
        unit_price_cents: line.price_cents.cents(),
        price_per: line.price_per,
        currency: line.currency.clone(),
        wanted_on: line.wanted_on.unwrap_or(due_on),
        words: standing(line),
    }
}

pub(super) fn standing(line: &PurchaseLineRow) -> String {
    let difference = line.received.less(line.quantity);
    match (line.open().is_some(), line.received.is_some()) {
        (true, false) => "nothing received yet".to_owned(),
        (true, true) => format!("short by {}", line.open()),
        (false, _) if difference.is_some() => format!("over by {difference}"),
        (false, _) if line.received < line.quantity => {
            format!("closed, {} not delivered", line.quantity.less(line.received))
        }
        (false, _) => "complete".to_owned(),
    }
}
