//! What a person asks of the shop, and how it is done by the ops.

use kitwright::error::Error;
use kitwright::exchange::Kind;
use kitwright::ops::bench::{self, NewRun};
use kitwright::ops::packing::{self, PackScan};
use kitwright::ops::picking::{self, PickScan};
use kitwright::ops::receiving::{self, Count};
use kitwright::ops::stock::{self, Correction};
use kitwright::ops::{RequestKey, exchange, reversal};
use kitwright::store::Tx;
use kitwright::units::Quantity;
use serde::Serialize;
use serde_json::Value;

/// One thing that a person asks.
#[derive(Debug, Clone)]
pub enum Ask {
    /// Takes a file in.
    Import { kind: Kind, text: String },
    /// Books a delivery.
    Receive { order: String, part: String, bin: String, count: Count },
    /// Puts kits on a pick list.
    MakeList { kits: Vec<String> },
    /// Scans on a walk; `take` says what a right scan takes for which kit.
    Pick { list: String, scan: PickScan, take: Option<(Piece, String)> },
    /// Corrects the book where a bin holds less than it says.
    HoldsLess { list: String, take: i64, piece: Piece, bin: String, there: i64 },
    /// Puts a picked line back.
    PutBack { kit: String, line: i64, part: String },
    /// Scans at the bench; `piece` says what a right scan puts into which carton.
    Pack { kit: String, scan: PackScan, piece: Option<(Piece, String)> },
    /// Seals a carton.
    Seal { kit: String, carton: u32 },
    /// Hands a kit to the carrier.
    HandOver { kit: String, cartons: Vec<String> },
    /// Makes pieces at the bench.
    Make { run: NewRun, tracking: String, serial_bins: Vec<(String, String)>, to: String },
    /// Corrects stock by hand.
    Correct(Correction),
    /// Reverses a movement that a correction made.
    Reverse { movement: i64, of: Correction },
}

/// Pieces that are alike: a part number, and the lot or serial number.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Piece {
    pub part: String,
    pub identity: String,
}

/// What the shop is expected to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expect {
    /// That it is done.
    Done,
    /// A refusal.
    Refusal,
    /// Either: things may stand otherwise by the time that it arrives.
    Either,
}

/// An ask with its request key.
#[derive(Debug, Clone)]
pub struct Deed {
    pub key: RequestKey,
    pub ask: Ask,
    pub expect: Expect,
}

/// What came of a deed: the answer, as it would travel, and whether it was done.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    pub answer: Value,
    pub done: bool,
}

fn outcome(answer: &impl Serialize) -> Outcome {
    let answer = serde_json::to_value(answer).expect("JSON");
    let done = answer.get("outcome").is_none_or(|it| it != "refused");
    Outcome { answer, done }
}

impl Deed {
    /// Does it; an error is a refusal, or a fault of the program.
    pub fn run(&self, tx: &mut Tx<'_>) -> Result<Outcome, Error> {
        let key = &self.key;
        Ok(match &self.ask {
            Ask::Import { kind, text } => {
                outcome(&exchange::import(tx, *kind, text.as_bytes())?.words)
            }
            Ask::Receive { order, count, .. } => {
                outcome(&receiving::receive(tx, key, order, count)?)
            }
            Ask::MakeList { kits } => outcome(&picking::make_list(tx, key, kits)?),
            Ask::Pick { list, scan, .. } => outcome(&picking::scan(tx, key, list, scan)?),
            Ask::HoldsLess { list, take, there, .. } => {
                let there = Quantity::new(*there);
                outcome(&picking::bin_holds_less(tx, key, list, Some(*take), there)?)
            }
            Ask::PutBack { kit, line, .. } => outcome(&picking::put_back(tx, key, kit, *line)?),
            Ask::Pack { kit, scan, .. } => outcome(&packing::scan(tx, key, kit, scan)?),
            Ask::Seal { kit, carton } => outcome(&packing::seal(tx, key, kit, *carton)?),
            Ask::HandOver { kit, .. } => outcome(&packing::hand_over(tx, key, kit)?),
            Ask::Make { run, .. } => outcome(&bench::make(tx, key, run)?),
            Ask::Correct(correction) => outcome(&stock::correct(tx, key, correction)?),
            Ask::Reverse { movement, .. } => outcome(&reversal::reverse(tx, key, *movement)?),
        })
    }
}
