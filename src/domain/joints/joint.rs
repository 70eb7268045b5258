use std::collections::BTreeMap;

use super::{Condition, Pattern};
use crate::domain::codes::PartNumber;
use crate::domain::messages::Language;
use crate::units::TorqueBand;

/// One joint of a bill of materials: some bolts that are tightened alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// Its number in the bill, from 1.
    pub number: u32,
    /// The step in which it gets its final torque.
    pub step: u32,
    /// What it is called.
    pub name: String,
    /// What it is called in other languages.
    pub names: BTreeMap<Language, String>,
    /// How many bolts it has.
    pub bolts: u32,
    /// The thread, "M6"; empty where it is not stated.
    pub thread: String,
    /// In which order the bolts are tightened.
    pub pattern: Pattern,
    /// The state of the threads for which the torque holds.
    pub condition: Condition,
    /// Whether it was tightened before packing, so that only its paint mark is looked at.
    pub set_by_maker: bool,
    /// What is stated about its torque, in the order of the file.
    pub statements: Vec<Statement>,
}

/// What one document states about a joint's torque.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// The torque as it is written there, read.
    pub torque: TorqueBand,
    /// The document.
    pub source: String,
}

/// A torque key in the kit that turns at one torque only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PresetKey {
    /// Its part number.
    pub part_number: PartNumber,
    /// At which torque it lets go, with its tolerance.
    pub torque: TorqueBand,
    /// Who states that.
    pub source: String,
}

impl Joint {
    /// Returns what the joint is called in a language; in the shop's own where nobody translated it.
    pub fn name_in(&self, language: Language) -> &str {
        self.names.get(&language).unwrap_or(&self.name)
    }
}
