//! The packing bench.

use actix_web::{HttpResponse, get, web};
use askama::Template;
use serde::Deserialize;

use super::printers::print_on::PrintersAt;
use super::strip::Strip;
use super::today::build_in_short;
use super::words::{Day, Moment};
use super::{Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::orders::{KitView, OrderView};
use crate::ops::packing::{BenchCartonView, BenchLineView, BenchView};
use crate::units::Quantity;
use crate::web::page::{self, PageError};

pub(super) mod forms;
pub(super) mod papers;

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
    /// What is built, in words.
    pub build: String,
    /// Its steps.
    pub strip: Strip,
    /// The carton that scans go into, by its place in the kit; nothing once all are sealed.
    pub packing: Option<u32>,
    /// Its cartons.
    pub cartons: Vec<Carton>,
    /// Why the kit cannot be handed over yet; empty when it can.
    pub not_leaving: Vec<String>,
    /// When it was handed to the carrier.
    pub handed_over: Option<Moment>,
    /// Whether it has been picked at all.
    pub begun: bool,
    /// What holds its assembly card back, in words; empty where the card can be printed.
    pub card_held: Vec<String>,
    /// The printers that it offers.
    pub printers: PrintersAt,
}

/// A carton, its lines in the order of putting in.
#[derive(Debug)]
pub struct Carton {
    /// Its place in the kit, from 1.
    pub position: u32,
    /// How many cartons the kit has.
    pub of: u32,
    /// Its number, as its label has it.
    pub number: String,
    /// Its lines: the first goes in first and lies at the bottom.
    pub lines: Vec<CartonLine>,
    /// What it should weigh, in words.
    pub weight: String,
    /// When it was sealed and by whom, in words; nothing while it is open.
    pub sealed: Option<String>,
    /// Why it cannot be sealed yet; empty when it can.
    pub not_sealing: Vec<String>,
}

/// One line of a carton.
#[derive(Debug)]
pub struct CartonLine {
    /// The line's number in the kit.
    pub line: i64,
    /// The step that needs it, 0 for packing material.
    pub step: u32,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// What its absence does, in words.
    pub class: String,
    /// Pieces that the kit needs.
    pub quantity: Quantity,
    /// Pieces in the carton.
    pub packed: Quantity,
    /// Pieces in the tote.
    pub in_tote: Quantity,
    /// Pieces not picked and not left out.
    pub lacking: Quantity,
    /// Pieces left out with a reason.
    pub short: Quantity,
    /// What proves that it is inside, or is wanting, in words.
    pub proof: String,
    /// Whether every piece is proved or left out with a reason.
    pub proved: bool,
    /// What a bag holds, in words; empty for a loose part.
    pub holds: String,
}

impl Carton {
    /// Returns the lines that are proved.
    pub fn proved(&self) -> usize {
        self.lines.iter().filter(|line| line.proved).count()
    }

    /// Returns the line to put in next: the first whose pieces lie in the tote.
    pub fn next(&self) -> Option<&CartonLine> {
        self.lines.iter().find(|line| line.in_tote.is_some())
    }
}

impl BenchPage {
    /// Returns whether scans go into that carton.
    pub fn is_packing(&self, carton: &Carton) -> bool {
        self.packing == Some(carton.position)
    }

    /// Returns the carton that scans go into.
    pub fn current(&self) -> Option<&Carton> {
        self.cartons.iter().find(|it| self.is_packing(it))
    }
}

#[derive(Deserialize)]
pub(super) struct Scanned {
    #[serde(default)]
    code: String,
}

#[get("/packing")]
pub(super) async fn get_list(
    visit: Visit,
    scanned: web::Query<Scanned>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Pack)?;
    let code = scanned.code.trim().to_owned();
    if !code.is_empty() {
        return match visit.app.read(move |conn| ops::packing::kit_of_code(conn, &code)).await {
            Ok(kit) => Ok(page::see_other(&format!("/packing/{kit}"))),
            Err(error) => visit.go("/packing", Err(error)),
        };
    }
    let kits = visit.app.read(ops::packing::on_benches).await?;
    let kits = kits.iter().map(|(order, kit)| bench_kit(order, kit)).collect();
    let frame = visit.frame(Task::Pack).await?;
    Ok(visit.show(&PackingPage { frame, kits }))
}

fn bench_kit(order: &OrderView, kit: &KitView) -> BenchKit {
    let stands = match kit.state.as_str() {
        "sealed" => kit.leave.words().to_owned(),
        _ => format!("{} of {} pieces picked, {} packed", kit.picked, kit.pieces, kit.packed),
    };
    BenchKit {
        kit: kit.number.clone(),
        order: order.number.clone(),
        rider: order.customer.clone(),
        promised: Day(order.promised_on),
        build: build_in_short(kit),
        stands,
        strip: Strip::from(&kit.strip),
    }
}

#[derive(Deserialize)]
pub(super) struct Chosen {
    carton: Option<u32>,
}

#[get("/packing/{kit}")]
pub(super) async fn get_bench(
    visit: Visit,
    kit: web::Path<String>,
    chosen: web::Query<Chosen>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Pack)?;
    let frame = visit.frame(Task::Pack).await?;
    Ok(visit.show(&bench_page(&visit, frame, &kit, chosen.carton).await?))
}

async fn bench_page(
    visit: &Visit,
    frame: Frame,
    kit: &str,
    chosen: Option<u32>,
) -> Result<BenchPage, Error> {
    let kit = kit.to_owned();
    let (view, card_held) = visit
        .app
        .read(move |conn| {
            let view = ops::packing::bench(conn, &kit)?;
            Ok((view, ops::card::holding_back(conn, &kit)?))
        })
        .await?;
    let back = format!("/packing/{}", view.kit);
    Ok(BenchPage {
        frame,
        printers: PrintersAt::of(visit, back).await?,
        packing: packing(&view, chosen),
        strip: Strip::from(&view.strip),
        cartons: view.cartons.into_iter().map(carton).collect(),
        kit: view.kit,
        order: view.order,
        rider: view.customer,
        build: view.build,
        not_leaving: view.not_leaving,
        handed_over: view.despatched_at.map(Moment),
        begun: view.state != "open",
        card_held,
    })
}

/// Returns the carton to pack: the chosen one while it is open, or else the first open one.
fn packing(view: &BenchView, chosen: Option<u32>) -> Option<u32> {
    let mut open = view.cartons.iter().filter(|it| it.sealed_at.is_none());
    let first = open.clone().next().map(|it| it.position);
    open.find(|it| Some(it.position) == chosen).map(|it| it.position).or(first)
}

fn carton(it: BenchCartonView) -> Carton {
    let by = it.sealed_by.map(|name| format!(" by {name}")).unwrap_or_default();
    Carton {
        position: it.position,
        of: it.of,
        number: it.number,
        weight: weight(it.expected_mass_mg),
        sealed: it.sealed_at.map(|at| format!("{}{by}", Moment(at))),
        not_sealing: it.not_sealing,
        lines: it.lines.into_iter().map(line).collect(),
    }
}

/// Returns a carton's expected mass in words, to the next 10 g: its parts vary by more.
fn weight(mass_mg: i64) -> String {
    let tens = mass_mg.saturating_add(5_000) / 10_000;
    format!("By the catalogue it weighs {}.{:02} kg.", tens / 100, tens % 100)
}

fn line(it: BenchLineView) -> CartonLine {
    let held: Vec<String> = it
        .contents
        .iter()
        .map(|held| match held.step {
            0 => format!("{} × {}", held.quantity, held.part),
            step => format!("{} × {} (step {step})", held.quantity, held.part),
        })
        .collect();
    CartonLine {
        line: it.line,
        step: it.step,
        in_tote: it.picked.less(it.packed),
        lacking: it.quantity.less(it.picked).less(it.short),
        holds: held.join(", "),
        part_number: it.part_number,
        name: it.part,
        variant: it.variant,
        class: it.class_words,
        quantity: it.quantity,
        packed: it.packed,
        short: it.short,
        proof: it.proof,
        proved: it.proved,
    }
}
