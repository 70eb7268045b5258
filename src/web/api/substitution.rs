//! Parts that may stand in for others in a kit.

use actix_web::{get, post, web};
use chrono::NaiveDate;
use serde::Deserialize;

use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::substitution::{self, Request, RuleView, Substituted, SubstitutionsView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(of_kit, substitute, of_part);

/// Shows which parts may stand in for which in a kit, and which do.
#[utoipa::path(tag = "orders", responses((status = 200, body = SubstitutionsView)))]
#[get("/kits/{number}/substitutions")]
async fn of_kit(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<SubstitutionsView>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| substitution::of_kit(conn, &number, today)).await?))
}

/// A part to be taken for another.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct SubstituteBody {
    /// A key of your own for this request.
    request_key: String,
    /// The part number that the kit's lines ask for.
    from: String,
    /// The part number to be taken.
    to: String,
    /// Who of the customer's side said so, where the rule asks for their word.
    #[serde(default)]
    said_by: String,
    /// The day on which they said so.
    #[serde(default)]
    said_on: Option<NaiveDate>,
}

/// Takes another part for one that nobody has picked yet, in all lines of the kit.
#[utoipa::path(tag = "orders", request_body = SubstituteBody, responses(
    (status = 200, body = Substituted),
    (status = 409, description = "substitution.refused, .pair; kits.does_not_fit"),
    (status = 422, description = "substitution.consent")))]
#[post("/kits/{number}/substitutions")]
async fn substitute(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
    body: Body,
) -> Result<web::Json<Substituted>, Problem> {
    let who = actor.may(Permission::ManageOrders)?;
    let it: SubstituteBody = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let request = Request {
        kit: number.into_inner(),
        from: it.from,
        to: it.to,
        said_by: it.said_by,
        said_on: it.said_on,
    };
    Ok(web::Json(app.write(who, move |tx| substitution::substitute(tx, &key, &request)).await?))
}

/// Lists the shop's rules about a part: what it may stand in for, and what takes its place.
#[utoipa::path(tag = "catalog", responses((status = 200, body = [RuleView])))]
#[get("/parts/{part_number}/substitutions")]
async fn of_part(
    app: web::Data<App>,
    actor: Actor,
    part_number: web::Path<String>,
) -> Result<web::Json<Vec<RuleView>>, Problem> {
    actor.may(Permission::Look)?;
    let today = app.now().date();
    Ok(web::Json(app.read(move |conn| substitution::of_part(conn, &part_number, today)).await?))
}
