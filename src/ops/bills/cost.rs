use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::codes::PartNumber;
use crate::domain::kits::{self as domain, KitError, revision};
use crate::error::Error;
use crate::ops::kits::as_variant;
use crate::store::{Conn, catalog, kits};
use crate::units::{Money, Quantity};

use super::{known, part_words};

/// One line of a cost roll-up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct CostLineView {
    /// How deep it stands: 0 for the kit's own lines.
    pub level: usize,
    /// The code of the assembly or sub-kit whose lines follow one level deeper; empty for what is
    /// bought.
    pub code: String,
    /// The part number; empty for an assembly, which is never stocked.
    pub part_number: String,
    /// The part or assembly in words.
    pub words: String,
    /// The first step that needs it; 0 for packing material and for what the shop puts together.
    pub step: u32,
    /// Pieces in one kit.
    pub quantity: Quantity,
    /// What all of them cost as the catalogue states it, in cents.
    pub stated_cents: i64,
    /// What the bought parts in all of them cost, in cents.
    pub parts_cents: i64,
}

/// What one kit costs, level by level.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct CostView {
    /// The options chosen.
    pub options: Vec<(String, String)>,
    /// The lines, each assembly and sub-kit before what it holds.
    pub lines: Vec<CostLineView>,
    /// The kit at stated costs, in cents: what the house makes counts as the catalogue states it,
    /// with the work in it.
    pub stated_cents: i64,
    /// The bought parts alone, in cents.
    pub parts_cents: i64,
}

/// Loads what a kit costs by a revision of its bill and the other bills in force today, or on its
/// first day where that is yet to come. An option that is not chosen takes its first value.
///
/// # Errors
///
/// [`Error::NotFound`], and [`Error::Invalid`] for options that the bill does not have.
pub fn cost(
    conn: &mut Conn,
    code: &str,
    name: &str,
    chosen: &BTreeMap<String, String>,
    today: NaiveDate,
) -> Result<CostView, Error> {
    let all = kits::all_boms(conn)?;
    let top = known(&all, code, name)?;
    let bills = revision::with_top(&all, top, top.valid_from.unwrap_or(today).max(today));
    let rows = catalog::variants(conn)?;
    let variants: Vec<_> = rows.iter().filter_map(as_variant).collect();
    let costs: BTreeMap<PartNumber, Money> =
        rows.iter().filter_map(|it| Some((it.part_number.parse().ok()?, it.unit_cost))).collect();
    let mut options = chosen.clone();
    for it in &top.options {
        if let Some(first) = it.values.first() {
            options.entry(it.name.clone()).or_insert_with(|| first.clone());
        }
    }
    let found = domain::cost(&bills, code, &options, &variants, &costs).map_err(first)?;
    let words = part_words(&rows);
    let names: BTreeMap<&str, &str> =
        bills.values().map(|it| (it.code.as_str(), it.name.as_str())).collect();
    let line = |it: domain::CostNode| {
        let part_number = it.part_number.map(|it| it.to_string()).unwrap_or_default();
        let code = it.code.unwrap_or_default();
        let name = names.get(code.as_str()).copied().unwrap_or_default();
        CostLineView {
            level: it.level,
            words: words.get(part_number.as_str()).cloned().unwrap_or_else(|| name.to_owned()),
            part_number,
            code,
            step: it.step,
            quantity: it.quantity,
            stated_cents: it.stated.cents(),
            parts_cents: it.parts.cents(),
        }
    };
    let in_order = top.options.iter();
    Ok(CostView {
        options: in_order
            .filter_map(|it| Some((it.name.clone(), options.get(&it.name)?.clone())))
            .collect(),
        lines: found.nodes.into_iter().map(line).collect(),
        stated_cents: found.stated.cents(),
        parts_cents: found.parts.cents(),
    })
}

/// Returns the first of what a bill's options or lines have wrong.
pub(super) fn first(errors: Vec<KitError>) -> Error {
    let words: Vec<String> = errors.iter().map(ToString::to_string).collect();
    let code = errors.first().map_or("kits.unknown_kit", KitError::code);
    Error::invalid(code, words.join("; "))
}
