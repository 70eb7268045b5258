//! Suppliers' own codes: asked for once, confirmed by a second person, then known.

mod label;

use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};

use crate::domain::codes::Label;
use crate::domain::ids::{SupplierCodeId, SupplierId, VariantId};
use crate::error::Error;
use crate::store::supplier_codes::SupplierCodeRow;
use crate::store::{Conn, Tx, catalog, purchasing, supplier_codes};

use super::once::{RequestKey, once};

pub use label::{LabelOutcome, LabelView, SaidView, read_label};

/// What a supplier's code means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct SupplierCodeView {
    /// Its number, for confirming and forgetting.
    pub number: i64,
    /// The supplier's code here.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// gtin or item.
    pub kind: String,
    /// The code on the label.
    pub code: String,
    /// The part number that it means.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Who said so.
    pub learned_by: String,
    /// When.
    pub learned_at: NaiveDateTime,
    /// Whether a second person confirmed it, so that it counts.
    pub confirmed: bool,
    /// The row of the person who said so, who can't confirm it.
    #[serde(skip)]
    pub learned_by_id: i64,
}

impl SupplierCodeView {
    fn of(row: SupplierCodeRow) -> Self {
        Self {
            number: row.id.into(),
            supplier_code: row.supplier_code,
            supplier: row.supplier,
            kind: row.kind,
            code: row.code,
            part_number: row.part_number,
            part: row.part,
            variant: row.variant_words,
            learned_by: row.learned_by_name,
            learned_at: row.learned_at,
            confirmed: row.confirmed_at.is_some(),
            learned_by_id: row.learned_by.into(),
        }
    }

    /// Returns the code in words, as it stands on labels.
    pub fn words(&self) -> String {
        match self.kind.as_str() {
            "gtin" => format!("GTIN {}", self.code),
            _ => format!("item {}", self.code),
        }
    }
}

/// Loads every supplier's code that was learned, those that wait for a second person first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn) -> Result<Vec<SupplierCodeView>, Error> {
    Ok(supplier_codes::all(conn)?.into_iter().map(SupplierCodeView::of).collect())
}

/// A code to be learned from a delivery.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct NewSupplierCode {
    /// gtin or item.
    pub kind: String,
    /// The code on the label; a GTIN with 14 digits.
    pub code: String,
    /// The line of the purchase order that it is.
    pub line: i64,
}

/// What came of learning, confirming or forgetting a code.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct CodeAnswer {
    /// The code's number.
    pub number: i64,
    /// Whether it counts now.
    pub confirmed: bool,
    /// What was done, in words.
    pub words: String,
}

/// Writes down what a supplier's code means, to be confirmed by a second person. Where somebody
/// else has said the same, this confirms it.
///
/// # Errors
///
/// [`Error::Conflict`] when the code means another part, [`Error::Invalid`] when it is none.
pub fn learn(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    order: &str,
    it: &NewSupplierCode,
) -> Result<CodeAnswer, Error> {
    once(tx, key, "supplier_codes.learn", &(order, it), |tx| {
        let user = tx.who.user().ok_or(Error::SignedOut)?;
        check_code(it)?;
        let row = purchasing::purchase_order(tx.conn, order)?
            .ok_or_else(|| Error::not_found("purchase order", order))?;
        let supplier = supplier_of(tx.conn, &row.supplier_code)?;
        let lines = purchasing::lines_of(tx.conn, row.id)?;
        let line = lines
            .iter()
            .find(|line| line.line_no == it.line)
            .ok_or_else(|| Error::not_found("purchase order line", it.line.to_string()))?;
        if let Some(known) = supplier_codes::find(tx.conn, supplier, &it.kind, &it.code)? {
            return again(tx, known, line.variant);
        }
        let now = tx.now;
        let code = (it.kind.as_str(), it.code.as_str());
        let id = supplier_codes::learn(tx.conn, supplier, code, line.variant, (user, now))?;
        let words = format!(
            "{} of {} is said to be {}: waiting for a second person to confirm it",
            it.code, row.supplier, line.part_number
        );
        Ok(CodeAnswer { number: id.into(), confirmed: false, words })
    })
}

fn check_code(it: &NewSupplierCode) -> Result<(), Error> {
    let wrong = |message: String| Err(Error::invalid("supplier_codes.code", message));
    let length = it.code.chars().count();
    match it.kind.as_str() {
        "gtin" if it.code.len() == 14 => match it.code.parse::<crate::domain::gs1::Gtin>() {
            Ok(_) => Ok(()),
            Err(fault) => wrong(fault.to_string()),
        },
        "gtin" => wrong(format!("'{}' is no GTIN of 14 digits: scan the label", it.code)),
        "item" if it.code.trim() == it.code && (1..=80).contains(&length) => Ok(()),
        "item" => {
            wrong("a supplier's code has 1 to 80 characters, without blanks around".to_owned())
        }
        other => wrong(format!("'{other}' is no kind of code: take gtin or item")),
    }
}

fn supplier_of(conn: &mut Conn, code: &str) -> Result<SupplierId, Error> {
    let missing = || Error::Internal(format!("supplier {code} is not there"));
    catalog::supplier_ids(conn)?.remove(code).ok_or_else(missing)
}

/// Answers to a code that somebody has named before.
fn again(tx: &mut Tx<'_>, known: SupplierCodeRow, variant: VariantId) -> Result<CodeAnswer, Error> {
    if known.variant != variant {
        return Err(Error::conflict(
            "supplier_codes.other_part",
            format!(
                "{} was said by {} to be {}: let that be forgotten first, if it is wrong",
                known.code, known.learned_by_name, known.part_number
            ),
        ));
    }
    if known.confirmed_at.is_none() && tx.who.user() != Some(known.learned_by) {
        return confirmed(tx, &known);
    }
    let words = match known.confirmed_at {
        Some(_) => format!("{} is known to be {}", known.code, known.part_number),
        None => format!(
            "{} is said to be {} already: a second person has to confirm it",
            known.code, known.part_number
        ),
    };
    let number = known.id.into();
    Ok(CodeAnswer { number, confirmed: known.confirmed_at.is_some(), words })
}

fn confirmed(tx: &mut Tx<'_>, row: &SupplierCodeRow) -> Result<CodeAnswer, Error> {
    let user = tx.who.user().ok_or(Error::SignedOut)?;
    if user == row.learned_by {
        return Err(Error::conflict(
            "supplier_codes.same_person",
            format!("you said yourself what {} is: a second person has to confirm it", row.code),
        ));
    }
    let now = tx.now;
    supplier_codes::confirm(tx.conn, row.id, user, now)?;
    let words =
        format!("{} of {} is known from now on: {}", row.code, row.supplier, row.part_number);
    Ok(CodeAnswer { number: row.id.into(), confirmed: true, words })
}

/// Confirms what somebody else said that a supplier's code means.
///
/// # Errors
///
/// [`Error::Conflict`] for the person who said it.
pub fn confirm(tx: &mut Tx<'_>, key: &RequestKey, number: i64) -> Result<CodeAnswer, Error> {
    once(tx, key, "supplier_codes.confirm", &number, |tx| {
        let row = row(tx.conn, number)?;
        if row.confirmed_at.is_some() {
            let words = format!("{} is known to be {}", row.code, row.part_number);
            return Ok(CodeAnswer { number, confirmed: true, words });
        }
        confirmed(tx, &row)
    })
}

/// Forgets what a supplier's code means: it is asked for again when it is scanned next.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn forget(tx: &mut Tx<'_>, key: &RequestKey, number: i64) -> Result<CodeAnswer, Error> {
    once(tx, key, "supplier_codes.forget", &number, |tx| {
        let row = row(tx.conn, number)?;
        supplier_codes::forget(tx.conn, row.id)?;
        let words = format!("{} of {} is forgotten", row.code, row.supplier);
        Ok(CodeAnswer { number, confirmed: false, words })
    })
}

fn row(conn: &mut Conn, number: i64) -> Result<SupplierCodeRow, Error> {
    supplier_codes::of_id(conn, SupplierCodeId::from(number))?
        .ok_or_else(|| Error::not_found("supplier's code", number.to_string()))
}

/// Looks up which part a label is on: by our own part number, by confirmed codes, or by the item
/// numbers of the parts list. Where one code means several parts, one of the `wanted` goes first.
pub(super) fn variant_on(
    conn: &mut Conn,
    label: &Label,
    wanted: &[VariantId],
) -> Result<Option<VariantId>, Error> {
    for number in &label.ours {
        if let Some(row) = catalog::variant(conn, number)? {
            return Ok(Some(row.id));
        }
    }
    let mut found = Vec::new();
    if let Some(gtin) = &label.gtin {
        found.extend(supplier_codes::confirmed(conn, "gtin", gtin)?);
    }
    for item in label.items.iter().chain(&label.ours) {
        found.extend(supplier_codes::confirmed(conn, "item", item)?);
        found.extend(supplier_codes::listed(conn, item)?);
    }
    Ok(found.iter().find(|it| wanted.contains(it)).or(found.first()).copied())
}
