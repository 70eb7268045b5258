use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};

use super::Done;
use super::draft::{one_line, order};
use super::life::two_places;
use crate::domain::ids::MovementId;
use crate::domain::people::Permission;
use crate::domain::valuation::{Basis, apportion};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::people as people_ops;
use crate::store::valuation::{DeliveredRow, NewCharge};
use crate::store::{Conn, Tx, valuation};
use crate::units::{Money, Quantity};

/// What a charge may be for.
const KINDS: [&str; 4] = ["freight", "duty", "other", "price difference"];

/// A charge on what one delivery note brought of a purchase order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct ChargeEntry {
    /// The supplier's delivery note, as goods-in wrote it down; may be empty.
    #[serde(default)]
    pub delivery_note: String,
    /// freight, duty, other or price difference.
    pub kind: String,
    /// How much, in cents of the shop's currency; below zero for a credit.
    pub amount_cents: i64,
    /// value, mass or pieces: by what the lines share it.
    pub basis: String,
    /// The invoice that says so; empty for an estimate.
    #[serde(default)]
    pub document: String,
}

/// What a part bears of a charge.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ChargeShare {
    /// The part number.
    pub part_number: String,
    /// Pieces of the delivery.
    pub quantity: Quantity,
    /// Cents.
    pub amount_cents: i64,
}

/// A charge with its shares.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ChargeView {
    /// When it was entered.
    pub at: NaiveDateTime,
    /// By whom.
    pub by: String,
    /// The delivery note.
    pub delivery_note: String,
    /// freight, duty, other or price difference.
    pub kind: String,
    /// Cents; below zero for a credit.
    pub amount_cents: i64,
    /// value, mass or pieces.
    pub basis: String,
    /// The invoice; empty for an estimate.
    pub document: String,
    /// What each part bears of it.
    pub shares: Vec<ChargeShare>,
}

/// Loads the charges on a purchase order's deliveries, the newest first.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn charges(conn: &mut Conn, number: &str) -> Result<Vec<ChargeView>, Error> {
    let order = order(conn, number)?;
    let mut views = Vec::new();
    for it in valuation::charges_of(conn, order.id)? {
        let shares = valuation::shares_of(conn, it.id)?.into_iter();
        let share = |(part_number, quantity, amount): (String, Quantity, Money)| ChargeShare {
            part_number,
            quantity,
            amount_cents: amount.cents(),
        };
        views.push(ChargeView {
            at: it.at,
            by: it.by.unwrap_or_else(|| "the program".to_owned()),
            delivery_note: it.delivery_note,
            kind: it.kind,
            amount_cents: it.amount.cents(),
            basis: it.basis,
            document: it.document,
            shares: shares.map(share).collect(),
        });
    }
    Ok(views)
}

/// Shares a charge among what a delivery brought, so that the cents add up. What has left the house
/// by then makes its part a variance.
///
/// # Errors
///
/// [`Error::NotFound`] where nothing came with that delivery note; [`Error::Invalid`] for a kind,
/// basis or amount that can't be taken.
pub fn charge(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: &ChargeEntry,
) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.charge", &(number, it), |tx| {
        let wrong = |message: String| Err(Error::invalid("purchasing.charge", message));
        if !KINDS.contains(&it.kind.as_str()) {
            return wrong(format!("kind: take one of {}, not '{}'", KINDS.join(", "), it.kind));
        }
        let Some(basis) = Basis::from_word(&it.basis) else {
            return wrong(format!("basis: take value, mass or pieces, not '{}'", it.basis));
        };
        if it.amount_cents == 0 {
            return wrong("amount: write an amount, below zero for a credit".to_owned());
        }
        let (order, note) = (order(tx.conn, number)?, it.delivery_note.trim());
        let rows = valuation::delivered(tx.conn, order.id, note)?;
        if rows.is_empty() {
            let note = if note.is_empty() { "(none)" } else { note };
            return Err(Error::not_found("delivery with delivery note", note));
        }
        let weights: Vec<i128> = rows.iter().map(|row| weight(row, basis)).collect();
        let amount = Money::from_cents(it.amount_cents);
        let Some(shares) = apportion(amount, &weights) else {
            return wrong(format!("amount: {amount} is too large to be shared"));
        };
        let shares: Vec<(MovementId, Money)> =
            rows.iter().map(|row| row.movement).zip(shares).collect();
        let document = one_line(&it.document);
        let charge = NewCharge {
            order: order.id,
            delivery_note: note,
            kind: &it.kind,
            amount,
            basis: basis.as_str(),
            document: &document,
            shares: &shares,
        };
        valuation::make_charge(tx, &charge)?;
        Ok(Done::new(format!(
            "{} of {} shared among {} by {}",
            it.kind,
            two_places(amount),
            parts(&rows),
            basis.as_str()
        )))
    })
}

fn weight(row: &DeliveredRow, basis: Basis) -> i128 {
    match basis {
        Basis::Value => row.cost.cents().into(),
        Basis::Mass => i128::from(row.mass.milligrams()) * i128::from(row.quantity.pieces()),
        Basis::Pieces => row.quantity.pieces().into(),
    }
}

fn parts(rows: &[DeliveredRow]) -> String {
    let mut parts: Vec<&str> = rows.iter().map(|it| it.part_number.as_str()).collect();
    parts.dedup();
    parts.join(", ")
}
