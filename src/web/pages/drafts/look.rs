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
use crate::ops::drafts::{PreviewLine, PreviewView};
use crate::web::page::PageError;
use crate::web::pages::orders::FitPanel;
use crate::web::pages::strip::Strip;
use crate::web::pages::words::{Day, money};
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
    /// What was promised and stays so, in words.
    pub promised: Vec<String>,
    /// The kits for riders that hold this bill.
    pub within: String,
    /// Whether the person may release it.
    pub may_release: bool,
    /// The day from which it is to hold.
    pub from: String,
    /// Why it could not be released.
    pub faults: Vec<Fault>,
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
    let frame = visit.frame(Task::Parts).await?;
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
    let promised = impact.promised.iter().map(|(revision, kits)| match kits {
        1 => format!("1 kit was promised revision {revision} and keeps it"),
        kits => format!("{kits} kits were promised revision {revision} and keep it"),
    });
    let from = match form.text("from") {
        "" => Day(today.succ_opt().unwrap_or(today)).iso(),
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
        promised: promised.collect(),
        within: impact.within.join(", "),
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
            let frame = visit.answered(Task::Parts, Some(answer)).await?;
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
