use serde::{Deserialize, Serialize};

use crate::domain::codes::{Label, Printed, Scan};
use crate::domain::ids::VariantId;
use crate::domain::picking::{Found, FoundPart};
use crate::error::Error;
use crate::store::{Conn, catalog, stock};
use crate::units::Quantity;

use super::supplier_codes;

/// How a scan was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum ScanOutcome {
    /// Taken: pieces moved, or a bin, tote or carton was confirmed.
    Ok,
    /// Right so far: one more scan is needed.
    Next,
    /// Refused: nothing changed.
    Refused,
}

/// The answer to a scan, as the scanning page speaks it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct ScanAnswer {
    /// How the scan was taken.
    pub outcome: ScanOutcome,
    /// The answer's code, which never changes: "pick.taken", "pick.wrong_size" and so on.
    pub code: String,
    /// The answer in words.
    pub words: String,
    /// Pieces that moved.
    pub moved: Quantity,
    /// The bin confirmed so far, to be sent with the next scan of this stop.
    pub bin: Option<String>,
    /// The carton being packed, to be sent with the next scan.
    pub carton: Option<u32>,
}

impl ScanAnswer {
    /// Returns an answer that moves nothing.
    pub(super) fn new(outcome: ScanOutcome, code: &str, words: impl Into<String>) -> Self {
        Self {
            outcome,
            code: code.to_owned(),
            words: words.into(),
            moved: Quantity::ZERO,
            bin: None,
            carton: None,
        }
    }
}

/// Looks up what a scan names. Where several parts have a lot or serial number of that code, one
/// of the `wanted` variants goes first, since that is what the person stands before.
pub(super) fn find(conn: &mut Conn, scan: &Scan, wanted: &[VariantId]) -> Result<Found, Error> {
    Ok(match scan {
        Scan::Part(number) => match catalog::variant(conn, number.as_str())? {
            Some(row) => Found::Part(row.found()),
            None => Found::Unknown(number.to_string()),
        },
        Scan::Bin(code) => match stock::place(conn, code.as_str())? {
            Some(row) => Found::Bin { place: row.id, code: row.code },
            None => Found::Unknown(code.to_string()),
        },
        Scan::Kit(number) => Found::Kit(number.to_string()),
        Scan::Carton(number) => Found::Carton(number.to_string()),
        Scan::Lot(code) => match find_lot(conn, code, wanted)? {
            Some(found) => found,
            None => find_any(conn, &format!("1T{code}"), wanted)?,
        },
        Scan::Serial(code) => match find_serial(conn, code, wanted)? {
            Some(found) => found,
            None => find_any(conn, &format!("S{code}"), wanted)?,
        },
        Scan::Other(text) => find_any(conn, text, wanted)?,
        Scan::Printed(it) => match find(conn, &it.of, wanted)? {
            Found::Unknown(_) => find(conn, &whole(it), wanted)?,
            found => found,
        },
        Scan::Label(label) => {
            let variant = supplier_codes::variant_on(conn, label, wanted)?;
            find_labelled(conn, label, variant, wanted)?
        }
        Scan::Perhaps(label, text) => match supplier_codes::variant_on(conn, label, wanted)? {
            Some(variant) => find_labelled(conn, label, Some(variant), wanted)?,
            None => find_any(conn, text, wanted)?,
        },
    })
}

/// Returns what a maker's own label says whose number only ends as the number of a print does.
fn whole(it: &Printed) -> Scan {
    let without =
        |identifier: &str| it.text.strip_prefix(identifier).unwrap_or(&it.text).to_owned();
    match it.of {
        Scan::Lot(_) => Scan::Lot(without("1T")),
        Scan::Serial(_) => Scan::Serial(without("S")),
        _ => Scan::Other(it.text.clone()),
    }
}

/// Looks up what another maker's label is on. A lot or serial number counts only together with
/// goods that are known, or where the label names none: two makers may use one number.
fn find_labelled(
    conn: &mut Conn,
    label: &Label,
    variant: Option<VariantId>,
    wanted: &[VariantId],
) -> Result<Found, Error> {
    if variant.is_none() && label.names_goods() {
        return Ok(Found::Unknown(label.words()));
    }
    let known: Vec<VariantId> = variant.into_iter().collect();
    let among = if known.is_empty() { wanted } else { &known };
    let same = |part: &FoundPart| variant.is_none_or(|it| it == part.variant);
    let unknown = || Found::Unknown(label.words());
    if let Some(serial) = &label.serial {
        let found = find_serial(conn, serial, among)?;
        return Ok(match found {
            Some(Found::Serial { part, serial, code, place }) if same(&part) => {
                Found::Serial { part, serial, code, place }
            }
            _ => unknown(),
        });
    }
    if let Some(lot) = &label.lot {
        let found = find_lot(conn, lot, among)?;
        return Ok(match found {
            Some(Found::Lot { part, lot, code }) if same(&part) => Found::Lot { part, lot, code },
            _ => unknown(),
        });
    }
    match variant {
        Some(variant) => Ok(Found::Part(part_of(conn, variant)?)),
        None => Ok(unknown()),
    }
}

/// Looks up a number as it is printed, with no data identifier before it.
fn find_any(conn: &mut Conn, text: &str, wanted: &[VariantId]) -> Result<Found, Error> {
    if let Some(found) = find_serial(conn, text, wanted)? {
        return Ok(found);
    }
    Ok(find_lot(conn, text, wanted)?.unwrap_or_else(|| Found::Unknown(text.to_owned())))
}

fn find_serial(conn: &mut Conn, code: &str, wanted: &[VariantId]) -> Result<Option<Found>, Error> {
    let Some((serial, variant)) = prefer(stock::serials_of_code(conn, code)?, wanted) else {
        return Ok(None);
    };
    let place = stock::place_of_serial(conn, serial)?;
    let part = part_of(conn, variant)?;
    Ok(Some(Found::Serial { serial, code: code.to_owned(), part, place }))
}

fn find_lot(conn: &mut Conn, code: &str, wanted: &[VariantId]) -> Result<Option<Found>, Error> {
    let Some((lot, variant)) = prefer(stock::lots_of_code(conn, code)?, wanted) else {
        return Ok(None);
    };
    Ok(Some(Found::Lot { lot, code: code.to_owned(), part: part_of(conn, variant)? }))
}

fn prefer<T: Copy>(found: Vec<(T, VariantId)>, wanted: &[VariantId]) -> Option<(T, VariantId)> {
    found.iter().find(|(_, variant)| wanted.contains(variant)).or(found.first()).copied()
}

fn part_of(conn: &mut Conn, variant: VariantId) -> Result<FoundPart, Error> {
    let row = catalog::variant_of(conn, variant)?;
    row.map(|it| it.found())
        .ok_or_else(|| Error::Internal(format!("variant {variant} is not there")))
}
