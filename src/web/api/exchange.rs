//! CSV files in and out.

use actix_web::http::StatusCode;
use actix_web::http::header::CONTENT_DISPOSITION;
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::reading::Body;
use crate::domain::people::Permission;
use crate::exchange::{Kind, UnknownKind};
use crate::ops::exchange::{self, Imported};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(import, export);

fn kind(word: &str) -> Result<Kind, Problem> {
    word.parse().map_err(|fault: UnknownKind| {
        Problem::request(StatusCode::NOT_FOUND, "files.unknown_kind", fault.to_string())
    })
}

/// How to import.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct ImportQuery {
    /// Whether only to tell what would come of it.
    #[serde(default)]
    dry_run: bool,
}

/// Imports a file: every record, or none and every fault by line and column.
///
/// Its content is its request key: the same file of stock, orders or purchase orders is taken once.
#[utoipa::path(tag = "files", params(ImportQuery),
    request_body(content = String, content_type = "text/csv"),
    responses((status = 200, body = Imported), (status = 422, description = "import.faults")))]
#[post("/imports/{kind}")]
async fn import(
    app: web::Data<App>,
    actor: Actor,
    word: web::Path<String>,
    query: web::Query<ImportQuery>,
    body: Body,
) -> Result<web::Json<Imported>, Problem> {
    let who = actor.may(Permission::ManageOrders)?;
    let kind = kind(&word)?;
    let bytes = body.csv().await?;
    let imported = if query.dry_run {
        app.rehearse(who, move |tx| exchange::import(tx, kind, &bytes)).await?
    } else {
        app.write_long(who, move |tx| exchange::import(tx, kind, &bytes)).await?
    };
    Ok(web::Json(imported))
}

/// Exports all records of a kind as a file that imports again.
#[utoipa::path(tag = "files",
    responses((status = 200, body = String, content_type = "text/csv")))]
#[get("/exports/{kind}")]
async fn export(
    app: web::Data<App>,
    actor: Actor,
    word: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::ManageOrders)?;
    let kind = kind(&word)?;
    let text = app.read(move |conn| exchange::export(conn, kind)).await?;
    let disposition = format!("attachment; filename=\"{kind}.csv\"");
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8")
        .insert_header((CONTENT_DISPOSITION, disposition))
        .body(text))
}
