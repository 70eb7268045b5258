//! Packing: scan into the carton, seal when each line has its proof, hand over to the carrier.

use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};

use crate::domain::codes::read_scan;
use crate::domain::ids::{KitLineId, LotId, SerialId, VariantId};
use crate::domain::packing::{
    InTote, PackAnswer, PackLine, ProofLine, ShortError, StripLine, judge, may_ship_short, strip,
    unproved,
};
use crate::domain::stock::{Item, Movement, PlaceKind};
use crate::error::Error;
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::packing::{CartonRow, LineMoveRow};
use crate::store::stock::Cause;
use crate::store::{Conn, Tx, catalog, kits, orders, packing, stock};
use crate::units::{Mass, Quantity};

use super::kits::{ContentView, Contents, contents, strip_lines};
use super::once::{RequestKey, once};
use super::orders::{KitView, StripView};
use super::picking::build_words;
use super::scan::{ScanAnswer, ScanOutcome, find};
use super::{orders as order_ops, stock as stock_ops, words};

/// A line of a carton, with what proves that it is inside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BenchLineView {
    /// The line's number in the kit.
    pub line: i64,
    /// The assembly step, 0 for packing material.
    pub step: u32,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// What its absence does, in words.
    pub class_words: String,
    /// Pieces that the kit needs.
    pub quantity: Quantity,
    /// Pieces picked.
    pub picked: Quantity,
    /// Pieces scanned into the carton.
    pub packed: Quantity,
    /// Pieces left out with a reason.
    pub short: Quantity,
    /// The reason.
    pub short_reason: String,
    /// Lots and serial numbers in the carton.
    pub identities: Vec<String>,
    /// What a bag or another sub-kit holds.
    pub contents: Vec<ContentView>,
    /// The proof, or what is wanting, in words.
    pub proof: String,
    /// Whether every piece is proved or left out with a reason.
    pub proved: bool,
}

/// A carton on the bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BenchCartonView {
    /// Its number.
    pub number: String,
    /// Its place among the kit's cartons, from 1.
    pub position: u32,
    /// How many cartons the kit has.
    pub of: u32,
    /// When it was sealed.
    pub sealed_at: Option<NaiveDateTime>,
    /// Who sealed it.
    pub sealed_by: Option<String>,
    /// Its lines in the order of putting in: what is needed first comes last, and lies on top.
    pub lines: Vec<BenchLineView>,
    /// What keeps it open, in words.
    pub not_sealing: Vec<String>,
    /// What its parts and packing weigh together by the catalogue.
    pub expected_mass_mg: i64,
}

/// The bench with one kit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BenchView {
    /// The kit's number.
    pub kit: String,
    /// The order.
    pub order: String,
    /// Who it is for.
    pub customer: String,
    /// What is built, in words.
    pub build: String,
    /// open, picking, sealed or despatched.
    pub state: String,
    /// When it left.
    pub despatched_at: Option<NaiveDateTime>,
    /// The assembly strip: pieces in the cartons.
    pub strip: StripView,
    /// Its cartons.
    pub cartons: Vec<BenchCartonView>,
    /// What keeps it in the house, in words.
    pub not_leaving: Vec<String>,
}

/// Loads the bench with one kit.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn bench(conn: &mut Conn, number: &str) -> Result<BenchView, Error> {
    let kit = kit_row(conn, number)?;
    let order = orders::order_of(conn, kit.order)?;
    let options = orders::options_of(conn, kit.id)?;
    let steps = kits::steps(conn, kit.bom)?;
    let lines = orders::lines_of(conn, &[kit.id])?;
    let line_ids: Vec<KitLineId> = lines.iter().map(|it| it.id).collect();
    let moves = packing::moves_of_lines(conn, &line_ids)?;
    let rows = packing::cartons_of(conn, &[kit.id])?;
    let contents = contents(conn)?;
    let of = words::small(i64::try_from(rows.len()).unwrap_or(i64::MAX))?;
    let mut cartons = Vec::new();
    for row in &rows {
        let mut views: Vec<BenchLineView> = lines
            .iter()
            .filter(|it| it.carton == row.position)
            .map(|it| line_view(it, row, &moves, &contents))
            .collect::<Result<_, _>>()?;
        // Packing material lines the carton and goes in first; then the last step's parts.
        views.reverse();
        let not_sealing =
            unproved(&proof_lines(&lines, row.position)?).iter().map(ToString::to_string).collect();
        let expected: Mass = lines
            .iter()
            .filter(|it| it.carton == row.position)
            .map(|it| it.mass.times(it.quantity.less(it.short).pieces()))
            .fold(Mass::ZERO, Mass::plus);
        cartons.push(BenchCartonView {
            number: row.number.clone(),
            position: words::small(row.position)?,
            of,
            sealed_at: row.sealed_at,
            sealed_by: row.sealed_by.clone(),
            lines: views,
            not_sealing,
            expected_mass_mg: expected.milligrams(),
        });
    }
    let not_leaving = not_leaving(&kit, &cartons);
    let mut counted: Vec<StripLine> = Vec::new();
    for line in &lines {
        counted.extend(strip_lines(line, line.packed, line.short, &contents)?);
    }
    Ok(BenchView {
        kit: kit.number,
        order: order.number,
        customer: order.customer,
        build: build_words(&kit.bom_name, &options),
        state: kit.state,
        despatched_at: kit.despatched_at,
        strip: strip(&steps, &counted).into(),
        cartons,
        not_leaving,
    })
}

fn not_leaving(kit: &KitRow, cartons: &[BenchCartonView]) -> Vec<String> {
    match kit.state.as_str() {
        "despatched" | "sealed" => Vec::new(),
        "open" => vec!["nobody has begun to pick it".to_owned()],
        _ => cartons
            .iter()
            .filter(|it| it.sealed_at.is_none())
            .map(|it| format!("carton {} of {} is not sealed", it.position, it.of))
            .collect(),
    }
}

fn kit_row(conn: &mut Conn, number: &str) -> Result<KitRow, Error> {
    orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))
}

fn line_view(
    line: &KitLineRow,
    carton: &CartonRow,
    moves: &[LineMoveRow],
    contents: &Contents,
) -> Result<BenchLineView, Error> {
    let identities = identities(line, carton, moves);
    let proved = line.packed.plus(line.short) == line.quantity;
    Ok(BenchLineView {
        line: line.number,
        step: words::small(line.step)?,
        part_number: line.part_number.clone(),
        part: line.part.clone(),
        variant: line.variant_words.clone(),
        class_words: words::class(&line.class)?.words().to_owned(),
        quantity: line.quantity,
        picked: line.picked,
        packed: line.packed,
        short: line.short,
        short_reason: line.short_reason.clone().unwrap_or_default(),
        proof: proof_words(line, &identities),
        identities,
        contents: contents.get(&line.part_number).cloned().unwrap_or_default(),
        proved,
    })
}

/// Returns lots and serial numbers of a line's pieces in the carton, with counts where a lot is not
/// all of it.
fn identities(line: &KitLineRow, carton: &CartonRow, moves: &[LineMoveRow]) -> Vec<String> {
    let mut held: std::collections::BTreeMap<(bool, &str), Quantity> = Default::default();
    for it in moves.iter().filter(|it| it.line == line.id) {
        let code = match (&it.serial_code, &it.lot_code) {
            (Some(serial), _) => (true, serial.as_str()),
            (None, Some(lot)) => (false, lot.as_str()),
            (None, None) => continue,
        };
        let sum = held.entry(code).or_default();
        if it.to == carton.place {
            *sum = sum.plus(it.quantity);
        } else if it.from == carton.place {
            *sum = sum.less(it.quantity);
        }
    }
    held.into_iter()
        .filter(|(_, quantity)| quantity.is_some())
        .map(|((is_serial, code), quantity)| match is_serial {
            true => format!("serial number {code}"),
            false if quantity == line.quantity => format!("lot {code}"),
            false => format!("lot {code} × {quantity}"),
        })
        .collect()
}

fn proof_words(line: &KitLineRow, identities: &[String]) -> String {
    let mut said = Vec::new();
    if line.packed.is_some() {
        let which = if identities.is_empty() {
            String::new()
        } else {
            format!(" ({})", identities.join(", "))
        };
        said.push(format!("{} of {} scanned in{which}", line.packed, line.quantity));
    }
    if line.short.is_some() {
        let reason = line.short_reason.as_deref().unwrap_or_default();
        said.push(format!("{} left out: {reason}", line.short));
    }
    let waiting = line.picked.less(line.packed);
    if waiting.is_some() {
        said.push(format!("{waiting} in the tote"));
    }
    let lacking = line.quantity.less(line.picked).less(line.short);
    if lacking.is_some() {
        said.push(format!("{lacking} not picked"));
    }
    said.join("; ")
}

fn proof_lines(lines: &[KitLineRow], carton: i64) -> Result<Vec<ProofLine>, Error> {
    lines
        .iter()
        .filter(|it| it.carton == carton)
        .map(|it| {
            Ok(ProofLine {
                part: words::line_part(it),
                step: words::small(it.step)?,
                quantity: it.quantity,
                packed: it.packed,
                short: it.short,
            })
        })
        .collect()
}

/// One scan at the bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct PackScan {
    /// What the scanner sent, or what was typed.
    pub code: String,
    /// The carton being packed, by its place in the kit; the first open one where it is left out.
    pub carton: Option<u32>,
    /// How many pieces are in hand; all that the tote holds for the line where it is left out.
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
        let answer = match read_scan(&it.code) {
            Err(fault) => {
                ScanAnswer::new(ScanOutcome::Refused, "scan.unreadable", fault.to_string())
            }
            Ok(scan) => {
                let lines = orders::lines_of(tx.conn, &[kit.id])?;
                let wanted: Vec<VariantId> = lines.iter().map(|it| it.variant).collect();
                let found = find(tx.conn, &scan, &wanted)?;
                let said = decide(tx, &kit, &lines, &rows, position, &found, it.quantity)?;
                put(tx, key, &kit, &lines, carton, said)?
            }
        };
        let carton = answer.carton.or(Some(words::small(position)?));
        Ok(ScanAnswer { carton, ..answer })
    })
}

/// Loads a kit that is being picked and packed.
fn on_bench(tx: &mut Tx<'_>, number: &str) -> Result<KitRow, Error> {
    let kit = kit_row(tx.conn, number)?;
    match kit.state.as_str() {
        "picking" | "sealed" => Ok(kit),
        "open" => Err(Error::conflict(
            "packing.not_picked",
            format!("kit {number} has not been picked: put it on a pick list first"),
        )),
        _ => Err(Error::conflict("packing.left", format!("kit {number} has left the house"))),
    }
}

fn decide(
    tx: &mut Tx<'_>,
    kit: &KitRow,
    lines: &[KitLineRow],
    cartons: &[CartonRow],
    position: i64,
    found: &crate::domain::picking::Found,
    quantity: Option<Quantity>,
) -> Result<PackAnswer, Error> {
    let pack_lines: Vec<PackLine> = lines.iter().map(pack_line).collect::<Result<_, _>>()?;
    let tote = in_tote(tx.conn, kit, lines)?;
    let numbers: Vec<(String, u32)> = cartons
        .iter()
        .map(|it| Ok((it.number.clone(), words::small(it.position)?)))
        .collect::<Result<_, Error>>()?;
    Ok(judge(&pack_lines, &tote, &numbers, words::small(position)?, found, quantity))
}

fn pack_line(line: &KitLineRow) -> Result<PackLine, Error> {
    Ok(PackLine {
        line: line.id,
        carton: words::small(line.carton)?,
        part: crate::domain::picking::FoundPart {
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

/// Loads what the kit's tote holds, line by line, from what was moved for each line.
fn in_tote(conn: &mut Conn, kit: &KitRow, lines: &[KitLineRow]) -> Result<Vec<InTote>, Error> {
    let ids: Vec<KitLineId> = lines.iter().map(|it| it.id).collect();
    let mut held: std::collections::BTreeMap<
        (KitLineId, Option<(LotId, String)>, Option<SerialId>),
        Quantity,
    > = Default::default();
    for it in packing::moves_of_lines(conn, &ids)? {
        let sum = held.entry((it.line, it.lot.zip(it.lot_code), it.serial)).or_default();
        if Some(it.to) == kit.tote {
            *sum = sum.plus(it.quantity);
        } else if Some(it.from) == kit.tote {
            *sum = sum.less(it.quantity);
        }
    }
    Ok(held
        .into_iter()
        .filter(|(_, quantity)| quantity.is_some())
        .map(|((line, lot, serial), quantity)| InTote { line, lot, serial, quantity })
        .collect())
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
            let refusal = crate::domain::packing::PackRefusal::Sealed {
                carton: words::small(carton.position)?,
            };
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
            let cause = Cause {
                request_key: key.as_str(),
                document: &format!("packed in carton {}", carton.number),
                kit_line: Some(line),
                reverses: None,
            };
            stock_ops::post(tx, &row.part_number, &movement, cause)?;
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

/// Takes a line out of its carton again, back into the tote; a sealed carton is opened by it.
///
/// # Errors
///
/// [`Error::Conflict`] when the carton holds none of it or the kit has left.
pub fn take_out(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    line: i64,
) -> Result<ScanAnswer, Error> {
    once(tx, key, "packing.take_out", &(number, line), |tx| {
        let kit = on_bench(tx, number)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let row = line_of(&lines, line)?;
        let cartons = packing::cartons_of(tx.conn, &[kit.id])?;
        let carton = cartons
            .iter()
            .find(|it| it.position == row.carton)
            .ok_or_else(|| Error::not_found("carton of the kit", row.carton.to_string()))?;
        let tote = kit.tote.ok_or_else(|| Error::Internal(format!("kit {number} has no tote")))?;
        if !row.packed.is_some() {
            return Err(Error::conflict(
                "packing.not_in_carton",
                format!("carton {} holds no {}", carton.number, words::line_part(row)),
            ));
        }
        let as_if_tote = KitRow { tote: Some(carton.place), ..kit.clone() };
        for it in in_tote(tx.conn, &as_if_tote, std::slice::from_ref(row))? {
            let item = Item { variant: row.variant, lot: it.lot.map(|it| it.0), serial: it.serial };
            let movement = Movement::new(item, it.quantity, carton.place, tote)?;
            let cause = Cause {
                request_key: key.as_str(),
                document: &format!("taken out of carton {}", carton.number),
                kit_line: Some(row.id),
                reverses: None,
            };
            stock_ops::post(tx, &row.part_number, &movement, cause)?;
        }
        orders::set_progress(tx.conn, row.id, row.picked, Quantity::ZERO)?;
        packing::set_sealed(tx.conn, carton.id, None)?;
        orders::set_state(tx.conn, kit.id, "picking")?;
        let words = format!("{} × {} back in the tote", row.packed, words::line_part(row));
        Ok(ScanAnswer {
            moved: row.packed,
            ..ScanAnswer::new(ScanOutcome::Ok, "pack.taken_out", words)
        })
    })
}

fn line_of(lines: &[KitLineRow], number: i64) -> Result<&KitLineRow, Error> {
    lines
        .iter()
        .find(|it| it.number == number)
        .ok_or_else(|| Error::not_found("line of the kit", number.to_string()))
}

/// Lets a box leave without what is not yet picked of a line, with a stated reason.
///
/// # Errors
///
/// [`ShortError`] when the part's class or the person's role does not allow it.
pub fn ship_short(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    line: i64,
    reason: &str,
) -> Result<(), Error> {
    once(tx, key, "packing.ship_short", &(number, line, reason), |tx| {
        let kit = on_bench(tx, number)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let row = line_of(&lines, line)?;
        let part = words::line_part(row);
        may_ship_short(&part, words::class(&row.class)?, tx.who.role(), reason)?;
        let missing = row.quantity.less(row.picked).less(row.short);
        if !missing.is_some() {
            return Err(ShortError::TooMany { part, asked: Quantity::ONE, missing }.into());
        }
        stock::release_line(tx.conn, row.id)?;
        let (short, by) = (row.short.plus(missing), tx.who.user());
        orders::set_short(tx.conn, row.id, short, Some(reason.trim()), by)?;
        order_ops::reserve(tx)?;
        Ok(())
    })
}

/// Takes back that a box leaves without a part.
///
/// # Errors
///
/// [`Error::Conflict`] when the carton is sealed.
pub fn not_short(tx: &mut Tx<'_>, key: &RequestKey, number: &str, line: i64) -> Result<(), Error> {
    once(tx, key, "packing.not_short", &(number, line), |tx| {
        let kit = on_bench(tx, number)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let row = line_of(&lines, line)?;
        let cartons = packing::cartons_of(tx.conn, &[kit.id])?;
        let sealed = |it: &CartonRow| it.position == row.carton && it.sealed_at.is_some();
        if cartons.iter().any(sealed) {
            return Err(Error::conflict(
                "packing.sealed",
                format!("carton {} is sealed: take a part out to open it", row.carton),
            ));
        }
        orders::set_short(tx.conn, row.id, Quantity::ZERO, None, None)?;
        order_ops::reserve(tx)?;
        Ok(())
    })
}

/// Seals a carton: every piece of it is scanned in, or left out with a reason. With its last carton
/// the kit is sealed.
///
/// # Errors
///
/// [`Error::Unproved`], which names the lines without a proof.
pub fn seal(tx: &mut Tx<'_>, key: &RequestKey, number: &str, position: u32) -> Result<(), Error> {
    once(tx, key, "packing.seal", &(number, position), |tx| {
        let kit = on_bench(tx, number)?;
        let user = tx.who.user().ok_or(Error::SignedOut)?;
        let cartons = packing::cartons_of(tx.conn, &[kit.id])?;
        let carton = cartons
            .iter()
            .find(|it| it.position == i64::from(position))
            .ok_or_else(|| Error::not_found("carton of the kit", position.to_string()))?;
        if carton.sealed_at.is_some() {
            return Ok(());
        }
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let open = unproved(&proof_lines(&lines, carton.position)?);
        if !open.is_empty() {
            return Err(Error::Unproved(open));
        }
        packing::set_sealed(tx.conn, carton.id, Some((tx.now, user)))?;
        let others = cartons.iter().filter(|it| it.id != carton.id);
        if others.clone().all(|it| it.sealed_at.is_some()) {
            orders::set_state(tx.conn, kit.id, "sealed")?;
        }
        Ok(())
    })
}

/// Hands a sealed kit to the carrier: all that its cartons hold goes to the rider.
///
/// # Errors
///
/// [`Error::Conflict`] when a carton is open or the kit has left.
pub fn hand_over(tx: &mut Tx<'_>, key: &RequestKey, number: &str) -> Result<(), Error> {
    once(tx, key, "packing.hand_over", &number, |tx| {
        let kit = kit_row(tx.conn, number)?;
        if kit.state != "sealed" {
            let why = match kit.state.as_str() {
                "despatched" => "has left already",
                _ => "has a carton that is not sealed",
            };
            return Err(Error::conflict("packing.not_sealed", format!("kit {number} {why}")));
        }
        let rider = stock::outside(tx.conn, PlaceKind::Rider)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        for carton in packing::cartons_of(tx.conn, &[kit.id])? {
            let as_if_tote = KitRow { tote: Some(carton.place), ..kit.clone() };
            for it in in_tote(tx.conn, &as_if_tote, &lines)? {
                let row = lines
                    .iter()
                    .find(|row| row.id == it.line)
                    .ok_or_else(|| Error::Internal(format!("kit line {} is gone", it.line)))?;
                let item =
                    Item { variant: row.variant, lot: it.lot.map(|it| it.0), serial: it.serial };
                let movement = Movement::new(item, it.quantity, carton.place, rider)?;
                let cause = Cause {
                    request_key: key.as_str(),
                    document: &format!("carton {} handed to the carrier", carton.number),
                    kit_line: Some(it.line),
                    reverses: None,
                };
                stock_ops::post(tx, &row.part_number, &movement, cause)?;
            }
        }
        orders::set_despatched(tx.conn, kit.id, tx.now)?;
        Ok(())
    })
}

/// Loads the kits on the bench: those being picked or packed, and those sealed.
///
/// # Errors
///
/// [`Error::Database`].
pub fn on_benches(conn: &mut Conn) -> Result<Vec<(super::orders::OrderView, KitView)>, Error> {
    let mut kits = Vec::new();
    for order in order_ops::list(conn)? {
        for kit in &order.kits {
            if matches!(kit.state.as_str(), "picking" | "sealed") {
                kits.push((order.clone(), kit.clone()));
            }
        }
    }
    Ok(kits)
}

/// Loads the number of the kit that a carton, kit or serial number scanned anywhere belongs to.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn kit_of_code(conn: &mut Conn, code: &str) -> Result<String, Error> {
    if let Some((kit, _)) = packing::carton(conn, code)? {
        return Ok(kit);
    }
    if let Some(kit) = orders::kit(conn, code)? {
        return Ok(kit.number);
    }
    if catalog::variant(conn, code)?.is_some() {
        return Err(Error::invalid(
            "packing.part_scanned",
            format!("{code} is a part: scan the kit's label"),
        ));
    }
    Err(Error::not_found("kit or carton", code))
}

/// Loads the kit that a carton belongs to, and the carton's place there.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn carton_place(conn: &mut Conn, number: &str) -> Result<(String, u32), Error> {
    let (kit, position) =
        packing::carton(conn, number)?.ok_or_else(|| Error::not_found("carton", number))?;
    Ok((kit, words::small(position)?))
}
