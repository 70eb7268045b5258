//! Bills of materials as the shop changes them: the list, and a draft with all its rows.

pub(super) mod look;
pub(super) mod rows;

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::entries::encoded;
use super::words::{Moment, Word};
use super::{Answer, Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::kits::{SheetRow, columns_of};
use crate::ops;
use crate::ops::drafts::{BillView, Change, DraftView};
use crate::units::TorqueBand;
use crate::web::page::PageError;

/// The page at `/drafts`.
#[derive(Debug, Template)]
#[template(path = "drafts/list.html")]
pub struct BillsPage {
    /// The page around it.
    pub frame: Frame,
    /// The bills.
    pub bills: Vec<BillView>,
    /// Whether the person may change them.
    pub may_edit: bool,
    /// What was typed for a new bill: code, name, part number.
    pub typed: [String; 3],
    /// Whether the form for a new bill stands open.
    pub open: bool,
}

/// The page at `/drafts/{code}/{revision}`.
#[derive(Debug, Template)]
#[template(path = "drafts/draft.html")]
pub struct DraftPage {
    /// The page around it.
    pub frame: Frame,
    /// Where the draft's own addresses begin.
    pub href: String,
    /// The bill's code.
    pub code: String,
    /// The draft's revision.
    pub revision: String,
    /// The bill's name.
    pub name: String,
    /// The revision in force; empty where there is none.
    pub in_force: String,
    /// What its release would do.
    pub impact: look::ReleaseWords,
    /// Whether the person may change it.
    pub may_edit: bool,
    /// The number of the newest change that the page knows of.
    pub version: i64,
    /// What is to mend before it can be released: where, and what.
    pub to_mend: Vec<(String, String)>,
    /// The rows, by what they are.
    pub sections: Vec<Section>,
    /// Who changed what, the newest first.
    pub changes: Vec<super::entries::ChangeRow>,
}

/// The rows of one record.
#[derive(Debug)]
pub struct Section {
    /// The record: option, step, line and so on.
    pub record: Word,
    /// What its rows are called.
    pub title: Word,
    /// What one row is called.
    pub one: Word,
    /// Whether rows can be added.
    pub many: bool,
    /// Whether rows stand in an order that can be changed.
    pub moves: bool,
    /// The columns' labels.
    pub headings: Vec<Word>,
    /// The rows.
    pub rows: Vec<Row>,
}

impl Section {
    /// Returns whether the rows are folded: those in other languages, while nothing is wrong in them.
    pub fn folded(&self) -> bool {
        let whole = self.rows.iter().all(|it| it.faults.is_empty());
        ["words", "joint-words"].contains(&self.record) && !self.rows.is_empty() && whole
    }
}

/// One row of a draft.
#[derive(Debug)]
pub struct Row {
    /// What tells it from the others.
    pub id: String,
    /// Where it is changed.
    pub href: String,
    /// Its cells, in the order of the headings.
    pub cells: Vec<String>,
    /// What is wrong with it.
    pub faults: Vec<String>,
}

impl Row {
    /// Returns the ending of the key of a form about this row.
    pub fn key(&self) -> String {
        let plain = |it: char| if it.is_ascii_alphanumeric() { it } else { '-' };
        self.id.chars().map(plain).collect()
    }
}

/// What rows are called: record, title, one of them, whether there can be several.
const RECORDS: [(Word, Word, Word, bool); 9] = [
    ("kit", "The bill", "bill", false),
    ("option", "Options", "option", true),
    ("step", "Steps", "step", true),
    ("line", "Lines", "line", true),
    ("words", "Steps in other languages", "translation", true),
    ("joint", "Joints", "joint", true),
    ("joint-words", "Joints in other languages", "joint's name", true),
    ("torque", "Torques as documents state them", "torque", true),
    ("key", "Torque keys", "torque key", true),
];

pub(super) fn href_of(code: &str, revision: &str) -> String {
    format!("/drafts/{}/{}", encoded(code), encoded(revision))
}

#[get("/drafts")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let frame = visit.frame(Task::Bills).await?;
    Ok(visit.show(&list_page(&visit, frame, None).await?))
}

async fn list_page(visit: &Visit, frame: Frame, form: Option<&Fields>) -> Result<BillsPage, Error> {
    let today = visit.app.now().date();
    let text = |name: &str| form.map(|it| it.text(name).to_owned()).unwrap_or_default();
    Ok(BillsPage {
        frame,
        bills: visit.app.read(move |conn| ops::drafts::list(conn, today)).await?,
        may_edit: visit.can(Permission::EditCatalogue),
        typed: [text("code"), text("name"), text("makes")],
        open: form.is_some(),
    })
}

#[post("/drafts/begin")]
pub(super) async fn post_begin(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::EditCatalogue, &form)?;
    let (key, code) = (form.key()?, form.text("code").to_owned());
    let name = form.text("revision").to_owned();
    let of = code.clone();
    let work = move |tx: &mut crate::store::Tx<'_>| ops::drafts::begin(tx, &key, &of, &name);
    match visit.app.write(who, work).await {
        Ok(made) => {
            let words = format!("revision {made} of {code} is a draft: nobody uses it yet");
            visit.go(&href_of(&code, &made), Ok(words))
        }
        Err(error) => visit.go("/drafts", Err(error)),
    }
}

#[post("/drafts/new")]
pub(super) async fn post_begin_new(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::EditCatalogue, &form)?;
    let key = form.key()?;
    let text = |name: &str| form.text(name).to_owned();
    let (code, name, makes) = (text("code"), text("name"), text("makes"));
    let of = code.clone();
    let work =
        move |tx: &mut crate::store::Tx<'_>| ops::drafts::begin_new(tx, &key, &of, &name, &makes);
    match visit.app.write(who, work).await {
        Ok(made) => {
            let words = format!("{code} is a draft: add options, steps and lines");
            visit.go(&href_of(&code, &made), Ok(words))
        }
        Err(error) => {
            let frame = visit.answered(Task::Bills, Some(refusal(error)?)).await?;
            Ok(visit.show_refused(&list_page(&visit, frame, Some(&form)).await?))
        }
    }
}

#[get("/drafts/{code}/{revision}")]
pub(super) async fn get_draft(
    visit: Visit,
    path: web::Path<(String, String)>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let view = load(&visit, &path).await?;
    let frame = visit.frame(Task::Bills).await?;
    let names = visit.app.read(ops::drafts::items).await?;
    let (code, today) = (view.code.clone(), visit.app.now().date());
    let impact = visit.app.read(move |conn| ops::drafts::impact(conn, &code, today)).await?;
    let impact = look::ReleaseWords::of(&impact, today);
    let may_edit = visit.can(Permission::EditCatalogue);
    Ok(visit.show(&draft_page(frame, view, names, impact, may_edit)))
}

async fn load(visit: &Visit, (code, revision): &(String, String)) -> Result<DraftView, Error> {
    let (code, revision) = (code.clone(), revision.clone());
    let today = visit.app.now().date();
    visit.app.read(move |conn| ops::drafts::view(conn, &code, &revision, today)).await
}

fn draft_page(
    frame: Frame,
    view: DraftView,
    names: Vec<(String, String)>,
    impact: look::ReleaseWords,
    may_edit: bool,
) -> DraftPage {
    let href = href_of(&view.code, &view.revision);
    let to_mend = view.faults.iter();
    let to_mend = to_mend.map(|it| (it.row.clone(), row_href(&href, &it.row))).collect();
    let names: BTreeMap<String, String> = names.into_iter().collect();
    let known = RECORDS.iter().filter_map(|it| Some((it, columns_of(it.0)?)));
    let sections = known
        .map(|(&(record, title, one, many), columns)| Section {
            record,
            title,
            one,
            many,
            moves: ["option", "step", "line"].contains(&record),
            headings: columns.iter().map(|it| rows::label(record, it).0).collect(),
            rows: view
                .sheet
                .rows(record)
                .map(|it| row(&view, &href, it, &columns, &names))
                .collect(),
        })
        .collect();
    let changes = view.changes.into_iter().map(|it| super::entries::ChangeRow {
        at: Moment(it.at),
        by: it.person,
        field: it.field,
        from: it.from,
        to: it.to,
    });
    DraftPage {
        frame,
        href,
        code: view.code,
        revision: view.revision,
        name: view.name,
        in_force: view.in_force,
        impact,
        may_edit,
        version: view.version,
        to_mend,
        sections,
        changes: changes.collect(),
    }
}

fn row_href(href: &str, id: &str) -> String {
    format!("{href}/row?row={}", encoded(id))
}

fn row(
    view: &DraftView,
    href: &str,
    it: &SheetRow,
    columns: &[&str],
    names: &BTreeMap<String, String>,
) -> Row {
    let faults = view.faults.iter().filter(|fault| fault.row == it.id);
    let cell = |column: &&str| match (*column, names.get(it.text(column))) {
        ("part", Some(name)) => format!("{}, {name}", it.text("part")),
        ("torque", _) => in_both_units(it.text("torque")),
        (column, _) => it.text(column).to_owned(),
    };
    Row {
        href: row_href(href, &it.id),
        cells: columns.iter().map(cell).collect(),
        faults: faults.map(|fault| fault.message.clone()).collect(),
        id: it.id.clone(),
    }
}

/// Returns a torque as it is stated and, where it can be read, as the card will print it.
fn in_both_units(stated: &str) -> String {
    match stated.parse::<TorqueBand>() {
        Ok(it) => {
            format!("{stated}, printed {} | {}", it.in_newton_metres(1), it.in_inch_pounds())
        }
        Err(_) => stated.to_owned(),
    }
}

#[post("/drafts/{code}/{revision}/renumber")]
pub(super) async fn post_renumber(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let done = edit(&visit, &path, &form, Change::Renumber).await?;
    visit.go(&href_of(&path.0, &path.1), done)
}

#[post("/drafts/{code}/{revision}/move")]
pub(super) async fn post_move(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let row = form.text("row").to_owned();
    let record = row.split(' ').next().unwrap_or_default().to_owned();
    let change = Change::Move { row, later: form.text("to") == "later" };
    let done = edit(&visit, &path, &form, change).await?;
    visit.go(&format!("{}#s-{record}", href_of(&path.0, &path.1)), done)
}

/// Changes a draft as a form says.
///
/// The outer error is one of the form itself, the inner one is the op's.
async fn edit(
    visit: &Visit,
    (code, revision): &(String, String),
    form: &Fields,
    change: Change,
) -> Result<Result<String, Error>, Error> {
    let who = visit.may_post(Permission::EditCatalogue, form)?;
    let key = form.key()?;
    let version: i64 = form.read("version", "version")?.unwrap_or_default();
    let (code, revision) = (code.clone(), revision.clone());
    let work = move |tx: &mut crate::store::Tx<'_>| {
        ops::drafts::edit(tx, &key, (&code, &revision), version, &change)
    };
    Ok(visit.app.write(who, work).await)
}

#[post("/drafts/{code}/{revision}/discard")]
pub(super) async fn post_discard(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::EditCatalogue, &form)?;
    let key = form.key()?;
    let version: i64 = form.read("version", "version")?.unwrap_or_default();
    let (code, revision) = path.into_inner();
    let href = href_of(&code, &revision);
    let work = move |tx: &mut crate::store::Tx<'_>| {
        ops::drafts::discard(tx, &key, (&code, &revision), version)
    };
    match visit.app.write(who, work).await {
        Ok(words) => visit.go("/drafts", Ok(words)),
        Err(error) => visit.go(&href, Err(error)),
    }
}

/// Returns a refusal whose faults are told one by one elsewhere on the page.
fn refused(error: Error, faults: &mut Vec<crate::exchange::Fault>) -> Result<Answer, Error> {
    match error {
        Error::Entry(found) => {
            let count = super::words::count_of(&found, "thing is", "things are");
            *faults = found;
            Ok(Answer::refused(format!("{count} to mend, told below. Nothing was changed.")))
        }
        error => refusal(error),
    }
}
