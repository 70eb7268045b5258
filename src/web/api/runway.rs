//! How long stock lasts, what will be lacking, walls of bins and their cards, spend and dead stock.

use actix_web::{HttpResponse, get, post, web};
use chrono::{Days, NaiveDate};
use serde::Deserialize;

use super::created;
use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::reorder::{self, CardOrder, DeadStock, RunwayView, Shortages, Spend, Wall};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(runway, shortages, wall, card, spend, dead_stock);

/// Shows how long the stock of a part lasts, week by week for half a year, with the band around it,
/// what arrives and what expires.
#[utoipa::path(tag = "reorder", responses((status = 200, body = RunwayView),
    (status = 409, description = "reorder.not_judged")))]
#[get("/reorder/parts/{part_number}/runway")]
async fn runway(
    app: web::Data<App>,
    actor: Actor,
    part_number: web::Path<String>,
) -> Result<web::Json<RunwayView>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder::runway(conn, today, &part_number)).await?))
}

/// Shows what will be lacking in each week of the half year, by part, if nothing more is ordered.
#[utoipa::path(tag = "reorder", responses((status = 200, body = Shortages)))]
#[get("/reorder/shortages")]
async fn shortages(app: web::Data<App>, actor: Actor) -> Result<web::Json<Shortages>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder::shortages(conn, today)).await?))
}

#[derive(Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct OfZone {
    /// The zone of the bins; where it is not named, the one with the greatest share of two-bin parts.
    #[serde(default)]
    zone: String,
}

/// Shows how full each bin of a wall is, and of which parts must be told today.
#[utoipa::path(tag = "reorder", params(OfZone), responses((status = 200, body = Wall)))]
#[get("/reorder/wall")]
async fn wall(
    app: web::Data<App>,
    actor: Actor,
    of: web::Query<OfZone>,
) -> Result<web::Json<Wall>, Problem> {
    actor.may(Permission::Look)?;
    let now = app.now();
    Ok(web::Json(app.read(move |conn| reorder::wall(conn, now, &of.zone)).await?))
}

/// The scan of an empty bin's card.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewCardScan {
    /// A key of your own for this request.
    request_key: String,
    /// What was scanned: the card, or the bin.
    scan: String,
}

/// Puts what the card of an empty bin orders onto its supplier's draft; scanned again within fifteen
/// minutes, it orders nothing more.
#[utoipa::path(tag = "reorder", request_body = NewCardScan,
    responses((status = 201, body = CardOrder),
    (status = 422, description = "card.scan, .not_a_card, .no_part, .several, .made_here, \
        .no_quantity; purchasing.no_whole_packs, .below_least")))]
#[post("/reorder/cards")]
async fn card(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewCardScan = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let done = app.write(who, move |tx| reorder::scan_card(tx, &key, &it.scan)).await?;
    Ok(created(&done))
}

/// Shows what deliveries cost in each of the last twelve months, by supplier.
#[utoipa::path(tag = "reorder", responses((status = 200, body = Spend)))]
#[get("/reorder/spend")]
async fn spend(app: web::Data<App>, actor: Actor) -> Result<web::Json<Spend>, Problem> {
    actor.may(Permission::Buy)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder::spend(conn, today)).await?))
}

#[derive(Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct SinceDay {
    /// Not used in the month of this day or later; 180 days ago where it is not said.
    since: Option<NaiveDate>,
}

/// Shows the parts that nobody has used since a day and that last longer than a year.
#[utoipa::path(tag = "reorder", params(SinceDay), responses((status = 200, body = DeadStock)))]
#[get("/reorder/dead-stock")]
async fn dead_stock(
    app: web::Data<App>,
    actor: Actor,
    asked: web::Query<SinceDay>,
) -> Result<web::Json<DeadStock>, Problem> {
    actor.may(Permission::Buy)?;
    let today = app.now().date();
    let usual = today.checked_sub_days(Days::new(180)).unwrap_or(today);
    let since = asked.since.unwrap_or(usual);
    Ok(web::Json(app.read(move |conn| reorder::dead_stock(conn, today, since)).await?))
}
