//! What bags and other stocked sub-kits hold.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::ids::{BomId, KitId, KitLineId, VariantId};
use crate::domain::kits::revision::Promise;
use crate::domain::kits::{Bom, revision, text};
use crate::domain::packing::{StripLine, StripPart};
use crate::error::Error;
use crate::store::catalog::VariantRow;
use crate::store::orders::KitLineRow;
use crate::store::{Conn, card, catalog, kits, orders, substitution};
use crate::units::Quantity;

use super::{fit, words};

/// A part that a bag or another stocked sub-kit holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ContentView {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub name: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// The part in words.
    pub part: String,
    /// How many one piece of the sub-kit holds.
    pub quantity: Quantity,
    /// The rider's step that needs it; 0 where it was put together here.
    pub step: u32,
}

/// By part number of a stocked sub-kit: what it holds.
pub type Contents = BTreeMap<String, Vec<ContentView>>;

/// Loads what each stocked sub-kit holds by the bills in force on a day.
///
/// # Errors
///
/// [`Error::Database`].
pub fn contents(conn: &mut Conn, day: NaiveDate) -> Result<Contents, Error> {
    Ok(contents_by_day(conn, [day])?.remove(&day).unwrap_or_default())
}

/// Loads what each stocked sub-kit of a kit holds: a bag that the kit has got, what its own run put
/// into it; one that it has yet to get, what its promise says. Of bags of one part number that two
/// runs made, those of the first count.
///
/// # Errors
///
/// [`Error::Database`].
pub(super) fn contents_of_kit(
    conn: &mut Conn,
    day: NaiveDate,
    lines: &[KitLineRow],
) -> Result<Contents, Error> {
    let mut contents = contents(conn, day)?;
    let ids: Vec<KitLineId> = lines.iter().map(|it| it.id).collect();
    let runs = fit::held_runs(conn, &ids)?;
    if runs.is_empty() {
        return Ok(contents);
    }
    let bills: BTreeMap<BomId, Bom> = card::bills(conn)?.into_iter().collect();
    let names = names(conn, bills.values())?;
    for line in lines {
        let run = runs.get(&line.id).and_then(|it| it.first());
        if let Some(bill) = run.and_then(|it| bills.get(&it.bom)) {
            contents.insert(line.part_number.clone(), held(bill, &names));
        }
    }
    Ok(contents)
}

/// Loads, for each of the days, what each stocked sub-kit holds by the bills in force on it.
///
/// # Errors
///
/// [`Error::Database`].
pub fn contents_by_day(
    conn: &mut Conn,
    days: impl IntoIterator<Item = NaiveDate>,
) -> Result<BTreeMap<NaiveDate, Contents>, Error> {
    let all = kits::all_boms(conn)?;
    let names = names(conn, all.iter())?;
    let days: BTreeSet<NaiveDate> = days.into_iter().collect();
    let contents = |day| {
        let bills = revision::on_day(&all, day);
        let made = bills.values().filter_map(|bom| bom.makes.as_ref().map(|it| (it, bom)));
        made.map(|(number, bom)| (number.to_string(), held(bom, &names))).collect()
    };
    Ok(days.into_iter().map(|day| (day, contents(day))).collect())
}

/// Returns a catalogue row as a kit's line looks for it.
pub(super) fn as_variant(row: &VariantRow) -> Option<Variant> {
    Some(Variant {
        part_number: row.part_number.parse().ok()?,
        part: row.part.clone(),
        attributes: row.attributes.parse().ok()?,
    })
}

/// Loads what kits that are not cancelled rely on, kits of one promise together.
///
/// # Errors
///
/// [`Error::Database`].
pub fn promises(conn: &mut Conn) -> Result<Vec<Promise>, Error> {
    let mut made: BTreeMap<KitId, BTreeSet<VariantId>> = BTreeMap::new();
    for (kit, variant) in orders::made_lines(conn)? {
        made.entry(kit).or_default().insert(variant);
    }
    let mut counts: BTreeMap<_, usize> = BTreeMap::new();
    for (kit, code, revision, day) in orders::promises(conn)? {
        let made = made.remove(&kit).unwrap_or_default();
        *counts.entry((code, revision, day, made)).or_default() += 1;
    }
    let variants = counts.keys().flat_map(|it| &it.3).copied().collect();
    let numbers: BTreeMap<VariantId, PartNumber> = catalog::variants_of(conn, &variants)?
        .into_iter()
        .filter_map(|it| Some((it.id, it.part_number.parse().ok()?)))
        .collect();
    let promise = |((code, revision, day, made), kits): ((_, _, _, BTreeSet<VariantId>), _)| {
        let made = made.iter().filter_map(|it| numbers.get(it).cloned()).collect();
        Promise { code, revision, day, made, kits }
    };
    Ok(counts.into_iter().map(promise).collect())
}

/// Loads the variants that bills and rules about substitution can come to, and those of `others`.
pub(super) fn within_reach<'a>(
    conn: &mut Conn,
    others: impl IntoIterator<Item = &'a str>,
) -> Result<Vec<VariantRow>, Error> {
    let mut names = kits::items(conn)?;
    names.extend(others.into_iter().map(str::to_owned));
    for rule in substitution::rules(conn)? {
        names.extend([rule.from.to_string(), rule.to.to_string()]);
    }
    let mut rows = catalog::variants_named(conn, &names)?;
    rows.sort_by(|a, b| a.part_number.cmp(&b.part_number));
    rows.dedup_by_key(|it| it.id);
    Ok(rows)
}

/// Base part and variant of each part number.
type Names = BTreeMap<String, (String, String)>;

/// Loads what the part numbers in bills of what the house makes are called.
fn names<'a>(conn: &mut Conn, bills: impl Iterator<Item = &'a Bom>) -> Result<Names, Error> {
    let made = bills.filter(|it| it.makes.is_some());
    let items: BTreeSet<String> =
        made.flat_map(|it| &it.lines).map(|it| it.item.to_string()).collect();
    let rows = catalog::variants_numbered(conn, items.iter().map(String::as_str))?;
    Ok(rows.into_iter().map(|it| (it.part_number, (it.part, it.variant))).collect())
}

fn held(bom: &Bom, names: &Names) -> Vec<ContentView> {
    bom.lines
        .iter()
        .map(|line| {
            let part_number = line.item.to_string();
            let (name, variant) = names.get(&part_number).cloned().unwrap_or_default();
            let part = words::part(&name, &variant);
            let (quantity, step) = (line.quantity, line.step);
            ContentView { part_number, name, variant, part, quantity, step }
        })
        .collect()
}

/// Returns what the rider takes out of a bag, step by step; nothing for a sub-kit put together here.
pub(super) fn from_bag<'a>(contents: &'a Contents, part_number: &str) -> Vec<&'a ContentView> {
    let held = contents.get(part_number).map(Vec::as_slice).unwrap_or_default();
    held.iter().filter(|it| it.step != 0).collect()
}

/// Returns what the strip counts of a kit line: the line itself, or what its bag holds.
pub(super) fn strip_lines(
    line: &KitLineRow,
    done: Quantity,
    missing: Quantity,
    contents: &Contents,
) -> Result<Vec<StripLine>, Error> {
    let held = from_bag(contents, &line.part_number);
    let as_part = if held.is_empty() { StripPart::Loose } else { StripPart::Bag };
    let part = words::line_part(line);
    let step = words::small(line.step)?;
    let mut lines = vec![StripLine { as_part, step, part, quantity: line.quantity, done, missing }];
    lines.extend(held.into_iter().map(|it| StripLine {
        as_part: StripPart::InBag,
        step: it.step,
        part: it.part.clone(),
        quantity: it.quantity.times(line.quantity),
        done: it.quantity.times(done),
        missing: it.quantity.times(missing),
    }));
    Ok(lines)
}

/// A bill of materials, as the API shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BomView {
    /// Its code.
    pub code: String,
    /// Its revision.
    pub revision: String,
    /// The day from which it holds; null for a draft.
    pub valid_from: Option<NaiveDate>,
    /// Its name.
    pub name: String,
    /// The part number that it makes, if it is stocked.
    pub makes: Option<String>,
    /// Its options with the values allowed.
    pub options: Vec<(String, Vec<String>)>,
    /// Its assembly steps.
    pub steps: Vec<StepView>,
    /// Its lines.
    pub lines: Vec<BomLineView>,
}

/// An assembly step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct StepView {
    /// Its number.
    pub number: u32,
    /// Its title.
    pub title: String,
    /// What to check.
    pub check: String,
    /// What can hurt, and whose word counts.
    pub caution: String,
}

/// A line of a bill of materials.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BomLineView {
    /// Its number.
    pub number: u32,
    /// The assembly step, 0 for packing material.
    pub step: u32,
    /// A part number, a base part or another kit.
    pub item: String,
    /// How the variant, or the other kit's options, are chosen: "size={size}". May be empty.
    pub choose: String,
    /// The options under which the line counts: "ski=95|105". Empty where it always does.
    pub when: String,
    /// How many.
    pub quantity: Quantity,
}

impl From<Bom> for BomView {
    fn from(bom: Bom) -> Self {
        Self {
            code: bom.code,
            revision: bom.revision,
            valid_from: bom.valid_from,
            name: bom.name,
            makes: bom.makes.map(|it| it.to_string()),
            options: bom.options.into_iter().map(|it| (it.name, it.values)).collect(),
            steps: bom
                .steps
                .into_iter()
                .map(|it| StepView {
                    number: it.number,
                    title: it.title,
                    check: it.check,
                    caution: it.caution,
                })
                .collect(),
            lines: bom
                .lines
                .into_iter()
                .map(|it| BomLineView {
                    number: it.number,
                    step: it.step,
                    item: it.item.to_string(),
                    choose: text::write_choices(&it.choose),
                    when: text::write_conditions(&it.when),
                    quantity: it.quantity,
                })
                .collect(),
        }
    }
}

/// Loads every revision of every bill of materials.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn) -> Result<Vec<BomView>, Error> {
    Ok(kits::all_boms(conn)?.into_iter().map(BomView::from).collect())
}
