//! The messages that the shop sends.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::reading::{Body, KeyOnly};
use crate::domain::ids::MessageId;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::outbox::{self, MessageView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(list_messages, get_message, retry_message, give_up_message, answer_message);

/// Lists the messages that are not over, then those that were over last.
#[utoipa::path(tag = "messages", responses((status = 200, body = Vec<MessageView>)))]
#[get("/messages")]
async fn list_messages(app: web::Data<App>, actor: Actor) -> Result<HttpResponse, Problem> {
    actor.may(Permission::ManageMessages)?;
    Ok(HttpResponse::Ok().json(app.read(outbox::messages).await?))
}

/// Shows a message.
#[utoipa::path(tag = "messages", responses((status = 200, body = MessageView)))]
#[get("/messages/{id}")]
async fn get_message(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::ManageMessages)?;
    let id = MessageId::from(*id);
    Ok(HttpResponse::Ok().json(app.read(move |conn| outbox::message(conn, id)).await?))
}

/// Has a message that waits or failed tried now.
#[utoipa::path(tag = "messages", request_body = KeyOnly, responses(
    (status = 200, body = MessageView), (status = 409, description = "outbox.state")))]
#[post("/messages/{id}/retry")]
async fn retry_message(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManageMessages)?;
    let key: RequestKey = body.json::<KeyOnly>().await?.request_key.parse()?;
    let id = MessageId::from(*id);
    let message = app.write(who, move |tx| outbox::retry(tx, &key, id)).await?;
    Ok(HttpResponse::Ok().json(message))
}

/// Gives a message up that waits, failed, or is about to be sent.
#[utoipa::path(tag = "messages", request_body = KeyOnly, responses(
    (status = 200, body = MessageView), (status = 409, description = "outbox.state")))]
#[post("/messages/{id}/give-up")]
async fn give_up_message(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManageMessages)?;
    let key: RequestKey = body.json::<KeyOnly>().await?.request_key.parse()?;
    let id = MessageId::from(*id);
    let message = app.write(who, move |tx| outbox::give_up(tx, &key, id)).await?;
    Ok(HttpResponse::Ok().json(message))
}

/// What the receiver of a message says.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Arrival {
    /// A key of your own for this request.
    request_key: String,
    /// Whether it arrived; where it did not, it is sent again.
    arrived: bool,
}

/// Says whether a message that may have been sent arrived.
#[utoipa::path(tag = "messages", request_body = Arrival, responses(
    (status = 200, body = MessageView), (status = 409, description = "outbox.state")))]
#[post("/messages/{id}/answer")]
async fn answer_message(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManageMessages)?;
    let it: Arrival = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let id = MessageId::from(*id);
    let message = app.write(who, move |tx| outbox::answer(tx, &key, id, it.arrived)).await?;
    Ok(HttpResponse::Ok().json(message))
}
