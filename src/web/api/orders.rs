//! Orders, what can leave, and missing-part alerts.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::done;
use super::reading::{Body, KeyOnly};
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::orders::{self as order_ops, OrderView, Reserved};
use crate::ops::shortages::{self, Alert};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(orders, order, reserve, cancel, alerts);

#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct OrdersQuery {
    /// Words that number, customer or kit numbers must all hold.
    #[serde(default)]
    q: String,
}

/// Lists orders with kits, alerts, and whether each can leave today: all that are in the house by
/// promised date, then the latest 200 that have left or were cancelled.
#[utoipa::path(tag = "orders", params(OrdersQuery), responses((status = 200, body = [OrderView])))]
#[get("/orders")]
async fn orders(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<OrdersQuery>,
) -> Result<web::Json<Vec<OrderView>>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| order_ops::list(conn, &query.q, today)).await?.orders))
}

/// Shows an order.
#[utoipa::path(tag = "orders", responses((status = 200, body = OrderView)))]
#[get("/orders/{number}")]
async fn order(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<OrderView>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| order_ops::detail(conn, &number, today)).await?))
}

/// Holds free stock anew for all open kits, in order of promised date. It may be sent again at will.
#[utoipa::path(tag = "orders", responses((status = 200, body = Reserved)))]
#[post("/orders/reserve")]
async fn reserve(app: web::Data<App>, actor: Actor) -> Result<web::Json<Reserved>, Problem> {
    let who = actor.may(Permission::ManageOrders)?;
    Ok(web::Json(app.write(who, order_ops::reserve).await?))
}

/// Cancels an order that nobody has begun to pick.
#[utoipa::path(tag = "orders", request_body = KeyOnly, responses(
    (status = 204), (status = 409, description = "orders.begun")))]
#[post("/orders/{number}/cancel")]
async fn cancel(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManageOrders)?;
    let it: KeyOnly = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    app.write(who, move |tx| order_ops::cancel(tx, &key, &number)).await?;
    Ok(done())
}

/// Lists what kits lack, at which step, and what is on its way or can be made.
#[utoipa::path(tag = "orders", responses((status = 200, body = [Alert])))]
#[get("/alerts")]
async fn alerts(app: web::Data<App>, actor: Actor) -> Result<web::Json<Vec<Alert>>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| shortages::list(conn, today)).await?))
}
