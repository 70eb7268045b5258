//! Purchase orders and goods receipts on paper.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::domain::stock::PlaceKind;
use crate::error::Error;
use crate::ops::labels::{stored, unprintable};
use crate::ops::once::{RequestKey, once};
use crate::ops::shop;
use crate::paper::{self, Counted, GoodsReceipt, PurchaseOrder, PurchaseOrderLine, ReceivedLine};
use crate::store::purchasing::{PurchaseOrderRow, ReceiptMovementRow, ReceiptRow};
use crate::store::{Conn, Tx, catalog, purchasing};
use crate::units::Quantity;

use super::views::standing;

/// The most characters of a note to the supplier.
const MOST_NOTE: usize = 2_000;

/// Keeps what the supplier is to know, which stands on the purchase order's paper.
///
/// # Errors
///
/// [`Error::NotFound`]; [`Error::Invalid`] for more than a page of words.
pub fn set_note(tx: &mut Tx<'_>, key: &RequestKey, number: &str, note: &str) -> Result<(), Error> {
    once(tx, key, "receiving.note", &(number, note), |tx| {
        let order = order(tx.conn, number)?;
        let note = note.split_whitespace().collect::<Vec<_>>().join(" ");
        let count = note.chars().count();
        if MOST_NOTE < count {
            return Err(Error::invalid(
                "receiving.note",
                format!("the note has {count} characters: shorten it to {MOST_NOTE}"),
            ));
        }
        Ok(purchasing::set_note(tx.conn, order.id, &note)?)
    })
}

fn order(conn: &mut Conn, number: &str) -> Result<PurchaseOrderRow, Error> {
    purchasing::purchase_order(conn, number)?
        .ok_or_else(|| Error::not_found("purchase order", number))
}

/// Returns name, postal address and email of a purchase order's supplier, line by line.
fn supplier(order: &PurchaseOrderRow) -> Vec<String> {
    let mut lines = vec![format!("{} ({})", order.supplier, order.supplier_code)];
    lines.extend(shop::lines(&order.address));
    lines.extend(order.email.clone());
    lines
}

/// Returns a purchase order as a PDF.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn purchase_order(conn: &mut Conn, number: &str, today: NaiveDate) -> Result<Vec<u8>, Error> {
    let order = order(conn, number)?;
    let shop = shop::details(conn)?;
    let variants: BTreeMap<_, _> =
        catalog::variants(conn)?.into_iter().map(|it| (it.id, it)).collect();
    let mut lines = Vec::new();
    for it in purchasing::lines_of(conn, order.id)? {
        let (variant, price) = (variants.get(&it.variant), it.price());
        lines.push(PurchaseOrderLine {
            number: it.line_no,
            part_number: stored(it.part_number.parse())?,
            supplier_item: variant.and_then(|it| it.supplier_item.clone()).unwrap_or_default(),
            name: it.part,
            variant: it.variant_words,
            quantity: if it.closed { it.received } else { it.quantity },
            pack: variant.map_or(Quantity::ONE, |it| it.pack),
            price,
            currency: if it.currency.is_empty() { shop.currency.clone() } else { it.currency },
            wanted_on: it.wanted_on.unwrap_or(order.due_on),
        });
    }
    let standing = paper_words(&order);
    let deliver_to = [shop.name.clone()].into_iter().chain(shop::lines(&shop.address)).collect();
    let paper = PurchaseOrder {
        supplier: supplier(&order),
        number: order.number,
        shop: shop.name,
        deliver_to,
        ordered_on: order.ordered_on,
        due_on: order.due_on,
        printed_on: today,
        standing,
        note: order.note,
        lines,
    };
    paper::purchase_order(&paper).map_err(unprintable)
}

/// Returns what a purchase order's paper says of itself beside its number.
fn paper_words(order: &PurchaseOrderRow) -> String {
    let progress = order.progress();
    match (progress.cancelled, progress.approved < progress.revision, progress.revision) {
        (true, ..) => "Cancelled: nothing is to be delivered on it.".to_owned(),
        (_, true, _) => "Draft: not approved, and no order yet.".to_owned(),
        (_, _, 1) => String::new(),
        (_, _, revision) => {
            format!("Change {}: it takes the place of what you had before.", revision - 1)
        }
    }
}

/// Returns what was counted against a purchase order as a PDF, with room to sign.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn goods_receipt(conn: &mut Conn, number: &str, today: NaiveDate) -> Result<Vec<u8>, Error> {
    let order = order(conn, number)?;
    let items: BTreeMap<_, _> =
        catalog::variants(conn)?.into_iter().map(|it| (it.id, it.supplier_item)).collect();
    let mut moved: BTreeMap<String, Vec<ReceiptMovementRow>> = BTreeMap::new();
    for it in purchasing::receipt_movements(conn, order.id)? {
        moved.entry(it.request_key.clone()).or_default().push(it);
    }
    let mut receipts = purchasing::receipts_of(conn, order.id)?;
    receipts.reverse();
    let mut lines = Vec::new();
    for it in purchasing::lines_of(conn, order.id)? {
        let of_line = receipts.iter().filter(|receipt| receipt.line == it.id);
        let none = Vec::new();
        lines.push(ReceivedLine {
            number: it.line_no,
            part_number: stored(it.part_number.parse())?,
            supplier_item: items.get(&it.variant).cloned().flatten().unwrap_or_default(),
            words: standing(&it),
            ordered: it.quantity,
            received: it.received,
            counts: of_line
                .map(|it| counted(it, moved.get(&it.request_key).unwrap_or(&none)))
                .collect(),
            name: it.part,
            variant: it.variant_words,
        });
    }
    let paper = GoodsReceipt {
        supplier: supplier(&order),
        order: order.number,
        shop: shop::details(conn)?.name,
        ordered_on: order.ordered_on,
        due_on: order.due_on,
        printed_on: today,
        lines,
    };
    paper::goods_receipt(&paper).map_err(unprintable)
}

fn counted(receipt: &ReceiptRow, moved: &[ReceiptMovementRow]) -> Counted {
    let (mut lots, mut serials) = (BTreeSet::new(), Vec::new());
    let mut places: BTreeMap<(bool, &str), Quantity> = BTreeMap::new();
    for it in moved {
        let held = PlaceKind::from_word(&it.kind) == Some(PlaceKind::Quarantine);
        lots.extend(it.lot.as_ref().map(|lot| format!("lot {lot}")));
        let damaged = if held { " (damaged)" } else { "" };
        serials.extend(it.serial.as_ref().map(|serial| format!("{serial}{damaged}")));
        let sum = places.entry((held, it.place.as_str())).or_default();
        *sum = sum.plus(it.quantity);
    }
    let mut identity: Vec<String> = lots.into_iter().collect();
    if !serials.is_empty() {
        identity.push(format!("serial numbers {}", serials.join(", ")));
    }
    let place = |((held, code), pieces): ((bool, &str), Quantity)| {
        let what = if held { "quarantine" } else { "bin" };
        format!("{what} {code}: {pieces}")
    };
    Counted {
        at: receipt.received_at,
        by: receipt.user.clone(),
        delivery_note: receipt.delivery_note.clone(),
        good: receipt.good,
        damaged: receipt.damaged,
        difference: receipt.difference.clone(),
        note: receipt.note.clone(),
        identity,
        places: places.into_iter().map(place).collect(),
    }
}
