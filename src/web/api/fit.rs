//! Whether the parts of a kit fit each other.

use actix_web::{get, web};

use crate::domain::people::Permission;
use crate::ops::fit::{self as fit_ops, FitView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(kit_fit);

/// Says what each rule of fit finds in a kit, bags looked into, with reasons and sources.
#[utoipa::path(tag = "orders", responses((status = 200, body = FitView)))]
#[get("/kits/{number}/fit")]
async fn kit_fit(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<FitView>, Problem> {
    actor.may(Permission::Look)?;
    Ok(web::Json(app.read(move |conn| fit_ops::of_kit(conn, &number)).await?))
}
