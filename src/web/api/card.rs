//! Assembly cards, and the torques that they stand on.

use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use super::Pdf;
use super::reading::Body;
use crate::domain::messages::Language;
use crate::domain::people::Permission;
use crate::domain::setup::is_a_rider;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::card::{self, CardWish, JointView, SettleWish};
use crate::ops::verification::link_path;
use crate::units::StatedMass;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(assembly_card, torques, settle);

/// How a card is wanted.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct CardQuery {
    /// en, de or fr; the kit's own where it is left out.
    language: Option<String>,
    /// The mass of rider, clothes and pack, such as "82 kg"; the whole chart where it is left out.
    rider_mass: Option<String>,
}

/// Returns the language of that word, where there is one.
pub(super) fn language(word: Option<&str>) -> Result<Option<Language>, Error> {
    let language = word.map(str::parse).transpose();
    language.map_err(|fault| Error::invalid("card.language", format!("language: {fault}")))
}

/// Returns the rider's mass of that text, where there is one.
pub(super) fn rider(text: Option<&str>) -> Result<Option<StatedMass>, Error> {
    let Some(text) = text else { return Ok(None) };
    let mass: Option<StatedMass> = text.parse().ok().filter(is_a_rider);
    mass.map(Some).ok_or_else(|| {
        let message = format!("rider_mass: '{text}' is no rider's mass, such as 82 kg or 180 lb");
        Error::invalid("card.rider_mass", message)
    })
}

/// Prints a kit's assembly card; 409 while two documents disagree about a torque.
#[utoipa::path(tag = "card", params(CardQuery), responses(
    (status = 200, body = Pdf, content_type = "application/pdf"),
    (status = 409, description = "card.torque_conflict"),
    (status = 422, description = "card.language, card.rider_mass")))]
#[get("/kits/{number}/assembly-card")]
async fn assembly_card(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    query: web::Query<CardQuery>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Look)?;
    let language = language(query.language.as_deref())?;
    let rider = rider(query.rider_mass.as_deref())?;
    let (now, shop) = (app.now(), app.settings().public_url.clone());
    let print = move |conn: &mut _| {
        let link = format!("{shop}{}", link_path(conn, &number, now)?);
        let wish = CardWish { kit: number.into_inner(), language, rider, link };
        card::card_pdf(conn, &wish, now.date())
    };
    Ok(pdf("assembly-card.pdf", app.read(print).await?))
}

/// Lists what is stated about every joint's torque, conflicts first.
#[utoipa::path(tag = "card", responses((status = 200, body = [JointView])))]
#[get("/torques")]
async fn torques(app: web::Data<App>, actor: Actor) -> Result<web::Json<Vec<JointView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(card::torques).await?))
}

/// A person's word on which statement holds.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewSettlement {
    /// A key of your own for this request.
    request_key: String,
    /// The bill of materials.
    bom: String,
    /// Its revision.
    revision: String,
    /// The joint's number.
    joint: u32,
    /// Which of its statements holds, counted from 1.
    statement: usize,
    /// Why, such as whom at the maker you asked.
    reason: String,
}

/// Settles which of several statements holds for a joint, so that its card can be printed.
#[utoipa::path(tag = "card", request_body = NewSettlement, responses(
    (status = 200, body = JointView),
    (status = 409, description = "card.nothing_to_settle"),
    (status = 422, description = "card.no_reason")))]
#[post("/torques/settle")]
async fn settle(
    app: web::Data<App>,
    actor: Actor,
    body: Body,
) -> Result<web::Json<JointView>, Problem> {
    let who = actor.may(Permission::SettleTorque)?;
    let it: NewSettlement = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let NewSettlement { bom, revision, joint, statement, reason, .. } = it;
    let wish = SettleWish { bom, revision, joint, statement, reason };
    Ok(web::Json(app.write(who, move |tx| card::settle(tx, &key, &wish)).await?))
}
