//! What people of the shop would ask next, as the dice fall: mostly what is right, now and then what
//! is wrong. It reads the shop's views as a person does, and which pieces lie where from the auditor.

use std::collections::BTreeMap;

use kitwright::demo;
use kitwright::exchange::Kind;
use kitwright::ops::bench::{self, NewRun, PlanView, Taken};
use kitwright::ops::packing::{self, BenchView, PackScan};
use kitwright::ops::picking::{self, PickScan};
use kitwright::ops::receiving::Count;
use kitwright::ops::stock::Correction;
use kitwright::store::{catalog, picking as store, purchasing};
use kitwright::units::Quantity;
use rand::RngExt;
use rand::rngs::StdRng;

use crate::auditor::Auditor;
use crate::deed::{Ask, Expect, Outcome, Piece};
use crate::shop::Shop;

/// What the people have begun.
#[derive(Debug, Default)]
pub struct Workload {
    lists: Vec<String>,
    kits: Vec<String>,
    /// Corrections that can be reversed.
    corrections: Vec<(i64, Correction)>,
    made_up: u32,
}

type Next = Option<(Ask, Expect)>;

/// Returns one of several.
fn one<'a, T>(dice: &mut StdRng, of: &'a [T]) -> Option<&'a T> {
    if of.is_empty() { None } else { of.get(dice.random_range(0..of.len())) }
}

fn some(dice: &mut StdRng, most: i64) -> i64 {
    dice.random_range(1..=most.max(1))
}

impl Workload {
    /// Notes what an ask that was done has begun or ended.
    pub fn note(&mut self, ask: &Ask, outcome: &Outcome) {
        match ask {
            Ask::MakeList { kits } => {
                let number = outcome.answer["number"].as_str().unwrap_or_default();
                self.lists.push(number.to_owned());
                self.kits.extend(kits.iter().cloned());
            }
            Ask::HandOver { kit, .. } => self.kits.retain(|it| it != kit),
            Ask::Correct(it) => {
                self.corrections
                    .extend(outcome.answer["movement"].as_i64().map(|at| (at, it.clone())));
            }
            Ask::Reverse { movement, .. } => self.corrections.retain(|it| it.0 != *movement),
            _ => {}
        }
    }

    /// Returns what is asked next; nothing where there is nothing to do of that kind.
    pub fn next(&mut self, shop: &Shop, auditor: &Auditor, dice: &mut StdRng) -> Next {
        match dice.random_range(0..100) {
            0..2 => self.order(shop, dice),
            2..4 => self.purchase(shop, dice),
            4..12 => self.receive(shop, dice),
            12..17 => self.list(shop, dice),
            17..58 => self.pick(shop, auditor, dice),
            58..60 => self.put_back(shop, dice),
            60..84 => self.bench(shop, auditor, dice),
            84..88 => Self::make(shop, auditor, dice),
            88..97 => Self::correct(auditor, dice),
            _ => self.reverse(dice),
        }
    }

    fn nth(&mut self) -> u32 {
        self.made_up += 1;
        self.made_up
    }

    /// An order comes in: one of the shop's own again, under a new number.
    fn order(&mut self, shop: &Shop, dice: &mut StdRng) -> Next {
        let (heading, lines) = demo::file(Kind::Orders).split_once('\n')?;
        let lines: Vec<&str> = lines.lines().collect();
        let line = one(dice, &lines)?;
        let after: String = line.splitn(4, ',').last()?.to_owned();
        let (placed, promised) =
            (shop.now().date(), shop.now().date() + chrono::Duration::days(14));
        let text = format!("{heading}\nSIM-{},{placed},{promised},{after}\n", self.nth());
        // The last bill may not offer what that order chose.
        Some((Ask::Import { kind: Kind::Orders, text }, Expect::Either))
    }

    fn purchase(&mut self, shop: &Shop, dice: &mut StdRng) -> Next {
        let (heading, lines) = demo::file(Kind::PurchaseOrders).split_once('\n')?;
        let lines: Vec<&str> = lines.lines().collect();
        let fields: Vec<&str> = one(dice, &lines)?.splitn(5, ',').collect();
        let (supplier, rest) = (fields.get(1)?, fields.last()?);
        let (ordered, due) = (shop.now().date(), shop.now().date() + chrono::Duration::days(7));
        let number = self.nth();
        let text = format!("{heading}\nSIM-PO-{number},{supplier},{ordered},{due},{rest}\n");
        Some((Ask::Import { kind: Kind::PurchaseOrders, text }, Expect::Done))
    }

    fn receive(&mut self, shop: &Shop, dice: &mut StdRng) -> Next {
        let (orders, lines) = shop
            .look(|conn| Ok((purchasing::purchase_orders(conn)?, purchasing::all_lines(conn)?)));
        let lines: Vec<_> = lines.iter().filter(|it| 0 < it.open().pieces()).collect();
        let line = one(dice, &lines)?;
        let order = orders.iter().find(|it| it.id == line.order)?;
        let variant = shop.look(|conn| Ok(catalog::variant(conn, &line.part_number)?))?;
        let serial = variant.tracking == "serial";
        let most = if serial { 3 } else { line.open().pieces() };
        let good = some(dice, most.min(line.open().pieces()));
        let damaged = if dice.random_range(0..6) == 0 { 1 } else { 0 };
        let name = format!("SIM{}", self.nth());
        let serials = if serial {
            (0..good + damaged).map(|nth| format!("{name}-{nth}")).collect()
        } else {
            Vec::new()
        };
        let wrong = dice.random_range(0..10) == 0;
        let count = Count {
            line: line.line_no,
            good: Quantity::new(if wrong { 0 } else { good }),
            damaged: Quantity::new(if wrong { 0 } else { damaged }),
            lot: if variant.tracking == "lot" { name } else { String::new() },
            serials: if wrong { Vec::new() } else { serials },
            note: "seen by the simulation".to_owned(),
            ..Count::default()
        };
        let (part, bin) = (line.part_number.clone(), variant.bin_code?);
        let ask = Ask::Receive { order: order.number.clone(), part, bin, count };
        Some((ask, if wrong { Expect::Refusal } else { Expect::Done }))
    }

    fn list(&mut self, shop: &Shop, dice: &mut StdRng) -> Next {
        if 1 < self.kits.len() {
            return None;
        }
        let open = shop.look(picking::pickable);
        let ready: Vec<_> = open.iter().filter(|it| it.alerts.is_empty()).collect();
        let kit = one(dice, &ready)?.kit.clone();
        if dice.random_range(0..10) == 0 {
            return Some((Ask::MakeList { kits: vec![kit.clone(), kit] }, Expect::Refusal));
        }
        let misfit_is_refused = Expect::Either;
        Some((Ask::MakeList { kits: vec![kit] }, misfit_is_refused))
    }

    fn pick(&mut self, shop: &Shop, auditor: &Auditor, dice: &mut StdRng) -> Next {
        let number = one(dice, &self.lists)?.clone();
        // The walk without the words that its page adds: those take long.
        let takes = shop.look(|conn| {
            let list = store::pick_list(conn, &number)?;
            Ok(list.map(|it| store::takes(conn, it.id)).transpose()?.unwrap_or_default())
        });
        let Some(stop) = one(dice, &takes) else {
            self.lists.retain(|it| *it != number);
            return None;
        };
        let here = auditor.pieces(&stop.bin_code, &stop.part_number);
        let lot = stop.lot_code.clone().unwrap_or_default();
        let held = here.iter().filter(|it| stop.tracking != "lot" || it.0.identity == lot);
        let held: Vec<_> = held.collect();
        // The shop sends the picker to a bin that is empty by the auditor's books: let it be scanned.
        let (piece, on_hand) = match one(dice, &held) {
            Some((piece, on_hand)) => (piece.clone(), *on_hand),
            None => (Piece { part: stop.part_number.clone(), identity: lot }, 0),
        };
        if dice.random_range(0..25) == 0 && stop.tracking != "serial" && 1 < on_hand {
            let there = on_hand - some(dice, (on_hand - 1).min(3));
            let (bin, take) = (stop.bin_code.clone(), stop.id);
            return Some((Ask::HoldsLess { list: number, take, piece, bin, there }, Expect::Done));
        }
        let (code, most) = match stop.tracking.as_str() {
            "lot" => (format!("1T{}", piece.identity), stop.quantity.pieces()),
            "serial" => (format!("S{}", piece.identity), 1),
            _ => (piece.part.clone(), stop.quantity.pieces()),
        };
        let quantity = if dice.random_range(0..3) == 0 { some(dice, most) } else { most };
        let scan = |code: String, quantity: i64, bin: Option<String>| PickScan {
            code,
            take: Some(stop.id),
            bin,
            quantity: Some(Quantity::new(quantity)),
        };
        let bin = Some(stop.bin_code.clone());
        Some(match dice.random_range(0..20) {
            0 => {
                let scan = scan("PK101H".to_owned(), 1, bin);
                if stop.part_number == "PK101H" {
                    return None;
                }
                (Ask::Pick { list: number, scan, take: None }, Expect::Refusal)
            }
            // A numbered piece is one, whatever else is entered.
            1 if stop.tracking != "serial" => {
                let scan = scan(code, most + 1, bin);
                (Ask::Pick { list: number, scan, take: None }, Expect::Refusal)
            }
            2 => {
                let scan = scan(code, quantity, None);
                (Ask::Pick { list: number, scan, take: None }, Expect::Refusal)
            }
            3 => {
                let scan = scan(stop.bin_code.clone(), quantity, None);
                (Ask::Pick { list: number, scan, take: None }, Expect::Done)
            }
            _ => {
                let take = Some((piece, stop.kit_number.clone()));
                (Ask::Pick { list: number, scan: scan(code, quantity, bin), take }, Expect::Done)
            }
        })
    }

    fn kit(&self, shop: &Shop, dice: &mut StdRng) -> Option<BenchView> {
        let kit = one(dice, &self.kits)?;
        Some(shop.look(|conn| packing::bench(conn, kit)))
    }

    fn put_back(&mut self, shop: &Shop, dice: &mut StdRng) -> Next {
        let bench = self.kit(shop, dice)?;
        let counts = lines_by_part(&bench);
        let lines = bench.cartons.iter().flat_map(|it| &it.lines);
        // Where two lines ask for one part, the plain books don't tell whose pieces are whose.
        let whole = |it: &&packing::BenchLineView| {
            0 < it.picked.pieces()
                && it.packed.pieces() == 0
                && counts.get(&it.part_number) == Some(&1)
        };
        let lines: Vec<_> = lines.filter(whole).collect();
        let line = one(dice, &lines)?;
        let (kit, part) = (bench.kit.clone(), line.part_number.clone());
        Some((Ask::PutBack { kit, line: line.line, part }, Expect::Done))
    }

    fn bench(&mut self, shop: &Shop, auditor: &Auditor, dice: &mut StdRng) -> Next {
        let bench = self.kit(shop, dice)?;
        let kit = bench.kit.clone();
        if bench.state == "sealed" {
            let cartons = bench.cartons.iter().map(|it| it.number.clone()).collect();
            return Some((Ask::HandOver { kit, cartons }, Expect::Done));
        }
        let carton = one(dice, &bench.cartons)?;
        let position = carton.position;
        if carton.sealed_at.is_none() && carton.not_sealing.is_empty() {
            return Some((Ask::Seal { kit, carton: position }, Expect::Done));
        }
        if dice.random_range(0..30) == 0 {
            return Some((Ask::HandOver { kit, cartons: Vec::new() }, Expect::Refusal));
        }
        if dice.random_range(0..30) == 0 && carton.sealed_at.is_none() {
            return Some((Ask::Seal { kit, carton: position }, Expect::Refusal));
        }
        let waiting: Vec<_> = carton.lines.iter().filter(|it| it.packed < it.picked).collect();
        let line = one(dice, &waiting)?;
        let held = auditor.pieces(&kit, &line.part_number);
        let (piece, in_tote) = one(dice, &held)?.clone();
        let alone = lines_by_part(&bench).get(&line.part_number) == Some(&1);
        let open = line.picked.pieces() - line.packed.pieces();
        let variant = shop.look(|conn| Ok(catalog::variant(conn, &piece.part)?))?;
        let code = match variant.tracking.as_str() {
            "serial" => format!("S{}", piece.identity),
            "lot" => format!("1T{}", piece.identity),
            _ => piece.part.clone(),
        };
        // A numbered piece is one, whatever else is entered.
        let wrong = dice.random_range(0..12) == 0 && variant.tracking != "serial";
        let quantity = if wrong { in_tote + open + 1 } else { some(dice, in_tote.min(open)) };
        let quantity = Some(Quantity::new(quantity));
        let scan = PackScan { code, carton: Some(position), quantity };
        // Where two parts in the tote have a lot of one name, the shop can't tell which is scanned.
        let expect = match (wrong || auditor.is_ambiguous(&kit, &piece), alone) {
            (true, _) => Expect::Refusal,
            (false, true) => Expect::Done,
            (false, false) => Expect::Either,
        };
        let piece = Some((piece, carton.number.clone())).filter(|_| expect != Expect::Refusal);
        Some((Ask::Pack { kit, scan, piece }, expect))
    }

    fn make(shop: &Shop, auditor: &Auditor, dice: &mut StdRng) -> Next {
        let today = shop.now().date();
        let made = shop.look(|conn| bench::list(conn, today));
        let can: Vec<_> = made.iter().filter(|it| 0 < it.possible.pieces()).collect();
        let part = one(dice, &can)?;
        let pieces = Quantity::new(some(dice, part.possible.pieces().min(4)));
        let plan: PlanView = shop.look(|conn| bench::plan(conn, &part.part_number, pieces, today));
        let (serials, serial_bins, expect) = carried(&plan, auditor, pieces)?;
        let takes =
            plan.takes.iter().filter(|it| 0 < it.quantity.pieces() && it.tracking != "serial");
        let takes = takes.map(|it| Taken {
            part_number: it.part_number.clone(),
            bin: it.bin.clone(),
            lot: it.lot.clone(),
            quantity: it.quantity,
        });
        let (part_number, to) = (plan.part_number.clone(), plan.bin.clone());
        let run =
            NewRun { part_number, pieces, takes: takes.collect(), serials, ..NewRun::default() };
        Some((Ask::Make { run, tracking: plan.tracking, serial_bins, to }, expect))
    }

    /// A count of a bin finds more or less than the book says, or pieces are thrown away.
    fn correct(auditor: &Auditor, dice: &mut StdRng) -> Next {
        let books: Vec<_> = auditor.books().iter().filter(|it| it.0.0.contains('-')).collect();
        let ((place, piece), held) = *one(dice, &books)?;
        let mut correction = Correction {
            part_number: piece.part.clone(),
            from: place.clone(),
            to: "count difference".to_owned(),
            quantity: Quantity::new(some(dice, (*held).min(3))),
            lot: String::new(),
            serial: String::new(),
            reason: "counted".to_owned(),
        };
        let serials = demo::file(Kind::Parts)
            .lines()
            .any(|it| it.starts_with(&piece.part) && it.contains(",serial,"));
        if serials {
            correction.serial.clone_from(&piece.identity);
        } else {
            correction.lot.clone_from(&piece.identity);
        }
        match dice.random_range(0..6) {
            0 => correction.to = "scrap".to_owned(),
            1 | 2 if !serials => std::mem::swap(&mut correction.from, &mut correction.to),
            3 => {
                correction.quantity = Quantity::new(held + 1);
                return Some((Ask::Correct(correction), Expect::Refusal));
            }
            _ => {}
        }
        Some((Ask::Correct(correction), Expect::Done))
    }

    fn reverse(&mut self, dice: &mut StdRng) -> Next {
        let (movement, of) = one(dice, &self.corrections)?.clone();
        // What was found may have been picked since, and a reversal past what is there is refused.
        Some((Ask::Reverse { movement, of }, Expect::Either))
    }
}

fn lines_by_part(bench: &BenchView) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for line in bench.cartons.iter().flat_map(|it| &it.lines) {
        *counts.entry(line.part_number.clone()).or_insert(0) += 1;
    }
    counts
}

/// Serial numbers, the bin and part of each, and what the shop is expected to say.
type Carried = (Vec<String>, Vec<(String, String)>, Expect);

/// Returns the serial numbers that a run carries over, with the bin and part of each. Which of them
/// are held for kits the plain books don't know, so the shop may refuse.
fn carried(plan: &PlanView, auditor: &Auditor, pieces: Quantity) -> Option<Carried> {
    let Some(part) = &plan.serials_of else {
        return Some((Vec::new(), Vec::new(), Expect::Done));
    };
    let bins = plan.takes.iter().filter(|it| it.part_number == *part).map(|it| it.bin.clone());
    let mut bins: Vec<String> = bins.collect();
    bins.dedup();
    let there = bins.iter().flat_map(|bin| {
        let pieces = auditor.pieces(bin, part);
        pieces.into_iter().map(|(piece, _)| (piece.identity, (bin.clone(), part.clone())))
    });
    let wanted = usize::try_from(pieces.pieces()).ok()?;
    let there: Vec<_> = there.take(wanted).collect();
    if there.len() < wanted {
        return None;
    }
    let (serials, bins) = there.into_iter().unzip();
    Some((serials, bins, Expect::Either))
}
