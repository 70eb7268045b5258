use chrono::NaiveDate;

use crate::domain::catalog::{Attributes, MissingClass};
use crate::domain::fit::{CapGap, Facts, PostWindow, ScrewStack};
use crate::domain::joints::Settlement;
use crate::domain::kits::Bom;
use crate::domain::messages::{Glossary, Language};
use crate::domain::setup::AirChart;
use crate::units::{Quantity, StatedMass};

/// What a card is composed of.
#[derive(Debug, Clone)]
pub struct CardFacts {
    /// The language to write it in.
    pub language: Language,
    /// The shop.
    pub shop: String,
    /// The kit's number.
    pub kit: String,
    /// The order's number.
    pub order: String,
    /// The kit's options with the values chosen.
    pub options: Vec<(String, String)>,
    /// The address that the code on the card opens.
    pub link: String,
    /// The day of printing.
    pub printed_on: NaiveDate,
    /// The bill of materials that the kit was made by.
    pub bom: Bom,
    /// The kit's parts, bags looked into.
    pub parts: Vec<FittedPart>,
    /// What persons have settled about the bill's torques, the last word last.
    pub settled: Vec<Settlement>,
    /// What the catalogue's words are called in other languages.
    pub glossary: Glossary,
    /// The shop's air charts.
    pub charts: Vec<AirChart>,
    /// The mass of rider, clothes and pack, where it was told.
    pub rider: Option<StatedMass>,
    /// How far the seat post may stand out, where the parts state it.
    pub saddle: Option<PostWindow>,
    /// What the steerer carries and what stays free under the cap, where the parts state it.
    pub gap: Option<CapGap>,
    /// What the ski bolts go through, the deepest first, where the parts state it.
    pub ski_screws: Vec<ScrewStack>,
}

/// One part as a step of the kit needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FittedPart {
    /// The step; 0 for packing material.
    pub step: u32,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub name: String,
    /// What tells it from its sisters, in words.
    pub variant: String,
    /// The same as attributes.
    pub attributes: Attributes,
    /// What is stated about it for the rules of fit.
    pub facts: Facts,
    /// How many.
    pub quantity: Quantity,
    /// What its absence does.
    pub class: MissingClass,
    /// The bag that it comes in: the bag's name and variant.
    pub bag: Option<(String, String)>,
    /// Whether it is a bag, whose parts stand beside it.
    pub is_bag: bool,
    /// The part that the bill asks for, where this one stands in for it.
    pub in_place_of: Option<Replaced>,
}

/// A part that the bill asks for, and another stands in for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replaced {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub name: String,
    /// What tells it from its sisters, in words.
    pub variant: String,
}

impl FittedPart {
    /// Returns whether the bill asks for that part number here, whether or not another stands in
    /// for it.
    pub(super) fn is_asked_as(&self, part_number: &str) -> bool {
        match &self.in_place_of {
            Some(it) => it.part_number == part_number,
            None => self.part_number == part_number,
        }
    }
}
