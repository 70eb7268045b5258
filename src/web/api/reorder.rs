//! What to order, and why.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::created;
use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::reorder::{self as reorder_ops, MadePurchaseOrders, OrderPart, ReorderView};
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(reorder, order);

/// Lists the parts at or below their reorder point, by supplier, each with the reason in numbers.
#[utoipa::path(tag = "reorder", responses((status = 200, body = [ReorderView])))]
#[get("/reorder")]
async fn reorder(
    app: web::Data<App>,
    actor: Actor,
) -> Result<web::Json<Vec<ReorderView>>, Problem> {
    actor.may(Permission::Buy)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| reorder_ops::list(conn, today)).await?))
}

/// Parts to be ordered.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPurchaseOrders {
    /// A key of your own for this request.
    request_key: String,
    /// The parts, of one supplier or several.
    parts: Vec<NewOrderPart>,
}

/// One part to be ordered.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewOrderPart {
    /// The part number.
    part_number: String,
    /// How many pieces.
    quantity: Quantity,
}

impl From<NewOrderPart> for OrderPart {
    fn from(it: NewOrderPart) -> Self {
        Self { part_number: it.part_number, quantity: it.quantity }
    }
}

/// Makes one purchase order for each supplier of the parts.
#[utoipa::path(tag = "reorder", request_body = NewPurchaseOrders,
    responses((status = 201, body = MadePurchaseOrders),
    (status = 422, description = "reorder.quantity, reorder.no_supplier, reorder.twice")))]
#[post("/reorder/orders")]
async fn order(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewPurchaseOrders = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let parts: Vec<OrderPart> = it.parts.into_iter().map(OrderPart::from).collect();
    let made = app.write(who, move |tx| reorder_ops::order(tx, &key, &parts)).await?;
    Ok(created(&made))
}
