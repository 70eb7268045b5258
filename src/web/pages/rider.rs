//! The page that the code on the packing list opens: the rider checks the box, with no account.

use askama::Template;

use super::Answer;
use super::strip::Strip;
use super::words::Word;
use crate::units::Quantity;

/// The page under `/k/`.
#[derive(Debug, Template)]
#[template(path = "public/box.html")]
pub struct RiderPage {
    /// The shop's name.
    pub shop: String,
    /// How to reach the shop, in words.
    pub contact: String,
    /// The address of this page, which its forms add to.
    pub base: String,
    /// The token that each form sends back.
    pub csrf: String,
    /// The key of this view; a form adds its own ending.
    pub request_key: String,
    /// The kit's number, as the packing list prints it.
    pub kit: String,
    /// The bike and its options, in short.
    pub build: String,
    /// The boxes that belong to it, in words.
    pub boxes: String,
    /// What to mind before building, each a sentence.
    pub cautions: Vec<String>,
    /// The steps in miniature.
    pub strip: Strip,
    /// What the last tap did.
    pub answer: Option<Answer>,
    /// The steps that have parts.
    pub steps: Vec<RiderStep>,
    /// Whether every step was answered.
    pub finished: bool,
    /// What happens about each thing reported, in words.
    pub replies: Vec<String>,
}

/// One step as the rider checks it.
#[derive(Debug)]
pub struct RiderStep {
    /// The step's number.
    pub number: i64,
    /// What is done in it.
    pub title: String,
    /// Its parts.
    pub lines: Vec<RiderLine>,
    /// What the rider said of it.
    pub state: StepState,
}

/// A part as the rider checks it.
#[derive(Debug)]
pub struct RiderLine {
    /// The line's id.
    pub id: i64,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Pieces that should be there.
    pub quantity: Quantity,
    /// Where it lies, such as "bag HEAD-40, in box 1".
    pub lies_in: String,
}

/// What the rider said of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StepState {
    /// Nothing yet.
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
            Self::Open => "open",
            Self::AllHere => "here",
            Self::Reported(_) => "reported",
        }
    }
}
