//! Bags, bar sets and cut forks made at the bench, and taken apart.

pub mod run;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::today::stop_words;
use super::{Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::bench::{LostPart, MadeView, NewRun, PlanView, RunHeadView, TakeView, Taken};
use crate::store::{Tx, Who};
use crate::units::Quantity;
use crate::web::page::PageError;

/// The page at `/make`.
#[derive(Debug, Template)]
#[template(path = "make/list.html")]
pub struct MakePage {
    /// The page around it.
    pub frame: Frame,
    /// What the house makes, what kits wait for first.
    pub parts: Vec<MadeRow>,
    /// The newest runs.
    pub runs: Vec<RunHeadView>,
}

/// A part that the house makes.
#[derive(Debug)]
pub struct MadeRow {
    /// How it stands.
    pub it: MadeView,
    /// What stops one more, in words.
    pub stops: String,
}

impl MadeRow {
    /// Returns how many pieces the plan opens with.
    pub fn offer(&self) -> Quantity {
        let wanted = if self.it.short.is_some() { self.it.short } else { self.it.usual };
        wanted.min(self.it.possible).max(Quantity::ONE)
    }
}

/// The page at `/make/{part}`.
#[derive(Debug, Template)]
#[template(path = "make/plan.html")]
pub struct PlanPage {
    /// The page around it.
    pub frame: Frame,
    /// The plan.
    pub plan: PlanView,
    /// What is short, each in words with the delivery that ends it.
    pub lacks: Vec<String>,
    /// What to take, in walking order, with what was typed of it.
    pub takes: Vec<TakeRow>,
    /// The other lots that are free.
    pub others: Vec<TakeRow>,
    /// The serial numbers typed so far, one a line.
    pub serials: String,
    /// How the lost pieces were lost.
    pub reason: String,
    /// Whether the person may make it, and stock allows it.
    pub may_make: bool,
}

/// Pieces to be taken from one bin.
#[derive(Debug)]
pub struct TakeRow {
    /// The row's number, which names its fields.
    pub at: usize,
    /// What the plan says.
    pub it: TakeView,
    /// How many were taken: what the plan says, or what was typed.
    pub taken: String,
    /// How many were lost.
    pub lost: String,
}

#[get("/make")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let (parts, runs) = visit
        .app
        .read(move |conn| Ok((ops::bench::list(conn, today)?, ops::bench::runs(conn)?)))
        .await?;
    let parts = parts.into_iter().map(made_row).collect();
    let frame = visit.frame(Task::Make).await?;
    Ok(visit.show(&MakePage { frame, parts, runs }))
}

fn made_row(it: MadeView) -> MadeRow {
    let stops: Vec<String> = it.stops.iter().map(stop_words).collect();
    let stops = if it.fault.is_empty() { stops.join("; ") } else { it.fault.clone() };
    MadeRow { it, stops }
}

#[get("/make/{part}")]
pub(super) async fn get_plan(
    visit: Visit,
    part: web::Path<String>,
    asked: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let pieces = asked.read("pieces", "pieces")?.unwrap_or(Quantity::ONE);
    let frame = visit.frame(Task::Make).await?;
    Ok(visit.show(&plan_page(&visit, frame, &part, pieces, None).await?))
}

async fn plan_page(
    visit: &Visit,
    frame: Frame,
    part: &str,
    pieces: Quantity,
    form: Option<&Fields>,
) -> Result<PlanPage, Error> {
    let (part, today) = (part.to_owned(), visit.app.now().date());
    let plan = visit.app.read(move |conn| ops::bench::plan(conn, &part, pieces, today)).await?;
    let text = |name: &str| form.map(|it| it.text(name).to_owned()).unwrap_or_default();
    let plain = plan.takes.iter().filter(|it| it.tracking != "serial").cloned();
    let rows = plain.enumerate().map(|(at, it)| TakeRow {
        taken: form.map_or_else(|| it.quantity.to_string(), |form| typed(form, "take", at, &it)),
        lost: form.map(|form| typed(form, "lost", at, &it)).unwrap_or_default(),
        at,
        it,
    });
    let (takes, others) = rows.partition(|it| it.it.quantity.is_some());
    Ok(PlanPage {
        frame,
        lacks: plan.lacks.iter().map(stop_words).collect(),
        takes,
        others,
        serials: text("serials"),
        reason: text("reason"),
        may_make: visit.can(Permission::Make) && plan.lacks.is_empty() && plan.pieces.is_some(),
        plan,
    })
}

/// Returns what was typed in a row's field, if the row still speaks of the same bin and lot.
fn typed(form: &Fields, field: &str, at: usize, it: &TakeView) -> String {
    let same = form.text(&format!("of-{at}")) == row_key(it);
    if same { form.text(&format!("{field}-{at}")).to_owned() } else { String::new() }
}

/// Names a row by what it takes, so that a form never moves another lot than the one shown.
fn row_key(it: &TakeView) -> String {
    format!("{}|{}|{}", it.part_number, it.bin, it.lot)
}

impl TakeRow {
    /// Returns what the row takes, as its form sends it.
    pub fn key(&self) -> String {
        row_key(&self.it)
    }
}

#[post("/make/{part}")]
pub(super) async fn post_make(
    visit: Visit,
    part: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Make, &form)?;
    match made(&visit, who, &part, &form).await {
        Ok((number, words)) => visit.go(&format!("/make/runs/{number}"), Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            let pieces = form.pieces("pieces", "pieces").unwrap_or_default();
            let frame = visit.answered(Task::Make, Some(answer)).await?;
            let page = plan_page(&visit, frame, &part, pieces, Some(&form)).await?;
            Ok(visit.show_refused(&page))
        }
    }
}

async fn made(
    visit: &Visit,
    who: Who,
    part: &str,
    form: &Fields,
) -> Result<(String, String), Error> {
    let key = form.key()?;
    let mut run = NewRun {
        part_number: part.to_owned(),
        pieces: form.pieces("pieces", "pieces")?,
        serials: serials(form),
        bin: form.text("bin").to_owned(),
        ..NewRun::default()
    };
    for at in 0.. {
        let of = form.text(&format!("of-{at}"));
        let mut names = of.split('|').map(str::to_owned);
        let (Some(part_number), Some(bin), Some(lot)) = (names.next(), names.next(), names.next())
        else {
            break;
        };
        let quantity = form.pieces(&format!("take-{at}"), &part_number)?;
        let lost = form.pieces(&format!("lost-{at}"), &part_number)?;
        let reason = form.text("reason").to_owned();
        let (number, at_bin, of_lot) = (part_number.clone(), bin.clone(), lot.clone());
        run.lost.push(LostPart { part_number, bin, lot, quantity: lost, reason });
        run.takes.push(Taken { part_number: number, bin: at_bin, lot: of_lot, quantity });
    }
    run.lost.retain(|it| it.quantity.is_some());
    let work = move |tx: &mut Tx<'_>| ops::bench::make(tx, &key, &run);
    let made = visit.app.write(who, work).await?;
    Ok((made.number, format!("{}: print its labels", made.words)))
}

fn serials(form: &Fields) -> Vec<String> {
    let lines = form.text("serials").split([',', ';', '\n']).map(str::trim);
    lines.filter(|it| !it.is_empty()).map(str::to_owned).collect()
}
