//! The shop's printers.

pub mod print_on;
pub mod queue;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::{Fields, Frame, Task, Visit, refusal};
use crate::domain::ids::PrinterId;
use crate::domain::people::Permission;
use crate::domain::printing::PaperKind;
use crate::error::Error;
use crate::ops::printers::{self as ops, PrinterEntry, PrinterView, TriedView};
use crate::store::Who;
use crate::web::page::PageError;

/// A printer in the list.
#[derive(Debug, Clone)]
pub struct PrinterLine {
    /// Its number.
    pub number: i64,
    /// Its name in the shop.
    pub name: String,
    /// Its address.
    pub uri: String,
    /// What it is loaded with, in words.
    pub media: String,
    /// What it is named first for, in words.
    pub first_for: String,
    /// What else it takes, in words.
    pub also: String,
    /// Whether it is in use no more.
    pub retired: bool,
}

/// The page at `/printers`.
#[derive(Debug, Template)]
#[template(path = "printers/list.html")]
pub struct PrintersPage {
    /// The page around it.
    pub frame: Frame,
    /// The printers.
    pub printers: Vec<PrinterLine>,
    /// Whether the person may name printers.
    pub may_change: bool,
}

/// A paper that a printer may take.
#[derive(Debug, Clone)]
pub struct PaperTick {
    /// Its word.
    pub word: &'static str,
    /// The paper in words.
    pub words: &'static str,
    /// Whether the printer takes it.
    pub takes: bool,
    /// Whether the printer is named first for it.
    pub first: bool,
}

/// The page at `/printers/new` and `/printers/{number}`.
#[derive(Debug, Template)]
#[template(path = "printers/printer.html")]
pub struct PrinterPage {
    /// The page around it.
    pub frame: Frame,
    /// Its number, once it has one.
    pub number: Option<i64>,
    /// What is entered of it.
    pub entry: PrinterEntry,
    /// The papers.
    pub papers: Vec<PaperTick>,
    /// What it answered when it was tried.
    pub tried: Option<TriedView>,
}

impl PrinterPage {
    fn new(frame: Frame, number: Option<i64>, entry: PrinterEntry) -> Self {
        let tick = |it: PaperKind| PaperTick {
            word: it.word(),
            words: it.words(),
            takes: entry.papers.iter().any(|word| word == it.word()),
            first: entry.first_for.iter().any(|word| word == it.word()),
        };
        let papers = PaperKind::all().map(tick).collect();
        Self { frame, number, entry, papers, tried: None }
    }

    /// Returns where its form is sent.
    pub fn action(&self) -> String {
        self.number.map_or_else(|| "/printers".to_owned(), |it| format!("/printers/{it}"))
    }
}

fn entry_of(it: PrinterView) -> PrinterEntry {
    PrinterEntry {
        name: it.name,
        uri: it.uri,
        media: it.media,
        certificate: it.certificate.unwrap_or_default(),
        papers: it.papers,
        first_for: it.first_for,
        retired: it.retired,
    }
}

/// Returns what a form enters; a paper for which the printer is named first is one that it takes.
fn entered(form: &Fields) -> PrinterEntry {
    let text = |name: &str| form.text(name).to_owned();
    let first_for: Vec<String> = form.all("first").map(str::to_owned).collect();
    let mut papers: Vec<String> = form.all("takes").map(str::to_owned).collect();
    papers.extend(first_for.iter().filter(|it| !papers.contains(it)).cloned().collect::<Vec<_>>());
    PrinterEntry {
        name: text("name"),
        uri: text("uri"),
        media: text("media"),
        certificate: text("certificate"),
        papers,
        first_for,
        retired: form.ticked("retired"),
    }
}

fn line(it: PrinterView) -> PrinterLine {
    let words = |list: &[&String]| {
        let papers = PaperKind::all().filter(|paper| list.iter().any(|it| *it == paper.word()));
        papers.map(PaperKind::words).collect::<Vec<_>>().join(", ")
    };
    let also: Vec<&String> = it.papers.iter().filter(|word| !it.first_for.contains(word)).collect();
    let media: Result<crate::domain::printing::PrinterMedia, _> = it.media.parse();
    PrinterLine {
        first_for: words(&it.first_for.iter().collect::<Vec<_>>()),
        also: words(&also),
        media: media
            .map_or_else(|_| it.media.clone(), crate::domain::printing::PrinterMedia::words),
        number: it.number,
        name: it.name,
        uri: it.uri,
        retired: it.retired,
    }
}

#[get("/printers")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::PrintLabels)?;
    let printers = visit.app.read(ops::printers).await?.into_iter().map(line).collect();
    let may_change = visit.can(Permission::ManagePrinters);
    let frame = visit.frame(Task::Labels).await?;
    Ok(visit.show(&PrintersPage { frame, printers, may_change }))
}

#[get("/printers/new")]
pub(super) async fn get_new(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManagePrinters)?;
    let frame = visit.frame(Task::Labels).await?;
    Ok(visit.show(&PrinterPage::new(frame, None, PrinterEntry::default())))
}

#[get("/printers/{number}")]
pub(super) async fn get_printer(
    visit: Visit,
    number: web::Path<i64>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManagePrinters)?;
    let entry = stored(&visit, *number).await?;
    let frame = visit.frame(Task::Labels).await?;
    Ok(visit.show(&PrinterPage::new(frame, Some(*number), entry)))
}

async fn stored(visit: &Visit, number: i64) -> Result<PrinterEntry, Error> {
    let id = PrinterId::from(number);
    visit.app.read(move |conn| ops::printer(conn, id)).await.map(entry_of)
}

#[post("/printers")]
pub(super) async fn post_new(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePrinters, &form)?;
    saved(&visit, who, None, &form).await
}

#[post("/printers/{number}")]
pub(super) async fn post_printer(
    visit: Visit,
    number: web::Path<i64>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePrinters, &form)?;
    saved(&visit, who, Some(*number), &form).await
}

async fn saved(
    visit: &Visit,
    who: Who,
    number: Option<i64>,
    form: &Fields,
) -> Result<HttpResponse, PageError> {
    let (key, entry) = (form.key()?, entered(form));
    let (written, id) = (entry.clone(), number.map(PrinterId::from));
    let work = move |tx: &mut crate::store::Tx<'_>| ops::save(tx, &key, id, &written);
    match visit.app.write(who, work).await {
        Ok(number) => {
            let said = format!("{} is kept; try it now", entry.name);
            visit.go(&format!("/printers/{number}"), Ok(said))
        }
        Err(error) => {
            let answer = refusal(error)?;
            let frame = visit.answered(Task::Labels, Some(answer)).await?;
            Ok(visit.show_refused(&PrinterPage::new(frame, number, entry)))
        }
    }
}

#[post("/printers/{number}/try")]
pub(super) async fn post_try(
    visit: Visit,
    number: web::Path<i64>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may_post(Permission::ManagePrinters, &form)?;
    let entry = stored(&visit, *number).await?;
    let id = PrinterId::from(*number);
    let tried = visit.app.read(move |conn| ops::try_it(conn, id)).await?.await;
    let frame = visit.answered(Task::Labels, None).await?;
    let page = PrinterPage::new(frame, Some(*number), entry);
    Ok(visit.show(&PrinterPage { tried: Some(tried), ..page }))
}

/// Takes the certificate that a printer showed as the one that it must show.
#[post("/printers/{number}/certificate")]
pub(super) async fn post_certificate(
    visit: Visit,
    number: web::Path<i64>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePrinters, &form)?;
    let (key, id) = (form.key()?, PrinterId::from(*number));
    let certificate = form.text("certificate").to_owned();
    let entry = PrinterEntry { certificate, ..stored(&visit, *number).await? };
    let work = move |tx: &mut crate::store::Tx<'_>| ops::save(tx, &key, Some(id), &entry);
    let said = visit.app.write(who, work).await;
    let said = said.map(|_| "the certificate is kept; try the printer again".to_owned());
    visit.go(&format!("/printers/{number}"), said)
}
