//! What is printed for a carton.

use actix_web::{HttpResponse, get, web};

use crate::domain::people::Permission;
use crate::ops::{self, labels};
use crate::web::page::{self, PageError};
use crate::web::pages::Visit;

#[get("/packing/{kit}/cartons/{position}/packing-list.pdf")]
pub(crate) async fn get_packing_list(
    visit: Visit,
    path: web::Path<(String, u32)>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let (kit, position) = path.into_inner();
    let name = format!("{kit}-{position}-packing-list.pdf");
    let public_url = visit.app.settings().public_url.clone();
    let now = visit.app.now();
    let bytes = visit
        .app
        .read(move |conn| {
            let path = ops::verification::link_path(conn, &kit, now)?;
            let link = format!("{public_url}{path}");
            labels::packing_list(conn, &kit, position, &link, now.date())
        })
        .await?;
    Ok(page::pdf(&name, bytes))
}
