//! Forms that make and change parts, suppliers and bins, and the lists of suppliers and bins.

mod shape;

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Deserialize;

use super::words::Moment;
use super::{Answer, Choice, Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::Fault;
use crate::ops;
use crate::ops::catalog::{Entry, EntryView, Expected};
use crate::ops::changes::ChangeView;
use crate::ops::exchange::RecordKind;
use crate::web::page::PageError;

/// The page that makes or changes a part, a supplier or a bin.
#[derive(Debug, Template)]
#[template(path = "parts/form.html")]
pub struct EntryPage {
    /// The page around it.
    pub frame: Frame,
    /// Where the form is posted.
    pub action: String,
    /// Where it leads back to.
    pub back: Choice,
    /// What is made or changed, in words.
    pub title: String,
    /// The record's key; empty where it is new.
    pub key: String,
    /// The number of the newest change that the form knows of.
    pub version: i64,
    /// The fields, in groups with a heading each.
    pub groups: Vec<(String, Vec<FormField>)>,
    /// Each family of part numbers with its next free one, for a new part.
    pub free: Vec<(String, String)>,
    /// Who changed what before.
    pub changes: Vec<ChangeRow>,
}

/// One field of a form.
#[derive(Debug)]
pub struct FormField {
    /// The column's heading.
    pub name: &'static str,
    /// What a person reads.
    pub label: &'static str,
    /// How it is written.
    pub hint: &'static str,
    /// How it is entered.
    pub control: Control,
    /// What it holds.
    pub value: String,
    /// What can be chosen or is proposed.
    pub choices: Vec<Choice>,
    /// What is wrong with it; empty where nothing is.
    pub fault: String,
    /// What somebody else has made of it meanwhile; empty where nobody has.
    pub meanwhile: String,
}

/// How a field is entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Control {
    /// As text.
    Text,
    /// As text that must be there.
    Needed,
    /// As text that takes a whole line.
    Wide,
    /// As one of a list.
    Select,
    /// As text, with proposals.
    Proposed,
    /// Not at all: it is the record's key.
    Fixed,
}

impl Control {
    /// Returns whether the field takes a whole line.
    pub const fn is_wide(self) -> bool {
        matches!(self, Self::Wide)
    }

    /// Returns whether the field can't be changed.
    pub const fn is_fixed(self) -> bool {
        matches!(self, Self::Fixed)
    }

    /// Returns whether the field is chosen from a list.
    pub const fn is_select(self) -> bool {
        matches!(self, Self::Select)
    }
}

/// A change of a record, as its page shows it.
#[derive(Debug)]
pub struct ChangeRow {
    /// When.
    pub at: Moment,
    /// Who, and by which way.
    pub by: String,
    /// The field in words; empty where the record was new.
    pub field: String,
    /// The text before.
    pub from: String,
    /// The text after.
    pub to: String,
}

/// Returns changes as a page shows them.
pub(super) fn change_rows(kind: RecordKind, changes: Vec<ChangeView>) -> Vec<ChangeRow> {
    let row = |it: ChangeView| {
        let person = if it.person.is_empty() { "the program".to_owned() } else { it.person };
        ChangeRow {
            at: Moment(it.at),
            by: if it.by_file { format!("{person}, by a file") } else { person },
            field: shape::label(kind, &it.field),
            from: it.from,
            to: it.to,
        }
    };
    changes.into_iter().map(row).collect()
}

/// The page at `/suppliers` or `/bins`.
#[derive(Debug, Template)]
#[template(path = "parts/records.html")]
pub struct RecordsPage {
    /// The page around it.
    pub frame: Frame,
    /// What the page lists.
    pub title: &'static str,
    /// Where the list stands.
    pub href: &'static str,
    /// What one more is called.
    pub one: &'static str,
    /// Whether the person may change them.
    pub may_edit: bool,
    /// The columns' headings.
    pub headings: Vec<&'static str>,
    /// The records, each with its cells; the first is its key.
    pub rows: Vec<Vec<String>>,
}

/// Which record a form is for.
struct Aim<'a> {
    kind: RecordKind,
    /// None for a new one.
    key: Option<&'a str>,
}

impl Aim<'_> {
    const fn list(&self) -> &'static str {
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
            RecordKind::Supplier | RecordKind::Bin => self.list().to_owned(),
        }
    }
}

const fn list_of(kind: RecordKind) -> &'static str {
    match kind {
        RecordKind::Part => "/parts",
        RecordKind::Supplier => "/suppliers",
        RecordKind::Bin => "/bins",
    }
}

/// Returns what one record is called on its page.
const fn one_of(kind: RecordKind) -> &'static str {
    match kind {
        RecordKind::Part => "part",
        RecordKind::Supplier => "supplier",
        RecordKind::Bin => "bin",
    }
}

pub(in crate::web::pages) fn encoded(key: &str) -> String {
    utf8_percent_encode(key, NON_ALPHANUMERIC).to_string()
}

/// What a form shows beside its fields' values.
#[derive(Default)]
struct Notes {
    faults: Vec<Fault>,
    /// What others have changed since the form was loaded, the newest first.
    meanwhile: Vec<ChangeView>,
}

async fn entry_page(
    visit: &Visit,
    frame: Frame,
    aim: &Aim<'_>,
    view: EntryView,
    notes: &Notes,
) -> Result<EntryPage, Error> {
    let known = visit.app.read(ops::catalog::proposals).await?;
    let free = match (aim.kind, aim.key) {
        (RecordKind::Part, None) => visit.app.read(ops::catalog::next_numbers).await?,
        _ => Vec::new(),
    };
    let mut groups = shape::groups(aim.kind, &known);
    for field in groups.iter_mut().flat_map(|it| &mut it.1) {
        fill(field, aim, &view, notes);
    }
    let one = one_of(aim.kind);
    let title = match aim.key {
        Some(key) => format!("Change {one} {key}"),
        None => format!("New {one}"),
    };
    let back = match (aim.kind, aim.key) {
        (RecordKind::Part, Some(key)) => Choice::new(format!("/parts/{}", encoded(key)), key),
        (RecordKind::Part, None) => Choice::new("/parts", "Parts"),
        (RecordKind::Supplier, _) => Choice::new("/suppliers", "Suppliers"),
        (RecordKind::Bin, _) => Choice::new("/bins", "Bins"),
    };
    Ok(EntryPage {
        frame,
        action: aim.action(),
        back,
        title,
        key: aim.key.unwrap_or_default().to_owned(),
        version: view.version,
        groups,
        free: free.iter().map(|it| (it.family().to_owned(), it.to_string())).collect(),
        changes: change_rows(aim.kind, view.changes),
    })
}

/// Fills a field with its value, and what is to be said of it.
fn fill(field: &mut FormField, aim: &Aim<'_>, view: &EntryView, notes: &Notes) {
    field.value = view.fields.get(field.name).cloned().unwrap_or_default();
    let is_key = aim.kind.columns().first() == Some(&field.name);
    if is_key && aim.key.is_some() {
        field.control = Control::Fixed;
    }
    let faults = notes.faults.iter().filter(|it| it.column == field.name);
    field.fault = faults.map(|it| it.message.as_str()).collect::<Vec<_>>().join("; ");
    let mut of_field = notes.meanwhile.iter().filter(|it| it.field == field.name);
    if let Some(newest) = of_field.next() {
        let first = of_field.next_back().unwrap_or(newest);
        let who = if newest.person.is_empty() { "the program" } else { newest.person.as_str() };
        let changed = format!("{who} has made “{}” of “{}” meanwhile", newest.to, first.from);
        // Whoever left the field as it was takes over what it has become.
        if field.value == first.from {
            field.value.clone_from(&newest.to);
            field.meanwhile = format!("{changed}; you had left it, so it stands here now.");
        } else if field.value != newest.to {
            field.meanwhile =
                format!("{changed}; what you typed is kept here. Save it, or write theirs.");
        }
    }
    for choice in &mut field.choices {
        choice.chosen = choice.value == field.value;
    }
    let missing = !field.value.is_empty() && field.choices.iter().all(|it| !it.chosen);
    if field.control == Control::Select && missing {
        let value = field.value.clone();
        field.choices.push(Choice::new(value.clone(), value).chosen());
    }
}

async fn show_form(visit: Visit, aim: Aim<'_>) -> Result<HttpResponse, PageError> {
    visit.may(Permission::EditCatalogue)?;
    let view = match aim.key {
        Some(key) => {
            let (kind, key) = (aim.kind, key.to_owned());
            visit.app.read(move |conn| ops::catalog::entry(conn, kind, &key)).await?
        }
        None => shape::blank(aim.kind),
    };
    let frame = visit.frame(Task::Parts).await?;
    Ok(visit.show(&entry_page(&visit, frame, &aim, view, &Notes::default()).await?))
}

async fn save(visit: Visit, aim: Aim<'_>, form: &Fields) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::EditCatalogue, form)?;
    let key = form.key()?;
    let version: i64 = form.read("version", "version")?.unwrap_or_default();
    let columns = aim.kind.columns();
    let typed: BTreeMap<String, String> =
        columns.iter().map(|it| ((*it).to_owned(), form.text(it).to_owned())).collect();
    let entry = Entry {
        key: aim.key.unwrap_or_default().to_owned(),
        expected: if aim.key.is_some() { Expected::Version(version) } else { Expected::New },
        fields: typed.clone(),
    };
    let kind = aim.kind;
    let work = move |tx: &mut crate::store::Tx<'_>| ops::catalog::put(tx, &key, kind, &entry);
    match visit.app.write(who, work).await {
        Ok(done) => visit.go(&aim.done(&done.key), Ok(done.words)),
        Err(error) => Ok(refused(&visit, &aim, typed, version, error).await?),
    }
}

/// Shows the form again with what was typed, and what is wrong with it.
async fn refused(
    visit: &Visit,
    aim: &Aim<'_>,
    typed: BTreeMap<String, String>,
    version: i64,
    error: Error,
) -> Result<HttpResponse, Error> {
    let mut notes = Notes::default();
    let mut view = shape::blank(aim.kind);
    view.version = version;
    if let Some(key) = aim.key {
        let (kind, key) = (aim.kind, key.to_owned());
        let (file, of_key) = (kind.file(), key.clone());
        let stored = visit.app.read(move |conn| ops::catalog::entry(conn, kind, &key)).await?;
        let since =
            move |conn: &mut crate::store::Conn| ops::changes::since(conn, file, &of_key, version);
        notes.meanwhile = visit.app.read(since).await?;
        view = stored;
    }
    view.fields = typed;
    let answer = match error {
        Error::Entry(faults) => {
            notes.faults = faults;
            let count = super::words::count_of(&notes.faults, "field is", "fields are");
            Answer::refused(format!("{count} to mend, marked below. Nothing was saved."))
        }
        error => refusal(error)?,
    };
    let frame = visit.answered(Task::Parts, Some(answer)).await?;
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
    let mut view = shape::blank(aim.kind);
    let NewPart { family, like } = wanted.into_inner();
    if !like.is_empty() {
        let like = like.clone();
        let pattern =
            move |conn: &mut crate::store::Conn| ops::catalog::entry(conn, RecordKind::Part, &like);
        view.fields = visit.app.read(pattern).await?.fields;
    }
    let family = if family.is_empty() { like.chars().take(2).collect() } else { family };
    let mut answer = None;
    if !family.is_empty() {
        match visit.app.read(move |conn| ops::catalog::next_number(conn, &family)).await {
            Ok(number) => drop(view.fields.insert("part_number".to_owned(), number.to_string())),
            Err(error) => answer = Some(refusal(error)?),
        }
    }
    let frame = visit.answered(Task::Parts, answer).await?;
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

/// Returns the kind of record that a list's address names.
fn kind_of(list: &str) -> Result<RecordKind, Error> {
    match list {
        "suppliers" => Ok(RecordKind::Supplier),
        "bins" => Ok(RecordKind::Bin),
        other => Err(Error::not_found("list", other)),
    }
}

#[get("/{list:suppliers|bins}")]
pub(super) async fn get_records(
    visit: Visit,
    list: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let kind = kind_of(&list)?;
    let rows = visit.app.read(move |conn| ops::catalog::entries(conn, kind)).await?;
    let page = RecordsPage {
        frame: visit.frame(Task::Parts).await?,
        title: if kind == RecordKind::Bin { "Bins" } else { "Suppliers" },
        href: list_of(kind),
        one: one_of(kind),
        may_edit: visit.can(Permission::EditCatalogue),
        headings: kind.columns().iter().map(|it| shape::heading(kind, it)).collect(),
        rows,
    };
    Ok(visit.show(&page))
}

#[get("/{list:suppliers|bins}/new")]
pub(super) async fn get_new_record(
    visit: Visit,
    list: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    show_form(visit, Aim { kind: kind_of(&list)?, key: None }).await
}

#[post("/{list:suppliers|bins}/new")]
pub(super) async fn post_new_record(
    visit: Visit,
    list: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    save(visit, Aim { kind: kind_of(&list)?, key: None }, &form).await
}

#[get("/{list:suppliers|bins}/{key}/edit")]
pub(super) async fn get_record(
    visit: Visit,
    path: web::Path<(String, String)>,
) -> Result<HttpResponse, PageError> {
    show_form(visit, Aim { kind: kind_of(&path.0)?, key: Some(&path.1) }).await
}

#[post("/{list:suppliers|bins}/{key}/edit")]
pub(super) async fn post_record(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    save(visit, Aim { kind: kind_of(&path.0)?, key: Some(&path.1) }, &form).await
}
