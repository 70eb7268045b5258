//! Which words of the bills in use German or French lacks.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::kits::Bom;
use crate::domain::kits::revision::{Standing, standing};
use crate::domain::translations::{
    MissingRow, MissingText, missing_rows, missing_texts, named_parts,
};
use crate::error::Error;
use crate::store::orders::KitRow;
use crate::store::{Conn, card as card_store, catalog, kits, orders};

use super::card::glossary;
use super::kits::as_variant;

/// What is missing.
#[derive(Debug, Clone)]
pub struct MissingView {
    /// What the glossary lacks; with whether it has an entry for that text in the other language.
    pub texts: Vec<(MissingText, bool)>,
    /// What bills lack: by code, revision and how that stands.
    pub bills: Vec<(String, String, Standing, Vec<MissingRow>)>,
}

impl MissingView {
    /// Returns how many translations are missing: one for each text or row and language.
    pub fn count(&self) -> usize {
        let texts = self.texts.iter().map(|it| it.0.languages.len());
        texts.chain(self.bills.iter().map(|it| it.3.len())).sum()
    }
}

/// Loads what the bills in use lack in other languages: those in force or later, drafts, and those that
/// a kit which has not left was promised.
///
/// # Errors
///
/// [`Error::Database`].
pub fn missing(conn: &mut Conn, today: NaiveDate) -> Result<MissingView, Error> {
    let all = kits::all_boms(conn)?;
    let here = |it: &KitRow| !["despatched", "cancelled"].contains(&it.state.as_str());
    let promised: BTreeSet<(String, String)> = orders::kits(conn)?
        .into_iter()
        .filter(here)
        .map(|it| (it.bom_code, it.bom_revision))
        .collect();
    let in_use = |it: &&Bom| {
        standing(&all, it, today) != Standing::Past
            || promised.contains(&(it.code.clone(), it.revision.clone()))
    };
    let used: Vec<&Bom> = all.iter().filter(in_use).collect();
    let rows = catalog::variants(conn)?;
    let variants: Vec<Variant> = rows.iter().filter_map(as_variant).collect();
    let numbers = named_parts(used.iter().copied(), &variants);
    let parts = rows
        .iter()
        .filter(|it| it.part_number.parse().is_ok_and(|it: PartNumber| numbers.contains(&it)))
        .map(|it| (it.part.as_str(), it.variant.as_str()));
    let texts = missing_texts(used.iter().copied(), parts, &glossary(conn)?);
    let entered: BTreeSet<String> =
        card_store::glossary_entries(conn)?.into_iter().map(|it| it.text).collect();
    let texts = texts.into_iter().map(|it| {
        let has = entered.contains(&it.text);
        (it, has)
    });
    let bills = used.iter().map(|it| {
        (it.code.clone(), it.revision.clone(), standing(&all, it, today), missing_rows(it))
    });
    Ok(MissingView { texts: texts.collect(), bills: bills.filter(|it| !it.3.is_empty()).collect() })
}

/// Loads how many translations are missing.
///
/// # Errors
///
/// As [`missing`].
pub fn count(conn: &mut Conn, today: NaiveDate) -> Result<usize, Error> {
    Ok(missing(conn, today)?.count())
}
