//! Parts as the shop looks them up: what they are, where they lie, what moved.

mod entry;
mod remove;

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use crate::domain::ids::{PlaceId, VariantId};
use crate::error::Error;
use crate::store::catalog::{SearchRow, VariantRow};
use crate::store::{Conn, bench, catalog, purchasing, stock};
use crate::units::Quantity;

use super::changes::{self, ChangeView};
use super::exchange::RecordKind;
use super::words::{self, by_variant};

pub use entry::{
    Entered, Entry, EntryView, Expected, Listed, Proposals, entries, entry, fact_rows, next_number,
    next_numbers, proposals, put, remove,
};

/// A part in a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PartView {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Its home bin.
    pub bin: String,
    /// Pieces in bins.
    pub on_hand: Quantity,
    /// Pieces held for kits.
    pub reserved: Quantity,
    /// Pieces in bins that nobody holds.
    pub available: Quantity,
    /// none, lot or serial.
    pub tracking: String,
    /// What its absence does, in its letter.
    pub class: String,
}

/// Which parts to list.
#[derive(Debug, Clone, Default)]
pub struct PartSearch {
    /// Words that number, name, variant or specification must all hold.
    pub query: String,
    /// The part number after which to go on; empty from the first.
    pub after: String,
    /// The most parts to list.
    pub most: usize,
}

/// Loads the parts that answer to a search, in order of part number.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, search: &PartSearch) -> Result<Vec<PartView>, Error> {
    let words: Vec<String> = search.query.split_whitespace().map(str::to_lowercase).collect();
    let most = i64::try_from(search.most).ok().filter(|_| words.is_empty());
    let has_all = |(_, number, part, variant, specification): &SearchRow| {
        let text = format!("{number} {part} {variant} {specification}").to_lowercase();
        words.iter().all(|it| text.contains(it))
    };
    let found = catalog::search_rows(conn, &search.after, most)?.into_iter().filter(has_all);
    let found: Vec<VariantId> = found.take(search.most).map(|it| it.0).collect();
    let mut rows = catalog::variants_of(conn, &found.iter().copied().collect())?;
    rows.sort_by(|a, b| a.part_number.cmp(&b.part_number));
    let on_hand = by_variant(stock::on_hand(conn, &found)?);
    let reserved =
        by_variant(stock::reservations(conn)?.into_iter().map(|it| (it.variant, it.quantity)));
    Ok(rows.iter().map(|row| part_view(row, &on_hand, &reserved)).collect())
}

fn part_view(
    row: &VariantRow,
    on_hand: &BTreeMap<VariantId, Quantity>,
    reserved: &BTreeMap<VariantId, Quantity>,
) -> PartView {
    let of = |sums: &BTreeMap<VariantId, Quantity>| sums.get(&row.id).copied().unwrap_or_default();
    PartView {
        part_number: row.part_number.clone(),
        part: row.part.clone(),
        variant: row.variant.clone(),
        bin: row.bin_code.clone().unwrap_or_default(),
        on_hand: of(on_hand),
        reserved: of(reserved),
        available: of(on_hand).less(of(reserved)),
        tracking: row.tracking.clone(),
        class: row.class.clone(),
    }
}

/// What one place holds of a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BalanceView {
    /// The place's code.
    pub place: String,
    /// bin, quarantine, returns, tote or carton.
    pub kind: String,
    /// The lot.
    pub lot: Option<String>,
    /// The lot's last day of use.
    pub use_by: Option<NaiveDate>,
    /// The serial number.
    pub serial: Option<String>,
    /// How many.
    pub quantity: Quantity,
}

/// A movement of a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MovementView {
    /// Its number.
    pub movement: i64,
    /// When.
    pub at: NaiveDateTime,
    /// How many pieces.
    pub quantity: Quantity,
    /// The place left.
    pub from: String,
    /// The place reached.
    pub to: String,
    /// The lot or serial number.
    pub identity: String,
    /// Who did it.
    pub person: String,
    /// The document or reason.
    pub document: String,
    /// Whether it can be reversed by hand.
    pub reversible: bool,
}

/// A part with all that its page shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PartDetailView {
    /// The part as the list shows it.
    pub part: PartView,
    /// Its specification.
    pub specification: String,
    /// Its attributes by name.
    pub attributes: String,
    /// The mean mass of one piece, in milligrams.
    pub mass_mg: i64,
    /// The standard deviation of one piece's mass, in milligrams.
    pub mass_sd_mg: i64,
    /// The box around one piece.
    pub box_size: String,
    /// What its absence does, in words.
    pub class_words: String,
    /// The supplier's name.
    pub supplier: String,
    /// The supplier's own number for it.
    pub supplier_item: String,
    /// What one piece costs, in cents.
    pub unit_cost_cents: i64,
    /// Pieces in one pack.
    pub pack: Quantity,
    /// The least that the supplier sells at once.
    pub minimum_order: Quantity,
    /// Order at or below this.
    pub reorder_point: Quantity,
    /// Pieces still to come.
    pub on_order: Quantity,
    /// What each place of the house holds.
    pub balances: Vec<BalanceView>,
    /// Its newest movements.
    pub movements: Vec<MovementView>,
    /// The number of its newest change, which a request to change it may name.
    pub version: i64,
    /// Who changed what of it, the newest first.
    pub changes: Vec<ChangeView>,
}

/// Loads one part.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn detail(conn: &mut Conn, part_number: &str) -> Result<PartDetailView, Error> {
    let row = catalog::variant(conn, part_number)?
        .ok_or_else(|| Error::not_found("part number", part_number))?;
    let on_hand = by_variant(stock::on_hand(conn, &[row.id])?);
    let reserved =
        by_variant(stock::reservations(conn)?.into_iter().map(|it| (it.variant, it.quantity)));
    let incoming = purchasing::incoming(conn)?;
    let balances = stock::held(conn, row.id)?
        .into_iter()
        .map(|it| BalanceView {
            place: it.place_code,
            kind: it.place_kind,
            lot: it.lot_code,
            use_by: it.use_by,
            serial: it.serial_code,
            quantity: it.quantity,
        })
        .collect();
    let changes = changes::since(conn, RecordKind::Part.file(), part_number, 0)?;
    Ok(PartDetailView {
        version: changes::version(&changes),
        changes,
        part: part_view(&row, &on_hand, &reserved),
        attributes: row.attributes,
        mass_mg: row.mass.milligrams(),
        mass_sd_mg: row.mass_sd.milligrams(),
        box_size: row.box_size,
        class_words: words::class(&row.class)?.words().to_owned(),
        supplier: row.supplier_name.unwrap_or_default(),
        supplier_item: row.supplier_item.unwrap_or_default(),
        unit_cost_cents: row.unit_cost.cents(),
        pack: row.pack,
        minimum_order: row.minimum_order,
        reorder_point: row.reorder_point,
        on_order: incoming.iter().filter(|it| it.variant == row.id).map(|it| it.quantity).sum(),
        balances,
        movements: movements(conn, row.id)?,
        specification: row.specification,
    })
}

fn movements(conn: &mut Conn, variant: VariantId) -> Result<Vec<MovementView>, Error> {
    let rows = stock::movements_of(conn, variant, 50)?;
    let mut ids: Vec<PlaceId> = rows.iter().flat_map(|it| [it.from, it.to]).collect();
    ids.sort();
    ids.dedup();
    let codes: BTreeMap<PlaceId, String> = stock::place_codes(conn, &ids)?.into_iter().collect();
    let code = |id: PlaceId| codes.get(&id).cloned().unwrap_or_default();
    let ids: Vec<_> = rows.iter().map(|it| it.id).collect();
    let of_runs = bench::runs_of_movements(conn, &ids)?;
    let reversed: Vec<_> = rows.iter().filter_map(|it| it.reverses).collect();
    Ok(rows
        .into_iter()
        .map(|it| MovementView {
            movement: it.id.into(),
            at: it.at,
            quantity: it.quantity,
            from: code(it.from),
            to: code(it.to),
            identity: it.serial_code.or(it.lot_code).unwrap_or_default(),
            person: it.user_name.unwrap_or_default(),
            reversible: it.kit_line.is_none()
                && !of_runs.contains_key(&it.id)
                && it.reverses.is_none()
                && !reversed.contains(&it.id),
            document: it.document,
        })
        .collect())
}
