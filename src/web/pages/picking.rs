//! Pick lists, and the walk along one.

use askama::Template;

use super::strip::Strip;
use super::words::Day;
use super::{Answer, Frame};
use crate::units::Quantity;

/// The page at `/picking`.
#[derive(Debug, Template)]
#[template(path = "picking/list.html")]
pub struct PickingPage {
    /// The page around it.
    pub frame: Frame,
    /// Kits whose parts are all held, by promised date.
    pub ready: Vec<ReadyKit>,
    /// Lists that somebody is walking.
    pub open: Vec<OpenList>,
}

/// A kit that can be picked.
#[derive(Debug)]
pub struct ReadyKit {
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
    /// Stops on the walk.
    pub stops: Quantity,
    /// Pieces to take.
    pub pieces: Quantity,
    /// What must be known before: a part that ships later, a substitution; empty where nothing.
    pub note: String,
}

/// A list that is being picked.
#[derive(Debug)]
pub struct OpenList {
    /// The list's number.
    pub id: i64,
    /// Its kits, in short.
    pub kits: String,
    /// Who picks it; empty where nobody has begun.
    pub picker: String,
    /// Stops done.
    pub done: Quantity,
    /// All stops.
    pub stops: Quantity,
}

/// The page at `/picking/{id}`.
#[derive(Debug, Template)]
#[template(path = "picking/walk.html")]
pub struct WalkPage {
    /// The page around it.
    pub frame: Frame,
    /// The list's number.
    pub id: i64,
    /// The list's kits, in short.
    pub kits: String,
    /// The steps of its kits together.
    pub strip: Strip,
    /// Stops done.
    pub done: Quantity,
    /// All stops.
    pub stops: Quantity,
    /// What the last scan did.
    pub answer: Option<Answer>,
    /// Where to stand now; `None` when the walk is over.
    pub stop: Option<Stop>,
    /// The stops after it, in route order.
    pub ahead: Vec<StopAhead>,
}

/// The stop where the picker stands.
#[derive(Debug)]
pub struct Stop {
    /// The pick line's id.
    pub line: i64,
    /// The bin's code.
    pub bin: String,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour: the largest thing on the page.
    pub variant: String,
    /// Pieces to take.
    pub quantity: Quantity,
    /// The lot to take from; empty where none is kept.
    pub lot: String,
    /// What each tote gets.
    pub totes: Vec<ToteShare>,
    /// What is easily taken in its place, in words; empty where nothing.
    pub look_alike: String,
    /// What to scan now: "the bin", "the part", "the serial number".
    pub scan_what: String,
}

/// The pieces of a stop that go into one tote.
#[derive(Debug)]
pub struct ToteShare {
    /// The tote's code.
    pub tote: String,
    /// The kit's number.
    pub kit: String,
    /// Pieces.
    pub quantity: Quantity,
}

/// A stop that is still to come.
#[derive(Debug)]
pub struct StopAhead {
    /// The bin's code.
    pub bin: String,
    /// Size, length or colour.
    pub variant: String,
    /// The part's name.
    pub name: String,
    /// Pieces.
    pub quantity: Quantity,
}
