//! What bags and other stocked sub-kits hold.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::domain::kits::{Bom, contents};
use crate::error::Error;
use crate::store::{Conn, catalog, kits};
use crate::units::Quantity;

use super::words;

/// By part number of a bag: its parts in words, each with its number.
pub type Contents = BTreeMap<String, Vec<(String, Quantity)>>;

/// Loads what each stocked sub-kit holds, in words.
///
/// # Errors
///
/// [`Error::Database`].
pub fn contents_words(conn: &mut Conn) -> Result<Contents, Error> {
    let boms = kits::all_boms(conn)?;
    let names: BTreeMap<String, String> = catalog::variants(conn)?
        .into_iter()
        .map(|it| (it.part_number, words::part(&it.part, &it.variant)))
        .collect();
    let made = boms.values().filter_map(|bom| bom.makes.as_ref());
    Ok(made
        .map(|number| {
            let held = contents(&boms, number)
                .into_iter()
                .map(|(part, quantity)| {
                    let name = names.get(part.as_str()).cloned();
                    (name.unwrap_or_else(|| part.to_string()), quantity)
                })
                .collect();
            (number.to_string(), held)
        })
        .collect())
}

/// A bill of materials, as the API shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BomView {
    /// Its code.
    pub code: String,
    /// Its revision.
    pub revision: String,
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
    /// How many.
    pub quantity: Quantity,
}

impl From<Bom> for BomView {
    fn from(bom: Bom) -> Self {
        Self {
            code: bom.code,
            revision: bom.revision,
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
                    quantity: it.quantity,
                })
                .collect(),
        }
    }
}

/// Loads every bill of materials.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn) -> Result<Vec<BomView>, Error> {
    Ok(kits::all_boms(conn)?.into_values().map(BomView::from).collect())
}
