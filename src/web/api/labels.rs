//! Labels as PDF, and what has been printed.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::Pdf;
use super::reading::Body;
use crate::domain::labels::{LabelKind, Sheet};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::labels::{self, PrintJob, PrintView};
use crate::paper::Media;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(print, list_prints);

/// Labels to print.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewLabels {
    /// part, bin, two-bin, lot, serial, quarantine, bag, kit or carton.
    kind: String,
    /// What to label: a part number, bin code, kit or carton number; for a lot, serial or bag label
    /// the part number, a slash, and the lot, serial or run number; for quarantine either.
    ids: Vec<String>,
    /// A remark, for layouts that have room for one.
    #[serde(default)]
    note: String,
    /// A key of your own: sent twice, it prints the same labels and counts them once. Without one
    /// each request counts as a print of its own.
    request_key: Option<String>,
    /// How many of each; one where it is left out.
    copies: Option<u32>,
    /// What they are printed on; a roll where it is left out.
    #[serde(default)]
    paper: Paper,
}

/// What labels are printed on.
#[derive(Deserialize, Default, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum Paper {
    /// One label a page.
    #[default]
    Roll,
    /// A4 sheets with a grid of labels of the layout's own size.
    A4(Grid),
    /// Sheets of a described form.
    Sheet(Form),
}

/// A sheet by its word, or as TOML.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Form {
    /// a4, a4-a6, letter, letter-2x5, or the TOML text of a sheet.
    form: String,
    /// The first label that is still free, from 1; the first where it is left out.
    start: Option<u32>,
}

/// The labels of a sheet.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Grid {
    /// Labels side by side.
    columns: u32,
    /// Labels one below the other.
    rows: u32,
    /// The first label that is still free, from 1; the first where it is left out.
    start: Option<u32>,
}

impl TryFrom<Paper> for Media {
    type Error = Error;

    fn try_from(paper: Paper) -> Result<Self, Error> {
        let (sheet, start) = match paper {
            Paper::Roll => return Ok(Self::Roll),
            Paper::A4(Grid { columns, rows, start }) => (Sheet::a4(columns, rows), start),
            Paper::Sheet(Form { form, start }) => (labels::sheet(&form)?, start),
        };
        Ok(Self::Sheet { sheet, start: start.unwrap_or(1) })
    }
}

/// Prints labels: one for each id (two for a two-bin card), as many copies of each.
#[utoipa::path(tag = "labels", request_body = NewLabels, responses(
    (status = 200, body = Pdf, content_type = "application/pdf"),
    (status = 422, description = "labels.kind, .none, .too_many, .identity, .no_bag, .sheet, .sscc, paper.unprintable")))]
#[post("/labels")]
async fn print(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::PrintLabels)?;
    let it: NewLabels = body.json().await?;
    let kind = kind(&it.kind)?;
    let key = match &it.request_key {
        Some(key) => key.parse()?,
        None => RequestKey::fresh(),
    };
    let (copies, media) = (it.copies.unwrap_or(1), Media::try_from(it.paper)?);
    let job = PrintJob { kind, ids: it.ids, copies, note: it.note, media };
    let bytes = app.write_long(who, move |tx| labels::print(tx, &key, &job)).await?;
    Ok(pdf("labels.pdf", bytes))
}

pub(super) fn kind(word: &str) -> Result<LabelKind, Error> {
    word.parse().map_err(|fault| Error::invalid("labels.kind", format!("kind: {fault}")))
}

/// Which prints to list.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct OfIdentity {
    /// A kit or carton number, or part number, slash, and lot, serial or run number.
    identity: String,
    /// The kind of label; all where it is left out.
    kind: Option<String>,
}

/// Lists the prints of one identity, so that labels alike can be told apart.
#[utoipa::path(tag = "labels", params(OfIdentity), responses(
    (status = 200, body = Vec<PrintView>), (status = 422, description = "labels.kind")))]
#[get("/labels/prints")]
async fn list_prints(
    app: web::Data<App>,
    actor: Actor,
    asked: web::Query<OfIdentity>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::PrintLabels)?;
    let kind = asked.kind.as_deref().map(kind).transpose()?;
    let identity = asked.identity.clone();
    let prints = app.read(move |conn| labels::prints(conn, kind, &identity)).await?;
    Ok(HttpResponse::Ok().json(prints))
}
