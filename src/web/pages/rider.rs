//! The page that the code on the packing list opens: the rider checks the box, with no account.

use askama::Template;

use super::strip::{Strip, StripCell};
use super::words::Word;
use super::{Answer, Fields};
use crate::domain::messages::Language;
use crate::ops::kits::ContentView;
use crate::ops::verification::{BoxLineView, BoxStepView, BoxView};
use crate::units::Quantity;

/// The page under `/box/`.
#[derive(Debug, Template)]
#[template(path = "public/box.html")]
pub struct RiderPage {
    /// The language of the page.
    pub say: Language,
    /// The shop's name.
    pub shop: String,
    /// The address of this page, which its forms add to.
    pub base: String,
    /// The key of this view; a form adds its own ending.
    pub request_key: String,
    /// The kit's number, as the packing list prints it.
    pub kit: String,
    /// The bike and its options, in short.
    pub build: String,
    /// How many boxes belong to it, in words.
    pub comes_in: String,
    /// Whether it has left the shop, so that something can be said of it.
    pub despatched: bool,
    /// The steps in miniature.
    pub cells: Vec<RiderCell>,
    /// What the last tap did, where it was carried out.
    pub answer: Option<Answer>,
    /// The steps that have parts.
    pub steps: Vec<RiderStep>,
    /// Whether something was said of every part.
    pub finished: bool,
    /// What was reported missing or damaged, in words.
    pub reported: Vec<String>,
}

/// The page that a link opens which is not right, or too old.
#[derive(Debug, Template)]
#[template(path = "public/closed.html")]
pub struct ClosedPage {
    /// The shop's name.
    pub shop: String,
    /// Why it does not open, and what to do, in each language: the link alone says none.
    pub told: Vec<(Language, &'static str)>,
}

/// One cell of the strip.
#[derive(Debug)]
pub struct RiderCell {
    /// The step's number.
    pub number: i64,
    /// The stylesheet's name for how far it is.
    pub state: Word,
    /// How full it is, in tenths.
    pub tenths: i64,
    /// Pieces confirmed of those needed.
    pub sum: String,
    /// The same in words.
    pub words: String,
}

/// One step as the rider checks it.
#[derive(Debug)]
pub struct RiderStep {
    /// The step's number.
    pub number: u32,
    /// The same in words.
    pub words: String,
    /// What is done in it.
    pub title: String,
    /// What to check; empty where nothing is stated.
    pub check: String,
    /// What can hurt; empty where nothing is stated.
    pub caution: String,
    /// Its parts and bags that lie in the box.
    pub lines: Vec<RiderLine>,
    /// What it takes out of bags that were ticked at another step or this one, in words.
    pub from_bags: Vec<String>,
    /// What was left out and why, in words.
    pub left_out: Vec<String>,
    /// What the rider said of it.
    pub state: StepState,
    /// Why the report was refused; its form stands open then.
    pub refused: Option<Answer>,
    /// The note that was typed before the report was refused.
    pub note: String,
}

/// A part as the rider checks it.
#[derive(Debug)]
pub struct RiderLine {
    /// The line's number in the kit.
    pub line: i64,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Pieces that should be there.
    pub quantity: Quantity,
    /// Where it lies, in words; empty where there is but one box.
    pub lies_in: String,
    /// What a bag holds, each in words.
    pub holds: Vec<String>,
    /// Pieces typed as missing.
    pub missing: String,
    /// Pieces typed as damaged.
    pub damaged: String,
}

/// What the rider said of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StepState {
    /// It has no part of its own: there is nothing to say.
    Nothing,
    /// Nothing yet, or not of every part.
    Open,
    /// All here.
    AllHere,
    /// Something is missing or damaged, each in words.
    Reported(Vec<String>),
}

impl StepState {
    /// Returns the stylesheet's name for it.
    pub const fn name(&self) -> Word {
        match self {
            Self::Nothing => "none",
            Self::Open => "open",
            Self::AllHere => "here",
            Self::Reported(_) => "reported",
        }
    }
}

/// What was typed in the form of one step before it was refused.
pub struct Refused<'a> {
    /// The step.
    pub step: u32,
    /// The form.
    pub form: &'a Fields,
}

impl RiderPage {
    /// Returns the page over a box; `change` names a step that is to be answered anew.
    pub fn new(
        say: Language,
        shop: String,
        base: String,
        request_key: String,
        view: &BoxView,
        change: Option<u32>,
    ) -> Self {
        let reported = view.steps.iter().flat_map(|it| reports(say, &it.lines)).collect();
        let step = |it: &BoxStepView| step(say, it, view.cartons, change == Some(it.number));
        Self {
            say,
            shop,
            base,
            request_key,
            kit: view.kit.clone(),
            build: view.build.clone(),
            comes_in: say.comes_in(view.cartons),
            despatched: view.despatched,
            cells: Strip::from(&view.strip).cells.iter().map(|it| cell(say, it)).collect(),
            answer: None,
            steps: view.steps.iter().map(step).collect(),
            finished: view.finished && change.is_none(),
            reported,
        }
    }

    /// Returns the page that says at the step why a report was refused, with what was typed.
    pub fn refused(mut self, answer: Answer, typed: &Refused<'_>) -> Self {
        for step in self.steps.iter_mut().filter(|it| it.number == typed.step) {
            step.state = StepState::Open;
            step.refused = Some(answer.clone());
            step.note = typed.form.text("note").to_owned();
            for line in &mut step.lines {
                line.missing = typed.form.text(&format!("missing-{}", line.line)).to_owned();
                line.damaged = typed.form.text(&format!("damaged-{}", line.line)).to_owned();
            }
        }
        self
    }

    /// Returns the page with the answer to what was said of a step, as the books have it now.
    pub fn said(mut self, step: Option<u32>) -> Self {
        let said = self.steps.iter().find(|it| Some(it.number) == step);
        self.answer = match said.map(|it| (&it.state, it.number)) {
            Some((StepState::AllHere, number)) => {
                Some(Answer::done(self.say.step_all_here(number)))
            }
            Some((StepState::Reported(_), number)) => {
                Some(Answer::done(self.say.shop_knows(number)))
            }
            _ => None,
        };
        self
    }
}

fn cell(say: Language, it: &StripCell) -> RiderCell {
    let (done, total) = (it.done.to_string(), it.total.to_string());
    let step = format!("{}, {}", it.number, it.title);
    RiderCell {
        number: it.number,
        state: it.state(),
        tenths: it.tenths(),
        sum: if it.total.is_some() { format!("{done}/{total}") } else { "–".to_owned() },
        words: say.strip_cell(&step, &done, &total),
    }
}

fn step(say: Language, it: &BoxStepView, boxes: u32, change: bool) -> RiderStep {
    let from_bags = it
        .from_bags
        .iter()
        .map(|held| format!("{} × {}, {}", held.quantity, held.part, say.from_bag(&held.bag)))
        .collect();
    let left_out = it
        .lines
        .iter()
        .filter(|it| it.short.is_some())
        .map(|it| {
            let reason = say.quoted(&it.short_reason);
            format!("{} × {}{}{reason}", it.short, words(it), say.colon())
        })
        .collect();
    RiderStep {
        number: it.number,
        words: say.step(it.number),
        title: it.title.clone(),
        check: it.check.clone(),
        caution: it.caution.clone(),
        lines: in_box(&it.lines).map(|it| line(say, it, boxes)).collect(),
        from_bags,
        left_out,
        state: if change { StepState::Open } else { state(say, &it.lines) },
        refused: None,
        note: String::new(),
    }
}

fn in_box(lines: &[BoxLineView]) -> impl Iterator<Item = &BoxLineView> {
    lines.iter().filter(|it| it.quantity.is_some())
}

fn state(say: Language, lines: &[BoxLineView]) -> StepState {
    if in_box(lines).next().is_none() {
        StepState::Nothing
    } else if in_box(lines).any(|it| it.outcome.is_empty()) {
        StepState::Open
    } else if in_box(lines).all(|it| it.outcome == "here") {
        StepState::AllHere
    } else {
        StepState::Reported(reports(say, lines))
    }
}

/// Returns what is missing or damaged, each in words.
fn reports(say: Language, lines: &[BoxLineView]) -> Vec<String> {
    in_box(lines)
        .filter(|it| matches!(it.outcome.as_str(), "missing" | "damaged"))
        .map(|it| {
            let note = match it.note.as_str() {
                "" => String::new(),
                note => format!("{}{}", say.colon(), say.quoted(note)),
            };
            let is_damaged = it.outcome == "damaged";
            let said = say.reported_part(&it.reported.to_string(), &words(it), is_damaged);
            format!("{said}{note}")
        })
        .collect()
}

fn words(it: &BoxLineView) -> String {
    if it.variant.is_empty() { it.part.clone() } else { format!("{} {}", it.variant, it.part) }
}

fn line(say: Language, it: &BoxLineView, boxes: u32) -> RiderLine {
    let lies_in = if 1 < boxes { say.in_box(it.carton) } else { String::new() };
    let held =
        |it: &ContentView| format!("{} × {}, {}", it.quantity, it.part, say.for_step(it.step));
    RiderLine {
        line: it.line,
        name: it.part.clone(),
        variant: it.variant.clone(),
        quantity: it.quantity,
        lies_in,
        holds: it.contents.iter().map(held).collect(),
        missing: String::new(),
        damaged: String::new(),
    }
}
