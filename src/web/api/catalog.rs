//! Parts and bills of materials.

use actix_web::{get, web};
use serde::Deserialize;

use crate::domain::people::Permission;
use crate::ops::catalog::{self, PartDetailView, PartView};
use crate::ops::kits::{self, BomView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(parts, part, bills_of_materials);

/// Which parts.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
struct PartsQuery {
    /// Words that number, name, variant or specification must all hold.
    #[serde(default)]
    q: String,
}

/// Lists parts with what lies in bins and what of it is held for kits.
#[utoipa::path(tag = "catalog", params(PartsQuery), responses((status = 200, body = [PartView])))]
#[get("/parts")]
async fn parts(
    app: web::Data<App>,
    actor: Actor,
    query: web::Query<PartsQuery>,
) -> Result<web::Json<Vec<PartView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| catalog::list(conn, &query.q)).await?))
}

/// Shows a part with its places and its newest movements.
#[utoipa::path(tag = "catalog", responses((status = 200, body = PartDetailView)))]
#[get("/parts/{part_number}")]
async fn part(
    app: web::Data<App>,
    actor: Actor,
    part_number: web::Path<String>,
) -> Result<web::Json<PartDetailView>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| catalog::detail(conn, &part_number)).await?))
}

/// Lists the bills of materials with their options, steps and lines.
#[utoipa::path(tag = "catalog", responses((status = 200, body = [BomView])))]
#[get("/bills-of-materials")]
async fn bills_of_materials(
    app: web::Data<App>,
    actor: Actor,
) -> Result<web::Json<Vec<BomView>>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(kits::list).await?))
}
