use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::stock::PlaceKind;
use crate::units::Quantity;

use super::event::{
    Action, Amount, Destination, ErrorDeclaration, Event, Kind, Location, Master, Source,
    Transaction, utc,
};
use super::names::{Carton, Names};

/// A piece or pieces that can't be told apart.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Item {
    /// The part number.
    pub part_number: String,
    /// The lot, where the part is tracked by lot.
    pub lot: Option<String>,
    /// The lot's last day of use.
    pub use_by: Option<NaiveDate>,
    /// The serial number, where the part is tracked by serial number.
    pub serial: Option<String>,
}

impl Item {
    fn words(&self, quantity: Quantity) -> String {
        let which = match (&self.lot, &self.serial) {
            (Some(lot), _) => format!(", lot {lot}"),
            (None, Some(serial)) => format!(", serial number {serial}"),
            (None, None) => String::new(),
        };
        format!("{quantity} × {}{which}", self.part_number)
    }
}

/// A place that pieces left or reached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Its code.
    pub code: String,
    /// Its kind.
    pub kind: PlaceKind,
    /// The carton that it is.
    pub carton: Option<Carton>,
}

/// The purchase order that a movement was received on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purchase {
    /// Its number.
    pub number: String,
    /// The supplier's code.
    pub supplier: String,
}

/// What a movement did in a run of the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunPart {
    /// It used a part up.
    Used,
    /// It brought a made piece into its bin.
    Made,
    /// It took a made piece, to be taken apart.
    TakenApart,
    /// It brought a part back out of a piece.
    Back,
    /// It threw a part away.
    Wasted,
}

/// A movement of the ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moved {
    /// Its number.
    pub id: i64,
    /// When.
    pub at: NaiveDateTime,
    /// What moved.
    pub item: Item,
    /// How many pieces.
    pub quantity: Quantity,
    /// The place left.
    pub from: Place,
    /// The place reached.
    pub to: Place,
    /// The request that caused it.
    pub request: String,
    /// The purchase order that it was received on.
    pub purchase: Option<Purchase>,
    /// The run, and what the movement did in it.
    pub run: Option<(String, RunPart)>,
    /// The order that it was made for.
    pub order: Option<String>,
    /// The kit that it was made for.
    pub kit: Option<String>,
}

/// Something that the ledger says, to be told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fact {
    /// A movement.
    Moved(Moved),
    /// All movements of one run.
    Run(Vec<Moved>),
    /// All movements of one hand-over.
    HandedOver(Vec<Moved>),
    /// A carton was sealed, and shut these pieces in.
    Sealed {
        /// The seal's number.
        seal: i64,
        /// When.
        at: NaiveDateTime,
        /// The carton.
        carton: Carton,
        /// The kit and the order that it is for.
        kit: (String, String),
        /// The pieces.
        items: BTreeMap<Item, Quantity>,
    },
    /// A movement took pieces out of a carton that had been sealed.
    CameOut(Moved, Item, Quantity),
    /// A movement was reversed then: it did not happen.
    Reversed(Moved, NaiveDateTime),
}

/// An event, and what a person reads of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// When.
    pub at: NaiveDateTime,
    /// What happened, in a few words.
    pub what: &'static str,
    /// The goods, in words.
    pub goods: Vec<String>,
    /// Where, in words.
    pub place: String,
    /// The event.
    pub event: Event,
}

/// Returns the events of what the ledger says. Nothing else is told: each event is one movement or
/// seal, or the movements of one run or hand-over.
///
/// # Source
///
/// GS1 EPCIS Standard 2.0, section 7.4, for the kinds of event and for error declarations, which
/// repeat the event under its own identifier; CBV 2.0, section 7, for steps and dispositions.
pub fn tell(facts: &[Fact], names: &Names) -> Vec<Told> {
    facts.iter().flat_map(|fact| events_of(fact, names)).collect()
}

fn events_of(fact: &Fact, names: &Names) -> Vec<Told> {
    match fact {
        Fact::Moved(moved) => moved_events(moved, names),
        Fact::Reversed(moved, at) => {
            let mut told = moved_events(moved, names);
            for it in &mut told {
                it.event.error_declaration =
                    Some(ErrorDeclaration { declaration_time: utc(*at), reason: "did_not_occur" });
                it.at = *at;
                it.what = "declared an error";
            }
            told
        }
        Fact::Run(moves) => run_events(moves, names),
        Fact::HandedOver(moves) => handed_over(moves, names).into_iter().collect(),
        Fact::Sealed { seal, at, carton, kit: (_, order), items } => {
            // A carton without pieces is told of when it is handed over.
            if items.is_empty() {
                return Vec::new();
            }
            let mut event = event(names, &format!("seal {seal}"), *at, "packing");
            event.kind = Kind::Aggregation;
            event.action = Some(Action::Add);
            event.disposition = "container_closed";
            event.parent_id = Some(names.carton(carton));
            (event.child_epcs, event.child_quantities) = goods(items, names);
            event.read_point = Some(Location { id: names.site() });
            event.biz_location = event.read_point.clone();
            event.transactions = vec![transaction("po", names.of("order", order))];
            let place = format!("carton {}", carton.number);
            vec![told(event, *at, "packed and sealed", items, place)]
        }
        Fact::CameOut(moved, item, quantity) => came_out(moved, item, *quantity, names),
    }
}

fn event(names: &Names, seed: &str, at: NaiveDateTime, step: &'static str) -> Event {
    Event {
        event_id: names.event_id(seed),
        event_time: utc(at),
        event_time_zone_offset: "+00:00",
        biz_step: step,
        disposition: "in_progress",
        ..Event::default()
    }
}

fn told(
    event: Event,
    at: NaiveDateTime,
    what: &'static str,
    items: &BTreeMap<Item, Quantity>,
    place: String,
) -> Told {
    let goods = items.iter().map(|(item, quantity)| item.words(*quantity)).collect();
    Told { at, what, goods, place, event }
}

fn transaction(kind: &'static str, biz_transaction: String) -> Transaction {
    Transaction { kind, biz_transaction }
}

/// Returns the pieces with a number of their own, and the others by class.
fn goods(items: &BTreeMap<Item, Quantity>, names: &Names) -> (Vec<String>, Vec<Amount>) {
    let mut epcs = BTreeSet::new();
    let mut amounts: BTreeMap<String, Quantity> = BTreeMap::new();
    for (item, quantity) in items {
        if let Some(serial) = &item.serial {
            epcs.insert(names.serial(&item.part_number, serial));
            continue;
        }
        let class = match &item.lot {
            Some(lot) => names.lot(&item.part_number, lot),
            None => names.class(&item.part_number),
        };
        let sum = amounts.entry(class).or_default();
        *sum = sum.plus(*quantity);
    }
    let amount = |(epc_class, quantity): (String, Quantity)| Amount {
        epc_class,
        quantity: quantity.pieces(),
    };
    (epcs.into_iter().collect(), amounts.into_iter().map(amount).collect())
}

fn sum<'a>(moves: impl Iterator<Item = &'a Moved>) -> BTreeMap<Item, Quantity> {
    let mut items: BTreeMap<Item, Quantity> = BTreeMap::new();
    for it in moves {
        let sum = items.entry(it.item.clone()).or_default();
        *sum = sum.plus(it.quantity);
    }
    items
}

fn is_inside(place: &Place) -> bool {
    !place.kind.is_outside()
}

/// What a movement means: its step, action, disposition, and words.
type Meaning = (&'static str, Action, &'static str, &'static str);

fn meaning(moved: &Moved) -> Option<Meaning> {
    use PlaceKind::{
        Bin, Carton, CountDifference, MadeOrUsedUp, Quarantine, Returns, Rider, Scrap, Supplier,
        Tote,
    };
    let damaged = if moved.purchase.is_some() { "damaged" } else { "non_sellable_other" };
    Some(match (moved.from.kind, moved.to.kind) {
        // What goes into a carton is told when the carton is sealed, and what comes out by itself.
        (Tote | Bin, Carton) | (Carton, Tote) => return None,
        (Supplier, Quarantine) => ("receiving", Action::Observe, damaged, "received, set apart"),
        (Supplier, _) => ("receiving", Action::Observe, "in_progress", "received"),
        (Rider, _) => ("receiving", Action::Observe, "returned", "came back"),
        (_, Supplier) => ("shipping", Action::Observe, "returned", "sent back"),
        (_, Rider) => ("shipping", Action::Observe, "in_transit", "handed over"),
        (_, Scrap) => ("destroying", Action::Delete, "destroyed", "thrown away"),
        (CountDifference | MadeOrUsedUp | Scrap, _) => {
            ("cycle_counting", Action::Add, "active", "found in counting")
        }
        (_, CountDifference | MadeOrUsedUp) => {
            ("cycle_counting", Action::Delete, "unknown", "not found in counting")
        }
        (_, Tote) => ("picking", Action::Observe, "reserved", "picked"),
        (_, Quarantine) => ("holding", Action::Observe, "non_sellable_other", "set apart"),
        (_, Bin | Returns | Carton) => ("storing", Action::Observe, "in_progress", "put away"),
    })
}

fn moved_events(moved: &Moved, names: &Names) -> Vec<Told> {
    let Some((step, action, disposition, what)) = meaning(moved) else { return Vec::new() };
    let items = sum(std::iter::once(moved));
    let (epcs, quantities) = goods(&items, names);
    let seed = |step: &str| format!("movement {} {step}", moved.id);
    let mut one = event(names, &seed(step), moved.at, step);
    (one.action, one.disposition) = (Some(action), disposition);
    (one.epcs, one.quantities) = (epcs.clone(), quantities.clone());
    locate(&mut one, moved, names);
    if let Some(order) = &moved.order {
        one.transactions.push(transaction("po", names.of("order", order)));
    }
    parties(&mut one, moved, names);
    // A tote is known by its kit, so what is told of a pick is the bin.
    let arrives = is_inside(&moved.to) && moved.to.kind != PlaceKind::Tote;
    let place = if arrives { &moved.to.code } else { &moved.from.code };
    let mut all = Vec::new();
    // The shop's own numbers for what a supplier made begin when it comes in.
    if moved.from.kind == PlaceKind::Supplier {
        all.extend(numbered(moved, &items, names));
    }
    all.push(told(one, moved.at, what, &items, place.clone()));
    all
}

/// Returns the event by which the shop's number for a lot or piece begins.
fn numbered(moved: &Moved, items: &BTreeMap<Item, Quantity>, names: &Names) -> Option<Told> {
    let step = match (&moved.item.lot, &moved.item.serial) {
        (None, None) => return None,
        (_, Some(_)) => "commissioning",
        (Some(_), None) => "creating_class_instance",
    };
    let mut one = event(names, &format!("movement {} {step}", moved.id), moved.at, step);
    (one.action, one.disposition) = (Some(Action::Add), "active");
    (one.epcs, one.quantities) = goods(items, names);
    one.ilmd = moved
        .item
        .lot
        .as_ref()
        .map(|lot| Master { lot: lot.clone(), use_by: moved.item.use_by.map(|it| it.to_string()) });
    locate(&mut one, moved, names);
    Some(told(one, moved.at, "numbered", items, moved.to.code.clone()))
}

/// Writes where it was read, and where it is from then on.
fn locate(event: &mut Event, moved: &Moved, names: &Names) {
    let of = |place: &Place| {
        let named = !matches!(place.kind, PlaceKind::Tote | PlaceKind::Carton);
        let id = if named { names.place(&place.code) } else { names.site() };
        Some(Location { id })
    };
    event.read_point = if is_inside(&moved.from) { of(&moved.from) } else { of(&moved.to) };
    if is_inside(&moved.to) {
        event.biz_location = of(&moved.to);
    }
}

fn parties(event: &mut Event, moved: &Moved, names: &Names) {
    let Some(purchase) = &moved.purchase else { return };
    event.transactions.push(transaction("po", names.of("purchase-order", &purchase.number)));
    let source = names.of("supplier", &purchase.supplier);
    event.sources = vec![Source { kind: "possessing_party", source }];
    event.destinations = vec![Destination { kind: "possessing_party", destination: names.site() }];
}

fn run_events(moves: &[Moved], names: &Names) -> Vec<Told> {
    let part = |wanted: [RunPart; 2]| {
        let is = move |it: &&Moved| it.run.as_ref().is_some_and(|run| wanted.contains(&run.1));
        sum(moves.iter().filter(is))
    };
    let inputs = part([RunPart::Used, RunPart::TakenApart]);
    let outputs = part([RunPart::Made, RunPart::Back]);
    let Some(first) = moves.first() else { return Vec::new() };
    let run = moves.iter().find_map(|it| it.run.as_ref()).map(|it| it.0.as_str());
    let run = run.unwrap_or_default();
    if inputs.is_empty() || outputs.is_empty() {
        // All that came out of it went to waste, so nothing became of it.
        let mut one = event(names, &format!("run {}", first.request), first.at, "destroying");
        (one.action, one.disposition) = (Some(Action::Delete), "destroyed");
        (one.epcs, one.quantities) = goods(&inputs, names);
        one.read_point = Some(Location { id: names.site() });
        let words = format!("run {run}");
        return vec![told(one, first.at, "taken apart and thrown away", &inputs, words)];
    }
    let is_apart = moves.iter().any(|it| matches!(it.run, Some((_, RunPart::TakenApart))));
    let made_serials = outputs.keys().any(|it| it.serial.is_some());
    let step = match (is_apart, made_serials) {
        (true, _) => "disassembling",
        (false, true) => "commissioning",
        (false, false) => "creating_class_instance",
    };
    let mut one = event(names, &format!("run {}", first.request), first.at, step);
    one.kind = Kind::Transformation;
    one.disposition = "active";
    (one.input_epcs, one.input_quantities) = goods(&inputs, names);
    (one.output_epcs, one.output_quantities) = goods(&outputs, names);
    one.read_point = Some(Location { id: names.site() });
    one.biz_location = one.read_point.clone();
    one.transactions = vec![transaction("prodorder", names.of("run", run))];
    let what = if is_apart { "taken apart" } else { "made" };
    vec![told(one, first.at, what, &outputs, format!("run {run}"))]
}

fn handed_over(moves: &[Moved], names: &Names) -> Option<Told> {
    let first = moves.first()?;
    let cartons: BTreeSet<&Carton> =
        moves.iter().filter_map(|it| it.from.carton.as_ref()).collect();
    let mut one = event(names, &format!("hand-over {}", first.request), first.at, "shipping");
    (one.action, one.disposition) = (Some(Action::Observe), "in_transit");
    one.epcs = cartons.iter().map(|it| names.carton(it)).collect();
    one.read_point = Some(Location { id: names.site() });
    if let Some(kit) = &first.kit {
        one.transactions.push(transaction("desadv", names.of("despatch-advice", kit)));
    }
    if let Some(order) = &first.order {
        one.transactions.insert(0, transaction("po", names.of("order", order)));
        let destination = names.of("receiver", order);
        one.destinations = vec![Destination { kind: "possessing_party", destination }];
    }
    one.sources = vec![Source { kind: "possessing_party", source: names.site() }];
    let goods = cartons.iter().map(|it| format!("carton {}", it.number)).collect();
    let (at, place) = (first.at, "to the carrier".to_owned());
    Some(Told { at, what: "handed over", goods, place, event: one })
}

fn came_out(moved: &Moved, item: &Item, quantity: Quantity, names: &Names) -> Vec<Told> {
    let Some(carton) = &moved.from.carton else { return Vec::new() };
    let items = BTreeMap::from([(item.clone(), quantity)]);
    let seed = format!("movement {} unpacking", moved.id);
    let mut one = event(names, &seed, moved.at, "unpacking");
    one.kind = Kind::Aggregation;
    one.action = Some(Action::Delete);
    one.parent_id = Some(names.carton(carton));
    (one.child_epcs, one.child_quantities) = goods(&items, names);
    one.read_point = Some(Location { id: names.site() });
    one.biz_location = one.read_point.clone();
    vec![told(one, moved.at, "taken out again", &items, format!("carton {}", carton.number))]
}
