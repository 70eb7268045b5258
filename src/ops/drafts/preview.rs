//! What a draft comes to for one choice of options.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::draft;
use crate::domain::catalog::Variant;
use crate::domain::kits::{Bom, ResolvedLine, resolve, revision};
use crate::domain::packing::{StripLine, StripPart, strip};
use crate::error::Error;
use crate::exchange::kits::{Sheet, key as key_of};
use crate::exchange::{Kind, Records, compare};
use crate::ops::changes::FieldView;
use crate::ops::fit::{FitView, judge_options};
use crate::ops::kits::as_variant;
use crate::ops::orders::StripView;
use crate::ops::words;
use crate::store::catalog::VariantRow;
use crate::store::{Conn, catalog, kits};
use crate::units::{Money, Quantity};

/// One line of a kit as it would be.
#[derive(Debug, Clone)]
pub struct PreviewLine {
    /// The step; 0 for packing material.
    pub step: u32,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its sisters.
    pub variant: String,
    /// How many.
    pub quantity: Quantity,
    /// The carton.
    pub carton: u32,
    /// What all of them cost, in cents.
    pub cost_cents: i64,
    /// The assemblies that it stands in.
    pub within: String,
}

/// A draft for one choice of options.
#[derive(Debug, Clone)]
pub struct PreviewView {
    /// The bill's name.
    pub name: String,
    /// The options: name, values, the one chosen.
    pub options: Vec<(String, Vec<String>, String)>,
    /// The lines, along the steps; none where the kit does not come together.
    pub lines: Vec<PreviewLine>,
    /// Why it does not come together.
    pub errors: Vec<String>,
    /// What the rules of fit say of it.
    pub fit: FitView,
    /// The assembly strip.
    pub strip: StripView,
    /// What the parts cost, in cents.
    pub cost_cents: i64,
    /// What the revision in force costs for the same choice, in cents; none where it has no such
    /// choice.
    pub cost_before_cents: Option<i64>,
    /// The revision in force; empty where there is none.
    pub in_force: String,
    /// What differs from the revision in force.
    pub compared: Vec<FieldView>,
}

/// Lays a draft out for the options chosen; one that is not chosen has its first value.
///
/// # Errors
///
/// [`Error::NotFound`]; [`Error::Conflict`] `draft.released`.
pub fn preview(
    conn: &mut Conn,
    (code, name): (&str, &str),
    chosen: &BTreeMap<String, String>,
    today: NaiveDate,
) -> Result<PreviewView, Error> {
    let all = kits::all_boms(conn)?;
    let bom = draft(&all, code, name)?;
    let rows = catalog::variants(conn)?;
    let variants: Vec<Variant> = rows.iter().filter_map(as_variant).collect();
    let rows: BTreeMap<&str, &VariantRow> =
        rows.iter().map(|it| (it.part_number.as_str(), it)).collect();
    let options: BTreeMap<String, String> = bom
        .options
        .iter()
        .filter_map(|it| {
            let value = chosen.get(&it.name).filter(|value| it.values.contains(value));
            Some((it.name.clone(), value.or_else(|| it.values.first())?.clone()))
        })
        .collect();
    let bills = revision::with_top(&all, bom, today);
    let (found, errors) = match resolve(&bills, code, &options, &variants) {
        Ok(found) => (found, Vec::new()),
        Err(errors) => (Vec::new(), errors.iter().map(ToString::to_string).collect()),
    };
    let findings = match errors.is_empty() {
        true => judge_options(conn, &bills, code, &options)?,
        false => Vec::new(),
    };
    let mut lines: Vec<PreviewLine> = found.iter().filter_map(|it| line(it, &rows)).collect();
    lines.sort_by_key(|it| if it.step == 0 { u32::MAX } else { it.step });
    let before = revision::in_force(all.iter().filter(|it| it.code == code), today);
    let before = before.map(|it| it.bom);
    let on_day = revision::on_day(&all, today);
    let cost_before = before
        .and_then(|_| resolve(&on_day, code, &options, &variants).ok())
        .map(|found| cost(found.iter().filter_map(|it| line(it, &rows))));
    Ok(PreviewView {
        name: bom.name.clone(),
        options: bom
            .options
            .iter()
            .map(|it| {
                let value = options.get(&it.name).cloned().unwrap_or_default();
                (it.name.clone(), it.values.clone(), value)
            })
            .collect(),
        fit: FitView::of(findings),
        strip: strip(&bom.steps, &strip_lines(&found, &bills, &rows)).into(),
        cost_cents: cost(lines.iter().cloned()),
        cost_before_cents: cost_before,
        lines,
        errors,
        in_force: before.map(|it| it.revision.clone()).unwrap_or_default(),
        compared: before.map(|it| compared(it, bom)).unwrap_or_default(),
    })
}

fn cost(lines: impl Iterator<Item = PreviewLine>) -> i64 {
    lines.map(|it| it.cost_cents).fold(0, i64::saturating_add)
}

fn line(it: &ResolvedLine, rows: &BTreeMap<&str, &VariantRow>) -> Option<PreviewLine> {
    let row = rows.get(it.part_number.as_str())?;
    let each: Money = row.unit_cost;
    Some(PreviewLine {
        step: it.step,
        part_number: it.part_number.to_string(),
        part: row.part.clone(),
        variant: row.variant.clone(),
        quantity: it.quantity,
        carton: it.carton.max(1),
        cost_cents: each.times(it.quantity.pieces()).cents(),
        within: it.path.join(" > "),
    })
}

/// Returns what the strip counts: each line, and in place of a bag what it holds.
fn strip_lines(
    found: &[ResolvedLine],
    bills: &BTreeMap<String, Bom>,
    rows: &BTreeMap<&str, &VariantRow>,
) -> Vec<StripLine> {
    let words = |number: &str| rows.get(number).map(|it| words::part(&it.part, &it.variant));
    let counted = |as_part, step, number: &str, quantity| StripLine {
        as_part,
        step,
        part: words(number).unwrap_or_default(),
        quantity,
        done: Quantity::ZERO,
        missing: Quantity::ZERO,
    };
    let mut lines = Vec::new();
    for it in found {
        let bag = bills.values().find(|bom| bom.makes.as_ref() == Some(&it.part_number));
        let held = || bag.into_iter().flat_map(|bag| &bag.lines).filter(|held| held.step != 0);
        let as_part = if held().next().is_none() { StripPart::Loose } else { StripPart::Bag };
        lines.push(counted(as_part, it.step, it.part_number.as_str(), it.quantity));
        lines.extend(held().map(|held| {
            let (item, all) = (held.item.to_string(), held.quantity.times(it.quantity));
            counted(StripPart::InBag, held.step, &item, all)
        }));
    }
    lines
}

/// Returns what differs between two revisions of a bill, but for their names and days.
pub(super) fn compared(before: &Bom, after: &Bom) -> Vec<FieldView> {
    let records = |bom: &Bom| Records::of(Kind::Kits, &Sheet::of(bom).as_draft("one").file());
    let key = key_of(&Bom { revision: "one".to_owned(), ..after.clone() });
    compare(&records(before), &records(after), &key).into_iter().map(FieldView::from).collect()
}
