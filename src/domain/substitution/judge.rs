use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalog::Attributes;
use crate::domain::codes::PartNumber;
use crate::domain::fit::Facts;

use super::fastener::Fastener;
use super::{Consent, Kind};

/// What the catalogue states of a part, as far as a substitution asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// The part number.
    pub part_number: PartNumber,
    /// The base part's name, which holds a screw's thread.
    pub part: String,
    /// What it is made to: head, property class, finish.
    pub specification: String,
    /// What tells it from its sisters.
    pub attributes: Attributes,
    /// What is stated for the rules of fit.
    pub facts: Facts,
}

/// Whether a part may be taken in another's place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ruling {
    /// With at least that word, for these reasons.
    With {
        /// Whose word it takes.
        consent: Consent,
        /// Why, in words; empty where the two are alike.
        reasons: Vec<String>,
    },
    /// Never, for that reason.
    Never {
        /// Why, in words.
        reason: String,
    },
}

/// What the customer must have a say in: it is seen, or felt.
const TASTE: [&str; 4] = ["colour", "padding", "hardness", "design"];

/// Returns whether `to` may ever be taken in the place of `from`, and with whose word.
///
/// A rule of the shop may ask for more, never for less.
pub fn judge(from: &Stated, to: &Stated, kind: Kind) -> Ruling {
    match weigh(from, to, kind) {
        Ok((consent, reasons)) => Ruling::With { consent, reasons },
        Err(reason) => Ruling::Never { reason },
    }
}

fn weigh(from: &Stated, to: &Stated, kind: Kind) -> Result<(Consent, Vec<String>), String> {
    if from.part_number == to.part_number {
        return Err("it is the same part".to_owned());
    }
    let (mut consent, mut reasons) = match (Fastener::of(from), Fastener::of(to)) {
        (Some(old), Some(new)) => old.give_way(&new)?,
        (None, None) => same_part(from, to, kind)?,
        _ => return Err("one of the two is a screw or nut and the other is not".to_owned()),
    };
    let facts = |it: &Stated| pairs(&it.facts.to_string());
    let both_state = |it: &Difference| it.from.is_some() && it.to.is_some();
    let of_facts = differences(&facts(from), &facts(to)).into_iter().filter(both_state);
    let named = |it: &Attributes| {
        it.iter().map(|(name, value)| (name.to_owned(), value.to_owned())).collect()
    };
    let of_attributes = differences(&named(&from.attributes), &named(&to.attributes));
    for it in of_facts.chain(of_attributes) {
        if !TASTE.contains(&it.name.as_str()) {
            return Err(it.never());
        }
        consent = Consent::Customer;
        let words = it.words();
        if !reasons.contains(&words) {
            reasons.push(words);
        }
    }
    Ok((consent, reasons))
}

/// Returns whose word it takes where neither is a screw, as far as what the parts are goes.
fn same_part(from: &Stated, to: &Stated, kind: Kind) -> Result<(Consent, Vec<String>), String> {
    let roles = (from.facts.role(), to.facts.role());
    if from.part == to.part || matches!(roles, (Some(a), Some(b)) if a == b) {
        return Ok((Consent::None, Vec::new()));
    }
    if kind == Kind::SupersededBy && matches!(roles, (None, None)) {
        let reason = "another name: the owner states that it takes the other's place".to_owned();
        return Ok((Consent::StandingRule, vec![reason]));
    }
    Err(format!("'{}' is not '{}'", to.part, from.part))
}

/// A named value in which two parts differ.
struct Difference {
    name: String,
    from: Option<String>,
    to: Option<String>,
}

impl Difference {
    fn words(&self) -> String {
        let or_none = |it: &Option<String>| it.clone().unwrap_or_else(|| "not stated".to_owned());
        format!("{} {} for {}", self.name.replace('_', " "), or_none(&self.to), or_none(&self.from))
    }

    fn never(&self) -> String {
        match self.name.as_str() {
            "side" => format!("{}: left and right are never taken for each other", self.words()),
            "position" => {
                format!("{}: front and rear are never taken for each other", self.words())
            }
            "height" => format!(
                "{}: a stack of another height is a matter of the kit's spacers, never of one part",
                self.words()
            ),
            "angle" | "inner_angle" | "outer_angle" => {
                format!("{}: a bearing's slopes must meet those of its seats", self.words())
            }
            "language" => format!("{}: the rider must be able to read it", self.words()),
            _ => format!("{}: that is another part", self.words()),
        }
    }
}

fn differences(from: &BTreeMap<String, String>, to: &BTreeMap<String, String>) -> Vec<Difference> {
    let names: BTreeSet<&String> = from.keys().chain(to.keys()).collect();
    names
        .into_iter()
        .map(|name| {
            let (from, to) = (from.get(name).cloned(), to.get(name).cloned());
            Difference { name: name.clone(), from, to }
        })
        .filter(|it| it.from != it.to)
        .collect()
}

fn pairs(text: &str) -> BTreeMap<String, String> {
    let pieces = text.split("; ").filter_map(|it| it.split_once('='));
    pieces.map(|(name, value)| (name.to_owned(), value.to_owned())).collect()
}
