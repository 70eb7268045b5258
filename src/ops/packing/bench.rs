use chrono::NaiveDateTime;
use serde::Serialize;

use crate::domain::ids::KitLineId;
use crate::domain::packing::{StripLine, strip, unproved};
use crate::error::Error;
use crate::ops::kits::{ContentView, Contents, contents_of_kit, strip_lines};
use crate::ops::orders::{self as order_ops, KitView, OrderView, StripView};
use crate::ops::picking::build_words;
use crate::ops::substitution::{InPlaceView, in_place};
use crate::ops::words;
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::packing::{CartonRow, LineMoveRow};
use crate::store::{Conn, kits, orders, packing};
use crate::units::{Mass, Quantity};

use super::{kit_row, proof_lines};

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
    /// The part number in whose place it stands; empty where the bill asks for it.
    pub in_place_of: String,
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
    let contents = contents_of_kit(conn, kit.bills_on, &lines)?;
    let in_place = in_place(conn, &[kit.id])?.remove(&kit.id).unwrap_or_default();
    let of = words::small(i64::try_from(rows.len()).unwrap_or(i64::MAX))?;
    let mut cartons = Vec::new();
    for row in &rows {
        let views: Vec<BenchLineView> = putting_in(&lines, row.position)
            .map(|it| line_view(it, row, &moves, &contents, &in_place))
            .collect::<Result<_, _>>()?;
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

/// Returns the lines of a carton in the order of putting in: packing material in the order of its
/// bill, since it lines the carton; then the last step's parts, and the first step's on top.
fn putting_in(lines: &[KitLineRow], carton: i64) -> impl Iterator<Item = &KitLineRow> {
    let of_carton = lines.iter().filter(move |it| it.carton == carton);
    let (packing, parts): (Vec<_>, Vec<_>) = of_carton.partition(|it| it.step == 0);
    packing.into_iter().chain(parts.into_iter().rev())
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

fn line_view(
    line: &KitLineRow,
    carton: &CartonRow,
    moves: &[LineMoveRow],
    contents: &Contents,
    in_place: &[InPlaceView],
) -> Result<BenchLineView, Error> {
    let identities = identities(line, carton, moves);
    let proved = line.packed.plus(line.short) == line.quantity;
    Ok(BenchLineView {
        line: line.number,
        step: words::small(line.step)?,
        part_number: line.part_number.clone(),
        part: line.part.clone(),
        variant: line.variant_words.clone(),
        in_place_of: in_place
            .iter()
            .find(|it| it.line == line.number)
            .map(|it| it.in_place_of.clone())
            .unwrap_or_default(),
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

/// Loads the kits on the bench: those being picked or packed, and those sealed.
///
/// # Errors
///
/// [`Error::Database`].
pub fn on_benches(conn: &mut Conn) -> Result<Vec<(OrderView, KitView)>, Error> {
    let mut kits = Vec::new();
    for order in order_ops::unasked(conn)? {
        for kit in &order.kits {
            if matches!(kit.state.as_str(), "picking" | "sealed") {
                kits.push((order.clone(), kit.clone()));
            }
        }
    }
    Ok(kits)
}
