//! The shop's printers, and the queue of what is sent to them.

use actix_web::{HttpResponse, get, post, put, web};
use serde::{Deserialize, Serialize};

use super::labels::Paper;
use super::reading::{Body, KeyOnly};
use super::{Pdf, created, done};
use crate::domain::ids::{PrintJobId, PrinterId};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::labels::PrintJob;
use crate::ops::printers::{self, PrinterEntry, PrinterView, TriedView};
use crate::ops::printing::{self, Document as Printed, PrintJobView, PrintWish};
use crate::paper::Media;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(
    list_printers,
    add_printer,
    put_printer,
    try_printer,
    list_jobs,
    add_job,
    get_job,
    get_document,
    cancel_job,
    retry_job,
    answer_job,
);

/// Lists the printers, those in use first.
#[utoipa::path(tag = "printing", responses((status = 200, body = Vec<PrinterView>)))]
#[get("/printers")]
async fn list_printers(app: web::Data<App>, actor: Actor) -> Result<HttpResponse, Problem> {
    actor.may(Permission::PrintLabels)?;
    Ok(HttpResponse::Ok().json(app.read(printers::printers).await?))
}

/// What is entered of a printer.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPrinter {
    /// A key of your own for this request.
    request_key: String,
    /// Its name in the shop.
    name: String,
    /// Its address: ipp://HOST/PATH, or ipps://HOST/PATH encrypted.
    uri: String,
    /// What it is loaded with: a4, letter, or width x height of a label in mm, such as 100x50.
    media: String,
    /// The SHA-256 digest of the certificate that an encrypted printer must show.
    #[serde(default)]
    certificate: String,
    /// What it takes: packing-list, pick-list, assembly-card, and kinds of label.
    papers: Vec<String>,
    /// Those of them for which it is named first.
    #[serde(default)]
    first_for: Vec<String>,
    /// Whether it is in use no more.
    #[serde(default)]
    retired: bool,
}

impl NewPrinter {
    fn entry(self) -> Result<(RequestKey, PrinterEntry), Error> {
        let key = self.request_key.parse()?;
        let entry = PrinterEntry {
            name: self.name,
            uri: self.uri,
            media: self.media,
            certificate: self.certificate,
            papers: self.papers,
            first_for: self.first_for,
            retired: self.retired,
        };
        Ok((key, entry))
    }
}

/// A printer's number.
#[derive(Serialize, utoipa::ToSchema)]
struct PrinterNumber {
    /// Its number.
    number: i64,
}

/// Names a printer.
#[utoipa::path(tag = "printing", request_body = NewPrinter, responses(
    (status = 201, body = PrinterNumber),
    (status = 409, description = "printers.name_taken"),
    (status = 422, description = "printers.address, printers.entry")))]
#[post("/printers")]
async fn add_printer(
    app: web::Data<App>,
    actor: Actor,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManagePrinters)?;
    let (key, entry) = body.json::<NewPrinter>().await?.entry()?;
    let number = app.write(who, move |tx| printers::save(tx, &key, None, &entry)).await?;
    Ok(created(&PrinterNumber { number }))
}

/// Changes a printer; what is left out is emptied.
#[utoipa::path(tag = "printing", request_body = NewPrinter, responses(
    (status = 204),
    (status = 409, description = "printers.name_taken"),
    (status = 422, description = "printers.address, printers.entry")))]
#[put("/printers/{id}")]
async fn put_printer(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManagePrinters)?;
    let (key, entry) = body.json::<NewPrinter>().await?.entry()?;
    let id = PrinterId::from(*id);
    app.write(who, move |tx| printers::save(tx, &key, Some(id), &entry)).await?;
    Ok(done())
}

/// Asks a printer how it stands; nothing is printed.
#[utoipa::path(tag = "printing", responses((status = 200, body = TriedView)))]
#[post("/printers/{id}/try")]
async fn try_printer(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::ManagePrinters)?;
    let id = PrinterId::from(*id);
    let answer = app.read(move |conn| printers::try_it(conn, id)).await?;
    Ok(HttpResponse::Ok().json(answer.await))
}

/// Lists the print queue: what is not over, then what was over last.
#[utoipa::path(tag = "printing", responses((status = 200, body = Vec<PrintJobView>)))]
#[get("/print-jobs")]
async fn list_jobs(app: web::Data<App>, actor: Actor) -> Result<HttpResponse, Problem> {
    actor.may(Permission::PrintLabels)?;
    Ok(HttpResponse::Ok().json(app.read(printing::jobs).await?))
}

/// Something to print.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPrintJob {
    /// A key of your own for this request: sent twice, it prints once.
    request_key: String,
    /// The printer's number; the one that is named first for the paper where it is left out.
    printer: Option<i64>,
    /// Whether it is to be printed even though the same was printed a few minutes ago.
    #[serde(default)]
    again: bool,
    /// What to print.
    what: What,
}

/// A paper, or labels.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
enum What {
    /// Labels.
    Labels(LabelsToPrint),
    /// The packing list of a sealed carton.
    PackingList(KitCarton),
    /// A pick list, by its number.
    PickList(String),
    /// A kit's assembly card.
    AssemblyCard(KitCard),
}

/// Labels to be printed on a printer.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct LabelsToPrint {
    /// part, bin, two-bin, lot, serial, quarantine, bag, kit or carton.
    kind: String,
    /// What to label, as for labels as PDF.
    ids: Vec<String>,
    /// A remark, for layouts that have room for one.
    #[serde(default)]
    note: String,
    /// How many of each; one where it is left out.
    copies: Option<u32>,
    /// What they are printed on; a roll where it is left out.
    #[serde(default)]
    paper: Paper,
}

/// A carton of a kit.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct KitCarton {
    /// The kit's number.
    kit: String,
    /// Which of its cartons, from 1.
    carton: u32,
}

/// A kit's assembly card.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct KitCard {
    /// The kit's number.
    kit: String,
    /// en, de or fr; the kit's own where it is left out.
    language: Option<String>,
    /// The mass of rider, clothes and pack, such as "82 kg"; the whole chart where it is left out.
    rider_mass: Option<String>,
}

impl What {
    fn document(self) -> Result<Printed, Error> {
        Ok(match self {
            Self::Labels(it) => Printed::Labels(PrintJob {
                kind: super::labels::kind(&it.kind)?,
                ids: it.ids,
                copies: it.copies.unwrap_or(1),
                note: it.note,
                media: Media::try_from(it.paper)?,
            }),
            Self::PackingList(it) => Printed::PackingList { kit: it.kit, position: it.carton },
            Self::PickList(number) => Printed::PickList(number),
            Self::AssemblyCard(it) => Printed::AssemblyCard {
                language: super::card::language(it.language.as_deref())?,
                rider: super::card::rider(it.rider_mass.as_deref())?,
                kit: it.kit,
            },
        })
    }
}

/// Puts labels or a paper into the print queue; 409 with printing.already where the same was asked
/// for a few minutes ago and `again` is not set.
#[utoipa::path(tag = "printing", request_body = NewPrintJob, responses(
    (status = 201, body = PrintJobView),
    (status = 409, description = "printing.already, printers.none, .other_paper, .too_small, papers.not_sealed, card.torque_conflict"),
    (status = 422, description = "what labels and papers as PDF are refused for")))]
#[post("/print-jobs")]
async fn add_job(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::PrintLabels)?;
    let it: NewPrintJob = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let wish = PrintWish {
        document: it.what.document()?,
        printer: it.printer.map(PrinterId::from),
        again: it.again,
        public_url: app.settings().public_url.clone(),
    };
    let job = app.write(who, move |tx| printing::print_on(tx, &key, &wish)).await?;
    Ok(created(&job))
}

/// Shows a print job.
#[utoipa::path(tag = "printing", responses((status = 200, body = PrintJobView)))]
#[get("/print-jobs/{id}")]
async fn get_job(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::PrintLabels)?;
    let id = PrintJobId::from(*id);
    Ok(HttpResponse::Ok().json(app.read(move |conn| printing::job(conn, id)).await?))
}

/// Gives what a print job sends, to the byte; 404 once it has been over for a week.
#[utoipa::path(tag = "printing", responses(
    (status = 200, body = Pdf, content_type = "application/pdf")))]
#[get("/print-jobs/{id}/document")]
async fn get_document(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::PrintLabels)?;
    let id = PrintJobId::from(*id);
    let bytes = app.read(move |conn| printing::pdf(conn, id)).await?;
    Ok(pdf(&format!("print-job-{id}.pdf"), bytes))
}

/// Takes a print job back: at once while it waits, else at the printer.
#[utoipa::path(tag = "printing", request_body = KeyOnly, responses(
    (status = 200, body = PrintJobView), (status = 409, description = "printing.state")))]
#[post("/print-jobs/{id}/cancel")]
async fn cancel_job(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::PrintLabels)?;
    let key: RequestKey = body.json::<KeyOnly>().await?.request_key.parse()?;
    let id = PrintJobId::from(*id);
    let job = app.write(who, move |tx| printing::cancel(tx, &key, id)).await?;
    Ok(HttpResponse::Ok().json(job))
}

/// Tries a print job that failed again, or one that waits now.
#[utoipa::path(tag = "printing", request_body = KeyOnly, responses(
    (status = 200, body = PrintJobView),
    (status = 409, description = "printing.state, printing.document_gone")))]
#[post("/print-jobs/{id}/retry")]
async fn retry_job(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::PrintLabels)?;
    let key: RequestKey = body.json::<KeyOnly>().await?.request_key.parse()?;
    let id = PrintJobId::from(*id);
    let job = app.write(who, move |tx| printing::retry(tx, &key, id)).await?;
    Ok(HttpResponse::Ok().json(job))
}

/// What a person saw at the printer.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Seen {
    /// A key of your own for this request.
    request_key: String,
    /// Whether it is on paper; where it is not, it is sent again.
    printed: bool,
}

/// Says whether a print job that may have printed did.
#[utoipa::path(tag = "printing", request_body = Seen, responses(
    (status = 200, body = PrintJobView),
    (status = 409, description = "printing.state, printing.document_gone")))]
#[post("/print-jobs/{id}/answer")]
async fn answer_job(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::PrintLabels)?;
    let it: Seen = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let id = PrintJobId::from(*id);
    let job = app.write(who, move |tx| printing::answer(tx, &key, id, it.printed)).await?;
    Ok(HttpResponse::Ok().json(job))
}
