//! What happened, in the words of open standards: EPCIS events, and documents of UBL.

use actix_web::http::header::{CONTENT_DISPOSITION, LINK};
use actix_web::{HttpResponse, get, web};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Deserialize;

use crate::domain::people::Permission;
use crate::ops::events::{self, PAGE, Since};
use crate::ops::ubl;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(all, of_kit, despatch_advice, order);

/// The content type of EPCIS documents.
pub(in crate::web) const JSON_LD: &str = "application/ld+json";

/// From where, and how many.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct EventQuery {
    /// The cursor of the page before, or a time with its zone; from the beginning where it is left
    /// out.
    #[serde(default)]
    since: String,
    /// How many movements of the ledger, at most.
    limit: Option<i64>,
}

/// Lists events in the order of the ledger, as an EPCIS 2.0 document in JSON-LD.
///
/// The header `Link` with `rel="next"` leads on; where the list is empty, ask there again later. An
/// event has the same eventID each time, so what is read twice counts once. A correction repeats an
/// event with an errorDeclaration.
#[utoipa::path(tag = "exchange", params(EventQuery), responses(
    (status = 200, body = Object, content_type = "application/ld+json"),
    (status = 422, description = "events.since, events.limit")))]
#[get("/events")]
async fn all(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<EventQuery>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let since: Since = match query.since.as_str() {
        "" => Since::default(),
        text => text.parse()?,
    };
    let limit = query.limit.unwrap_or(PAGE);
    let (now, address) = (app.now(), app.settings().public_url.clone());
    let (text, next) = app
        .read(move |conn| {
            let page = events::page(conn, since, limit, &address)?;
            Ok((events::document(page.told, now)?, page.next))
        })
        .await?;
    let next = utf8_percent_encode(&next.to_string(), NON_ALPHANUMERIC).to_string();
    let link = format!("</api/events?since={next}&limit={limit}>; rel=\"next\"");
    Ok(HttpResponse::Ok().content_type(JSON_LD).insert_header((LINK, link)).body(text))
}

/// Lists all that happened to a kit, as an EPCIS 2.0 document in JSON-LD.
#[utoipa::path(tag = "exchange",
    responses((status = 200, body = Object, content_type = "application/ld+json")))]
#[get("/kits/{number}/events")]
async fn of_kit(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let (now, address) = (app.now(), app.settings().public_url.clone());
    let text = app
        .read(move |conn| events::document(events::of_kit(conn, &number, &address)?, now))
        .await?;
    Ok(HttpResponse::Ok().content_type(JSON_LD).body(text))
}

/// Returns an XML document to be saved under a name.
pub(in crate::web) fn xml(name: &str, text: String) -> HttpResponse {
    let disposition = format!("attachment; filename=\"{name}\"");
    HttpResponse::Ok()
        .content_type("application/xml; charset=utf-8")
        .insert_header((CONTENT_DISPOSITION, disposition))
        .body(text)
}

/// Says what left the house in the cartons of a kit, as a UBL 2.1 DespatchAdvice.
#[utoipa::path(tag = "exchange", responses(
    (status = 200, body = String, content_type = "application/xml"),
    (status = 409, description = "ubl.not_left"),
    (status = 422, description = "ubl.character")))]
#[get("/kits/{number}/despatch-advice")]
async fn despatch_advice(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let text = app.read(move |conn| ubl::despatch_advice(conn, &number)).await?;
    Ok(xml("despatch-advice.xml", text))
}

/// Writes a purchase order for its supplier, as a UBL 2.1 Order.
#[utoipa::path(tag = "exchange", responses(
    (status = 200, body = String, content_type = "application/xml"),
    (status = 422, description = "ubl.character")))]
#[get("/purchase-orders/{number}/order")]
async fn order(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let text = app.read(move |conn| ubl::order(conn, &number)).await?;
    Ok(xml("order.xml", text))
}
