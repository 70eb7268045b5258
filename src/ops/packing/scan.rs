use std::collections::BTreeSet;

use chrono::Datelike;
use serde::{Deserialize, Serialize};

use crate::domain::codes::{Scan, read_scan};
use crate::domain::ids::VariantId;
use crate::domain::packing::{InTote, PackAnswer, PackLine, PackRefusal, judge};
use crate::domain::picking::{Counted, Found, FoundPart};
use crate::domain::stock::{Item, Movement};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::scan::{ScanAnswer, ScanOutcome, find};
use crate::ops::{label_story, stock as stock_ops, words};
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::packing::CartonRow;
use crate::store::{Tx, orders, packing};
use crate::units::Quantity;

use super::{in_tote, on_bench};

/// One scan at the bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct PackScan {
    /// What the scanner sent, or what was typed.
    pub code: String,
    /// The carton being packed, by its place in the kit; the first open one where it is left out.
    pub carton: Option<u32>,
    /// How many pieces were counted into the carton; one, the piece scanned, where it is left out.
    pub quantity: Option<Quantity>,
}

/// Takes one scan at the bench: chooses the carton, refuses what does not belong, or moves the
/// pieces from the tote into the carton.
///
/// # Errors
///
/// [`Error::Conflict`] when the kit is not on the bench.
pub fn scan(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: &PackScan,
) -> Result<ScanAnswer, Error> {
    once(tx, key, "packing.scan", &(number, it), |tx| {
        let kit = on_bench(tx, number)?;
        let rows = packing::cartons_of(tx.conn, &[kit.id])?;
        let position = match it.carton {
            Some(carton) => i64::from(carton),
            None => rows
                .iter()
                .find(|it| it.sealed_at.is_none())
                .or(rows.first())
                .map_or(1, |it| it.position),
        };
        let Some(carton) = rows.iter().find(|it| it.position == position) else {
            return Err(Error::not_found("carton of the kit", position.to_string()));
        };
        let answer = match read_scan(&it.code, tx.today().year()) {
            Err(fault) => {
                ScanAnswer::new(ScanOutcome::Refused, "scan.unreadable", fault.to_string())
            }
            Ok(scan) => {
                let lines = orders::lines_of(tx.conn, &[kit.id])?;
                let wanted: Vec<VariantId> = lines.iter().map(|it| it.variant).collect();
                let found = find(tx.conn, &scan, &wanted)?;
                let counted = Counted { entered: it.quantity, stated: scan.stated() };
                match label_story::void(tx.conn, &scan, &found)? {
                    Some(answer) => answer,
                    None => match of_one_name(tx, &kit, &lines, &scan, found)? {
                        Ok(found) => {
                            let said = decide(tx, &kit, &lines, &rows, position, &found, counted)?;
                            let answer = put(tx, key, &kit, &lines, carton, said)?;
                            told(tx, &scan, &found, counted, answer)?
                        }
                        Err(which) => {
                            ScanAnswer::new(ScanOutcome::Refused, "pack.which_part", which)
                        }
                    },
                }
            }
        };
        let carton = answer.carton.or(Some(words::small(position)?));
        Ok(ScanAnswer { carton, ..answer })
    })
}

/// Returns what was scanned, settled by what waits in the tote where a bare lot is a lot of several
/// parts; a refusal in words where it could be more than one of those.
fn of_one_name(
    tx: &mut Tx<'_>,
    kit: &KitRow,
    lines: &[KitLineRow],
    scan: &Scan,
    found: Found,
) -> Result<Result<Found, String>, Error> {
    let Found::Lot { code, part, .. } = &found else { return Ok(Ok(found)) };
    if matches!(scan, Scan::Label(_) | Scan::Perhaps(..)) {
        return Ok(Ok(found));
    }
    let tote = in_tote(tx.conn, kit, lines)?;
    let of_lot = |it: &InTote| it.lot.as_ref().is_some_and(|(_, lot)| lot == code);
    let waits = |it: &&KitLineRow| tote.iter().any(|held| held.line == it.id && of_lot(held));
    let waiting: Vec<&KitLineRow> = lines.iter().filter(waits).collect();
    let Some(first) = waiting.first() else { return Ok(Ok(found)) };
    if waiting.iter().any(|it| it.variant != first.variant) {
        let parts: BTreeSet<String> = waiting.iter().map(|it| words::line_part(it)).collect();
        let parts = Vec::from_iter(parts).join("; ");
        return Ok(Err(format!("lot {code} is a lot of {parts}: scan the part's own number")));
    }
    if part.variant == first.variant {
        return Ok(Ok(found));
    }
    find(tx.conn, scan, &[first.variant]).map(Ok)
}

/// Returns the answer with what the label itself has to say: how many it states, or where the
/// piece of that serial number went.
fn told(
    tx: &mut Tx<'_>,
    scan: &Scan,
    found: &Found,
    counted: Counted,
    answer: ScanAnswer,
) -> Result<ScanAnswer, Error> {
    let words = match answer.outcome {
        ScanOutcome::Ok if matches!(found, Found::Serial { .. }) => return Ok(answer),
        ScanOutcome::Ok => format!("{}{}", answer.words, counted.words(answer.moved)),
        ScanOutcome::Refused => {
            label_story::used(tx.conn, scan, found)?.unwrap_or_else(|| answer.words.clone())
        }
        ScanOutcome::Next => return Ok(answer),
    };
    Ok(ScanAnswer { words, ..answer })
}

fn decide(
    tx: &mut Tx<'_>,
    kit: &KitRow,
    lines: &[KitLineRow],
    cartons: &[CartonRow],
    position: i64,
    found: &Found,
    counted: Counted,
) -> Result<PackAnswer, Error> {
    let pack_lines: Vec<PackLine> = lines.iter().map(pack_line).collect::<Result<_, _>>()?;
    let tote = in_tote(tx.conn, kit, lines)?;
    let numbers: Vec<(String, u32)> = cartons
        .iter()
        .map(|it| Ok((it.number.clone(), words::small(it.position)?)))
        .collect::<Result<_, Error>>()?;
    Ok(judge(&pack_lines, &tote, &numbers, words::small(position)?, found, counted))
}

fn pack_line(line: &KitLineRow) -> Result<PackLine, Error> {
    Ok(PackLine {
        line: line.id,
        carton: words::small(line.carton)?,
        part: FoundPart {
            variant: line.variant,
            part_number: line.part_number.clone(),
            part: line.part.clone(),
            variant_words: line.variant_words.clone(),
        },
        tracking: words::tracking(&line.tracking)?,
        picked: line.picked,
        packed: line.packed,
    })
}

fn put(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    kit: &KitRow,
    lines: &[KitLineRow],
    carton: &CartonRow,
    said: PackAnswer,
) -> Result<ScanAnswer, Error> {
    match said {
        PackAnswer::CartonChosen(position) => Ok(ScanAnswer {
            carton: Some(position),
            ..ScanAnswer::new(
                ScanOutcome::Next,
                "pack.carton_chosen",
                format!("carton {position}: scan what goes in"),
            )
        }),
        PackAnswer::ScanLot => Ok(ScanAnswer::new(
            ScanOutcome::Next,
            "pack.scan_lot",
            "right part; the tote holds more than one lot: scan the lot",
        )),
        PackAnswer::ScanSerial => Ok(ScanAnswer::new(
            ScanOutcome::Next,
            "pack.scan_serial",
            "right part; scan its serial number",
        )),
        PackAnswer::Refused(refusal) => {
            Ok(ScanAnswer::new(ScanOutcome::Refused, refusal.code(), refusal.to_string()))
        }
        PackAnswer::Put { .. } if carton.sealed_at.is_some() => {
            let refusal = PackRefusal::Sealed { carton: words::small(carton.position)? };
            Ok(ScanAnswer::new(ScanOutcome::Refused, refusal.code(), refusal.to_string()))
        }
        PackAnswer::Put { line, lot, serial, quantity } => {
            let row = lines
                .iter()
                .find(|it| it.id == line)
                .ok_or_else(|| Error::Internal(format!("kit line {line} is not there")))?;
            let tote = kit
                .tote
                .ok_or_else(|| Error::Internal(format!("kit {} has no tote", kit.number)))?;
            let item = Item { variant: row.variant, lot, serial };
            let movement = Movement::new(item, quantity, tote, carton.place)?;
            let document = format!("packed in carton {}", carton.number);
            stock_ops::move_for_kit(tx, key, row, &movement, &document)?;
            orders::set_progress(tx.conn, line, row.picked, row.packed.plus(quantity))?;
            let words =
                format!("{quantity} × {}: in carton {}", words::line_part(row), carton.position);
            Ok(ScanAnswer {
                moved: quantity,
                ..ScanAnswer::new(ScanOutcome::Ok, "pack.packed", words)
            })
        }
    }
}
