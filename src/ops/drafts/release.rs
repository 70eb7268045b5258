//! Releasing a draft: only where every kit that could be ordered by it comes together.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::{draft, unchanged};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::ids::{KitId, OrderId};
use crate::domain::kits::{Bom, every_choice, revision};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::kits::Sheet;
use crate::exchange::{Fault, Kind};
use crate::ops::changes::{self, Comparison};
use crate::ops::exchange::kits as files;
use crate::ops::fit::{self, FitView, Fitter, MOST_CHOICES};
use crate::ops::once::{RequestKey, once};
use crate::ops::people;
use crate::store::{Conn, Tx, kits, orders};

/// The most kinds of fault that a refusal names.
const MOST_NAMED: usize = 20;

/// A kit that has not left, and which revision of a bill it was promised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PromisedKit {
    /// Its order.
    pub order: String,
    /// Its number.
    pub kit: String,
    /// The revision of the bill that it keeps.
    pub revision: String,
    /// The day whose bills it follows.
    pub bills_on: NaiveDate,
    /// Whether nobody has begun to pick it, so that it can be moved to newer bills by hand.
    pub waits: bool,
}

/// What releasing a bill leaves as it is, and what it changes.
#[derive(Debug, Clone)]
pub struct Impact {
    /// The kits that have not left, hold the bill, and keep their revision of it; by order.
    pub kept: Vec<PromisedKit>,
    /// How many kits have left with some revision of it.
    pub left: usize,
    /// The first day from which a new revision can hold, where kits hold the bill within their own: the
    /// one after the last whose bills they follow. None where no kit does.
    pub earliest: Option<NaiveDate>,
    /// Revisions that are released and hold later, each with its day.
    pub later: Vec<(NaiveDate, String)>,
    /// The kits that a rider can order and that hold this bill, by code.
    pub within: Vec<String>,
}

/// Loads what a release would leave as it is, and where the bill is used.
///
/// # Errors
///
/// [`Error::Database`].
pub fn impact(conn: &mut Conn, code: &str, today: NaiveDate) -> Result<Impact, Error> {
    let all = kits::all_boms(conn)?;
    let numbers: BTreeMap<OrderId, String> =
        orders::orders(conn)?.into_iter().map(|it| (it.id, it.number)).collect();
    let mut made: BTreeMap<KitId, BTreeSet<PartNumber>> = BTreeMap::new();
    for (kit, number) in orders::made_parts(conn)? {
        made.entry(kit).or_default().extend(number.parse::<PartNumber>());
    }
    let (mut kept, mut left, mut last) = (Vec::new(), 0_usize, None);
    let mut known: BTreeMap<_, Option<String>> = BTreeMap::new();
    for it in orders::kits(conn)?.into_iter().filter(|it| it.state != "cancelled") {
        let made = made.remove(&it.id).unwrap_or_default();
        let promise = (it.bom_code.clone(), it.bom_revision.clone(), it.bills_on, made);
        let held = known.entry(promise).or_insert_with_key(|it| revision_within(&all, it, code));
        let Some(revision) = held.clone() else { continue };
        // A kit keeps its own bill whatever comes; of those within it, it follows its day's.
        if it.bom_code != code {
            last = last.max(Some(it.bills_on));
        }
        if it.state == "despatched" {
            left = left.saturating_add(1);
            continue;
        }
        kept.push(PromisedKit {
            order: numbers.get(&it.order).cloned().unwrap_or_default(),
            kit: it.number,
            revision,
            bills_on: it.bills_on,
            waits: it.state == "open",
        });
    }
    kept.sort_by(|a, b| (&a.order, &a.kit).cmp(&(&b.order, &b.kit)));
    let of_code = all.iter().filter(|it| it.code == code);
    let mut later: Vec<(NaiveDate, String)> = of_code
        .filter_map(|it| Some((it.valid_from?, it.revision.clone())))
        .filter(|it| today < it.0)
        .collect();
    later.sort();
    let bills = kits::boms_on(conn, today)?;
    let within = tops(&bills, code).map(|it| it.code.clone()).filter(|it| it != code).collect();
    let earliest = last.and_then(|it: NaiveDate| it.succ_opt());
    Ok(Impact { kept, left, earliest, later, within })
}

/// Returns which revision of the bill `code` a kit relies on that was promised the revision of its own
/// bill, on that day, with those parts made here; nothing where it does without.
fn revision_within(
    all: &[Bom],
    (top, name, day, made): &(String, String, NaiveDate, BTreeSet<PartNumber>),
    code: &str,
) -> Option<String> {
    let top = revision::find(all, top, name)?;
    let bills = revision::with_top(all, top, *day);
    let relied = revision::relied_on(&bills, top, made);
    relied.into_iter().find(|it| it.code == code).map(|it| it.revision.clone())
}

/// Returns the kits that a rider can order and that hold the bill of that code, or are it.
fn tops<'a>(bills: &'a BTreeMap<String, Bom>, code: &'a str) -> impl Iterator<Item = &'a Bom> {
    let sold = bills.values().filter(|it| it.makes.is_none() && !it.steps.is_empty());
    sold.filter(move |top| {
        let made = top.lines.iter().filter_map(|it| it.item.to_string().parse().ok()).collect();
        revision::relied_on(bills, top, &made).iter().any(|it| it.code == code)
    })
}

/// Releases a draft from a day on; returns what was done, in words. Orders placed before that day
/// keep the revision that they were promised.
///
/// # Errors
///
/// [`Error::Entry`] with every row that is at fault and every choice of options that does not come
/// together; [`Error::Conflict`] `draft.changed`, `draft.released`; [`Error::NotFound`].
pub fn release(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    (code, name): (&str, &str),
    version: i64,
    from: NaiveDate,
) -> Result<String, Error> {
    people::check(tx.who.role(), Permission::EditCatalogue)?;
    once(tx, key, "draft.release", &(code, name, from), |tx| {
        let all = kits::all_boms(tx.conn)?;
        let bom = draft(&all, code, name)?.clone();
        unchanged(tx.conn, &bom, version, None)?;
        put(tx, &bom, &Sheet::of(&bom).from_day(&from.to_string()))?;
        comes_together(tx.conn, &Bom { valid_from: Some(from), ..bom }, from)?;
        Ok(format!("revision {name} of {code} holds from {from}; kits promised before keep theirs"))
    })
}

/// Writes a released revision as a file of its rows would, and what changed into the history.
pub(super) fn put(tx: &mut Tx<'_>, before: &Bom, sheet: &Sheet) -> Result<(), Error> {
    files::import(tx, sheet.file().as_bytes()).map_err(|error| in_rows(sheet, error))?;
    let all = kits::all_boms(tx.conn)?;
    let after: Vec<&Bom> =
        revision::find(&all, &before.code, &before.revision).into_iter().collect();
    let compared = Comparison::of_bills(&[before], &after);
    changes::note(tx, Kind::Kits, false, &compared.changed)
}

/// Returns a refusal of the file as one of the draft's rows.
fn in_rows(sheet: &Sheet, error: Error) -> Error {
    let Error::Faults(faults) = error else { return error };
    let named = faults.into_iter().map(|it| {
        let it = sheet.row_fault(it);
        Fault { line: 1, column: format!("{} {}", it.row, it.column), message: it.message }
    });
    Error::Entry(named.collect())
}

/// Checks that every kit that can be ordered comes together and fits, of all that hold the bill.
pub(in crate::ops) fn comes_together(
    conn: &mut Conn,
    released: &Bom,
    from: NaiveDate,
) -> Result<(), Error> {
    let bills = revision::with_top(&kits::all_boms(conn)?, released, from);
    let fitter = Fitter::load(conn, [])?;
    let variants = fit::choosable(conn)?;
    let mut codes: BTreeSet<&str> =
        tops(&bills, &released.code).map(|it| it.code.as_str()).collect();
    // A phantom assembly is never built by itself: a pair may lie in two calls for it.
    if released.makes.is_some() || !released.steps.is_empty() {
        codes.insert(&released.code);
    }
    let mut faults: BTreeMap<String, (String, usize)> = BTreeMap::new();
    for bom in codes.into_iter().filter_map(|it| bills.get(it)) {
        let choices = every_choice(&bom.options, MOST_CHOICES).ok_or_else(|| {
            let message = format!(
                "{} can be ordered in more ways than can be tried: part it into several bills",
                bom.code
            );
            Error::invalid("draft.too_many", message)
        })?;
        for choice in choices {
            for message in wrong_with((&fitter, &variants), &bills, &bom.code, &choice) {
                let said: Vec<String> =
                    choice.iter().map(|(name, value)| format!("{name} {value}")).collect();
                let first = || (format!("{} {}", bom.code, said.join(", ")), 0);
                let sum = faults.entry(message).or_insert_with(first);
                sum.1 = sum.1.saturating_add(1);
            }
        }
    }
    if faults.is_empty() {
        return Ok(());
    }
    let fault = |(message, (first, count)): (String, (String, usize))| {
        let more = match count.saturating_sub(1) {
            0 => String::new(),
            1 => " and 1 more choice".to_owned(),
            more => format!(" and {more} more choices"),
        };
        Fault { line: 1, column: format!("{}{more}", first.trim()), message }
    };
    Err(Error::Entry(faults.into_iter().take(MOST_NAMED).map(fault).collect()))
}

/// Returns why a kit does not come together for a choice, or what of it does not fit.
fn wrong_with(
    (fitter, variants): (&Fitter, &[Variant]),
    bills: &BTreeMap<String, Bom>,
    code: &str,
    choice: &BTreeMap<String, String>,
) -> Vec<String> {
    match fitter.options(bills, code, choice, variants) {
        Err(errors) => errors.iter().map(ToString::to_string).collect(),
        Ok(findings) => FitView::of(findings).misfits().collect(),
    }
}
