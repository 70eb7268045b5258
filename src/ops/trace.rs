//! From a lot or serial number to every kit, order and person that has a piece of it, and to the
//! pieces that are still in the house.

mod graph;

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::codes::{Scan, read_scan};
use crate::domain::ids::KitId;
use crate::domain::stock::PlaceKind;
use crate::domain::trace::{Found, Traced, follow};
use crate::error::Error;
use crate::exchange::letters::{self, Letter};
use crate::store::Conn;
use crate::store::trace::{self as store, ItemRow, KitRow};
use crate::units::Quantity;

use super::words;

/// The most codes that one search takes.
pub const MOST_CODES: usize = 5_000;

/// Lots, serial numbers or runs to be looked for.
#[derive(Debug, Clone, Default)]
pub struct Search {
    /// Their codes as they are printed or scanned.
    pub codes: Vec<String>,
    /// The part number that they are of; empty for whichever part has such a code.
    pub part_number: String,
}

impl Search {
    /// Returns the search for codes that stand one on a line.
    pub fn of_lines(codes: &str, part_number: &str) -> Self {
        let codes = codes.lines().map(str::trim).filter(|it| !it.is_empty());
        Self { codes: codes.map(str::to_owned).collect(), part_number: part_number.trim().into() }
    }
}

/// A lot or serial number that was looked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct TracedView {
    /// The part number.
    pub part_number: String,
    /// It in words.
    pub part: String,
    /// lot or serial.
    pub kind: String,
    /// The lot's code or the serial number.
    pub code: String,
    /// How many pieces of it came in, or were made.
    pub came_in: Quantity,
}

/// How many pieces came to one end.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct FateView {
    /// Where they are, in words.
    pub fate: String,
    /// How many.
    pub pieces: Quantity,
}

/// A kit that has pieces of what was looked for, or may have.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct HolderView {
    /// The kit.
    pub kit: String,
    /// Where it stands.
    pub state: String,
    /// The carton that the pieces are in, or went in; empty while they are in a tote.
    pub carton: String,
    /// The order.
    pub order: String,
    /// Who ordered.
    pub customer: String,
    /// Rider or dealer.
    pub channel: String,
    /// Their address for letters; empty where none is known.
    pub email: String,
    /// Where it goes.
    pub address: String,
    /// The country.
    pub country: String,
    /// The day on which it was handed over.
    pub handed_over_on: Option<NaiveDate>,
    /// The part number in the kit: of what was looked for, or of what was made of it.
    pub part_number: String,
    /// It in words.
    pub part: String,
    /// Its lot or serial number.
    pub code: String,
    /// How many pieces of what was looked for are inside; the most there can be where it is not
    /// certain.
    pub pieces: Quantity,
    /// Whether they are there for certain: a run that used several lots of a part leaves it open.
    pub certain: bool,
    /// The runs that they went through, the first first.
    pub through: Vec<String>,
}

/// A place of the house that has pieces of what was looked for and serves no kit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct InHouseView {
    /// The place's code.
    pub place: String,
    /// What it is for.
    pub kind: String,
    /// The part number that lies there.
    pub part_number: String,
    /// It in words.
    pub part: String,
    /// Its lot or serial number.
    pub code: String,
    /// How many pieces of what was looked for; the most there can be where it is not certain.
    pub pieces: Quantity,
    /// Whether they are there for certain.
    pub certain: bool,
    /// The runs that they went through, the first first.
    pub through: Vec<String>,
}

/// Where the pieces of lots or serial numbers are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct TraceView {
    /// What was found of what was looked for; what was made of another of them is left out.
    pub items: Vec<TracedView>,
    /// Codes that no lot, serial number or run has.
    pub unknown: Vec<String>,
    /// How many pieces came in, of all of them.
    pub came_in: Quantity,
    /// Where those are. The pieces of all fates are as many as came in.
    pub fates: Vec<FateView>,
    /// The kits that have pieces, or may have: those with riders first.
    pub kits: Vec<HolderView>,
    /// The places of the house that have pieces and serve no kit.
    pub in_house: Vec<InHouseView>,
    /// Pieces by which the fates miss what came in, which only a hand in the database can bring about.
    pub unexplained: Quantity,
}

/// Loads where the pieces of lots, serial numbers and runs are.
///
/// # Errors
///
/// [`Error::Invalid`] when nothing is looked for, or too much at once.
pub fn trace(conn: &mut Conn, search: &Search, year: i32) -> Result<TraceView, Error> {
    if search.codes.is_empty() {
        let message = "codes: enter lots, serial numbers or runs, one on a line";
        return Err(Error::invalid("trace.nothing", message));
    }
    if MOST_CODES < search.codes.len() {
        let message = format!(
            "codes: {} are too many at once: look for {MOST_CODES} at most",
            search.codes.len()
        );
        return Err(Error::invalid("trace.too_many", message));
    }
    let (starts, unknown) = starts(conn, search, year)?;
    let graph = graph::load(conn, &starts)?;
    let starts = outermost(&starts, &graph);
    let found: Vec<Found> = starts.iter().flat_map(|it| follow(*it, &graph.nodes)).collect();
    let held: BTreeSet<Traced> = found.iter().map(|it| it.holds).chain(starts.clone()).collect();
    let held: Vec<Traced> = held.into_iter().collect();
    let items: BTreeMap<Traced, ItemRow> = store::items(conn, &held)?.into_iter().collect();
    let kits: BTreeSet<KitId> = found.iter().filter_map(|it| it.spot.kit).collect();
    let kits: Vec<KitId> = kits.into_iter().collect();
    let kits: BTreeMap<KitId, KitRow> =
        store::kits(conn, &kits)?.into_iter().map(|it| (it.id, it)).collect();
    let came_in = |it: &Traced| graph.came_in.get(it).copied().unwrap_or_default();
    let total: Quantity = starts.iter().map(came_in).sum();
    let fates = fates(&starts, &graph, &found);
    let told: Quantity = fates.iter().map(|it| it.pieces).sum();
    Ok(TraceView {
        items: starts.iter().filter_map(|it| traced(*it, items.get(it)?, came_in(it))).collect(),
        unknown,
        came_in: total,
        unexplained: total.less(told),
        fates,
        kits: holders(&found, &items, &kits),
        in_house: in_house(&found, &items),
    })
}

/// Loads the kits that have pieces, or may have, as CSV for letters: one row for each kit and part.
///
/// # Errors
///
/// As [`trace`].
pub fn letters(conn: &mut Conn, search: &Search, year: i32) -> Result<String, Error> {
    Ok(letters_of(&trace(conn, search, year)?))
}

/// Returns the CSV for letters of what was found.
pub fn letters_of(view: &TraceView) -> String {
    let rows: Vec<Letter<'_>> = view
        .kits
        .iter()
        .map(|it| Letter {
            order: &it.order,
            kit: &it.kit,
            carton: &it.carton,
            state: &it.state,
            handed_over_on: it.handed_over_on,
            customer: &it.customer,
            channel: &it.channel,
            email: &it.email,
            address: &it.address,
            country: &it.country,
            part_number: &it.part_number,
            part: &it.part,
            code: &it.code,
            pieces: it.pieces,
            certain: it.certain,
            through: it.through.join(" "),
        })
        .collect();
    letters::write(&rows)
}

/// Returns what the codes name, and those that name nothing.
fn starts(
    conn: &mut Conn,
    search: &Search,
    year: i32,
) -> Result<(Vec<Traced>, Vec<String>), Error> {
    let (mut found, mut unknown) = (BTreeSet::new(), Vec::new());
    for text in &search.codes {
        let mut named = store::named(conn, text)?;
        if named.is_empty()
            && let Some(code) = scanned(text, year)
        {
            named = store::named(conn, &code)?;
        }
        if !search.part_number.is_empty() {
            let rows = store::items(conn, &named)?;
            let of_part = |it: &&(Traced, ItemRow)| it.1.part_number == search.part_number;
            named = rows.iter().filter(of_part).map(|it| it.0).collect();
        }
        if named.is_empty() {
            unknown.push(text.clone());
        }
        found.extend(named);
    }
    Ok((found.into_iter().collect(), unknown))
}

/// Returns the lot or serial number that a scanned label names.
fn scanned(text: &str, year: i32) -> Option<String> {
    let scan = match read_scan(text, year).ok()? {
        Scan::Printed(it) => it.of,
        scan => scan,
    };
    match scan {
        Scan::Lot(code) | Scan::Serial(code) => Some(code),
        Scan::Label(label) | Scan::Perhaps(label, _) => label.serial.or(label.lot),
        _ => None,
    }
}

/// Returns the starts without those that were made of others: a cut fork has the number of its uncut
/// one, and its pieces are not to be counted twice.
fn outermost(starts: &[Traced], graph: &graph::Graph) -> Vec<Traced> {
    let inner: BTreeSet<Traced> = starts
        .iter()
        .flat_map(|it| follow(*it, &graph.nodes))
        .filter(|it| !it.through.is_empty())
        .map(|it| it.holds)
        .collect();
    starts.iter().copied().filter(|it| !inner.contains(it)).collect()
}

fn traced(it: Traced, row: &ItemRow, came_in: Quantity) -> Option<TracedView> {
    let kind = match it {
        Traced::Lot(_) => "lot",
        Traced::Serial(_) => "serial",
    };
    Some(TracedView {
        part_number: row.part_number.clone(),
        part: words::part(&row.part, &row.variant_words),
        kind: kind.to_owned(),
        code: row.code.clone(),
        came_in,
    })
}

/// The ends that pieces come to, in the order in which a recall asks for them.
const FATES: [(PlaceKind, &str); 8] = [
    (PlaceKind::Rider, "with riders"),
    (PlaceKind::Carton, "packed, not handed over"),
    (PlaceKind::Tote, "picked, not packed"),
    (PlaceKind::Bin, "in bins"),
    (PlaceKind::Quarantine, "in quarantine"),
    (PlaceKind::Returns, "came back"),
    (PlaceKind::Scrap, "scrapped"),
    (PlaceKind::CountDifference, "missed in counts"),
];

fn fates(starts: &[Traced], graph: &graph::Graph, found: &[Found]) -> Vec<FateView> {
    let certain = |kind: PlaceKind| -> Quantity {
        let at = found.iter().filter(|it| it.certain && it.spot.kind == kind);
        at.map(|it| it.pieces).sum()
    };
    let mut fates: Vec<FateView> = FATES
        .iter()
        .map(|(kind, words)| FateView { fate: (*words).to_owned(), pieces: certain(*kind) })
        .collect();
    let mut mixed = BTreeMap::new();
    for it in starts {
        mixed_in(*it, Quantity::ONE, graph, &mut mixed);
    }
    fates.extend(mixed.into_iter().map(|(run, pieces)| FateView {
        fate: format!("in pieces of run {run}, which used several lots"),
        pieces,
    }));
    fates.retain(|it| it.pieces != Quantity::ZERO);
    fates
}

/// Adds up, by run, the pieces that went into runs which used several lots.
fn mixed_in(
    item: Traced,
    each: Quantity,
    graph: &graph::Graph,
    mixed: &mut BTreeMap<String, Quantity>,
) {
    for passage in graph.nodes.get(&item).into_iter().flat_map(|it| &it.passages) {
        if passage.sole {
            for made in &passage.made {
                mixed_in(*made, each.times(passage.each), graph, mixed);
            }
        } else {
            let sum = mixed.entry(passage.run.clone()).or_default();
            *sum = sum.plus(passage.inside.times(each));
        }
    }
}

fn holders(
    found: &[Found],
    items: &BTreeMap<Traced, ItemRow>,
    kits: &BTreeMap<KitId, KitRow>,
) -> Vec<HolderView> {
    let holder = |it: &Found| {
        let (kit, row) = (kits.get(&it.spot.kit?)?, items.get(&it.holds)?);
        let carton = it.spot.kind != PlaceKind::Tote;
        Some(HolderView {
            kit: kit.number.clone(),
            state: kit.state.clone(),
            carton: if carton { it.spot.place.clone() } else { String::new() },
            order: kit.order.clone(),
            customer: kit.customer.clone(),
            channel: kit.channel.clone(),
            email: kit.email.clone(),
            address: kit.address.clone(),
            country: kit.country.clone(),
            handed_over_on: kit.despatched_at.map(|it| it.date()),
            part_number: row.part_number.clone(),
            part: words::part(&row.part, &row.variant_words),
            code: row.code.clone(),
            pieces: it.pieces,
            certain: it.certain,
            through: it.through.clone(),
        })
    };
    let mut holders: Vec<HolderView> =
        found.iter().filter(|it| it.pieces.is_some()).filter_map(holder).collect();
    let with_rider = |it: &HolderView| it.handed_over_on.is_none();
    holders.sort_by(|a, b| {
        (with_rider(a), &a.order, &a.kit, &a.code).cmp(&(with_rider(b), &b.order, &b.kit, &b.code))
    });
    holders
}

fn in_house(found: &[Found], items: &BTreeMap<Traced, ItemRow>) -> Vec<InHouseView> {
    let lies = |it: &Found| {
        let row = items.get(&it.holds)?;
        Some(InHouseView {
            place: it.spot.place.clone(),
            kind: it.spot.kind.as_str().to_owned(),
            part_number: row.part_number.clone(),
            part: words::part(&row.part, &row.variant_words),
            code: row.code.clone(),
            pieces: it.pieces,
            certain: it.certain,
            through: it.through.clone(),
        })
    };
    let serves_no_kit = |it: &&Found| it.spot.kit.is_none() && !it.spot.kind.is_outside();
    let mut places: Vec<InHouseView> =
        found.iter().filter(serves_no_kit).filter_map(lies).collect();
    places.sort_by(|a, b| {
        (&a.place, &a.part_number, &a.code).cmp(&(&b.place, &b.part_number, &b.code))
    });
    places
}
