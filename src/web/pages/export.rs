use actix_web::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION};
use actix_web::{HttpResponse, get, web};

use super::Visit;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::Kind;
use crate::ops;
use crate::web::page::PageError;

#[get("/export/{kind}.csv")]
pub(super) async fn get_export(
    visit: Visit,
    kind: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManageOrders)?;
    let kind: Kind = kind.parse().map_err(|_| Error::not_found("kind of file", kind.as_str()))?;
    let text = visit.app.read(move |conn| ops::exchange::export(conn, kind)).await?;
    let name = format!("attachment; filename=\"{kind}.csv\"");
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8")
        .insert_header((CACHE_CONTROL, "no-store"))
        .insert_header((CONTENT_DISPOSITION, name))
        // The mark tells a spreadsheet that the file is UTF-8; reading drops it.
        .body(format!("\u{feff}{text}")))
}
