//! Suppliers' despatch advices.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::created;
use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::advices::{self, AdviceView, UnitView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(take, unit);

/// How to take an advice in.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct AdviceQuery {
    /// Whether only to tell what it would announce.
    #[serde(default)]
    dry_run: bool,
}

/// Takes in a supplier's UBL 2.1 DespatchAdvice: goods-in of its purchase orders shows from then on
/// what it announces, and books nothing until the pieces are counted.
///
/// Its content is its request key: the same file again changes nothing, and the answer is 200.
#[utoipa::path(tag = "goods-in", params(AdviceQuery),
    request_body(content = String, content_type = "application/xml"),
    responses((status = 201, body = AdviceView), (status = 200, body = AdviceView),
        (status = 409, description = "advices.other_content"),
        (status = 422, description = "import.faults, advices.two_suppliers")))]
#[post("/despatch-advices")]
async fn take(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<AdviceQuery>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::TakeAdvice)?;
    let bytes = body.xml().await?;
    let work = move |tx: &mut crate::store::Tx<'_>| advices::take(tx, &bytes);
    if query.dry_run {
        return Ok(HttpResponse::Ok().json(app.rehearse(who, work).await?));
    }
    let taken = app.write(who, work).await?;
    Ok(if taken.known { HttpResponse::Ok().json(&taken) } else { created(&taken) })
}

/// Finds a box or pallet that was announced by its SSCC, or by what a scanner reads from its label.
#[utoipa::path(tag = "goods-in", responses((status = 200, body = UnitView)))]
#[get("/despatch-advices/units/{number}")]
async fn unit(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<UnitView>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| advices::unit(conn, &number, today)).await?))
}
