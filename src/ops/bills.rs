//! Bills of materials: their revisions, what differs, what a kit costs, and where a part goes in.

mod cost;
mod moving;

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::kits::revision::{self, in_force, standing};
use crate::domain::kits::{self as domain, Bom, Difference};
use crate::error::Error;
use crate::exchange::Kind;
use crate::store::{Conn, Tx, bench, catalog, kits};
use crate::units::Quantity;

use super::changes::{self, Comparison};
use super::drafts::comes_together;
use super::kits::{BomView, as_variant, promises};
use super::once::{RequestKey, once};
use super::words;

pub use cost::{CostLineView, CostView, cost};
pub use moving::{Moved, MovedPart, Moving, move_kit, moving};

/// A revision of a bill, as lists show it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct RevisionView {
    /// Its name.
    pub revision: String,
    /// The day from which it holds; null for a draft.
    pub valid_from: Option<NaiveDate>,
    /// draft; released, holds later; in force; or superseded.
    pub stands: String,
    /// Whether it is the one in force.
    pub in_force: bool,
    /// Kits that were promised it and are not cancelled.
    pub kits: usize,
    /// Runs of the bench that were made by it.
    pub runs: i64,
}

/// A bill with all its revisions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BillView {
    /// Its code.
    pub code: String,
    /// The name that the newest revision gives it.
    pub name: String,
    /// The part number that it makes, if it is stocked.
    pub makes: Option<String>,
    /// rider's kit, sub-kit made here, or assembly.
    pub kind: String,
    /// Its revisions, the newest first.
    pub revisions: Vec<RevisionView>,
}

/// Loads every bill with its revisions: kits for riders first, then what the house makes, then
/// assemblies.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, today: NaiveDate) -> Result<Vec<BillView>, Error> {
    let all = kits::all_boms(conn)?;
    let mut promised: BTreeMap<(String, String), usize> = BTreeMap::new();
    for it in promises(conn)? {
        let top = revision::find(&all, &it.code, &it.revision);
        let bills = top.map(|top| revision::with_top(&all, top, it.day)).unwrap_or_default();
        for bom in top.map(|top| revision::relied_on(&bills, top, &it.made)).unwrap_or_default() {
            *promised.entry((bom.code.clone(), bom.revision.clone())).or_default() += it.kits;
        }
    }
    let runs = bench::runs_by_bill(conn)?;
    let mut by_code: BTreeMap<&str, Vec<&Bom>> = BTreeMap::new();
    for bom in &all {
        by_code.entry(&bom.code).or_default().push(bom);
    }
    let mut bills: Vec<BillView> = by_code
        .into_iter()
        .filter_map(|(code, revisions)| {
            let newest = revisions.last()?;
            let view = |bom: &&&Bom| {
                let stands = standing(&all, bom, today);
                let key = (bom.code.clone(), bom.revision.clone());
                RevisionView {
                    revision: bom.revision.clone(),
                    valid_from: bom.valid_from,
                    stands: stands.words().to_owned(),
                    in_force: stands == revision::Standing::InForce,
                    kits: promised.get(&key).copied().unwrap_or_default(),
                    runs: runs
                        .iter()
                        .find(|it| it.0 == key.0 && it.1 == key.1)
                        .map_or(0, |it| it.2),
                }
            };
            Some(BillView {
                code: code.to_owned(),
                name: newest.name.clone(),
                makes: newest.makes.as_ref().map(ToString::to_string),
                kind: kind(newest).to_owned(),
                revisions: revisions.iter().rev().map(|it| view(&it)).collect(),
            })
        })
        .collect();
    bills.sort_by_key(|it| {
        ["rider's kit", "assembly", "made here"].iter().position(|kind| *kind == it.kind)
    });
    Ok(bills)
}

fn kind(bom: &Bom) -> &'static str {
    match (&bom.makes, bom.steps.is_empty()) {
        (Some(_), _) => "made here",
        (None, false) => "rider's kit",
        (None, true) => "assembly",
    }
}

/// Loads one bill with its revisions.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn bill(conn: &mut Conn, code: &str, today: NaiveDate) -> Result<BillView, Error> {
    let found = list(conn, today)?.into_iter().find(|it| it.code == code);
    found.ok_or_else(|| Error::not_found("bill of materials", code))
}

/// Returns the revision of that code and name.
fn known<'a>(all: &'a [Bom], code: &str, name: &str) -> Result<&'a Bom, Error> {
    revision::find(all, code, name)
        .ok_or_else(|| Error::not_found("bill of materials", format!("{code} revision {name}")))
}

/// Loads one revision with its options, steps and lines.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn detail(conn: &mut Conn, code: &str, name: &str) -> Result<BomView, Error> {
    let all = kits::all_boms(conn)?;
    known(&all, code, name).cloned().map(BomView::from)
}

/// One thing that differs between two revisions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct DifferenceView {
    /// What it is of: "line 40", "step 3", "option size", or "bill" for its head.
    pub of: String,
    /// The field; empty where the whole line, step or option came or went.
    pub field: String,
    /// What it was; empty where it was not there.
    pub from: String,
    /// What it is; empty where it is gone.
    pub to: String,
}

impl From<Difference> for DifferenceView {
    fn from(it: Difference) -> Self {
        Self { of: it.of, field: it.field.to_owned(), from: it.from, to: it.to }
    }
}

/// Loads what differs from one revision of a bill to another.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn compare(
    conn: &mut Conn,
    code: &str,
    from: &str,
    to: &str,
) -> Result<Vec<DifferenceView>, Error> {
    let all = kits::all_boms(conn)?;
    let found = domain::compare(known(&all, code, from)?, known(&all, code, to)?);
    Ok(found.into_iter().map(DifferenceView::from).collect())
}

/// One way in which a part gets into a kit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct UseView {
    /// The bills from the kit at the top down to the one whose line names the part, each with its
    /// revision.
    pub path: Vec<(String, String)>,
    /// The number of that line.
    pub line: u32,
    /// The options under which it counts, such as "size=M|L"; empty where it always does.
    pub when: String,
    /// Pieces in one kit at the top.
    pub quantity: Quantity,
}

/// Loads every way in which a part gets into kits by the bills in force today.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn where_used(
    conn: &mut Conn,
    part_number: &str,
    today: NaiveDate,
) -> Result<Vec<UseView>, Error> {
    let known = catalog::variant(conn, part_number)?;
    let number = known.and_then(|it| it.part_number.parse().ok());
    let number = number.ok_or_else(|| Error::not_found("part number", part_number))?;
    let bills = kits::boms_on(conn, today)?;
    let items = bills.values().flat_map(|it| &it.lines).map(|it| it.item.to_string()).collect();
    let rows = catalog::variants_named(conn, &items)?;
    let variants: Vec<_> = rows.iter().filter_map(as_variant).collect();
    let revision = |code: &String| bills.get(code).map(|it| it.revision.clone());
    let view = |it: domain::Use| UseView {
        when: words_of(&it.when),
        path: it
            .path
            .iter()
            .map(|code| (code.clone(), revision(code).unwrap_or_default()))
            .collect(),
        line: it.line,
        quantity: it.quantity,
    };
    Ok(domain::where_used(&bills, &variants, &number).into_iter().map(view).collect())
}

fn words_of(when: &domain::Conditions) -> String {
    let pairs: Vec<String> = when
        .iter()
        .map(|(name, values)| {
            format!("{name}={}", values.iter().cloned().collect::<Vec<_>>().join("|"))
        })
        .collect();
    pairs.join("; ")
}

/// Releases a draft: it holds from that day on for orders placed then or later.
///
/// # Errors
///
/// [`Error::NotFound`], [`Error::Conflict`] where it is released already, where another revision
/// holds from that day, or where kits promised already would get other parts, and [`Error::Entry`]
/// with every choice of options that does not come together or does not fit.
pub fn release(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    code: &str,
    name: &str,
    valid_from: NaiveDate,
) -> Result<(), Error> {
    once(tx, key, "bills.release", &(code, name, valid_from), |tx| {
        let before = kits::all_boms(tx.conn)?;
        let draft = known(&before, code, name)?;
        if let Some(day) = draft.valid_from {
            let message = format!("revision {name} of {code} is released already, from {day} on");
            return Err(Error::conflict("bills.released", message));
        }
        let rival = |it: &&Bom| it.code == code && it.valid_from == Some(valid_from);
        if let Some(other) = before.iter().find(rival) {
            let message = format!(
                "revision {} of {code} holds from {valid_from} already: choose another day",
                other.revision
            );
            return Err(Error::conflict("bills.same_day", message));
        }
        let released = Bom { valid_from: Some(valid_from), ..draft.clone() };
        let others = before.iter().filter(|it| it.code != code || it.revision != name);
        let after: Vec<Bom> = others.cloned().chain([released.clone()]).collect();
        if let Some(it) = revision::broken(&before, &after, &promises(tx.conn)?).first() {
            return Err(Error::conflict("bills.promised", it.words()));
        }
        for bills in revision::moments(&after) {
            if let Some(fault) = revision::ring(&bills, code) {
                return Err(Error::conflict(fault.code(), fault.to_string()));
            }
        }
        comes_together(tx.conn, &released, valid_from)?;
        kits::set_valid_from(tx.conn, code, name, valid_from)?;
        let compared = Comparison::of_bills(&[draft], &[&released]);
        changes::note(tx, Kind::Kits, false, &compared.changed)
    })
}

/// Returns why a revision of that code holds on a day, in words; empty where all are drafts.
///
/// # Errors
///
/// [`Error::Database`].
pub fn reason(conn: &mut Conn, code: &str, day: NaiveDate) -> Result<String, Error> {
    let all = kits::all_boms(conn)?;
    let found = in_force(all.iter().filter(|it| it.code == code), day);
    Ok(found.map(|it| format!("revision {} {}", it.bom.revision, it.reason)).unwrap_or_default())
}

/// Base part and variant in words, by part number.
fn part_words(rows: &[catalog::VariantRow]) -> BTreeMap<&str, String> {
    rows.iter().map(|it| (it.part_number.as_str(), words::part(&it.part, &it.variant))).collect()
}
