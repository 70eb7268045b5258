//! The cards of two bins: an empty bin's card, scanned, is an order.

use chrono::{Datelike, NaiveDateTime, TimeDelta};
use serde::{Deserialize, Serialize};

use super::judge::judge;
use super::order::listed_price;
use crate::domain::codes::read_scan;
use crate::domain::people::Permission;
use crate::domain::picking::Found;
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::purchasing::{DraftLine, draft_lines};
use crate::ops::scan::find;
use crate::ops::words::{self, by_variant};
use crate::ops::{people, stock as stock_ops};
use crate::store::card_scans::{self, CardScanRow};
use crate::store::catalog::VariantRow;
use crate::store::{Conn, Tx, catalog, purchasing};
use crate::units::Quantity;

/// Minutes within which another scan of the same card is taken for the same one: an empty bin is
/// scanned again by whoever doubts that it was, and nothing that is ordered comes within them.
pub const AGAIN_MINUTES: i64 = 15;

/// The most scans that a wall shows.
const MOST_SHOWN: i64 = 20;

/// What the scan of a card came to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct CardOrder {
    /// "card.ordered", or "card.again" where a scan of a moment ago has ordered already.
    pub code: String,
    /// What was done, in words.
    pub words: String,
    /// The part number.
    pub part_number: String,
    /// Pieces that the card orders.
    pub quantity: Quantity,
    /// The purchase order that they stand on.
    pub purchase_order: String,
    /// The number of the line on it.
    pub line: i64,
}

/// A scan of a card.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct CardScanView {
    /// When.
    pub at: NaiveDateTime,
    /// Who.
    pub person: String,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Pieces that it ordered.
    pub quantity: Quantity,
    /// The purchase order that they stand on.
    pub purchase_order: String,
    /// The number of the line on it.
    pub line: i64,
}

/// Returns what a part's card orders: what it says, in whole packs and not below the supplier's least;
/// none where no supplier brings the part.
pub(super) fn card_quantity(row: &VariantRow, bin: Option<Quantity>) -> Quantity {
    let said = Some(row.order_quantity).filter(|it| it.is_some()).or(bin);
    match said.filter(|_| row.supplier.is_some()) {
        Some(said) => said.max(row.minimum_order).in_packs_of(row.pack),
        None => Quantity::ZERO,
    }
}

/// Loads the newest scans of cards.
pub(super) fn newest_scans(conn: &mut Conn) -> Result<Vec<CardScanView>, Error> {
    let view = |it: CardScanRow| CardScanView {
        at: it.at,
        person: it.person,
        part_number: it.part_number,
        part: it.part,
        variant: it.variant,
        quantity: it.quantity,
        purchase_order: it.purchase_order,
        line: it.line,
    };
    Ok(card_scans::newest(conn, MOST_SHOWN)?.into_iter().map(view).collect())
}

/// Puts what a card orders onto its supplier's draft. The card of a part, or the code of its home
/// bin, is scanned; scanned again within [`AGAIN_MINUTES`], it orders nothing more while that line
/// still stands.
///
/// # Errors
///
/// [`Error::Invalid`] where the scan names no part that a supplier brings: `card.scan`,
/// `card.not_a_card`, `card.no_part`, `card.several`, `card.made_here`, `card.no_quantity`; and what
/// [`draft_lines`] refuses.
pub fn scan_card(tx: &mut Tx<'_>, key: &RequestKey, text: &str) -> Result<CardOrder, Error> {
    people::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "reorder.card", &text, |tx| {
        let row = carded(tx, text)?;
        match again(tx, &row)? {
            Some(order) => Ok(order),
            None => order(tx, &row),
        }
    })
}

/// Returns the part whose card was scanned.
fn carded(tx: &mut Tx<'_>, text: &str) -> Result<VariantRow, Error> {
    let scan = read_scan(text, tx.today().year())
        .map_err(|fault| Error::invalid("card.scan", fault.to_string()))?;
    let row = match find(tx.conn, &scan, &[])? {
        Found::Part(part) => stock_ops::variant(tx, &part.part_number)?,
        Found::Bin { place, code } => {
            let all = catalog::variants(tx.conn)?;
            let mut home = all.into_iter().filter(|it| it.bin == Some(place));
            match (home.next(), home.next()) {
                (Some(one), None) => one,
                (None, _) => {
                    let message = format!("bin {code} is the home of no part: scan the card");
                    return Err(Error::invalid("card.no_part", message));
                }
                (Some(one), Some(other)) => {
                    let message = format!(
                        "bin {code} is the home of several parts, {} and {} among them: scan the card",
                        one.part_number, other.part_number
                    );
                    return Err(Error::invalid("card.several", message));
                }
            }
        }
        Found::Unknown(what) => return Err(Error::not_found("card or bin", &what)),
        Found::Kit(_) | Found::Carton(_) | Found::Lot { .. } | Found::Serial { .. } => {
            return Err(Error::invalid(
                "card.not_a_card",
                format!("'{}' is no card: scan the card of the empty bin, or the bin", text.trim()),
            ));
        }
    };
    if row.supplier.is_none() {
        let message =
            format!("{} is made here: make it at the bench, no order brings it", row.part_number);
        return Err(Error::invalid("card.made_here", message));
    }
    Ok(row)
}

/// Returns what a scan of a moment ago has ordered, where that line still stands.
fn again(tx: &mut Tx<'_>, row: &VariantRow) -> Result<Option<CardOrder>, Error> {
    let Some(last) = card_scans::newest_of(tx.conn, row.id)? else { return Ok(None) };
    let ago = tx.now - last.at;
    if TimeDelta::minutes(AGAIN_MINUTES) <= ago {
        return Ok(None);
    }
    let head = purchasing::purchase_order(tx.conn, &last.purchase_order)?;
    let Some(head) = head.filter(|it| !it.cancelled) else { return Ok(None) };
    let lines = purchasing::lines_of(tx.conn, head.id)?;
    let stands =
        |it: &&purchasing::PurchaseLineRow| it.line_no == last.line && it.variant == row.id;
    if lines.iter().find(stands).is_none_or(|it| it.closed) {
        return Ok(None);
    }
    let minutes = match ago.num_minutes() {
        0 => "less than a minute".to_owned(),
        1 => "1 minute".to_owned(),
        minutes => format!("{minutes} minutes"),
    };
    Ok(Some(CardOrder {
        code: "card.again".to_owned(),
        words: format!(
            "{} was scanned {minutes} ago by {}: its {} stand on {}, line {}, and nothing more was \
             ordered",
            words::part(&row.part, &row.variant),
            last.person,
            last.quantity,
            last.purchase_order,
            last.line
        ),
        part_number: last.part_number,
        quantity: last.quantity,
        purchase_order: last.purchase_order,
        line: last.line,
    }))
}

/// Puts the card's quantity on the draft.
fn order(tx: &mut Tx<'_>, row: &VariantRow) -> Result<CardOrder, Error> {
    let bin = match row.order_quantity.is_some() {
        true => None,
        // The card says nothing: what its two bins come to is worked out.
        false => {
            let today = tx.today();
            judge(tx.conn, today)?.of(&row.part_number)?.decision.bins.map(|it| it.bin)
        }
    };
    let quantity = card_quantity(row, bin);
    if !quantity.is_some() {
        let message = format!(
            "{}: neither its usual order nor its policy says how many its card orders: set one",
            row.part_number
        );
        return Err(Error::invalid("card.no_quantity", message));
    }
    let incoming = purchasing::incoming(tx.conn)?.into_iter().map(|it| (it.variant, it.quantity));
    let coming = by_variant(incoming.chain(purchasing::drafted(tx.conn)?));
    let before = coming.get(&row.id).copied().unwrap_or_default();
    let price = listed_price(tx, &row.part_number, quantity)?;
    let bin = row.bin_code.as_deref().unwrap_or("no bin");
    let line = DraftLine {
        part_number: row.part_number.clone(),
        quantity,
        price_per_thousand_cents: price,
        needed_by: None,
        reason: format!("card of {bin} scanned"),
    };
    let supplier = row.supplier_code.clone().unwrap_or_default();
    let drafted = draft_lines(tx, &supplier, &[line])?;
    let head = purchasing::purchase_order(tx.conn, &drafted.number)?
        .ok_or_else(|| Error::not_found("purchase order", &drafted.number))?;
    let line = drafted.lines.first().copied().unwrap_or_default();
    let user = tx.who.user().ok_or(Error::SignedOut)?;
    card_scans::make(tx, (row.id, user), quantity, (head.id, line))?;
    let beside =
        if before.is_some() { format!(", beside {before} on order before") } else { String::new() };
    Ok(CardOrder {
        code: "card.ordered".to_owned(),
        words: format!(
            "{quantity} × {} ({}) put on {}, line {line}, for {}{beside}",
            words::part(&row.part, &row.variant),
            row.part_number,
            drafted.number,
            head.supplier
        ),
        part_number: row.part_number.clone(),
        quantity,
        purchase_order: drafted.number,
        line,
    })
}
