//! From a lot or serial number to every kit and person that has a piece of it.

use actix_web::{HttpResponse, get, web};
use chrono::Datelike;
use serde::Deserialize;

use crate::domain::people::Permission;
use crate::ops::trace::{self, Search, TraceView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(pieces, letters);

/// What to look for.
#[derive(Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct Asked {
    /// Lots, serial numbers or runs as they are printed or scanned, one on a line.
    #[serde(default)]
    codes: String,
    /// The part number that they are of, where another part may have the same code.
    #[serde(default)]
    part_number: String,
}

/// Shows where the pieces of lots, serial numbers and runs are: with which riders, in which boxes, and
/// in the house; those inside of bags and cut forks too.
#[utoipa::path(tag = "stock", params(Asked), responses((status = 200, body = TraceView),
    (status = 422, description = "trace.nothing, .too_many")))]
#[get("/trace")]
async fn pieces(
    app: web::Data<App>,
    actor: Actor,
    asked: web::Query<Asked>,
) -> Result<web::Json<TraceView>, Problem> {
    actor.may(Permission::Look)?;
    let year = app.now().year();
    let search = Search::of_lines(&asked.codes, &asked.part_number);
    Ok(web::Json(app.read(move |conn| trace::trace(conn, &search, year)).await?))
}

/// Writes who has pieces, or may have, as CSV for letters: one row for each kit and part.
#[utoipa::path(tag = "stock", params(Asked), responses(
    (status = 200, content_type = "text/csv", body = String),
    (status = 422, description = "trace.nothing, .too_many")))]
#[get("/trace/letters")]
async fn letters(
    app: web::Data<App>,
    actor: Actor,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::ManageOrders)?;
    let year = app.now().year();
    let search = Search::of_lines(&asked.codes, &asked.part_number);
    let text = app.read(move |conn| trace::letters(conn, &search, year)).await?;
    Ok(HttpResponse::Ok().content_type("text/csv; charset=utf-8").body(text))
}
