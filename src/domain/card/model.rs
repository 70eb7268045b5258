use crate::domain::catalog::MissingClass;
use crate::domain::drawing::Drawing;
use crate::domain::messages::Language;
use crate::units::Quantity;

/// A kit's assembly card, with every word in its language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Card {
    /// Its language.
    pub language: Language,
    /// The shop.
    pub shop: String,
    /// The kit's number.
    pub kit: String,
    /// The order's number.
    pub order: String,
    /// What is built, "Tarvet ski bike".
    pub name: String,
    /// The options with the values chosen.
    pub options: Vec<(String, String)>,
    /// The address that its code opens.
    pub link: String,
    /// By which bill and revision, and printed when.
    pub made_by: String,
    /// The cautions that stand before everything.
    pub cautions: Vec<String>,
    /// What to do about a missing part, by class, worst first.
    pub missing: Vec<MissingWords>,
    /// The preset key of the kit, where there is one.
    pub key: Option<KeyWords>,
    /// The steps.
    pub steps: Vec<CardStep>,
    /// The documents that the torques come from, each once.
    pub sources: Vec<String>,
    /// Whether some words had no translation and stand in the shop's language.
    pub has_untranslated: bool,
}

/// What to do when a part of a class is missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingWords {
    /// The class.
    pub class: MissingClass,
    /// What to do.
    pub words: String,
}

/// The preset key of the kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyWords {
    /// Which joints it suits, in words.
    pub words: String,
}

/// One step of the card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardStep {
    /// Its number.
    pub number: u32,
    /// What is done.
    pub title: String,
    /// How to see that it was done right; may be empty.
    pub check: String,
    /// What can hurt; may be empty.
    pub caution: String,
    /// Its parts.
    pub parts: Vec<CardPart>,
    /// Tools and consumables.
    pub tools: Vec<String>,
    /// Its joints.
    pub joints: Vec<CardJoint>,
    /// Its drawings.
    pub drawings: Vec<Drawing>,
    /// The worst that a missing part of it does.
    pub missing: Option<MissingWords>,
    /// Air pressures to set in this step.
    pub air: Vec<AirSetUp>,
    /// How high the saddle may stand, where this step sets it.
    pub saddle: Option<SaddleSetUp>,
}

/// One part of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardPart {
    /// How many.
    pub quantity: Quantity,
    /// What it is called.
    pub name: String,
    /// What tells it from its sisters; may be empty.
    pub variant: String,
    /// Its number.
    pub part_number: String,
    /// The bag that it comes in, in words; may be empty.
    pub bag: String,
    /// What it stands in for, in words; empty where it is what the bill asks for.
    pub instead: String,
    /// What its absence does.
    pub class: MissingClass,
}

/// One joint of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardJoint {
    /// Its name.
    pub name: String,
    /// Its bolts with their thread.
    pub bolts: String,
    /// The torque in N·m with its band; what to do instead where none is to be set.
    pub newton_metres: String,
    /// The same in whole in·lbf, rounded inwards; empty where no torque is to be set.
    pub inch_pounds: String,
    /// In which order, in words.
    pub pattern: String,
    /// The state of the threads, in words.
    pub condition: String,
    /// Whether the preset key of the kit suits, in words; empty where there is none.
    pub wrench: String,
}

/// The pressure of one air spring.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AirSetUp {
    /// The part, with its number.
    pub part: String,
    /// The rider's own pressure, or why there is none; nothing where no mass was told.
    pub answer: Option<String>,
    /// The chart: riders in kg and lb, pressure in bar and psi.
    pub rows: Vec<(String, String)>,
    /// The maximum in both units; empty where there is no chart.
    pub maximum: String,
    /// The document.
    pub source: String,
}

/// How high the saddle may stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SaddleSetUp {
    /// The rule.
    pub rule: String,
    /// The window of the post of this kit; empty where its parts do not state it.
    pub window: String,
}
