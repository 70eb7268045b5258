//! A draft for one choice of options, and its release.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use chrono::NaiveDate;

use super::{href_of, load, refused};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::Fault;
use crate::ops;
use crate::ops::changes::FieldView;
use crate::ops::drafts::{Impact, PreviewLine, PreviewView, PromisedKit};
use crate::web::page::PageError;
use crate::web::pages::orders::FitPanel;
use crate::web::pages::strip::Strip;
use crate::web::pages::words::{Day, count_of, money, sentence};
use crate::web::pages::{Answer, Choice, Fields, Frame, Task, Visit};

/// The page at `/drafts/{code}/{revision}/preview`.
#[derive(Debug, Template)]
#[template(path = "drafts/preview.html")]
pub struct PreviewPage {
    /// The page around it.
    pub frame: Frame,
    /// The draft's address.
    pub href: String,
    /// The bill's code.
    pub code: String,
    /// The draft's revision.
    pub revision: String,
    /// The bill's name.
    pub name: String,
    /// The number of the newest change that the page knows of.
    pub version: i64,
    /// The options with their values.
    pub options: Vec<(String, Vec<Choice>)>,
    /// The kit's lines along the steps.
    pub lines: Vec<PreviewLine>,
    /// Why this choice does not come together.
    pub errors: Vec<String>,
    /// What the rules of fit say of it.
    pub fit: FitPanel,
    /// The assembly strip.
    pub strip: Strip,
    /// What the parts cost.
    pub cost: String,
    /// What they cost by the revision in force; empty where that has no such kit.
    pub cost_before: String,
    /// The revision in force; empty where there is none.
    pub in_force: String,
    /// What differs from it.
    pub compared: Vec<FieldView>,
    /// What the release would do.
    pub impact: ReleaseWords,
    /// Whether the person may release it.
    pub may_release: bool,
    /// The day from which it is to hold.
    pub from: String,
    /// Why it could not be released.
    pub faults: Vec<Fault>,
}

/// What a release would do, as its pages say it.
#[derive(Debug)]
pub struct ReleaseWords {
    /// The orders whose kits keep the revision that they were promised.
    pub kept: Vec<KeptOrder>,
    /// How many kits of how many orders those are.
    pub sums: String,
    /// How many kits have left, in words; empty where none has.
    pub left: String,
    /// How many kits nobody has begun to pick: they can be moved to the new revision by hand.
    pub waiting: usize,
    /// The day that is proposed: tomorrow, or the first on which nothing is promised yet.
    pub proposed: Day,
    /// Why no day before that one can be taken; empty where one can.
    pub earliest: String,
    /// Which revision takes its place later, in words; empty where none does.
    pub later: String,
    /// The kits for riders that hold this bill.
    pub within: String,
}

/// An order whose kits keep the revision that they were promised.
#[derive(Debug)]
pub struct KeptOrder {
    /// Its number.
    pub order: String,
    /// The revision.
    pub revision: String,
    /// Its kits of that revision.
    pub kits: Vec<PromisedKit>,
}

impl KeptOrder {
    /// Returns the kits that nobody has begun to pick.
    pub fn waiting(&self) -> Vec<&PromisedKit> {
        self.kits.iter().filter(|it| it.waits).collect()
    }
}

/// The most orders that stand open; more are folded.
const MOST_OPEN: usize = 12;

impl ReleaseWords {
    /// Returns whether the lists of orders stand open.
    pub fn few(&self) -> bool {
        self.kept.len() <= MOST_OPEN
    }

    /// Returns what limits the time in which the revision can hold, in sentences.
    pub fn limits(&self) -> Vec<String> {
        let both = [&self.earliest, &self.later].into_iter();
        both.filter(|it| !it.is_empty()).map(|it| sentence(it)).collect()
    }

    pub(super) fn of(impact: &Impact, today: NaiveDate) -> Self {
        let mut kept: Vec<KeptOrder> = Vec::new();
        for it in &impact.kept {
            let same = |of: &&mut KeptOrder| of.order == it.order && of.revision == it.revision;
            match kept.iter_mut().rev().find(same) {
                Some(order) => order.kits.push(it.clone()),
                None => kept.push(KeptOrder {
                    order: it.order.clone(),
                    revision: it.revision.clone(),
                    kits: vec![it.clone()],
                }),
            }
        }
        let tomorrow = today.succ_opt().unwrap_or(today);
        let proposed = impact.earliest.map_or(tomorrow, |it| it.max(tomorrow));
        let later = impact.later.iter().map(|(day, name)| {
            format!(
                "revision {name} is released already and takes its place on {}",
                Day(*day).iso()
            )
        });
        Self {
            sums: match kept.is_empty() {
                true => "no kit that is still here".to_owned(),
                false => {
                    let orders: std::collections::BTreeSet<&str> =
                        kept.iter().map(|it| it.order.as_str()).collect();
                    let orders: Vec<&str> = orders.into_iter().collect();
                    format!(
                        "{} of {}",
                        count_of(&impact.kept, "kit", "kits"),
                        count_of(&orders, "order", "orders")
                    )
                }
            },
            left: match impact.left {
                0 => String::new(),
                1 => "1 kit has left with an earlier revision".to_owned(),
                left => format!("{left} kits have left with earlier revisions"),
            },
            kept,
            waiting: impact.kept.iter().filter(|it| it.waits).count(),
            earliest: match impact.earliest {
                Some(day) if tomorrow < day => format!(
                    "kits that hold it follow the bills of days up to {}, so it can hold from {} at \
                     the earliest",
                    Day(day.pred_opt().unwrap_or(day)).iso(),
                    Day(day).iso()
                ),
                _ => String::new(),
            },
            proposed: Day(proposed),
            later: later.collect::<Vec<_>>().join("; "),
            within: impact.within.join(", "),
        }
    }
}

impl PreviewPage {
    /// Returns the amount of a line as a person reads it.
    pub fn amount(&self, line: &PreviewLine) -> String {
        money(line.cost_cents)
    }
}

#[get("/drafts/{code}/{revision}/preview")]
pub(in crate::web::pages) async fn get_preview(
    visit: Visit,
    path: web::Path<(String, String)>,
    chosen: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let frame = visit.frame(Task::Bills).await?;
    Ok(visit.show(&preview_page(&visit, frame, &path, &chosen, Vec::new()).await?))
}

async fn preview_page(
    visit: &Visit,
    frame: Frame,
    path: &(String, String),
    form: &Fields,
    faults: Vec<Fault>,
) -> Result<PreviewPage, Error> {
    let draft = load(visit, path).await?;
    let chosen: BTreeMap<String, String> = draft
        .sheet
        .rows("option")
        .map(|it| it.text("name").to_owned())
        .map(|name| (name.clone(), form.text(&format!("o.{name}")).to_owned()))
        .collect();
    let today = visit.app.now().date();
    let (code, revision) = path.clone();
    let view: PreviewView = visit
        .app
        .read(move |conn| ops::drafts::preview(conn, (&code, &revision), &chosen, today))
        .await?;
    let code = path.0.clone();
    let impact = visit.app.read(move |conn| ops::drafts::impact(conn, &code, today)).await?;
    let impact = ReleaseWords::of(&impact, today);
    let from = match form.text("from") {
        "" => impact.proposed.iso(),
        from => from.to_owned(),
    };
    Ok(PreviewPage {
        frame,
        href: href_of(&path.0, &path.1),
        code: path.0.clone(),
        revision: path.1.clone(),
        name: view.name,
        version: draft.version,
        options: view.options.into_iter().map(option).collect(),
        fit: FitPanel::of(&view.fit),
        strip: Strip::from(&view.strip),
        lines: view.lines,
        errors: view.errors,
        cost: money(view.cost_cents),
        cost_before: view.cost_before_cents.map(money).unwrap_or_default(),
        in_force: view.in_force,
        compared: view.compared,
        impact,
        may_release: visit.can(Permission::EditCatalogue),
        from,
        faults,
    })
}

fn option((name, values, chosen): (String, Vec<String>, String)) -> (String, Vec<Choice>) {
    let choice = |it: String| {
        let choice = Choice::new(it.clone(), it);
        if choice.value == chosen { choice.chosen() } else { choice }
    };
    (name, values.into_iter().map(choice).collect())
}

#[post("/drafts/{code}/{revision}/release")]
pub(in crate::web::pages) async fn post_release(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    match released(&visit, &path, &form).await {
        Ok(words) => visit.go("/drafts", Ok(words)),
        Err(error) => {
            let mut faults = Vec::new();
            let answer: Answer = refused(error, &mut faults)?;
            let frame = visit.answered(Task::Bills, Some(answer)).await?;
            let page = preview_page(&visit, frame, &path, &form, faults).await?;
            Ok(visit.show_refused(&page))
        }
    }
}

async fn released(
    visit: &Visit,
    (code, revision): &(String, String),
    form: &Fields,
) -> Result<String, Error> {
    let who = visit.may_post(Permission::EditCatalogue, form)?;
    let key = form.key()?;
    let version: i64 = form.read("version", "version")?.unwrap_or_default();
    let from: NaiveDate = form.read("from", "from")?.ok_or_else(|| {
        Error::invalid("draft.from", "from: write the day from which it holds, such as 2026-12-01")
    })?;
    let (code, revision) = (code.clone(), revision.clone());
    let work = move |tx: &mut crate::store::Tx<'_>| {
        ops::drafts::release(tx, &key, (&code, &revision), version, from)
    };
    visit.app.write(who, work).await
}
