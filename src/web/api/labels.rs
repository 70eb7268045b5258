//! Labels as PDF.

use actix_web::{HttpResponse, post, web};
use serde::Deserialize;

use super::reading::Body;
use crate::domain::labels::LabelKind;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::labels;
use crate::paper::Media;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(print);

/// Labels to print.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewLabels {
    /// part, bin, lot, serial or carton.
    kind: String,
    /// What to label: a part number, bin code or carton number; for a lot or serial label the part
    /// number, a slash, and the lot or serial number.
    ids: Vec<String>,
    /// How many of each; one where it is left out.
    copies: Option<u32>,
    /// What they are printed on; a roll where it is left out.
    #[serde(default)]
    paper: Paper,
}

/// What labels are printed on.
#[derive(Deserialize, Default, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
enum Paper {
    /// One label a page.
    #[default]
    Roll,
    /// Sheets of labels in a grid.
    A4(Grid),
}

/// The labels of a sheet.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Grid {
    /// Labels side by side.
    columns: u32,
    /// Labels one below the other.
    rows: u32,
    /// The first label that is still free, from 1; the first where it is left out.
    start: Option<u32>,
}

impl From<Paper> for Media {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::Roll => Self::Roll,
            Paper::A4(Grid { columns, rows, start }) => {
                Self::A4 { columns, rows, start: start.unwrap_or(1) }
            }
        }
    }
}

/// Prints labels: one for each id, as many copies of each.
#[utoipa::path(tag = "labels", request_body = NewLabels, responses(
    (status = 200, body = Vec<u8>, content_type = "application/pdf"),
    (status = 422, description = "labels.kind, labels.none, labels.identity, paper.unprintable")))]
#[post("/labels")]
async fn print(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    actor.may(Permission::PrintLabels)?;
    let it: NewLabels = body.json().await?;
    let kind: LabelKind =
        it.kind.parse().map_err(|fault| Error::invalid("labels.kind", format!("kind: {fault}")))?;
    let (copies, media) = (it.copies.unwrap_or(1), Media::from(it.paper));
    let bytes = app.read(move |conn| labels::labels(conn, kind, &it.ids, copies, media)).await?;
    Ok(pdf("labels.pdf", bytes))
}
