//! What can leave today, and what holds the rest back.

use std::collections::{BTreeMap, BTreeSet};

use actix_web::{HttpResponse, get};
use askama::Template;
use chrono::NaiveDate;

use super::strip::Strip;
use super::words::{Day, count, count_of};
use super::{Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::ops::bench::{LackView, MakeNow};
use crate::ops::card;
use crate::ops::orders::{self, KitView, Leave, OrderView};
use crate::ops::outbox;
use crate::ops::shortages::{self, Alert};
use crate::units::Quantity;
use crate::web::page::PageError;

/// The page at `/`.
#[derive(Debug, Template)]
#[template(path = "today.html")]
pub struct TodayPage {
    /// The page around it.
    pub frame: Frame,
    /// The date that the page speaks of.
    pub date: Day,
    /// Orders that can leave, by promised date.
    pub leaving: Vec<LeavingOrder>,
    /// Orders that something holds back, by promised date.
    pub held: Vec<HeldOrder>,
    /// Why the last backup that was due failed, in words; for whoever may mend it.
    pub no_backup: Option<String>,
    /// How many messages failed or may not have been sent; for whoever may mend that.
    pub messages: i64,
    /// What riders and dealers report of boxes that have left.
    pub reported: Vec<ReportedPart>,
    /// Torques that documents disagree about, so that no card is printed, each in words.
    pub cards_held: Vec<String>,
    /// The one part that holds most orders back, in words.
    pub worst: Option<String>,
    /// What the bench can make today of what kits wait for.
    pub bench: Vec<BenchLine>,
}

/// A part that whoever opened the box misses or found damaged.
#[derive(Debug)]
pub struct ReportedPart {
    /// The order's number.
    pub order: String,
    /// What was reported, in words.
    pub words: String,
}

/// An order for which every part is in the house.
#[derive(Debug)]
pub struct LeavingOrder {
    /// The order's facts.
    pub order: OrderLine,
    /// How far it is, in words.
    pub stands: String,
    /// The next task's page, where the person may do it.
    pub next: Option<NextTask>,
}

/// What comes next for an order.
#[derive(Debug)]
pub struct NextTask {
    /// The task's page.
    pub href: String,
    /// The task, in words.
    pub words: String,
}

/// An order that cannot leave yet.
#[derive(Debug)]
pub struct HeldOrder {
    /// The order's facts.
    pub order: OrderLine,
    /// What holds it, each in words: part, how many, class, next delivery.
    pub held_by: Vec<String>,
}

/// What any table of orders shows of one.
#[derive(Debug, Clone)]
pub struct OrderLine {
    /// The order's number.
    pub number: String,
    /// The rider's or dealer's name.
    pub rider: String,
    /// The date promised.
    pub promised: Day,
    /// Whether that date is past.
    pub late: bool,
    /// Its kits in short, such as "T15, M, lichen green, 105, en".
    pub kits: String,
    /// The kits' steps together.
    pub strip: Strip,
}

impl OrderLine {
    /// Returns the facts of an order as they stand on a day.
    pub fn of(order: &OrderView, today: NaiveDate) -> Self {
        Self {
            number: order.number.clone(),
            rider: order.customer.clone(),
            promised: Day(order.promised_on),
            late: order.promised_on < today && order.leave.is_open(),
            kits: kits_in_short(&order.kits),
            strip: Strip::together(order.kits.iter().map(|it| &it.strip)),
        }
    }
}

/// Returns what is built, such as "T15, M, lichen green, 105, en".
pub fn build_in_short(kit: &KitView) -> String {
    let values: Vec<&str> = kit.options.iter().map(|(_, value)| value.as_str()).collect();
    if values.is_empty() { kit.name.clone() } else { values.join(", ") }
}

fn kits_in_short(kits: &[KitView]) -> String {
    let mut builds: Vec<(String, i64)> = Vec::new();
    for kit in kits {
        let build = build_in_short(kit);
        match builds.iter_mut().find(|it| it.0 == build) {
            Some(known) => known.1 += 1,
            None => builds.push((build, 1)),
        }
    }
    match builds.as_slice() {
        [(build, 1)] => build.clone(),
        [(build, many)] => format!("{many} × {build}"),
        _ => {
            format!("{} of {}", count_of(kits, "kit", "kits"), count_of(&builds, "build", "builds"))
        }
    }
}

#[get("/")]
pub(super) async fn get_today(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let read = move |conn: &mut _| {
        let (orders, reported) = (orders::open(conn, today)?, shortages::reported(conn)?);
        Ok((orders, reported, card::torques(conn)?, outbox::in_trouble(conn)?))
    };
    let (orders, reported, torques, messages) = visit.app.read(read).await?;
    let messages = if visit.can(Permission::ManageMessages) { messages } else { 0 };
    let held_cards = torques.into_iter().filter(|it| !it.conflict.is_empty());
    let cards_held = held_cards.map(|it| format!("{} {}, {}", it.bom, it.revision, it.conflict));
    let cards_held: Vec<String> = cards_held.collect();
    let leaving = orders
        .iter()
        .filter(|it| it.leave.is_open() && it.leave != Leave::Held)
        .map(|it| LeavingOrder {
            order: OrderLine::of(it, today),
            stands: stands(it),
            next: next_task(&visit, it),
        })
        .collect();
    let held = orders
        .iter()
        .filter(|it| it.leave == Leave::Held)
        .map(|it| HeldOrder { order: OrderLine::of(it, today), held_by: held_by(it) })
        .collect();
    let frame = visit.live_frame(Task::Today).await?;
    let worst = worst(&orders);
    let reported = reported.iter().map(reported_part).collect();
    let (bench, date) = (on_the_bench(&orders), Day(today));
    let mends = visit.can(Permission::ManagePeople);
    let no_backup = visit.app.backup_trouble().filter(|_| mends);
    Ok(visit.show(&TodayPage {
        frame,
        date,
        leaving,
        held,
        no_backup,
        messages,
        reported,
        cards_held,
        worst,
        bench,
    }))
}

fn reported_part(alert: &Alert) -> ReportedPart {
    let Alert { quantity, part, part_number, class_words, cause, note, kit, .. } = alert;
    let note = if note.is_empty() { String::new() } else { format!(": “{note}”") };
    let words = format!(
        "kit {kit}: {quantity} × {part} ({part_number}), {class_words}; {}{note}",
        cause.words()
    );
    ReportedPart { order: alert.order.clone(), words }
}

/// Returns where an order stands, in words.
pub fn stands(order: &OrderView) -> String {
    let begun: Vec<&KitView> = order.kits.iter().filter(|it| it.state == "picking").collect();
    let words = order.leave.words();
    match order.leave {
        Leave::Cancelled | Leave::Left | Leave::Ready => words.to_owned(),
        _ if !begun.is_empty() => {
            let pieces: Quantity = begun.iter().map(|it| it.pieces).sum();
            let picked: Quantity = begun.iter().map(|it| it.picked).sum();
            let packed: Quantity = begun.iter().map(|it| it.packed).sum();
            format!("{words}; {picked} of {pieces} pieces picked, {packed} packed")
        }
        _ => words.to_owned(),
    }
}

fn next_task(visit: &Visit, order: &OrderView) -> Option<NextTask> {
    let of = |state: &str| order.kits.iter().find(|it| it.state == state);
    kit_task(visit, of("picking").or(of("open")).or(of("sealed"))?)
}

/// Returns what comes next for a kit, where the person may do it.
pub(super) fn kit_task(visit: &Visit, kit: &KitView) -> Option<NextTask> {
    let task = |href: String, words: &str| NextTask { href, words: words.to_owned() };
    let bench = format!("/packing/{}", kit.number);
    let (pick, pack) = (visit.can(Permission::Pick), visit.can(Permission::Pack));
    match (kit.state.as_str(), &kit.pick_list) {
        ("open", _) if kit.fit.misfits().next().is_some() => None,
        ("open", _) if pick => Some(task("/picking".to_owned(), "Pick")),
        ("picking", Some(list)) if pick && kit.picked < kit.pieces => {
            Some(task(format!("/picking/{list}"), "Pick"))
        }
        ("picking", _) if pack => Some(task(bench, "Pack")),
        ("sealed", _) if pack => Some(task(bench, "Hand over")),
        _ => None,
    }
}

/// Returns what holds an order back: one sentence for each misfit of its kits, and one for each part
/// that is missing, over all of its kits.
fn held_by(order: &OrderView) -> Vec<String> {
    let mut misfits: Vec<(String, Vec<&str>)> = Vec::new();
    for kit in order.kits.iter().filter(|it| it.leave == Leave::Held) {
        for misfit in kit.fit.misfits() {
            match misfits.iter_mut().find(|it| it.0 == misfit) {
                Some((_, kits)) => kits.push(&kit.number),
                None => misfits.push((misfit, vec![&kit.number])),
            }
        }
    }
    let words = misfits.into_iter().map(|(misfit, kits)| match kits.as_slice() {
        [kit] => format!("kit {kit} does not fit: {misfit}"),
        _ => format!("kits {} do not fit: {misfit}", kits.join(", ")),
    });
    words.chain(missing(&order.alerts)).collect()
}

fn missing(alerts: &[Alert]) -> Vec<String> {
    let mut parts: BTreeMap<(u32, &str), Vec<&Alert>> = BTreeMap::new();
    for alert in alerts.iter().filter(|it| it.holds_back()) {
        parts.entry((alert.step, &alert.part_number)).or_default().push(alert);
    }
    parts.into_values().filter_map(|alerts| part_words(&alerts)).collect()
}

fn part_words(alerts: &[&Alert]) -> Option<String> {
    let first = alerts.first()?;
    let missing: Quantity = alerts.iter().map(|it| it.quantity).sum();
    let step = match first.step {
        0 => String::new(),
        step => format!("step {step}: "),
    };
    let (part, number, class) = (&first.part, &first.part_number, &first.class_words);
    Some(format!("{step}{missing} × {part} ({number}), {class}; {}", cover_words(alerts)))
}

/// Returns when what is missing will be here, in words.
pub fn cover_words(alerts: &[&Alert]) -> String {
    let due: Option<Vec<_>> =
        alerts.iter().map(|it| it.due_on.zip(it.covered_by.as_deref())).collect();
    match due.and_then(|it| it.into_iter().max()) {
        Some((day, order)) => format!("due {} on {order}", Day(day)),
        None => match alerts.iter().find_map(|it| it.make_now.as_ref()) {
            Some(it) => make_words(it),
            None if alerts.iter().all(|it| it.made_here) => "made in the house".to_owned(),
            None => "not on order".to_owned(),
        },
    }
}

/// Returns how many of a part that the house makes can be made now, and what stops the rest, in
/// words.
pub fn make_words(it: &MakeNow) -> String {
    let stops: Vec<String> = it.stops.iter().map(stop_words).collect();
    match (it.possible.is_some(), stops.is_empty()) {
        (true, true) => format!("made here: {} can be made now from stock", it.short),
        (true, false) => format!(
            "made here: {} of {} can be made now from stock; then {}",
            it.possible,
            it.short,
            stops.join("; ")
        ),
        (false, _) => format!("made here, but {}", stops.join("; ")),
    }
}

/// Returns what is missing to make a part, and the delivery that ends it, in words.
pub fn stop_words(it: &LackView) -> String {
    match (it.due_on, &it.covered_by) {
        (Some(due), Some(order)) => format!("{}, due {} on {order}", it.words, Day(due)),
        _ => format!("{}, not on order", it.words),
    }
}

/// A part that kits wait for and the bench can make.
#[derive(Debug)]
pub struct BenchLine {
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// How many kits wait for.
    pub short: Quantity,
    /// How many of those can be made now.
    pub possible: Quantity,
    /// What stops the rest, in words; empty where nothing does.
    pub stops: String,
}

/// Returns what the bench can make today of what kits wait for.
fn on_the_bench(orders: &[OrderView]) -> Vec<BenchLine> {
    let mut lines: BTreeMap<&str, BenchLine> = BTreeMap::new();
    for alert in orders.iter().flat_map(|it| &it.alerts) {
        let Some(it) = alert.make_now.as_ref().filter(|it| it.possible.is_some()) else { continue };
        let stops: Vec<String> = it.stops.iter().map(stop_words).collect();
        lines.entry(&alert.part_number).or_insert_with(|| BenchLine {
            part_number: alert.part_number.clone(),
            part: alert.part.clone(),
            short: it.short,
            possible: it.possible.min(it.short),
            stops: stops.join("; "),
        });
    }
    lines.into_values().collect()
}

/// Returns the part that holds most orders back, in words: how many, and how many by itself.
fn worst(orders: &[OrderView]) -> Option<String> {
    let mut waiting: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let mut alone: BTreeMap<&str, i64> = BTreeMap::new();
    let mut alerts: BTreeMap<&str, Vec<&Alert>> = BTreeMap::new();
    for order in orders {
        let holding = || order.alerts.iter().filter(|it| it.holds_back());
        let parts: BTreeSet<&str> = holding().map(|it| it.part_number.as_str()).collect();
        for alert in holding() {
            waiting.entry(&alert.part_number).or_default().insert(&order.number);
            alerts.entry(&alert.part_number).or_default().push(alert);
        }
        if let (1, Some(part)) = (parts.len(), parts.first()) {
            *alone.entry(*part).or_default() += 1;
        }
    }
    let of = |part: &str| alone.get(part).copied().unwrap_or_default();
    let (part, orders) = waiting.iter().max_by_key(|(part, orders)| (orders.len(), of(part)))?;
    let alerts = alerts.get(part)?;
    let missing: Quantity = alerts.iter().map(|it| it.quantity).sum();
    let names: Vec<&str> = orders.iter().copied().collect();
    let waits = if names.len() == 1 { "waits" } else { "wait" };
    let nothing_else = match of(part) {
        0 => "each of them waits for other parts too".to_owned(),
        all if usize::try_from(all) == Ok(names.len()) => "nothing else holds them back".to_owned(),
        some => format!("{some} of them for nothing else"),
    };
    let first = &alerts.first()?.part;
    Some(format!(
        "{first} ({part}), {} short: {} {waits} for it ({}), {nothing_else}. It is {}.",
        count(missing, "piece", "pieces"),
        count_of(&names, "order", "orders"),
        names.join(", "),
        cover_words(alerts),
    ))
}
