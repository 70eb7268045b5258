//! What can leave today, and the earliest promise for a new order.

use std::collections::BTreeMap;

use actix_web::{get, post, web};
use serde::Deserialize;

use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::leaving::{self, Allocated, LeavingView, Looks, PromiseAsk, PromiseView};
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(view, allocate, promise);

/// Whether parts that are looks only may be sent after their order.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct LooksQuery {
    /// true: an order may leave without parts that are looks only.
    #[serde(default)]
    looks_after: bool,
}

const fn looks(after: bool) -> Looks {
    if after { Looks::SentAfter } else { Looks::WaitedFor }
}

/// Shows the best set of whole orders that can leave, strict promise order beside it, what differs
/// and whom it delays, and the parts that hold most back.
#[utoipa::path(tag = "orders", params(LooksQuery), responses((status = 200, body = LeavingView)))]
#[get("/leaving")]
async fn view(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<LooksQuery>,
) -> Result<web::Json<LeavingView>, Problem> {
    actor.may(Permission::Look)?;
    let (today, looks) = (app.now().date(), looks(query.looks_after));
    Ok(web::Json(app.read(move |conn| leaving::view(conn, today, looks)).await?))
}

/// The orders to be served first.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct AllocateBody {
    /// A key of your own for this request.
    request_key: String,
    /// Their numbers; none for promise order alone.
    orders: Vec<String>,
    /// Whether they may leave without parts that are looks only.
    #[serde(default)]
    looks_after: bool,
}

/// Holds stock for these orders first, now and whenever stock is held anew.
#[utoipa::path(tag = "orders", request_body = AllocateBody, responses(
    (status = 200, body = Allocated),
    (status = 404, description = "not_found"),
    (status = 409, description = "leaving.changed")))]
#[post("/leaving")]
async fn allocate(
    app: web::Data<App>,
    actor: Actor,
    body: Body,
) -> Result<web::Json<Allocated>, Problem> {
    let who = actor.may(Permission::ManageOrders)?;
    let it: AllocateBody = body.json().await?;
    let (key, looks): (RequestKey, Looks) = (it.request_key.parse()?, looks(it.looks_after));
    let work = move |tx: &mut crate::store::Tx<'_>| leaving::allocate(tx, &key, &it.orders, looks);
    Ok(web::Json(app.write(who, work).await?))
}

/// A new order that somebody asks about.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct PromiseBody {
    /// The kit's code.
    kit: String,
    /// How many; left out, 1.
    #[serde(default = "one")]
    quantity: Quantity,
    /// What is chosen, by option.
    options: BTreeMap<String, String>,
}

const fn one() -> Quantity {
    Quantity::ONE
}

/// Tells the earliest day on which a new order could leave without breaking a promise. Nothing is
/// changed.
#[utoipa::path(tag = "orders", request_body = PromiseBody, responses(
    (status = 200, body = PromiseView),
    (status = 422, description = "leaving.options, .quantity")))]
#[post("/leaving/promise")]
async fn promise(
    app: web::Data<App>,
    actor: Actor,
    body: Body,
) -> Result<web::Json<PromiseView>, Problem> {
    actor.may(Permission::Look)?;
    let it: PromiseBody = body.json().await?;
    let ask = PromiseAsk { kit: it.kit, quantity: it.quantity, options: it.options };
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| leaving::promise(conn, &ask, today)).await?))
}
