//! The life of a purchase order: drafted, approved, sent, changed, confirmed, chased; and charges on
//! its deliveries.

use actix_web::{HttpResponse, get, post, put, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::reading::{Body, KeyOnly};
use super::{created, done};
use crate::domain::people::Permission;
use crate::domain::purchasing::State;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::purchasing::{
    self, Approve, BuyingView, ChargeEntry, ChargeView, ChaseView, Done, DraftLine, Drafted,
    LateView, LineEdit, PromiseEntry,
};
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(
    orders, late, limit, set_limit, draft, detail, edit, close, reopen, approve, sent, mail,
    confirm, chase, cancel, charges, charge
);

/// Which orders.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Filter {
    /// draft, approved, sent, confirmed, partly received, received, closed short or cancelled; all
    /// where it is not said.
    #[serde(default)]
    state: String,
}

/// Returns the state of a word; nothing where it is empty.
pub(in crate::web) fn state_of(word: &str) -> Result<Option<State>, Error> {
    if word.is_empty() {
        return Ok(None);
    }
    let found = State::ALL.into_iter().find(|it| it.as_str() == word);
    found.map(Some).ok_or_else(|| {
        let all = State::ALL.map(State::as_str).join(", ");
        Error::invalid("purchasing.no_state", format!("state: take one of {all}, not '{word}'"))
    })
}

/// Lists purchase orders with how they stand, the newest first.
#[utoipa::path(tag = "purchasing", params(Filter), responses((status = 200, body = [BuyingView])))]
#[get("/purchasing/orders")]
async fn orders(
    app: web::Data<App>,
    actor: Actor,
    filter: web::Query<Filter>,
) -> Result<web::Json<Vec<BuyingView>>, Problem> {
    actor.may(Permission::Buy)?;
    let state = state_of(&filter.state)?;
    Ok(web::Json(app.read(move |conn| purchasing::list(conn, state)).await?))
}

/// Shows one purchase order with its history.
#[utoipa::path(tag = "purchasing", responses((status = 200, body = BuyingView)))]
#[get("/purchasing/orders/{number}")]
async fn detail(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<BuyingView>, Problem> {
    actor.may(Permission::Buy)?;
    Ok(web::Json(app.read(move |conn| purchasing::detail(conn, &number)).await?))
}

/// Lists the lines that are late, promised late or not confirmed, and which kits wait for them.
#[utoipa::path(tag = "purchasing", responses((status = 200, body = [LateView])))]
#[get("/purchasing/late")]
async fn late(app: web::Data<App>, actor: Actor) -> Result<web::Json<Vec<LateView>>, Problem> {
    actor.may(Permission::Buy)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| purchasing::late(conn, today)).await?))
}

/// What a buyer may approve.
#[derive(Serialize, utoipa::ToSchema)]
struct Limit {
    /// Cents above which the owner approves; nothing where there is no limit.
    limit_cents: Option<i64>,
}

/// Tells the amount above which the owner approves.
#[utoipa::path(tag = "purchasing", responses((status = 200, body = Limit)))]
#[get("/purchasing/limit")]
async fn limit(app: web::Data<App>, actor: Actor) -> Result<web::Json<Limit>, Problem> {
    actor.may(Permission::Buy)?;
    let limit = app.read(purchasing::limit).await?;
    Ok(web::Json(Limit { limit_cents: limit.map(|it| it.cents()) }))
}

/// What a buyer may approve from now on.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewLimit {
    /// A key of your own for this request.
    request_key: String,
    /// Cents above which the owner approves; nothing takes the limit away.
    limit_cents: Option<i64>,
}

/// Says the amount above which the owner approves.
#[utoipa::path(tag = "purchasing", request_body = NewLimit, responses((status = 204),
    (status = 422, description = "purchasing.limit")))]
#[put("/purchasing/limit")]
async fn set_limit(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::SetPurchaseLimit)?;
    let it: NewLimit = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    app.write(who, move |tx| purchasing::set_limit(tx, &key, it.limit_cents)).await?;
    Ok(done())
}

/// Parts for one supplier.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewDraft {
    /// A key of your own for this request.
    request_key: String,
    /// The supplier's code.
    supplier: String,
    /// The parts.
    lines: Vec<DraftLine>,
}

/// Puts parts on the supplier's open draft, or on a new one.
#[utoipa::path(tag = "purchasing", request_body = NewDraft, responses((status = 201, body = Drafted),
    (status = 422, description = "purchasing.no_parts, .no_pieces, .too_many, .no_whole_packs, \
        .below_least, .other_supplier, .price, .lead_time")))]
#[post("/purchasing/drafts")]
async fn draft(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewDraft = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let work = move |tx: &mut crate::store::Tx<'_>| {
        purchasing::draft_lines_once(tx, &key, &it.supplier, &it.lines)
    };
    Ok(created(&app.write(who, work).await?))
}

/// What a line is to become.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewLine {
    /// A key of your own for this request.
    request_key: String,
    /// The line's number; none for a new line.
    line: Option<i64>,
    /// The part number of a new line.
    #[serde(default)]
    part_number: String,
    /// Pieces ordered; 0 takes the line off an order that no supplier has seen.
    quantity: Quantity,
    /// What `price_per` pieces cost, in cents.
    price_cents: Option<i64>,
    /// The pieces that the price is for.
    price_per: Option<i64>,
    /// The day on which they are wanted.
    wanted_on: Option<NaiveDate>,
    /// Why they are ordered.
    #[serde(default)]
    reason: String,
}

/// Changes a line or adds one; what the supplier has becomes the next revision.
#[utoipa::path(tag = "purchasing", request_body = NewLine, responses((status = 200, body = Done),
    (status = 409, description = "purchasing.state"),
    (status = 422, description = "purchasing.has_come, .price_has_come, .line_closed")))]
#[post("/purchasing/orders/{number}/lines")]
async fn edit(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewLine = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let edit = LineEdit {
        line: it.line,
        part_number: it.part_number,
        quantity: it.quantity,
        price_cents: it.price_cents,
        price_per: it.price_per,
        wanted_on: it.wanted_on,
        reason: it.reason,
    };
    let work = move |tx: &mut crate::store::Tx<'_>| purchasing::edit_line(tx, &key, &number, &edit);
    Ok(web::Json(app.write(who, work).await?))
}

/// Words with a request.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Because {
    /// A key of your own for this request.
    request_key: String,
    /// Why, or how.
    words: String,
}

/// Closes a line of which no more will come.
#[utoipa::path(tag = "purchasing", request_body = Because, responses((status = 200, body = Done),
    (status = 422, description = "purchasing.why")))]
#[post("/purchasing/orders/{number}/lines/{line}/close")]
async fn close(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, i64)>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: Because = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let (number, line) = path.into_inner();
    let work = move |tx: &mut crate::store::Tx<'_>| {
        purchasing::close_line(tx, &key, &number, (line, &it.words))
    };
    Ok(web::Json(app.write(who, work).await?))
}

/// Opens a line again that was closed too early.
#[utoipa::path(tag = "purchasing", request_body = KeyOnly, responses((status = 200, body = Done)))]
#[post("/purchasing/orders/{number}/lines/{line}/reopen")]
async fn reopen(
    app: web::Data<App>,
    actor: Actor,
    path: web::Path<(String, i64)>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: KeyOnly = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let (number, line) = path.into_inner();
    let work =
        move |tx: &mut crate::store::Tx<'_>| purchasing::reopen_line(tx, &key, &number, line);
    Ok(web::Json(app.write(who, work).await?))
}

/// An approval.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewApproval {
    /// A key of your own for this request.
    request_key: String,
    /// Whether the supplier takes it though it comes to less than they ask.
    #[serde(default)]
    below_minimum_agreed: bool,
}

/// Approves an order: a second person does, or the owner.
#[utoipa::path(tag = "purchasing", request_body = NewApproval, responses((status = 200, body = Done),
    (status = 422, description = "purchasing.own_work, .above_limit, .value_unknown, \
        .below_minimum, .no_lines")))]
#[post("/purchasing/orders/{number}/approve")]
async fn approve(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewApproval = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let approval = Approve { below_minimum_agreed: it.below_minimum_agreed };
    let work =
        move |tx: &mut crate::store::Tx<'_>| purchasing::approve(tx, &key, &number, approval);
    Ok(web::Json(app.write(who, work).await?))
}

/// Notes that somebody sent the order themselves, and how.
#[utoipa::path(tag = "purchasing", request_body = Because, responses((status = 200, body = Done),
    (status = 422, description = "purchasing.how")))]
#[post("/purchasing/orders/{number}/sent")]
async fn sent(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: Because = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let work = move |tx: &mut crate::store::Tx<'_>| purchasing::sent(tx, &key, &number, &it.words);
    Ok(web::Json(app.write(who, work).await?))
}

/// Sends the order to its supplier by e-mail, with its PDF and its UBL document.
#[utoipa::path(tag = "purchasing", request_body = KeyOnly, responses((status = 200, body = Done),
    (status = 409, description = "purchasing.state, outbox.no_server"),
    (status = 422, description = "purchasing.no_address")))]
#[post("/purchasing/orders/{number}/mail")]
async fn mail(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: KeyOnly = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let work = move |tx: &mut crate::store::Tx<'_>| purchasing::mail(tx, &key, &number);
    Ok(web::Json(app.write(who, work).await?))
}

/// What a supplier's confirmation says.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewConfirmation {
    /// A key of your own for this request.
    request_key: String,
    /// The number of the supplier's own document; may be empty.
    #[serde(default)]
    reference: String,
    /// Line by line.
    lines: Vec<PromiseEntry>,
}

/// Notes the days and pieces that a supplier confirms.
#[utoipa::path(tag = "purchasing", request_body = NewConfirmation,
    responses((status = 200, body = Done), (status = 422, description = "purchasing.no_promise")))]
#[post("/purchasing/orders/{number}/confirm")]
async fn confirm(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewConfirmation = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let work = move |tx: &mut crate::store::Tx<'_>| {
        purchasing::confirm(tx, &key, &number, (&it.reference, &it.lines))
    };
    Ok(web::Json(app.write(who, work).await?))
}

/// A request key beside what is asked.
#[derive(Deserialize, utoipa::ToSchema)]
struct Keyed<T> {
    /// A key of your own for this request.
    request_key: String,
    #[serde(flatten)]
    it: T,
}

/// Asks the supplier where an order stays, or notes that somebody did.
#[utoipa::path(tag = "purchasing", request_body = Keyed<ChaseView>,
    responses((status = 200, body = Done),
    (status = 409, description = "purchasing.chased, purchasing.state, outbox.no_server"),
    (status = 422, description = "purchasing.no_words, .no_address")))]
#[post("/purchasing/orders/{number}/chase")]
async fn chase(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let Keyed { request_key, it }: Keyed<ChaseView> = body.json().await?;
    let key: RequestKey = request_key.parse()?;
    let work = move |tx: &mut crate::store::Tx<'_>| purchasing::chase(tx, &key, &number, &it);
    Ok(web::Json(app.write(who, work).await?))
}

/// Calls an order off of which nothing has come.
#[utoipa::path(tag = "purchasing", request_body = Because, responses((status = 200, body = Done),
    (status = 409, description = "purchasing.state")))]
#[post("/purchasing/orders/{number}/cancel")]
async fn cancel(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Done>, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: Because = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let work =
        move |tx: &mut crate::store::Tx<'_>| purchasing::cancel(tx, &key, &number, &it.words);
    Ok(web::Json(app.write(who, work).await?))
}

/// Lists the charges on an order's deliveries, with what each part bears.
#[utoipa::path(tag = "purchasing", responses((status = 200, body = [ChargeView])))]
#[get("/purchasing/orders/{number}/charges")]
async fn charges(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<Vec<ChargeView>>, Problem> {
    actor.may(Permission::Buy)?;
    Ok(web::Json(app.read(move |conn| purchasing::charges(conn, &number)).await?))
}

/// Shares freight, duty or another charge among what a delivery brought.
#[utoipa::path(tag = "purchasing", request_body = Keyed<ChargeEntry>,
    responses((status = 201, body = Done), (status = 422, description = "purchasing.charge")))]
#[post("/purchasing/orders/{number}/charges")]
async fn charge(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Buy)?;
    let Keyed { request_key, it }: Keyed<ChargeEntry> = body.json().await?;
    let key: RequestKey = request_key.parse()?;
    let work = move |tx: &mut crate::store::Tx<'_>| purchasing::charge(tx, &key, &number, &it);
    Ok(created(&app.write(who, work).await?))
}
