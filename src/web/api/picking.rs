//! Pick lists and the scans of a walk.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::Pdf;
use super::created;
use super::reading::{Body, KeyOnly};
use crate::domain::people::Permission;
use crate::ops::picking::{self, MadePickList, PickListView, PickScan, PickableView};
use crate::ops::{RequestKey, ScanAnswer, labels};
use crate::store::Tx;
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(
    pickable,
    pick_lists,
    make_pick_list,
    pick_list,
    scan,
    put_back,
    take_off,
    bin_holds_less,
    paper
);

/// Lists the kits that nobody has begun to pick.
#[utoipa::path(tag = "picking", responses((status = 200, body = [PickableView])))]
#[get("/picking/kits")]
async fn pickable(
    app: web::Data<App>,
    actor: Actor,
) -> Result<web::Json<Vec<PickableView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(picking::pickable).await?))
}

/// Which pick lists.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct ListsQuery {
    /// Whether those with nothing left to take are listed too.
    #[serde(default)]
    all: bool,
}

/// Lists the newest hundred pick lists that have something left to take.
#[utoipa::path(tag = "picking", params(ListsQuery), responses((status = 200, body = [PickListView])))]
#[get("/pick-lists")]
async fn pick_lists(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<ListsQuery>,
) -> Result<web::Json<Vec<PickListView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| picking::lists(conn, !query.all)).await?))
}

/// The kits of a new pick list.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPickList {
    /// A key of your own for this request.
    request_key: String,
    /// The kits' numbers, in the order of their slots on the cart.
    kits: Vec<String>,
}

/// Makes a pick list.
#[utoipa::path(tag = "picking", request_body = NewPickList,
    responses((status = 201, body = MadePickList), (status = 409, description = "picking.not_open")))]
#[post("/pick-lists")]
async fn make_pick_list(
    app: web::Data<App>,
    actor: Actor,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Pick)?;
    let it: NewPickList = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let made = app.write(who, move |tx| picking::make_list(tx, &key, &it.kits)).await?;
    Ok(created(&made))
}

/// Shows a pick list with its stops in the order of the walk.
#[utoipa::path(tag = "picking", responses((status = 200, body = PickListView)))]
#[get("/pick-lists/{number}")]
async fn pick_list(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<PickListView>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| picking::list(conn, &number)).await?))
}

/// One scan on a walk.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPickScan {
    /// A key of your own for this request.
    request_key: String,
    /// What the scanner sent, or what was typed.
    code: String,
    /// The take that the device shows; the first of the list where it is left out.
    take: Option<i64>,
    /// The bin that the last answer confirmed.
    bin: Option<String>,
    /// How many pieces are in hand; all that are still to be taken where it is left out.
    quantity: Option<Quantity>,
}

/// Takes one scan: confirms the bin, refuses what is wrong, or moves the pieces into the tote.
///
/// A refusal is an answer with outcome "refused", not a problem.
#[utoipa::path(tag = "picking", request_body = NewPickScan,
    responses((status = 200, body = ScanAnswer), (status = 409, description = "picking.nothing_left")))]
#[post("/pick-lists/{number}/scans")]
async fn scan(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<ScanAnswer>, Problem> {
    let who = actor.may(Permission::Pick)?;
    let it: NewPickScan = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let scan = PickScan { code: it.code, take: it.take, bin: it.bin, quantity: it.quantity };
    let answer = app.write(who, move |tx| picking::scan(tx, &key, &number, &scan)).await?;
    Ok(web::Json(answer))
}

/// A line of a kit whose picked pieces go back.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPutBack {
    /// A key of your own for this request.
    request_key: String,
    /// The line's number in the kit.
    line: i64,
}

/// Puts a line's pieces back from the tote into the bins that they came from.
#[utoipa::path(tag = "picking", request_body = NewPutBack, responses(
    (status = 200, body = ScanAnswer),
    (status = 409, description = "picking.nothing_to_put_back")))]
#[post("/kits/{number}/put-back")]
async fn put_back(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<ScanAnswer>, Problem> {
    let who = actor.may(Permission::Pick)?;
    let it: NewPutBack = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let put_back = move |tx: &mut Tx<'_>| picking::put_back(tx, &key, &number, it.line);
    Ok(web::Json(app.write(who, put_back).await?))
}

/// Takes a kit off its pick list, as long as nothing of it has been picked.
#[utoipa::path(tag = "picking", request_body = KeyOnly, responses(
    (status = 200, body = ScanAnswer),
    (status = 409, description = "picking.begun")))]
#[post("/kits/{number}/take-off")]
async fn take_off(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<ScanAnswer>, Problem> {
    let who = actor.may(Permission::Pick)?;
    let it: KeyOnly = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let take_off = move |tx: &mut Tx<'_>| picking::take_off(tx, &key, &number);
    Ok(web::Json(app.write(who, take_off).await?))
}

/// What a picker counted in a bin.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewBinCount {
    /// A key of your own for this request.
    request_key: String,
    /// The take at the bin; the first of the list where it is left out.
    take: Option<i64>,
    /// How many pieces are there.
    there: Quantity,
}

/// Corrects the book where a bin holds less than it says, and sends the walk elsewhere.
#[utoipa::path(tag = "picking", request_body = NewBinCount,
    responses((status = 200, body = ScanAnswer), (status = 422, description = "picking.not_short")))]
#[post("/pick-lists/{number}/bin-holds-less")]
async fn bin_holds_less(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<ScanAnswer>, Problem> {
    let who = actor.may(Permission::Pick)?;
    let it: NewBinCount = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let correct =
        move |tx: &mut Tx<'_>| picking::bin_holds_less(tx, &key, &number, it.take, it.there);
    Ok(web::Json(app.write(who, correct).await?))
}

/// Prints a pick list.
#[utoipa::path(tag = "picking",
    responses((status = 200, body = Pdf, content_type = "application/pdf")))]
#[get("/pick-lists/{number}/paper")]
async fn paper(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    let bytes = app.read(move |conn| labels::pick_list(conn, &number, today)).await?;
    Ok(pdf("pick-list.pdf", bytes))
}
