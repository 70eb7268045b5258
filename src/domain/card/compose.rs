use std::collections::BTreeSet;

use super::facts::{CardFacts, FittedPart};
use super::model::{Card, CardPart, CardStep, MissingWords};
use super::{joint, setup};
use crate::domain::catalog::MissingClass;
use crate::domain::drawing::{Drawing, DrawingFacts, DrawingName, SkiBolt, SpacerStack, draw};
use crate::domain::fit::{FactName, Facts, Role};
use crate::domain::joints::{Conflict, Joint, PresetKey, Settlement, Verdict, judge};
use crate::domain::kits::{Step, StepAids};
use crate::domain::messages::{Language, in_manner_of, with_marks};

/// Returns the conflicts that hold a bill's card back.
pub fn blocking(joints: &[Joint], settled: &[Settlement]) -> Vec<Conflict> {
    joints
        .iter()
        .filter_map(|it| match judge(it, settled) {
            Verdict::Conflict(conflict) => Some(*conflict),
            Verdict::Holds(..) | Verdict::Unstated => None,
        })
        .collect()
}

/// Returns a kit's assembly card.
///
/// # Errors
///
/// Every conflict between stated torques that nobody has settled: there is no card until then.
pub fn compose(facts: &CardFacts) -> Result<Card, Vec<Conflict>> {
    let (say, guide) = (facts.language, &facts.bom.guide);
    let conflicts = blocking(&guide.joints, &facts.settled);
    if !conflicts.is_empty() {
        return Err(conflicts);
    }
    let name = |text: &str| said(facts, text);
    let key = key_of(facts);
    let sheet = DrawingSheet::of(facts);
    let steps: Vec<CardStep> = facts.bom.steps.iter().map(|it| step(facts, it, &sheet)).collect();
    Ok(Card {
        language: say,
        shop: facts.shop.clone(),
        kit: facts.kit.clone(),
        order: facts.order.clone(),
        name: name(&facts.bom.name),
        options: facts.options.iter().map(|(it, value)| (name(it), name(value))).collect(),
        link: facts.link.clone(),
        made_by: format!(
            "{}, {}",
            say.by_bill(&facts.bom.code, &facts.bom.revision),
            say.printed_on(&facts.printed_on.to_string())
        ),
        cautions: cautions(say),
        missing: MissingClass::ALL.into_iter().map(|class| missing(say, class)).collect(),
        key: key.map(|(key, part)| {
            joint::key_words(say, key, &name(&part.name), &guide.joints, &facts.settled)
        }),
        sources: sources(facts),
        has_untranslated: has_untranslated(facts),
        steps,
    })
}

/// Returns the preset key that the kit holds; what stands in for it is set to another torque.
fn key_of(facts: &CardFacts) -> Option<(&PresetKey, &FittedPart)> {
    facts.bom.guide.keys.iter().find_map(|key| {
        let number = key.part_number.as_str();
        Some((key, facts.parts.iter().find(|it| it.part_number == number)?))
    })
}

fn cautions(say: Language) -> Vec<String> {
    let all = [
        say.maker_wins(),
        say.first_check(),
        say.right_wrench(),
        say.shock_pump_only(),
        say.lift_decides(),
    ];
    all.map(str::to_owned).to_vec()
}

fn missing(say: Language, class: MissingClass) -> MissingWords {
    let words = match class {
        MissingClass::StopsBuild => say.missing_s(),
        MissingClass::StopsRide => say.missing_r(),
        MissingClass::MustNotLeave => say.missing_d(),
        MissingClass::LooksOnly => say.missing_c(),
    };
    MissingWords { class, words: words.to_owned() }
}

fn sources(facts: &CardFacts) -> Vec<String> {
    let joints = facts.bom.guide.joints.iter().filter(|it| !it.set_by_maker);
    let held = joints.filter_map(|it| match judge(it, &facts.settled) {
        Verdict::Holds(held, _) => Some(held.source.clone()),
        Verdict::Conflict(_) | Verdict::Unstated => None,
    });
    let key = key_of(facts).map(|(key, _)| key.source.clone());
    let unique: BTreeSet<String> = held.chain(key).collect();
    unique.into_iter().collect()
}

/// Returns whether some step or part of the card stands in the shop's language for want of words.
fn has_untranslated(facts: &CardFacts) -> bool {
    let (say, guide) = (facts.language, &facts.bom.guide);
    if say == Language::default() {
        return false;
    }
    let step = |it: &Step| guide.words.contains_key(&(it.number, say));
    let part = |it: &FittedPart| it.step == 0 || facts.glossary.whole(say, &it.name).is_some();
    let joint = |it: &Joint| it.names.contains_key(&say);
    !(facts.bom.steps.iter().all(step)
        && facts.parts.iter().all(part)
        && guide.joints.iter().all(joint))
}

fn step(facts: &CardFacts, step: &Step, sheet: &DrawingSheet) -> CardStep {
    let (say, guide) = (facts.language, &facts.bom.guide);
    let words = guide.words.get(&(step.number, say));
    let aids = guide.aids.get(&step.number);
    let drawings: Vec<Drawing> = aids
        .map(|it| it.drawings.iter().map(|name| draw(*name, &sheet.0)).collect())
        .unwrap_or_default();
    let here = || facts.parts.iter().filter(|it| it.step == step.number && !it.is_bag);
    let joints = guide.joints.iter().filter(|it| it.step == step.number);
    let key = key_of(facts).map(|it| it.0);
    let sets_saddle = drawings.iter().any(|it| it.name == DrawingName::SaddleHeight);
    CardStep {
        number: step.number,
        title: with_marks(say, words.map_or(&step.title, |it| &it.title)),
        check: with_marks(say, words.map_or(&step.check, |it| &it.check)),
        caution: with_marks(say, words.map_or(&step.caution, |it| &it.caution)),
        parts: parts(facts, here(), aids),
        tools: aids
            .map(|it| it.tools.iter().map(|number| tool(facts, number.as_str())).collect())
            .unwrap_or_default(),
        joints: joints.map(|it| joint::words(say, it, &facts.settled, key)).collect(),
        missing: here().map(|it| it.class).min().map(|it| missing(say, it)),
        air: if sets_saddle { setup::air(facts) } else { Vec::new() },
        saddle: sets_saddle.then(|| setup::saddle(facts)),
        drawings,
    }
}

/// Returns the parts of a step, each part number of a bag once; its tools stand by themselves.
fn parts<'a>(
    facts: &CardFacts,
    here: impl Iterator<Item = &'a FittedPart>,
    aids: Option<&StepAids>,
) -> Vec<CardPart> {
    let is_tool = |it: &FittedPart| {
        aids.is_some_and(|aids| aids.tools.iter().any(|tool| it.is_asked_as(tool.as_str())))
    };
    let mut parts: Vec<CardPart> = Vec::new();
    for it in here.filter(|it| !is_tool(it)) {
        let next = part(facts, it);
        let same = |it: &&mut CardPart| it.part_number == next.part_number && it.bag == next.bag;
        match parts.iter_mut().find(same) {
            Some(known) => known.quantity = known.quantity.plus(next.quantity),
            None => parts.push(next),
        }
    }
    parts
}

/// Returns what the catalogue calls something, in the card's language and its manner of numbers.
fn said(facts: &CardFacts, text: &str) -> String {
    in_manner_of(facts.language, &facts.glossary.say(facts.language, text))
}

fn part(facts: &CardFacts, it: &FittedPart) -> CardPart {
    let name = |text: &str| said(facts, text);
    let bag = it.bag.as_ref().map(|(bag, _)| facts.language.from_bag(&name(bag)));
    let instead = it.in_place_of.as_ref().map(|it| {
        let asked = [name(&it.name), name(&it.variant), format!("({})", it.part_number)];
        let asked: Vec<String> = asked.into_iter().filter(|it| !it.is_empty()).collect();
        facts.language.stands_in_for(&asked.join(" "))
    });
    CardPart {
        quantity: it.quantity,
        name: name(&it.name),
        variant: name(&it.variant),
        part_number: it.part_number.clone(),
        bag: bag.unwrap_or_default(),
        instead: instead.unwrap_or_default(),
        class: it.class,
    }
}

fn tool(facts: &CardFacts, number: &str) -> String {
    let name = |text: &str| said(facts, text);
    let found = facts.parts.iter().find(|it| it.is_asked_as(number));
    found.map_or_else(
        || number.to_owned(),
        |it| format!("{} {}", name(&it.name), name(&it.variant)).trim().to_owned(),
    )
}

/// What the drawings of this kit show.
struct DrawingSheet(DrawingFacts);

impl DrawingSheet {
    fn of(facts: &CardFacts) -> Self {
        let of_role =
            |role| facts.parts.iter().filter(move |it: &&FittedPart| it.facts.role() == Some(role));
        let number = |role| {
            let mut numbers: Vec<&String> = of_role(role).map(|it| &it.part_number).collect();
            numbers.dedup();
            // Of two, nobody could say which one is drawn.
            match numbers.as_slice() {
                [one] => (*one).clone(),
                _ => String::new(),
            }
        };
        let heights = of_role(Role::Spacer).flat_map(|it| {
            let pieces = usize::try_from(it.quantity.pieces()).unwrap_or(0);
            std::iter::repeat_n(it.facts.length(FactName::Height), pieces).flatten()
        });
        let bolt = of_role(Role::SkiBolt).next().map(|it| &it.facts);
        let thread = bolt.and_then(Facts::thread).map(|it| it.to_string());
        Self(DrawingFacts {
            language: facts.language,
            lower_bearing: number(Role::LowerBearing),
            upper_bearing: number(Role::UpperBearing),
            stack: SpacerStack { spacers: heights.collect(), gap: facts.gap.clone() },
            ski_bolt: SkiBolt {
                thread: thread.unwrap_or_default(),
                length: bolt.and_then(|it| it.length(FactName::Length)),
                screws: facts.ski_screws.clone(),
            },
        })
    }
}
