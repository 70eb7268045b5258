//! Purchase orders and what is delivered on them.

use actix_web::{HttpResponse, get, post, web};
use chrono::NaiveDate;
use serde::Deserialize;

use super::reading::Body;
use super::{Pdf, created, done};
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::receiving::{self, Booked, Count, PurchaseOrderView};
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(purchase_orders, purchase_order, count, note, purchase_order_paper, goods_receipt_paper);

#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct OrdersQuery {
    /// What number and supplier must hold.
    #[serde(default)]
    q: String,
}

/// Lists purchase orders with what was booked on them and who waits for them: all of which more is to
/// come by due date, then the latest 50 that are complete.
#[utoipa::path(tag = "goods-in", params(OrdersQuery), responses((status = 200, body = [PurchaseOrderView])))]
#[get("/purchase-orders")]
async fn purchase_orders(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<OrdersQuery>,
) -> Result<web::Json<Vec<PurchaseOrderView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| receiving::list(conn, &query.q)).await?))
}

/// Shows a purchase order.
#[utoipa::path(tag = "goods-in", responses((status = 200, body = PurchaseOrderView)))]
#[get("/purchase-orders/{number}")]
async fn purchase_order(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<PurchaseOrderView>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| receiving::detail(conn, &number)).await?))
}

/// What was counted of one line.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewCount {
    /// A key of your own for this request.
    request_key: String,
    /// The line's number in the purchase order.
    line: i64,
    /// Good pieces, which go to their bin.
    #[serde(default)]
    good: Quantity,
    /// Damaged pieces, which go to quarantine.
    #[serde(default)]
    damaged: Quantity,
    /// The supplier's lot, where the part is tracked by lot.
    #[serde(default)]
    lot: String,
    /// The lot's last day of use.
    use_by: Option<NaiveDate>,
    /// Serial numbers, those of good pieces first, where the part is tracked by them.
    #[serde(default)]
    serials: Vec<String>,
    /// The bin to put them in, where it is not the part's own.
    #[serde(default)]
    bin: String,
    /// The supplier's delivery note.
    #[serde(default)]
    delivery_note: String,
    /// What the receiver has to say.
    #[serde(default)]
    note: String,
    /// Whether the rest of the line will not come.
    #[serde(default)]
    close: bool,
    /// The number of the announcement that it was counted of.
    announced: Option<i64>,
}

/// Books what was counted of one line, and holds stock anew for waiting orders.
#[utoipa::path(tag = "goods-in", request_body = NewCount, responses((status = 201, body = Booked),
    (status = 422, description = "receiving.nothing, .over_needs_note, .no_lot, .serial_count, \
        .serial_twice, .serial_known, .no_bin")))]
#[post("/purchase-orders/{number}/counts")]
async fn count(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Receive)?;
    let it: NewCount = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let count = Count {
        line: it.line,
        good: it.good,
        damaged: it.damaged,
        lot: it.lot,
        use_by: it.use_by,
        serials: it.serials,
        bin: it.bin,
        delivery_note: it.delivery_note,
        note: it.note,
        close: it.close,
        announced: it.announced,
    };
    let booked = app.write(who, move |tx| receiving::receive(tx, &key, &number, &count)).await?;
    Ok(created(&booked))
}

/// What the supplier is to know.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewNote {
    /// A key of your own for this request.
    request_key: String,
    /// The note; empty where there is none.
    note: String,
}

/// Keeps what the supplier is to know, which stands on the purchase order's paper.
#[utoipa::path(tag = "goods-in", request_body = NewNote, responses((status = 204),
    (status = 422, description = "receiving.note")))]
#[post("/purchase-orders/{number}/note")]
async fn note(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::Buy)?;
    let it: NewNote = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    app.write(who, move |tx| receiving::set_note(tx, &key, &number, &it.note)).await?;
    Ok(done())
}

/// Prints a purchase order for the supplier.
#[utoipa::path(tag = "goods-in",
    responses((status = 200, body = Pdf, content_type = "application/pdf")))]
#[get("/purchase-orders/{number}/paper")]
async fn purchase_order_paper(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    let bytes = app.read(move |conn| receiving::purchase_order(conn, &number, today)).await?;
    Ok(pdf("purchase-order.pdf", bytes))
}

/// Prints what was counted against a purchase order, to be signed.
#[utoipa::path(tag = "goods-in",
    responses((status = 200, body = Pdf, content_type = "application/pdf")))]
#[get("/purchase-orders/{number}/goods-receipt")]
async fn goods_receipt_paper(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    let bytes = app.read(move |conn| receiving::goods_receipt(conn, &number, today)).await?;
    Ok(pdf("goods-receipt.pdf", bytes))
}
