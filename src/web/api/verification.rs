//! What whoever opens a box sees and says, without a token.

use actix_web::{get, post, web};
use serde::{Deserialize, Serialize};

use super::reading::Body;
use crate::domain::people::Permission;
use crate::ops::RequestKey;
use crate::ops::verification::{self, BoxView, LineReport};
use crate::store::{Tx, Who};
use crate::units::Quantity;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(box_link, open_box, report);

/// Where whoever opens the box looks and reports.
#[derive(Serialize, utoipa::ToSchema)]
struct BoxLinkBody {
    /// The address of the receiver's page, as the packing list's code says it.
    url: String,
}

/// Shows the signed address of a kit's receiver page.
#[utoipa::path(tag = "packing", responses((status = 200, body = BoxLinkBody)))]
#[get("/kits/{number}/box-link")]
async fn box_link(
    app: web::Data<App>,
    actor: Actor,
    number: web::Path<String>,
) -> Result<web::Json<BoxLinkBody>, Problem> {
    actor.may(Permission::Look)?;
    let now = app.now();
    let path = app.read(move |conn| verification::link_path(conn, &number, now)).await?;
    Ok(web::Json(BoxLinkBody { url: format!("{}{path}", app.settings().public_url) }))
}

/// The three parts of a signed link.
type Link = web::Path<(String, String, String)>;

/// Shows what the box should hold, step by step, and what was said of it.
#[utoipa::path(tag = "box", security(()), responses(
    (status = 200, body = BoxView),
    (status = 404, description = "link.wrong"),
    (status = 410, description = "link.expired")))]
#[get("/box/{kit}/{expires}/{tag}")]
async fn open_box(app: web::Data<App>, link: Link) -> Result<web::Json<BoxView>, Problem> {
    let kit = open(&app, link).await?;
    Ok(web::Json(app.read(move |conn| verification::box_page(conn, &kit)).await?))
}

/// Returns the number of the kit that the link opens.
async fn open(app: &App, link: Link) -> Result<String, Problem> {
    let ((kit, expires, tag), now) = (link.into_inner(), app.now());
    Ok(app.read(move |conn| verification::open_link(conn, &kit, &expires, &tag, now)).await?)
}

/// What the receiver says.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewReport {
    /// A key of your own for this request.
    request_key: String,
    /// Line by line; all of it is taken, or nothing if one line is wrong.
    lines: Vec<NewLineReport>,
}

/// What the receiver says of one line.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewLineReport {
    /// The line's number in the kit.
    line: i64,
    /// here, missing or damaged.
    outcome: String,
    /// How many pieces are missing or damaged; all where it is left out.
    quantity: Option<Quantity>,
    /// What they have to say.
    #[serde(default)]
    note: String,
}

impl From<NewLineReport> for LineReport {
    fn from(it: NewLineReport) -> Self {
        Self { line: it.line, outcome: it.outcome, quantity: it.quantity, note: it.note }
    }
}

/// Takes what the receiver says of lines, and shows the box as it then stands.
#[utoipa::path(tag = "box", security(()), request_body = NewReport, responses(
    (status = 200, body = BoxView),
    (status = 409, description = "report.not_despatched")))]
#[post("/box/{kit}/{expires}/{tag}")]
async fn report(
    app: web::Data<App>,
    link: Link,
    body: Body,
) -> Result<web::Json<BoxView>, Problem> {
    let kit = open(&app, link).await?;
    let it: NewReport = body.json().await?;
    let key: RequestKey = it.request_key.parse()?;
    let lines: Vec<LineReport> = it.lines.into_iter().map(LineReport::from).collect();
    let take = move |tx: &mut Tx<'_>| {
        verification::report(tx, &key, &kit, &lines)?;
        verification::box_page(tx.conn, &kit)
    };
    Ok(web::Json(app.write(Who::Receiver, take).await?))
}
