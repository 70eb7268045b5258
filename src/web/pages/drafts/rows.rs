//! One row of a draft: changed, added, taken out.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::{DraftView, RECORDS, edit, href_of, load, refused};
use crate::domain::messages::Language;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::Fault;
use crate::exchange::kits::{SheetRow, columns_of};
use crate::ops;
use crate::ops::drafts::Change;
use crate::web::page::PageError;
use crate::web::pages::entries::{Control, FormField};
use crate::web::pages::words::Word;
use crate::web::pages::{Choice, Fields, Frame, Task, Visit};

/// The page at `/drafts/{code}/{revision}/row`.
#[derive(Debug, Template)]
#[template(path = "drafts/row.html")]
pub struct RowPage {
    /// The page around it.
    pub frame: Frame,
    /// The draft's address.
    pub href: String,
    /// The revision in words.
    pub draft: String,
    /// Where the form leads back to.
    pub back: Choice,
    /// What the bill says in its own language, where the row says it in another: label and text.
    pub original: Vec<(Word, String)>,
    /// What is changed or added, in words.
    pub title: String,
    /// The row's id; empty where it is new.
    pub row: String,
    /// What the row is: option, step, line and so on.
    pub record: String,
    /// The number of the newest change that the form knows of.
    pub version: i64,
    /// The fields.
    pub fields: Vec<FormField>,
    /// What is wrong with other rows, or with the whole row.
    pub others: Vec<String>,
    /// How the record's text is written, in words; empty where the fields say it.
    pub hint: Word,
}

/// Returns a column's label and hint in a row of that record.
pub(super) fn label(record: &str, column: &str) -> (Word, Word) {
    match (record, column) {
        ("kit", "part") => {
            ("Makes", "the part number that it is stocked under; each revision makes the same")
        }
        ("step", "number") => ("Step", "another number moves the step, and its lines with it"),
        ("words" | "joint-words", "number") => ("Number", "of the step or joint"),
        ("torque", "number") => ("Joint", ""),
        (_, "number") => ("Number", ""),
        ("step" | "words", "name") => ("Title", ""),
        (_, "name") => ("Name", ""),
        ("option", "values") => ("Values", "parted by bars: S|M|L"),
        ("key", "part") => ("Part number", ""),
        (_, "part") => ("Item", "a part number, a base part, or the code of an assembly"),
        (_, "step") => ("Step", "0 is packing material"),
        (_, "choose") => ("Chooses", "by attribute: size={size}; colour=black"),
        (_, "when") => ("Only when", "ski=95|105; build=T12"),
        (_, "quantity") => ("Pieces", ""),
        (_, "carton") => ("Carton", "0: with what is around it"),
        (_, "check") => ("Check", "what is to be seen when it is done"),
        (_, "caution") => ("Caution", ""),
        (_, "language") => ("Language", ""),
        (_, "tools") => ("Tools", "part numbers, parted by bars"),
        (_, "drawings") => ("Drawings", "parted by bars"),
        (_, "bolts") => ("Bolts", ""),
        (_, "thread") => ("Thread", "such as M6x1"),
        (_, "pattern") => {
            ("Pattern", "single, alternate, cross, left-right-left, hold-nut, preload")
        }
        (_, "condition") => ("Threads are", "dry, greased, anti-seize, threadlocker, patch"),
        (_, "set_by_maker") => ("Set before packing", "yes or no"),
        (_, "torque") => ("Torque", "as stated: 5–6 N·m, 75 in-lb"),
        (_, "source") => ("Source", "the document that states it"),
        _ => ("", ""),
    }
}

fn control(record: &str, column: &str) -> Control {
    match (record, column) {
        ("line", "part") => Control::Proposed,
        ("line" | "joint", "step") => Control::Select,
        ("words" | "joint-words", "number" | "language") => Control::Select,
        (
            _,
            "name" | "check" | "caution" | "values" | "choose" | "when" | "source" | "tools"
            | "drawings",
        ) => Control::Wide,
        _ => Control::Text,
    }
}

#[get("/drafts/{code}/{revision}/row")]
pub(in crate::web::pages) async fn get_row(
    visit: Visit,
    path: web::Path<(String, String)>,
    wanted: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::EditCatalogue)?;
    let (row, record) = (wanted.text("row"), wanted.text("record"));
    let view = load_row(&visit, &path, (row, record)).await?;
    let (record, cells) = match view.sheet.row(row) {
        Some(it) => (it.text("record").to_owned(), it.cells.clone()),
        None if row.is_empty() => {
            let mut cells = fresh(&view, record);
            let columns = columns_of(record).unwrap_or_default().into_iter();
            let given = columns.filter(|it| wanted.has(it));
            cells.extend(given.map(|it| (it.to_owned(), wanted.text(it).to_owned())));
            (record.to_owned(), cells)
        }
        None => return Err(Error::not_found("row", row).into()),
    };
    let faults = view.faults_of(row).into_iter().map(|it| Fault {
        line: 1,
        column: it.column.clone(),
        message: it.message.clone(),
    });
    let faults = faults.collect();
    let frame = visit.frame(Task::Bills).await?;
    let page = row_page(&visit, frame, &view, (row, &record), &cells, faults).await?;
    Ok(visit.show(&page))
}

/// Loads a draft for one of its rows, or a released revision for a row of words in another language.
async fn load_row(
    visit: &Visit,
    path: &(String, String),
    (row, record): (&str, &str),
) -> Result<DraftView, Error> {
    let record = row.split(' ').next().filter(|it| !it.is_empty()).unwrap_or(record);
    if !["words", "joint-words"].contains(&record) {
        return load(visit, path).await;
    }
    let (code, revision) = path.clone();
    let today = visit.app.now().date();
    visit.app.read(move |conn| ops::drafts::view_words(conn, &code, &revision, today)).await
}

/// Returns where a row leads to once it is saved or taken out.
async fn done_at(
    visit: &Visit,
    path: &(String, String),
    (row, record): (&str, &str),
) -> Result<String, Error> {
    let released = load_row(visit, path, (row, record)).await?.released;
    Ok(if released { "/glossary/missing".to_owned() } else { href_of(&path.0, &path.1) })
}

/// Returns what a new row begins with.
fn fresh(view: &DraftView, record: &str) -> BTreeMap<String, String> {
    let by = if record == "line" { 10 } else { 1 };
    let mut cells =
        BTreeMap::from([("number".to_owned(), view.sheet.next_number(record, by).to_string())]);
    if record == "line" {
        let last = view.sheet.rows("line").last();
        let same = |column: &str| last.map_or("0", |it| it.text(column)).to_owned();
        cells.insert("step".to_owned(), same("step"));
        cells.insert("carton".to_owned(), same("carton"));
        cells.insert("quantity".to_owned(), "1".to_owned());
    }
    cells
}

async fn row_page(
    visit: &Visit,
    frame: Frame,
    view: &DraftView,
    (row, record): (&str, &str),
    cells: &BTreeMap<String, String>,
    faults: Vec<Fault>,
) -> Result<RowPage, Error> {
    let columns = columns_of(record).ok_or_else(|| Error::not_found("kind of row", record))?;
    let one = RECORDS.iter().find(|it| it.0 == record).map_or("row", |it| it.2);
    let items = match record {
        "line" => visit.app.read(ops::drafts::items).await?,
        _ => Vec::new(),
    };
    let (here, others): (Vec<Fault>, Vec<Fault>) =
        faults.into_iter().partition(|it| columns.contains(&it.column.as_str()));
    let fields = columns.iter().map(|column| {
        let (label, hint) = label(record, column);
        let value = cells.get(*column).cloned().unwrap_or_default();
        let of_column = here.iter().filter(|it| it.column == *column);
        FormField {
            name: (*column).to_owned(),
            label,
            hint: hint.to_owned(),
            control: control(record, column),
            choices: match control(record, column) {
                Control::Select | Control::Proposed => {
                    choices(view, &items, (record, column), &value)
                }
                _ => Vec::new(),
            },
            value,
            fault: of_column.map(|it| it.message.as_str()).collect::<Vec<_>>().join("; "),
            ..FormField::default()
        }
    });
    Ok(RowPage {
        frame,
        original: original(view, record, cells),
        back: match view.released {
            true => Choice::new("/glossary/missing", "Missing translations"),
            false => Choice::new(
                href_of(&view.code, &view.revision),
                format!("Draft {} {}", view.code, view.revision),
            ),
        },
        href: href_of(&view.code, &view.revision),
        draft: format!("{} {}", view.code, view.revision),
        title: if row.is_empty() { format!("Add {one}") } else { format!("Change {row}") },
        row: row.to_owned(),
        record: record.to_owned(),
        version: view.version,
        fields: fields.collect(),
        others: others
            .into_iter()
            .map(|it| format!("{}: {}", it.column.trim(), it.message))
            .collect(),
        hint: hint(record),
    })
}

const fn hint(record: &str) -> Word {
    match record.as_bytes() {
        b"line" => {
            "A base part with several part numbers needs a choice: each attribute is fixed, or takes \
             an option's value in braces."
        }
        b"torque" => {
            "Write the torque as the document does, with its unit: it is converted exactly and shown \
             in both. Where two documents disagree, the card waits until a person settles it. The \
             component maker's manual goes before this card."
        }
        _ => "",
    }
}

/// Returns what the bill says in its own language of what a row says in another.
fn original(
    view: &DraftView,
    record: &str,
    cells: &BTreeMap<String, String>,
) -> Vec<(Word, String)> {
    let number = cells.get("number").map(String::as_str).unwrap_or_default();
    let (of, columns): (&str, &[(&str, Word)]) = match record {
        "words" => ("step", &[("name", "Title"), ("check", "Check"), ("caution", "Caution")]),
        "joint-words" => ("joint", &[("name", "Name")]),
        _ => return Vec::new(),
    };
    let found = view.sheet.rows(of).find(|it| it.text("number") == number);
    let said = |it: &SheetRow| {
        let said = columns.iter().map(|(column, label)| (*label, it.text(column).to_owned()));
        said.filter(|it| !it.1.is_empty()).collect()
    };
    found.map(said).unwrap_or_default()
}

fn choices(
    view: &DraftView,
    items: &[(String, String)],
    (record, column): (&str, &str),
    value: &str,
) -> Vec<Choice> {
    let chosen = |it: Choice| if it.value == value { it.chosen() } else { it };
    match column {
        "number" => {
            let of = if record == "words" { "step" } else { "joint" };
            let number = |it: &SheetRow| {
                Choice::new(it.text("number"), format!("{} {}", it.text("number"), it.text("name")))
            };
            view.sheet.rows(of).map(number).map(chosen).collect()
        }
        "language" => {
            let others = Language::ALL.into_iter().filter(|it| *it != Language::default());
            others.map(|it| chosen(Choice::new(it.tag(), it.english_name()))).collect()
        }
        "part" => items.iter().map(|(item, words)| Choice::new(item, words)).collect(),
        "step" => {
            let step = |it: &SheetRow| {
                let number = it.text("number");
                Choice::new(number, format!("{number} {}", it.text("name")))
            };
            let none = Choice::new("0", "0 packing material");
            let all = [none].into_iter().chain(view.sheet.rows("step").map(step));
            let mut all: Vec<Choice> = all.map(chosen).collect();
            if !value.is_empty() && all.iter().all(|it| !it.chosen) {
                all.push(Choice::new(value, format!("{value}, which is not there")).chosen());
            }
            all
        }
        _ => Vec::new(),
    }
}

#[post("/drafts/{code}/{revision}/row")]
pub(in crate::web::pages) async fn post_row(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (row, record) = (form.text("row").to_owned(), form.text("record").to_owned());
    let columns = columns_of(&record).unwrap_or_default();
    let cells: BTreeMap<String, String> =
        columns.iter().map(|it| ((*it).to_owned(), form.text(it).to_owned())).collect();
    let change = Change::Put {
        row: Some(row.clone()).filter(|it| !it.is_empty()),
        record: record.clone(),
        cells: cells.clone(),
    };
    match edit(&visit, &path, &form, change).await? {
        Ok(words) => visit.go(&done_at(&visit, &path, (&row, &record)).await?, Ok(words)),
        Err(error) => {
            let mut faults = Vec::new();
            let answer = refused(error, &mut faults)?;
            let view = load_row(&visit, &path, (&row, &record)).await?;
            let frame = visit.answered(Task::Bills, Some(answer)).await?;
            let page = row_page(&visit, frame, &view, (&row, &record), &cells, faults).await?;
            Ok(visit.show_refused(&page))
        }
    }
}

#[post("/drafts/{code}/{revision}/drop")]
pub(in crate::web::pages) async fn post_drop(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let row = form.text("row").to_owned();
    let change = Change::Drop { row: row.clone(), to: form.read("to", "step")? };
    let done = edit(&visit, &path, &form, change).await?;
    visit.go(&done_at(&visit, &path, (&row, "")).await?, done)
}
