//! Suppliers' own codes: reading a delivery's labels, and learning what they mean.

use actix_web::{HttpResponse, delete, get, post, web};
use serde::Deserialize;

use super::reading::Body;
use super::{created, done};
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::supplier_codes::{self, CodeAnswer, LabelView, NewSupplierCode, SupplierCodeView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(label, codes, learn, confirm, forget);

/// The bar codes of one label, as a scanner sent them.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Scans {
    /// One text for each bar code, in the order of scanning.
    scans: Vec<String>,
}

/// Reads a supplier's label for a purchase order: which line it is, with lot, day and count.
#[utoipa::path(tag = "goods-in", request_body = Scans, responses((status = 200, body = LabelView)))]
#[post("/purchase-orders/{number}/label")]
async fn label(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<LabelView>, Problem> {
    actor.may(Permission::Look)?;
    let it: Scans = body.json().await?;
    let today = app.now().date();
    let read = move |conn: &mut _| supplier_codes::read_label(conn, &number, &it.scans, today);
    Ok(web::Json(app.read(read).await?))
}

/// Lists what suppliers' codes mean, those that wait for a second person first.
#[utoipa::path(tag = "goods-in", responses((status = 200, body = [SupplierCodeView])))]
#[get("/supplier-codes")]
async fn codes(
    app: web::Data<App>,
    actor: Actor,
) -> Result<web::Json<Vec<SupplierCodeView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(supplier_codes::list).await?))
}

/// A code to be learned.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewCode {
    /// A key of your own for this request.
    request_key: String,
    /// gtin or item.
    kind: String,
    /// The code on the label; a GTIN with 14 digits.
    code: String,
    /// The line of the purchase order that it is.
    line: i64,
}

/// Says which line a supplier's code means; it counts once a second person has confirmed it.
#[utoipa::path(tag = "goods-in", request_body = NewCode, responses((status = 201, body = CodeAnswer),
    (status = 409, description = "supplier_codes.other_part"),
    (status = 422, description = "supplier_codes.code")))]
#[post("/purchase-orders/{number}/codes")]
async fn learn(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Receive)?;
    let it: NewCode = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let code = NewSupplierCode { kind: it.kind, code: it.code, line: it.line };
    let work = move |tx: &mut crate::store::Tx<'_>| supplier_codes::learn(tx, &key, &number, &code);
    Ok(created(&app.write(who, work).await?))
}

/// The key of a request that says nothing else.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Keyed {
    /// A key of your own for this request.
    request_key: String,
}

/// Confirms, as a second person, what a supplier's code means.
#[utoipa::path(tag = "goods-in", request_body = Keyed, responses((status = 201, body = CodeAnswer),
    (status = 409, description = "supplier_codes.same_person")))]
#[post("/supplier-codes/{id}/confirmations")]
async fn confirm(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ConfirmCodes)?;
    let it: Keyed = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let work = move |tx: &mut crate::store::Tx<'_>| supplier_codes::confirm(tx, &key, *id);
    Ok(created(&app.write(who, work).await?))
}

/// Forgets what a supplier's code means.
#[utoipa::path(tag = "goods-in", request_body = Keyed, responses((status = 204)))]
#[delete("/supplier-codes/{id}")]
async fn forget(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ConfirmCodes)?;
    let it: Keyed = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    app.write(who, move |tx| supplier_codes::forget(tx, &key, *id)).await?;
    Ok(done())
}
