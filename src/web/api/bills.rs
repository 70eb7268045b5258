//! Bills of materials: revisions, differences, costs, where a part goes in, and kits that move to
//! newer bills.

use actix_web::{HttpResponse, get, post, web};
use chrono::NaiveDate;
use serde::Deserialize;

use super::done;
use super::reading::{Body, KeyOnly};
use crate::domain::catalog::Attributes;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::bills::{self, BillView, CostView, DifferenceView, Moved, Moving, UseView};
use crate::ops::kits::BomView;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(
    revisions,
    revision,
    compare,
    cost,
    release,
    where_used,
    newer_bills,
    follow_newer_bills
);

/// Lists the revisions of a bill: when each holds, and how many kits were promised it.
#[utoipa::path(tag = "catalog", responses((status = 200, body = BillView)))]
#[get("/bills-of-materials/{code}")]
async fn revisions(
    app: web::Data<App>,
    actor: Actor,
    code: web::Path<String>,
) -> Result<web::Json<BillView>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| bills::bill(conn, &code, today)).await?))
}

/// Shows one revision with its options, steps and lines.
#[utoipa::path(tag = "catalog", responses((status = 200, body = BomView)))]
#[get("/bills-of-materials/{code}/{revision}")]
async fn revision(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, String)>,
) -> Result<web::Json<BomView>, Problem> {
    actor.may(Permission::Look)?;
    let (code, name) = path.into_inner();
    Ok(web::Json(app.read(move |conn| bills::detail(conn, &code, &name)).await?))
}

/// Lists what differs from one revision to another, field by field.
#[utoipa::path(tag = "catalog", responses((status = 200, body = [DifferenceView])))]
#[get("/bills-of-materials/{code}/{revision}/compare/{other}")]
async fn compare(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, String, String)>,
) -> Result<web::Json<Vec<DifferenceView>>, Problem> {
    actor.may(Permission::Look)?;
    let (code, name, other) = path.into_inner();
    Ok(web::Json(app.read(move |conn| bills::compare(conn, &code, &name, &other)).await?))
}

/// Which options.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct CostQuery {
    /// The options chosen, such as `build=T15; size=M`. One that is left out takes its first value.
    #[serde(default)]
    options: String,
}

/// Adds up what one kit costs, level by level, in cents.
#[utoipa::path(tag = "catalog", params(CostQuery), responses((status = 200, body = CostView),
    (status = 422, description = "bills.options; kits.option_unknown, .value_unknown")))]
#[get("/bills-of-materials/{code}/{revision}/cost")]
async fn cost(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, String)>,
    query: web::Query<CostQuery>,
) -> Result<web::Json<CostView>, Problem> {
    actor.may(Permission::Look)?;
    let chosen: Attributes = query
        .options
        .parse()
        .map_err(|fault| Error::invalid("bills.options", format!("options: {fault}")))?;
    let chosen = chosen.iter().map(|(name, it)| (name.to_owned(), it.to_owned())).collect();
    let ((code, name), today) = (path.into_inner(), app.now().date());
    Ok(web::Json(app.read(move |conn| bills::cost(conn, &code, &name, &chosen, today)).await?))
}

/// A draft to be released.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct ReleaseBody {
    /// A key of your own for this request.
    request_key: String,
    /// The day from which it holds, for orders placed then or later.
    valid_from: NaiveDate,
}

/// Releases a draft from a day on.
#[utoipa::path(tag = "catalog", request_body = ReleaseBody, responses((status = 204),
    (status = 409, description = "bills.released, .same_day, .promised; kits.cycle")))]
#[post("/bills-of-materials/{code}/{revision}/release")]
async fn release(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, String)>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::EditCatalogue)?;
    let it: ReleaseBody = body.json().await?;
    let (key, (code, name)): (RequestKey, _) = (it.request_key.parse()?, path.into_inner());
    app.write_long(who, move |tx| bills::release(tx, &key, &code, &name, it.valid_from)).await?;
    Ok(done())
}

/// Lists every way in which a part gets into kits by the bills in force today.
#[utoipa::path(tag = "catalog", responses((status = 200, body = [UseView])))]
#[get("/parts/{part_number}/where-used")]
async fn where_used(
    app: web::Data<App>,
    actor: Actor,
    part_number: web::Path<String>,
) -> Result<web::Json<Vec<UseView>>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| bills::where_used(conn, &part_number, today)).await?))
}

/// Shows what moving a kit to the bills in force today would change.
#[utoipa::path(tag = "orders", responses((status = 200, body = Moving)))]
#[get("/kits/{number}/newer-bills")]
async fn newer_bills(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<Moving>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| bills::moving(conn, &number, today)).await?))
}

/// Moves a kit that nobody has begun to pick to the bills in force today.
#[utoipa::path(tag = "orders", request_body = KeyOnly, responses((status = 200, body = Moved),
    (status = 409, description = "bills.not_movable")))]
#[post("/kits/{number}/newer-bills")]
async fn follow_newer_bills(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Moved>, Problem> {
    let who = actor.may(Permission::ManageOrders)?;
    let it: KeyOnly = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    Ok(web::Json(app.write(who, move |tx| bills::move_kit(tx, &key, &number)).await?))
}
