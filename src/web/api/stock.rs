//! Corrections, and movements that undo others.

use actix_web::{HttpResponse, post, web};
use serde::Deserialize;

use super::created;
use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::reversal;
use crate::ops::stock::{self, Correction, Posted};
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(correct, reverse);

/// Pieces to be moved by hand.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewCorrection {
    /// A key of your own for this request.
    request_key: String,
    /// The part number.
    part_number: String,
    /// The place left: a bin's code, or "count difference", "supplier", "rider", "scrap".
    from: String,
    /// The place reached: a bin's code, or one of those words.
    to: String,
    /// How many pieces.
    quantity: Quantity,
    /// The lot, where the part is tracked by lot.
    #[serde(default)]
    lot: String,
    /// The serial number, where the part is tracked by serial number.
    #[serde(default)]
    serial: String,
    /// Why.
    reason: String,
}

/// Moves pieces between bins, or corrects the book, by a movement with a reason.
#[utoipa::path(tag = "stock", request_body = NewCorrection,
    responses((status = 201, body = Posted), (status = 409, description = "stock.not_enough")))]
#[post("/stock/corrections")]
async fn correct(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::CorrectStock)?;
    let it: NewCorrection = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let correction = Correction {
        part_number: it.part_number,
        from: it.from,
        to: it.to,
        quantity: it.quantity,
        lot: it.lot,
        serial: it.serial,
        reason: it.reason,
    };
    let posted = app.write(who, move |tx| stock::correct(tx, &key, &correction)).await?;
    Ok(created(&posted))
}

/// The movement to undo.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewReversal {
    /// A key of your own for this request.
    request_key: String,
    /// The movement's number.
    movement: i64,
}

/// Undoes a movement by a second one that names it.
#[utoipa::path(tag = "stock", request_body = NewReversal,
    responses((status = 201, body = Posted), (status = 409, description = "stock.reversed")))]
#[post("/stock/reversals")]
async fn reverse(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::CorrectStock)?;
    let it: NewReversal = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let posted = app.write(who, move |tx| reversal::reverse(tx, &key, it.movement)).await?;
    Ok(created(&posted))
}
