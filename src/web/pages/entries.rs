//! Forms that make and change parts, suppliers, bins, air charts, words and rules.

mod fill;
pub(super) mod lists;
mod page;
mod rows;
mod shape;

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, post, web};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Deserialize;

use super::words::Word;
use super::{Answer, Choice, Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::catalog::{Entry, EntryView, Expected};
use crate::ops::exchange::RecordKind;
use crate::web::page::PageError;
use fill::Notes;

pub(super) use page::change_rows;
pub use page::{ChangeRow, Control, EntryPage, FormField, Group, RecordRow, RecordsPage};

/// Which record a form is for.
struct Aim<'a> {
    kind: RecordKind,
    /// None for a new one.
    key: Option<&'a str>,
}

impl Aim<'_> {
    const fn list(&self) -> Word {
        list_of(self.kind)
    }

    fn action(&self) -> String {
        match self.key {
            Some(key) => format!("{}/{}/edit", self.list(), encoded(key)),
            None => format!("{}/new", self.list()),
        }
    }

    /// Returns where to look once it is saved.
    fn done(&self, key: &str) -> String {
        match self.kind {
            RecordKind::Part => format!("/parts/{}", encoded(key)),
            _ => self.list().to_owned(),
        }
    }

    /// Returns where the form leads back to.
    fn back(&self) -> Choice {
        match (self.kind, self.key) {
            (RecordKind::Part, Some(key)) => Choice::new(self.done(key), key),
            _ => Choice::new(self.list(), title_of(self.kind)),
        }
    }
}

const fn list_of(kind: RecordKind) -> Word {
    match kind {
        RecordKind::Part => "/parts",
        RecordKind::Supplier => "/suppliers",
        RecordKind::Bin => "/bins",
        RecordKind::AirChart => "/air-charts",
        RecordKind::Word => "/glossary",
        RecordKind::Rule => "/substitutions",
        RecordKind::Policy => "/policies",
        RecordKind::PlannedMonth => "/plan",
    }
}

const fn title_of(kind: RecordKind) -> Word {
    match kind {
        RecordKind::Part => "Parts",
        RecordKind::Supplier => "Suppliers",
        RecordKind::Bin => "Bins",
        RecordKind::AirChart => "Air charts",
        RecordKind::Word => "Glossary",
        RecordKind::Rule => "Substitutions",
        RecordKind::Policy => "Policies",
        RecordKind::PlannedMonth => "Plan",
    }
}

/// Returns the task that a kind's pages belong to.
const fn task_of(kind: RecordKind) -> Task {
    match kind {
        RecordKind::Policy | RecordKind::PlannedMonth => Task::Reorder,
        _ => Task::Parts,
    }
}

/// Returns what one record is called on its page.
const fn one_of(kind: RecordKind) -> Word {
    match kind {
        RecordKind::Part => "part",
        _ => kind.words(),
    }
}

/// Returns what taking a record away does; nothing where it can't go.
const fn going(kind: RecordKind) -> Word {
    match kind {
        RecordKind::Part | RecordKind::Supplier | RecordKind::Bin => "",
        RecordKind::AirChart => {
            "The assembly card then names no pressure for these parts. A chart stays while the card of \
             a kit that has not left needs it."
        }
        RecordKind::Word => "The assembly card and the box page then say it in English.",
        RecordKind::Rule => {
            "Kits that have got another part by it keep it. To let the rule end by itself, write a last \
             day instead."
        }
        RecordKind::Policy => {
            "What it said is then as the wider policy says it, or as the catalogue is set."
        }
        RecordKind::PlannedMonth => "The month is then expected as the forecast says it.",
    }
}

pub(in crate::web::pages) fn encoded(key: &str) -> String {
    utf8_percent_encode(key, NON_ALPHANUMERIC).to_string()
}

async fn entry_page(
    visit: &Visit,
    frame: Frame,
    aim: &Aim<'_>,
    mut view: EntryView,
    notes: &Notes,
) -> Result<EntryPage, Error> {
    let known = visit.app.read(ops::catalog::proposals).await?;
    let free = match (aim.kind, aim.key) {
        (RecordKind::Part, None) => visit.app.read(ops::catalog::next_numbers).await?,
        _ => Vec::new(),
    };
    let one = one_of(aim.kind);
    Ok(EntryPage {
        frame,
        action: aim.action(),
        back: aim.back(),
        title: match aim.key {
            Some(key) => format!("Change {one} {}", aim.kind.named(key)),
            None => format!("New {one}"),
        },
        key: aim.key.unwrap_or_default().to_owned(),
        version: view.version,
        groups: fill::groups(aim.kind, aim.key.is_some(), &mut view, &known, notes),
        free: free.iter().map(|it| (it.family().to_owned(), it.to_string())).collect(),
        can_grow: rows::can_grow(aim.kind),
        can_go: if aim.key.is_some() { going(aim.kind) } else { "" },
        changes: change_rows(aim.kind, view.changes),
    })
}

async fn show_form(visit: Visit, aim: Aim<'_>) -> Result<HttpResponse, PageError> {
    visit.may(aim.kind.permission())?;
    let view = match aim.key {
        Some(key) => {
            let (kind, key) = (aim.kind, key.to_owned());
            visit.app.read(move |conn| ops::catalog::entry(conn, kind, &key)).await?
        }
        None => blank(&visit, aim.kind),
    };
    let frame = visit.frame(task_of(aim.kind)).await?;
    Ok(visit.show(&entry_page(&visit, frame, &aim, view, &Notes::default()).await?))
}

/// Returns what a form for a new record begins with.
fn blank(visit: &Visit, kind: RecordKind) -> EntryView {
    shape::blank(kind, visit.app.now().date())
}

/// Returns what was typed into a form: the fields and the rows that it has.
fn typed(kind: RecordKind, form: &Fields) -> (BTreeMap<String, String>, Option<rows::Typed>) {
    let sent = kind.columns().iter().filter(|it| form.has(it));
    let fields = sent.map(|it| ((*it).to_owned(), form.text(it).to_owned())).collect();
    (fields, rows::typed(kind, form))
}

async fn save(visit: Visit, aim: Aim<'_>, form: &Fields) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(aim.kind.permission(), form)?;
    let key = form.key()?;
    let version: i64 = form.read("version", "version")?.unwrap_or_default();
    let (fields, rows) = typed(aim.kind, form);
    if form.text("do") == "more" {
        return more_rows(&visit, &aim, (fields, rows), version).await;
    }
    let entry = Entry {
        key: aim.key.unwrap_or_default().to_owned(),
        expected: if aim.key.is_some() { Expected::Version(version) } else { Expected::New },
        fields: fields.clone(),
        rows: rows.clone(),
    };
    let kind = aim.kind;
    let work = move |tx: &mut crate::store::Tx<'_>| ops::catalog::put(tx, &key, kind, &entry);
    match visit.app.write(who, work).await {
        Ok(done) => visit.go(&aim.done(&done.key), Ok(done.words)),
        Err(error) => Ok(refused(&visit, &aim, (fields, rows), version, error).await?),
    }
}

/// Returns the record as it stands, or what a new one begins with, under what was typed.
async fn under(
    visit: &Visit,
    aim: &Aim<'_>,
    (fields, rows): (BTreeMap<String, String>, Option<rows::Typed>),
) -> Result<EntryView, Error> {
    let mut view = match aim.key {
        Some(key) => {
            let (kind, key) = (aim.kind, key.to_owned());
            visit.app.read(move |conn| ops::catalog::entry(conn, kind, &key)).await?
        }
        None => blank(visit, aim.kind),
    };
    view.fields.extend(fields);
    view.rows = rows.unwrap_or(view.rows);
    Ok(view)
}

/// Shows the form again with what was typed and some more rows; nothing is saved.
async fn more_rows(
    visit: &Visit,
    aim: &Aim<'_>,
    typed: (BTreeMap<String, String>, Option<rows::Typed>),
    version: i64,
) -> Result<HttpResponse, PageError> {
    let mut view = under(visit, aim, typed).await?;
    view.version = version;
    let frame = visit.answered(task_of(aim.kind), None).await?;
    Ok(visit.show(&entry_page(visit, frame, aim, view, &Notes::default()).await?))
}

/// Shows the form again with what was typed, and what is wrong with it.
async fn refused(
    visit: &Visit,
    aim: &Aim<'_>,
    typed: (BTreeMap<String, String>, Option<rows::Typed>),
    version: i64,
    error: Error,
) -> Result<HttpResponse, Error> {
    let mut notes = Notes { spare: 0, ..Notes::default() };
    let view = under(visit, aim, typed).await?;
    if let Some(key) = aim.key {
        let (file, key) = (aim.kind.file(), key.to_owned());
        let since =
            move |conn: &mut crate::store::Conn| ops::changes::since(conn, file, &key, version);
        notes.meanwhile = visit.app.read(since).await?;
    }
    let answer = match error {
        Error::Entry(faults) => {
            notes.faults = faults;
            let count = super::words::count_of(&notes.faults, "field is", "fields are");
            Answer::refused(format!("{count} to mend, marked below. Nothing was saved."))
        }
        error => refusal(error)?,
    };
    let frame = visit.answered(task_of(aim.kind), Some(answer)).await?;
    Ok(visit.show_refused(&entry_page(visit, frame, aim, view, &notes).await?))
}

#[derive(Deserialize)]
pub(super) struct NewPart {
    #[serde(default)]
    family: String,
    #[serde(default)]
    like: String,
}

#[get("/parts/new")]
pub(super) async fn get_new_part(
    visit: Visit,
    wanted: web::Query<NewPart>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::EditCatalogue)?;
    let aim = Aim { kind: RecordKind::Part, key: None };
    let mut view = blank(&visit, aim.kind);
    let NewPart { family, like } = wanted.into_inner();
    if !like.is_empty() {
        let like = like.clone();
        let pattern =
            move |conn: &mut crate::store::Conn| ops::catalog::entry(conn, RecordKind::Part, &like);
        let pattern = visit.app.read(pattern).await?;
        (view.fields, view.rows) = (pattern.fields, pattern.rows);
    }
    let family = if family.is_empty() { like.chars().take(2).collect() } else { family };
    let mut answer = None;
    if !family.is_empty() {
        match visit.app.read(move |conn| ops::catalog::next_number(conn, &family)).await {
            Ok(number) => drop(view.fields.insert("part_number".to_owned(), number.to_string())),
            Err(error) => answer = Some(refusal(error)?),
        }
    }
    let frame = visit.answered(task_of(aim.kind), answer).await?;
    Ok(visit.show(&entry_page(&visit, frame, &aim, view, &Notes::default()).await?))
}

#[post("/parts/new")]
pub(super) async fn post_new_part(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    save(visit, Aim { kind: RecordKind::Part, key: None }, &form).await
}

#[get("/parts/{part_number}/edit")]
pub(super) async fn get_part(
    visit: Visit,
    key: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    show_form(visit, Aim { kind: RecordKind::Part, key: Some(&key) }).await
}

#[post("/parts/{part_number}/edit")]
pub(super) async fn post_part(
    visit: Visit,
    key: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    save(visit, Aim { kind: RecordKind::Part, key: Some(&key) }, &form).await
}
