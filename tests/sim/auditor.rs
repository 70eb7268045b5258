//! The auditor: plain books, kept from what was asked and whether it was done, by nothing that the
//! shop itself counts with.

use std::collections::BTreeMap;

use kitwright::demo;
use kitwright::exchange::Kind;

use crate::deed::{Ask, Outcome, Piece};

/// How many pieces lie where.
#[derive(Debug, Default, Clone)]
pub struct Auditor {
    held: BTreeMap<(String, Piece), i64>,
    /// For each kit and part, which bins its tote was filled from.
    came_from: BTreeMap<(String, String), Vec<Taken>>,
    /// What could not have been.
    faults: Vec<String>,
}

/// Pieces that were taken from a bin.
#[derive(Debug, Clone)]
struct Taken {
    bin: String,
    piece: Piece,
    quantity: i64,
}

/// Places outside, of which no count is kept.
const OUTSIDE: [&str; 5] = ["supplier", "rider", "scrap", "count difference", "made or used up"];

impl Auditor {
    /// Returns the books as the shop's own file of stock states them.
    pub fn at_the_start() -> Self {
        let mut auditor = Self::default();
        let mut rows = csv::Reader::from_reader(demo::file(Kind::Stock).as_bytes());
        let heads = rows.headers().expect("a heading").clone();
        let at = |name: &str| heads.iter().position(|it| it == name).expect("the column");
        let columns = ["part_number", "bin", "quantity", "lot", "serial"].map(at);
        for row in rows.records() {
            let row = row.expect("a row");
            let [part, bin, quantity, lot, serial] =
                columns.map(|it| row.get(it).unwrap_or_default().to_owned());
            let identity = if lot.is_empty() { serial } else { lot };
            let quantity =
                if quantity.is_empty() { 1 } else { quantity.parse().expect("a number") };
            auditor.shift("count difference", &bin, &Piece { part, identity }, quantity);
        }
        auditor
    }

    fn shift(&mut self, from: &str, to: &str, piece: &Piece, quantity: i64) {
        if quantity < 1 {
            self.faults.push(format!("{quantity} of {piece:?} were moved"));
        }
        for (place, by) in [(from, -quantity), (to, quantity)] {
            if OUTSIDE.contains(&place) {
                continue;
            }
            let held = self.held.entry((place.to_owned(), piece.clone())).or_default();
            *held += by;
            if *held < 0 {
                self.faults.push(format!("{place} would hold {held} of {piece:?}"));
            }
            if *held == 0 {
                self.held.remove(&(place.to_owned(), piece.clone()));
            }
        }
    }

    /// Returns how many pieces a place holds.
    pub fn count(&self, place: &str, piece: &Piece) -> i64 {
        self.held.get(&(place.to_owned(), piece.clone())).copied().unwrap_or(0)
    }

    /// Returns what a place holds of a part.
    pub fn pieces(&self, place: &str, part: &str) -> Vec<(Piece, i64)> {
        let there = self.held.iter().filter(|((at, piece), _)| at == place && piece.part == part);
        there.map(|((_, piece), held)| (piece.clone(), *held)).collect()
    }

    /// Returns whether a place holds another part with a lot of the same name.
    pub fn is_ambiguous(&self, place: &str, piece: &Piece) -> bool {
        let same = |it: &Piece| it.identity == piece.identity && it.part != piece.part;
        !piece.identity.is_empty() && self.held.keys().any(|(at, it)| at == place && same(it))
    }

    /// Returns all that is held, for the comparison.
    pub fn books(&self) -> &BTreeMap<(String, Piece), i64> {
        &self.held
    }

    /// Returns what could not have been, by these books.
    pub fn faults(&self) -> &[String] {
        &self.faults
    }

    /// Writes down what an ask that was done has moved.
    pub fn note(&mut self, ask: &Ask, outcome: &Outcome) {
        match ask {
            Ask::Import { .. } | Ask::MakeList { .. } | Ask::Seal { .. } => {}
            Ask::Receive { part, bin, count, .. } => {
                self.receive(
                    part,
                    bin,
                    &count.lot,
                    &count.serials,
                    count.good.pieces(),
                    count.damaged.pieces(),
                );
            }
            Ask::Pick { scan, take, .. } => {
                // A scan that only confirms the bin, or asks for the lot, moves nothing.
                let took = outcome.answer["outcome"] == "ok";
                if let (true, Some((piece, kit)), Some(bin)) = (took, take, &scan.bin) {
                    let quantity = scan.quantity.map_or(1, |it| it.pieces());
                    self.shift(bin, kit, piece, quantity);
                    let key = (kit.clone(), piece.part.clone());
                    let taken = Taken { bin: bin.clone(), piece: piece.clone(), quantity };
                    self.came_from.entry(key).or_default().push(taken);
                } else if took {
                    self.faults.push(format!("a wrong scan was taken: {scan:?}"));
                }
            }
            Ask::HoldsLess { piece, bin, there, .. } => {
                let missing = self.count(bin, piece) - there;
                self.shift(bin, "count difference", piece, missing);
            }
            Ask::PutBack { kit, part, .. } => {
                let came = self.came_from.remove(&(kit.clone(), part.clone())).unwrap_or_default();
                for Taken { bin, piece, quantity } in came {
                    self.shift(kit, &bin, &piece, quantity);
                }
            }
            Ask::Pack { kit, scan, piece } => {
                let packed = outcome.answer["code"] == "pack.packed";
                if let (true, Some((piece, carton))) = (packed, piece) {
                    let quantity = scan.quantity.map_or(1, |it| it.pieces());
                    self.shift(kit, carton, piece, quantity);
                } else if packed {
                    self.faults.push(format!("a wrong scan was packed: {scan:?}"));
                }
            }
            Ask::HandOver { cartons, .. } => {
                let held = self.held.clone();
                let inside = held.iter().filter(|((place, _), _)| cartons.contains(place));
                for ((carton, piece), quantity) in inside {
                    self.shift(carton, "rider", piece, *quantity);
                }
            }
            Ask::Make { run, tracking, serial_bins, to } => {
                for it in &run.takes {
                    let piece = Piece { part: it.part_number.clone(), identity: it.lot.clone() };
                    self.shift(&it.bin, "made or used up", &piece, it.quantity.pieces());
                }
                for ((bin, part), serial) in serial_bins.iter().zip(&run.serials) {
                    let piece = Piece { part: part.clone(), identity: serial.clone() };
                    self.shift(bin, "made or used up", &piece, 1);
                    let made = Piece { part: run.part_number.clone(), identity: serial.clone() };
                    self.shift("made or used up", to, &made, 1);
                }
                if serial_bins.is_empty() {
                    let lot = outcome.answer["number"].as_str().filter(|_| tracking == "lot");
                    let identity = lot.unwrap_or_default().to_owned();
                    let made = Piece { part: run.part_number.clone(), identity };
                    self.shift("made or used up", to, &made, run.pieces.pieces());
                }
            }
            Ask::Correct(it) => self.shift(&it.from, &it.to, &piece_of(it), it.quantity.pieces()),
            Ask::Reverse { of: it, .. } => {
                self.shift(&it.to, &it.from, &piece_of(it), it.quantity.pieces());
            }
        }
    }

    fn receive(
        &mut self,
        part: &str,
        bin: &str,
        lot: &str,
        serials: &[String],
        good: i64,
        damaged: i64,
    ) {
        let quarantine = "Q-01-1M";
        let mut come = |identity: &str, to: &str, quantity: i64| {
            let piece = Piece { part: part.to_owned(), identity: identity.to_owned() };
            if 0 < quantity {
                self.shift("supplier", to, &piece, quantity);
            }
        };
        if serials.is_empty() {
            come(lot, bin, good);
            come(lot, quarantine, damaged);
            return;
        }
        for (nth, serial) in (0..).zip(serials) {
            come(serial, if nth < good { bin } else { quarantine }, 1);
        }
    }
}

fn piece_of(it: &kitwright::ops::stock::Correction) -> Piece {
    let identity = if it.lot.is_empty() { it.serial.clone() } else { it.lot.clone() };
    Piece { part: it.part_number.clone(), identity }
}
