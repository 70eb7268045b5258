//! The assembly card on a phone: one section for each step, read from top to bottom.

use askama::Template;

use crate::domain::card::{AirSetUp, Card, CardJoint, CardPart, CardStep, SaddleSetUp};
use crate::domain::drawing::Drawing;
use crate::domain::messages::Language;
use crate::units::StatedMass;
use crate::web::drawing::svg;

/// The page under `/box/…/card`.
#[derive(Debug, Template)]
#[template(path = "public/card.html")]
pub struct RiderCardPage {
    /// The language of the page.
    pub say: Language,
    /// The shop's name.
    pub shop: String,
    /// The kit's number.
    pub kit: String,
    /// The address of the box's page, which this one adds to.
    pub base: String,
    /// What is built.
    pub name: String,
    /// The options with the values chosen, in one line.
    pub options: String,
    /// By which bill the card was made.
    pub made_by: String,
    /// The cautions that stand before everything, and what the preset key suits.
    pub cautions: Vec<String>,
    /// What to do about a missing part: letter and words.
    pub missing: Vec<(&'static str, String)>,
    /// The steps.
    pub steps: Vec<RiderCardStep>,
    /// The documents that the torques come from.
    pub sources: Vec<String>,
    /// Whether some words stand in the shop's language.
    pub has_untranslated: bool,
    /// The rider's weight as typed.
    pub weight: Weight,
}

/// A rider's weight as it was typed, and as it was read.
#[derive(Debug, Clone, Default)]
pub struct Weight {
    /// What was typed; may be empty.
    pub typed: String,
    /// The weight, where it could be read.
    pub mass: Option<StatedMass>,
    /// Whether it could not be read.
    pub refused: bool,
}

/// One step of the page.
#[derive(Debug)]
pub struct RiderCardStep {
    /// Its number.
    pub number: u32,
    /// The same in words.
    pub words: String,
    /// The number of the step after it; none after the last.
    pub next: Option<u32>,
    /// What is done.
    pub title: String,
    /// Its parts.
    pub parts: Vec<CardPart>,
    /// Tools and consumables, in words.
    pub tools: String,
    /// Its joints.
    pub joints: Vec<CardJoint>,
    /// Its drawings.
    pub drawings: Vec<RiderDrawing>,
    /// How to see that it was done right.
    pub check: String,
    /// What can hurt.
    pub caution: String,
    /// What to do when one of its parts is missing: letter and words.
    pub missing: Option<(&'static str, String)>,
    /// Air pressures to set.
    pub air: Vec<AirSetUp>,
    /// How high the saddle may stand.
    pub saddle: Option<SaddleSetUp>,
}

/// One drawing of a step.
#[derive(Debug)]
pub struct RiderDrawing {
    /// What it shows, in a few words.
    pub title: String,
    /// It as an SVG element.
    pub svg: String,
    /// What the kit's own parts come to in it.
    pub notes: Vec<String>,
}

/// The page in place of a card that is held back.
#[derive(Debug, Template)]
#[template(path = "public/card_held.html")]
pub struct HeldCardPage {
    /// The language of the page.
    pub say: Language,
    /// The shop's name.
    pub shop: String,
    /// The kit's number.
    pub kit: String,
    /// The address of the box's page.
    pub base: String,
}

impl RiderCardPage {
    /// Returns the page over a card.
    pub fn new(card: &Card, base: String, weight: Weight) -> Self {
        let say = card.language;
        let option = |(name, value): &(String, String)| format!("{name}{}{value}", say.colon());
        let key = card.key.iter().map(|it| it.words.clone());
        let numbers: Vec<u32> = card.steps.iter().map(|it| it.number).collect();
        let next = numbers.iter().skip(1).map(|it| Some(*it)).chain([None]);
        Self {
            say,
            shop: card.shop.clone(),
            kit: card.kit.clone(),
            base,
            name: card.name.clone(),
            options: card.options.iter().map(option).collect::<Vec<_>>().join(say.semicolon()),
            made_by: card.made_by.clone(),
            cautions: card.cautions.iter().cloned().chain(key).collect(),
            missing: card.missing.iter().map(|it| (it.class.letter(), it.words.clone())).collect(),
            steps: card.steps.iter().zip(next).map(|(it, next)| step(say, it, next)).collect(),
            sources: card.sources.clone(),
            has_untranslated: card.has_untranslated,
            weight,
        }
    }

    /// Returns the weight as an address carries it; empty where none was typed.
    pub fn weight_query(&self) -> String {
        match self.weight.typed.as_str() {
            "" => String::new(),
            typed => {
                let all = percent_encoding::NON_ALPHANUMERIC;
                format!("&weight={}", percent_encoding::utf8_percent_encode(typed, all))
            }
        }
    }
}

fn step(say: Language, it: &CardStep, next: Option<u32>) -> RiderCardStep {
    RiderCardStep {
        number: it.number,
        words: say.step(it.number),
        next,
        title: it.title.clone(),
        parts: it.parts.clone(),
        tools: it.tools.join(", "),
        joints: it.joints.clone(),
        drawings: it.drawings.iter().map(drawing).collect(),
        check: it.check.clone(),
        caution: it.caution.clone(),
        missing: it.missing.as_ref().map(|it| (it.class.letter(), it.words.clone())),
        air: it.air.clone(),
        saddle: it.saddle.clone(),
    }
}

fn drawing(it: &Drawing) -> RiderDrawing {
    RiderDrawing { title: it.title.clone(), svg: svg(it), notes: it.notes.clone() }
}
