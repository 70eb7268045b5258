//! Parts and bills of materials.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, put, web};
use serde::Deserialize;

use super::created;
use super::reading::Body;

use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::catalog::{self, Entered, Entry, Expected, PartDetailView, PartSearch, PartView};
use crate::ops::exchange::RecordKind;
use crate::ops::kits::{self, BomView};
use crate::store::Tx;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(
    parts,
    part,
    put_part,
    put_supplier,
    put_bin,
    put_policy,
    put_planned,
    bills_of_materials
);

/// Which parts.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct PartsQuery {
    /// Words that number, name, variant or specification must all hold.
    #[serde(default)]
    q: String,
    /// The part number after which to go on: the last one of the list before.
    #[serde(default)]
    after: String,
}

/// The most parts of one answer.
const MOST_PARTS: usize = 1_000;

/// Lists parts with what lies in bins and what of it is held for kits.
#[utoipa::path(tag = "catalog", params(PartsQuery), responses((status = 200, body = [PartView])))]
#[get("/parts")]
async fn parts(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<PartsQuery>,
) -> Result<web::Json<Vec<PartView>>, Problem> {
    actor.may(Permission::Look)?;
    let PartsQuery { q, after } = query.into_inner();
    let search = PartSearch { query: q, after, most: MOST_PARTS };
    Ok(web::Json(app.read(move |conn| catalog::list(conn, &search)).await?))
}

/// Shows a part with its places and its newest movements.
#[utoipa::path(tag = "catalog", responses((status = 200, body = PartDetailView)))]
#[get("/parts/{part_number}")]
async fn part(
    app: web::Data<App>,
    actor: Actor,
    part_number: web::Path<String>,
) -> Result<web::Json<PartDetailView>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| catalog::detail(conn, &part_number)).await?))
}

/// What a part, supplier or bin is to be.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewEntry {
    /// A key of your own for this request.
    request_key: String,
    /// The number of the newest change that you know of; where a later one is there, nothing is
    /// changed. Left out, the record is made or changed however it stands.
    version: Option<i64>,
    /// Texts by the headings of the kind's CSV file. A field that is left out stays as it is.
    fields: BTreeMap<String, String>,
}

async fn put_entry(
    app: web::Data<App>,
    actor: Actor,
    kind: RecordKind,
    key: String,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(kind.permission())?;
    let it: NewEntry = body.json().await?;
    let request_key: RequestKey = it.request_key.parse()?;
    let expected = it.version.map_or(Expected::Any, Expected::Version);
    let entry = Entry { key, expected, fields: it.fields, rows: None };
    let work = move |tx: &mut Tx<'_>| catalog::put(tx, &request_key, kind, &entry);
    let entered = app.write(who, work).await?;
    Ok(if entered.new { created(&entered) } else { HttpResponse::Ok().json(&entered) })
}

/// Makes or changes a part, by the same rules as its file.
#[utoipa::path(tag = "catalog", request_body = NewEntry, responses((status = 200, body = Entered),
    (status = 201, body = Entered), (status = 409, description = "catalog.changed"),
    (status = 422, description = "catalog.entry, .unknown_field")))]
#[put("/parts/{part_number}")]
async fn put_part(
    app: web::Data<App>,
    actor: Actor,
    key: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    put_entry(app, actor, RecordKind::Part, key.into_inner(), body).await
}

/// Makes or changes a supplier, by the same rules as its file.
#[utoipa::path(tag = "catalog", request_body = NewEntry, responses((status = 200, body = Entered),
    (status = 201, body = Entered), (status = 409, description = "catalog.changed"),
    (status = 422, description = "catalog.entry, .unknown_field")))]
#[put("/suppliers/{code}")]
async fn put_supplier(
    app: web::Data<App>,
    actor: Actor,
    key: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    put_entry(app, actor, RecordKind::Supplier, key.into_inner(), body).await
}

/// Makes or changes a bin, by the same rules as its file.
#[utoipa::path(tag = "catalog", request_body = NewEntry, responses((status = 200, body = Entered),
    (status = 201, body = Entered), (status = 409, description = "catalog.changed"),
    (status = 422, description = "catalog.entry, .unknown_field")))]
#[put("/bins/{code}")]
async fn put_bin(
    app: web::Data<App>,
    actor: Actor,
    key: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    put_entry(app, actor, RecordKind::Bin, key.into_inner(), body).await
}

/// Makes or changes how a part or a class is bought, by the same rules as the file of policies.
#[utoipa::path(tag = "reorder", request_body = NewEntry, responses((status = 200, body = Entered),
    (status = 201, body = Entered), (status = 409, description = "catalog.changed"),
    (status = 422, description = "catalog.entry, .unknown_field")))]
#[put("/policies/{for}")]
async fn put_policy(
    app: web::Data<App>,
    actor: Actor,
    key: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    put_entry(app, actor, RecordKind::Policy, key.into_inner(), body).await
}

/// Plans bikes of a kit for a month, by the same rules as the file of the plan.
#[utoipa::path(tag = "reorder", request_body = NewEntry, responses((status = 200, body = Entered),
    (status = 201, body = Entered), (status = 409, description = "catalog.changed"),
    (status = 422, description = "catalog.entry, .unknown_field")))]
#[put("/plan/{kit}/{month}")]
async fn put_planned(
    app: web::Data<App>,
    actor: Actor,
    key: web::Path<(String, String)>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let (kit, month) = key.into_inner();
    put_entry(app, actor, RecordKind::PlannedMonth, format!("{month} {kit}"), body).await
}

/// Lists the bills of materials with their options, steps and lines.
#[utoipa::path(tag = "catalog", responses((status = 200, body = [BomView])))]
#[get("/bills-of-materials")]
async fn bills_of_materials(
    app: web::Data<App>,
    actor: Actor,
) -> Result<web::Json<Vec<BomView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(kits::list).await?))
}
