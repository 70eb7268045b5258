//! The packing bench.

use askama::Template;

use super::strip::Strip;
use super::words::{Day, Moment};
use super::{Answer, Choice, Frame};
use crate::units::Quantity;

/// The page at `/packing`.
#[derive(Debug, Template)]
#[template(path = "packing/list.html")]
pub struct PackingPage {
    /// The page around it.
    pub frame: Frame,
    /// Kits at the bench or on their way out, by promised date.
    pub kits: Vec<BenchKit>,
}

/// A kit as the bench's list shows it.
#[derive(Debug)]
pub struct BenchKit {
    /// The kit's number.
    pub kit: String,
    /// Its order's number.
    pub order: String,
    /// The rider's name.
    pub rider: String,
    /// The date promised.
    pub promised: Day,
    /// The build and its options, in short.
    pub build: String,
    /// Where it stands, in words.
    pub stands: String,
    /// Its steps.
    pub strip: Strip,
}

/// The page at `/packing/{kit}`.
#[derive(Debug, Template)]
#[template(path = "packing/bench.html")]
pub struct BenchPage {
    /// The page around it.
    pub frame: Frame,
    /// The kit's number.
    pub kit: String,
    /// Its order's number.
    pub order: String,
    /// The rider's name.
    pub rider: String,
    /// The build and its options, in short.
    pub build: String,
    /// Its steps.
    pub strip: Strip,
    /// What the last scan did.
    pub answer: Option<Answer>,
    /// Its cartons.
    pub cartons: Vec<Carton>,
    /// Lines without a proof, which may be shipped short.
    pub unproved: Vec<Choice>,
    /// Reasons to ship short.
    pub reasons: Vec<Choice>,
    /// Why the kit cannot be handed over yet; empty when it can.
    pub not_leaving: Vec<String>,
    /// When it was handed to the carrier.
    pub handed_over: Option<Moment>,
}

/// A carton, its lines in the order of putting in.
#[derive(Debug)]
pub struct Carton {
    /// The carton's id.
    pub id: i64,
    /// Its place in the set, such as "1 of 2".
    pub place: String,
    /// Its kind, such as "C1 bike".
    pub kind: String,
    /// The code of its label.
    pub code: String,
    /// Its lines: the first goes in first and lies at the bottom.
    pub lines: Vec<CartonLine>,
    /// What it should weigh, or weighed, in words.
    pub weight: String,
    /// When it was sealed.
    pub sealed: Option<Moment>,
    /// Why it cannot be sealed yet; empty when it can.
    pub not_sealing: Vec<String>,
}

/// One line of a carton.
#[derive(Debug)]
pub struct CartonLine {
    /// The step that needs it.
    pub step: i64,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Pieces.
    pub quantity: Quantity,
    /// How it is proved to be inside, or what would prove it, in words.
    pub proof: String,
    /// Whether that proof is there.
    pub proved: bool,
    /// What departs from the step order and why; empty where nothing does.
    pub inversion: String,
}

impl Carton {
    /// Returns the lines that are proved.
    pub fn proved(&self) -> usize {
        self.lines.iter().filter(|line| line.proved).count()
    }
}
