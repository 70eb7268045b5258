//! Bench work: what the house makes from its own stock.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::created;
use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::bench::{
    self, Apart, BackPart, LostPart, MadeRun, MadeView, NewRun, PlanView, RunHeadView, RunView,
    TakeApart, Taken,
};
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(made_parts, plan, runs, run_detail, make, take_apart);

/// Lists what the house makes, how many can be made now, and what stops more.
#[utoipa::path(tag = "bench", responses((status = 200, body = [MadeView])))]
#[get("/bench/parts")]
async fn made_parts(
    app: web::Data<App>,
    actor: Actor,
) -> Result<web::Json<Vec<MadeView>>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| bench::list(conn, today)).await?))
}

/// How many pieces to plan for.
#[derive(Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
struct Asked {
    /// How many pieces.
    pieces: Quantity,
}

/// Plans a run: what to take from which bin and lot, and what is short.
#[utoipa::path(tag = "bench", params(Asked), responses((status = 200, body = PlanView),
    (status = 422, description = "bench.not_made_here, .empty_bill, .no_serial_to_carry, \
        .serial_in_lot")))]
#[get("/bench/parts/{part_number}/plan")]
async fn plan(
    app: web::Data<App>,
    actor: Actor,
    part_number: web::Path<String>,
    asked: web::Query<Asked>,
) -> Result<web::Json<PlanView>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    let pieces = asked.pieces;
    Ok(web::Json(app.read(move |conn| bench::plan(conn, &part_number, pieces, today)).await?))
}

/// Lists the newest runs.
#[utoipa::path(tag = "bench", responses((status = 200, body = [RunHeadView])))]
#[get("/bench/runs")]
async fn runs(app: web::Data<App>, actor: Actor) -> Result<web::Json<Vec<RunHeadView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(bench::runs).await?))
}

/// Shows a run: the lots in its pieces, and where the pieces are now.
#[utoipa::path(tag = "bench", responses((status = 200, body = RunView)))]
#[get("/bench/runs/{number}")]
async fn run_detail(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<RunView>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| bench::run(conn, &number)).await?))
}

/// A run to be made.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewRunBody {
    /// A key of your own for this request.
    request_key: String,
    /// The part number to be made.
    part_number: String,
    /// How many pieces.
    pieces: Quantity,
    /// What was taken, where that is not just what the plan says: then all of it.
    #[serde(default)]
    takes: Vec<Taken>,
    /// The serial number of each part whose number is carried over.
    #[serde(default)]
    serials: Vec<String>,
    /// What was lost beside the run.
    #[serde(default)]
    lost: Vec<LostPart>,
    /// The bin to put the pieces in, where it is not the part's own.
    #[serde(default)]
    bin: String,
}

/// Makes pieces from stock as one run, whose number is their lot.
#[utoipa::path(tag = "bench", request_body = NewRunBody, responses((status = 201, body = MadeRun),
    (status = 409, description = "bench.short, .not_free, .serial"),
    (status = 422, description = "bench.no_pieces, .wrong_take, .past_its_day, .not_in_run, \
        .serial_count, .serial_twice, .lost_needs_reason")))]
#[post("/bench/runs")]
async fn make(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Make)?;
    let it: NewRunBody = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let new = NewRun {
        part_number: it.part_number,
        pieces: it.pieces,
        takes: it.takes,
        serials: it.serials,
        lost: it.lost,
        bin: it.bin,
    };
    let made = app.write(who, move |tx| bench::make(tx, &key, &new)).await?;
    Ok(created(&made))
}

/// Pieces of a run to be taken apart.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct ApartBody {
    /// A key of your own for this request.
    request_key: String,
    /// How many pieces.
    pieces: Quantity,
    /// The bin that they lie in, where it is not the part's own.
    #[serde(default)]
    from: String,
    /// The serial number of each piece, where they have them.
    #[serde(default)]
    serials: Vec<String>,
    /// What comes back of a part, where the run drew several lots of it or not all go to its bin.
    #[serde(default)]
    back: Vec<BackPart>,
}

/// Takes pieces of a run apart; their parts come back, each as the lot or serial number it was.
#[utoipa::path(tag = "bench", request_body = ApartBody, responses((status = 201, body = Apart),
    (status = 409, description = "bench.too_many, .serial, .in_kit, stock.not_enough"),
    (status = 422, description = "bench.which_lot, .wrong_back, .lot_used_up, .where_to")))]
#[post("/bench/runs/{number}/take-apart")]
async fn take_apart(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Make)?;
    let it: ApartBody = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let apart = TakeApart { pieces: it.pieces, from: it.from, serials: it.serials, back: it.back };
    let done = app.write(who, move |tx| bench::take_apart(tx, &key, &number, &apart)).await?;
    Ok(created(&done))
}
