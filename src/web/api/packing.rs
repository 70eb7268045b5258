//! The bench: cartons, proofs, seals, papers, hand-over.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::Pdf;
use super::done;
use super::reading::{Body, KeyOnly};
use crate::domain::people::Permission;
use crate::ops::packing::{self, BenchView, PackScan};
use crate::ops::verification::link_path;
use crate::ops::{RequestKey, ScanAnswer, labels};
use crate::store::Tx;
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(bench, scan, take_out, short, not_short, seal, hand_over, packing_list);

/// Shows the bench with one kit: cartons, lines, proofs, and what keeps it in the house.
#[utoipa::path(tag = "packing", responses((status = 200, body = BenchView)))]
#[get("/kits/{number}")]
async fn bench(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<BenchView>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| packing::bench(conn, &number)).await?))
}

/// One scan at the bench.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPackScan {
    /// A key of your own for this request.
    request_key: String,
    /// What the scanner sent, or what was typed.
    code: String,
    /// The carton being packed, by its place in the kit; the first open one where it is left out.
    carton: Option<u32>,
    /// How many pieces are in hand; all that the tote holds for the line where it is left out.
    quantity: Option<Quantity>,
}

/// Takes one scan: chooses the carton, refuses what does not belong, or moves pieces into it.
///
/// A refusal is an answer with outcome "refused", not a problem.
#[utoipa::path(tag = "packing", request_body = NewPackScan,
    responses((status = 200, body = ScanAnswer), (status = 409, description = "packing.not_picked")))]
#[post("/kits/{number}/scans")]
async fn scan(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<ScanAnswer>, Problem> {
    let who = actor.may(Permission::Pack)?;
    let it: NewPackScan = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let scan = PackScan { code: it.code, carton: it.carton, quantity: it.quantity };
    let answer = app.write(who, move |tx| packing::scan(tx, &key, &number, &scan)).await?;
    Ok(web::Json(answer))
}

/// A line of the kit.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct LineOfKit {
    /// A key of your own for this request.
    request_key: String,
    /// The line's number in the kit.
    line: i64,
}

/// Takes a line out of its carton, back into the tote; a sealed carton is opened by it.
#[utoipa::path(tag = "packing", request_body = LineOfKit,
    responses((status = 200, body = ScanAnswer), (status = 409, description = "packing.not_in_carton")))]
#[post("/kits/{number}/take-out")]
async fn take_out(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<ScanAnswer>, Problem> {
    let who = actor.may(Permission::Pack)?;
    let it: LineOfKit = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let answer = app.write(who, move |tx| packing::take_out(tx, &key, &number, it.line)).await?;
    Ok(web::Json(answer))
}

/// A line that a box leaves without.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewShort {
    /// A key of your own for this request.
    request_key: String,
    /// The line's number in the kit.
    line: i64,
    /// Why, and when it follows: the receiver reads it.
    reason: String,
}

/// Lets the box leave without what is not yet picked of a line.
///
/// Parts that stop the build or the ride take the owner; papers and packing never stay behind.
#[utoipa::path(tag = "packing", request_body = NewShort, responses((status = 204),
    (status = 422, description = "short.never, short.owner_only, short.no_reason, short.too_many")))]
#[post("/kits/{number}/short")]
async fn short(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Pack)?;
    let it: NewShort = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let ship = move |tx: &mut Tx<'_>| packing::ship_short(tx, &key, &number, it.line, &it.reason);
    app.write(who, ship).await?;
    Ok(done())
}

/// Takes back that the box leaves without a line.
#[utoipa::path(tag = "packing", request_body = LineOfKit,
    responses((status = 204), (status = 409, description = "packing.sealed")))]
#[post("/kits/{number}/not-short")]
async fn not_short(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Pack)?;
    let it: LineOfKit = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    app.write(who, move |tx| packing::not_short(tx, &key, &number, it.line)).await?;
    Ok(done())
}

/// Seals a carton, once every piece of it is scanned in or left out with a reason.
#[utoipa::path(tag = "packing", request_body = KeyOnly,
    responses((status = 204), (status = 409, description = "carton.unproved")))]
#[post("/kits/{number}/cartons/{position}/seal")]
async fn seal(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, u32)>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Pack)?;
    let it: KeyOnly = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let (number, position) = path.into_inner();
    app.write(who, move |tx| packing::seal(tx, &key, &number, position)).await?;
    Ok(done())
}

/// Hands a sealed kit to the carrier.
#[utoipa::path(tag = "packing", request_body = KeyOnly,
    responses((status = 204), (status = 409, description = "packing.not_sealed")))]
#[post("/kits/{number}/hand-over")]
async fn hand_over(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Pack)?;
    let it: KeyOnly = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    app.write(who, move |tx| packing::hand_over(tx, &key, &number)).await?;
    Ok(done())
}

/// Prints the packing list of a sealed carton, with the code that opens the receiver's page.
#[utoipa::path(tag = "packing", responses(
    (status = 200, body = Pdf, content_type = "application/pdf"),
    (status = 409, description = "papers.not_sealed")))]
#[get("/kits/{number}/cartons/{position}/packing-list")]
async fn packing_list(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, u32)>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let (number, position) = path.into_inner();
    let (now, shop) = (app.now(), app.settings().public_url.clone());
    let print = move |conn: &mut _| {
        let link = format!("{shop}{}", link_path(conn, &number, now)?);
        labels::packing_list(conn, &number, position, &link, now.date())
    };
    Ok(pdf("packing-list.pdf", app.read(print).await?))
}
