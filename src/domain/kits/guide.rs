use std::collections::{BTreeMap, BTreeSet};

use super::{Bom, BomItem};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::drawing::DrawingName;
use crate::domain::joints::{Joint, PresetKey};
use crate::domain::messages::Language;

/// What the assembly card says beyond steps and parts.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Guide {
    /// Tools and drawings, by step.
    pub aids: BTreeMap<u32, StepAids>,
    /// The steps' words in other languages.
    pub words: BTreeMap<(u32, Language), StepWords>,
    /// The joints, by number.
    pub joints: Vec<Joint>,
    /// Torque keys in the kit that turn at one torque only.
    pub keys: Vec<PresetKey>,
}

/// What a step needs besides its parts.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct StepAids {
    /// Tools and consumables, which lie in the kit.
    pub tools: Vec<PartNumber>,
    /// Drawings to show.
    pub drawings: Vec<DrawingName>,
}

/// A step's words in another language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepWords {
    /// What is done.
    pub title: String,
    /// How to see that it was done right.
    pub check: String,
    /// What can hurt someone.
    pub caution: String,
}

/// Returns every part number that some choice of options can bring into a kit, bags looked into.
pub fn reachable(
    boms: &BTreeMap<String, Bom>,
    code: &str,
    variants: &[Variant],
) -> BTreeSet<PartNumber> {
    let mut found = BTreeSet::new();
    let mut open: Vec<&str> = vec![code];
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    while let Some(code) = open.pop() {
        let Some(bom) = boms.get(code).filter(|_| seen.insert(code)) else { continue };
        for line in &bom.lines {
            let numbers: Vec<&PartNumber> = match &line.item {
                BomItem::PartNumber(number) => vec![number],
                BomItem::Part(name) => variants
                    .iter()
                    .filter(|it| it.part == *name)
                    .map(|it| &it.part_number)
                    .collect(),
                BomItem::Kit(nested) => {
                    open.push(nested);
                    boms.get(nested).and_then(|it| it.makes.as_ref()).into_iter().collect()
                }
            };
            for number in numbers {
                let maker = boms.values().find(|it| it.makes.as_ref() == Some(number));
                open.extend(maker.map(|it| it.code.as_str()));
                found.insert(number.clone());
            }
        }
    }
    found
}
