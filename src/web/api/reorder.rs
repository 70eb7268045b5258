//! The buying desk: what to order, how many, and why.

use actix_web::{HttpResponse, get, post, web};
use chrono::NaiveDate;
use serde::Deserialize;

use super::created;
use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::reorder::{
    self as reorder_ops, ClassesView, Desk, MadePurchaseOrders, OrderPart, PartNumbers, PutOff,
    PuttingOff, Releases,
};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(reorder, classes, releases, part, order, put_off);

/// Shows what to order today by supplier, each part with the reason in numbers; what is to be made
/// in the house; and what was put off.
#[utoipa::path(tag = "reorder", responses((status = 200, body = Desk)))]
#[get("/reorder")]
async fn reorder(app: web::Data<App>, actor: Actor) -> Result<web::Json<Desk>, Problem> {
    actor.may(Permission::Buy)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder_ops::desk(conn, today)).await?))
}

/// Shows the class of each bought part by yearly value and steadiness, and what its policy comes to.
#[utoipa::path(tag = "reorder", responses((status = 200, body = ClassesView)))]
#[get("/reorder/classes")]
async fn classes(app: web::Data<App>, actor: Actor) -> Result<web::Json<ClassesView>, Problem> {
    actor.may(Permission::Buy)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder_ops::classes(conn, today)).await?))
}

/// Shows what must be made and ordered in each week of the half year to come, level by level.
#[utoipa::path(tag = "reorder", responses((status = 200, body = Releases),
    (status = 409, description = "reorder.no_plan")))]
#[get("/reorder/releases")]
async fn releases(app: web::Data<App>, actor: Actor) -> Result<web::Json<Releases>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder_ops::releases(conn, today)).await?))
}

/// Shows what the suggestion for a part rests on: its past, its forecast with error and bias, and the
/// months to come.
#[utoipa::path(tag = "reorder", responses((status = 200, body = PartNumbers),
    (status = 409, description = "reorder.not_judged")))]
#[get("/reorder/parts/{part_number}")]
async fn part(
    app: web::Data<App>,
    actor: Actor,
    part_number: web::Path<String>,
) -> Result<web::Json<PartNumbers>, Problem> {
    actor.may(Permission::Buy)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder_ops::part(conn, today, &part_number)).await?))
}

/// Parts to be ordered.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPurchaseOrders {
    /// A key of your own for this request.
    request_key: String,
    /// The parts, of one supplier or several.
    parts: Vec<OrderPart>,
}

/// Puts parts on a draft purchase order for each of their suppliers. Where a part is ordered
/// otherwise than suggested, the reason is kept.
#[utoipa::path(tag = "reorder", request_body = NewPurchaseOrders,
    responses((status = 201, body = MadePurchaseOrders),
    (status = 409, description = "reorder.not_listed"),
    (status = 422, description = "reorder.no_parts, .no_supplier, .no_reason, .twice; \
        purchasing.no_pieces, .no_whole_packs, .below_least")))]
#[post("/reorder/orders")]
async fn order(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewPurchaseOrders = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let made = app.write(who, move |tx| reorder_ops::order(tx, &key, &it.parts)).await?;
    Ok(created(&made))
}

/// A suggestion to be put off.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPutOff {
    /// A key of your own for this request.
    request_key: String,
    /// The part number.
    part_number: String,
    /// The day on which it is to be suggested again.
    until: NaiveDate,
    /// Why.
    reason: String,
}

/// Puts a suggestion off to a later day, and keeps why.
#[utoipa::path(tag = "reorder", request_body = NewPutOff,
    responses((status = 201, body = PuttingOff),
    (status = 422, description = "reorder.no_reason, reorder.until")))]
#[post("/reorder/put-off")]
async fn put_off(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewPutOff = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let putting = PutOff { part_number: it.part_number, until: it.until, reason: it.reason };
    let done = app.write(who, move |tx| reorder_ops::put_off(tx, &key, &putting)).await?;
    Ok(created(&done))
}
