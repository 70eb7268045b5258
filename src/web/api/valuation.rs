//! What the stock is worth.

use actix_web::{HttpResponse, get, web};
use serde::Deserialize;

use super::Pdf;
use crate::domain::people::Permission;
use crate::domain::valuation::Method;
use crate::error::Error;
use crate::ops::valuation::{self, StockValueView};
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::page::pdf;
use crate::web::problem::Problem;

endpoints!(stock_value, stock_value_paper, stock_value_file);

/// Which month, and how it is valued.
#[derive(Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
struct Asked {
    /// Such as 2026-11; the month of today where it is not said.
    #[serde(default)]
    month: String,
    /// average or fifo; average where it is not said.
    #[serde(default)]
    method: String,
}

/// Returns the method of a word; the average where it is empty.
pub(in crate::web) fn method_of(word: &str) -> Result<Method, Error> {
    match word {
        "" => Ok(Method::Average),
        word => Method::from_word(word).ok_or_else(|| {
            let message = format!("method: take average or fifo, not '{word}'");
            Error::invalid("valuation.method", message)
        }),
    }
}

async fn report(app: &App, asked: Asked) -> Result<StockValueView, Problem> {
    let (method, today) = (method_of(&asked.method)?, app.now().date());
    Ok(app.read(move |conn| valuation::report(conn, method, (&asked.month, today))).await?)
}

/// Tells what became of the stock in a month: opening, changes by kind, closing, and whether it ties
/// to the ledger.
#[utoipa::path(tag = "valuation", params(Asked), responses((status = 200, body = StockValueView),
    (status = 422, description = "valuation.month, .method")))]
#[get("/stock-value")]
async fn stock_value(
    app: web::Data<App>,
    actor: Actor,
    asked: web::Query<Asked>,
) -> Result<web::Json<StockValueView>, Problem> {
    actor.may(Permission::Buy)?;
    Ok(web::Json(report(&app, asked.into_inner()).await?))
}

/// Prints what became of the stock in a month.
#[utoipa::path(tag = "valuation", params(Asked),
    responses((status = 200, body = Pdf, content_type = "application/pdf")))]
#[get("/stock-value/paper")]
async fn stock_value_paper(
    app: web::Data<App>,
    actor: Actor,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Buy)?;
    let view = report(&app, asked.into_inner()).await?;
    Ok(pdf("stock-value.pdf", valuation::paper(&view, app.now().date())?))
}

/// Tells what became of the stock in a month, as a CSV file.
#[utoipa::path(tag = "valuation", params(Asked),
    responses((status = 200, body = String, content_type = "text/csv")))]
#[get("/stock-value/file")]
async fn stock_value_file(
    app: web::Data<App>,
    actor: Actor,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, Problem> {
    actor.may(Permission::Buy)?;
    let view = report(&app, asked.into_inner()).await?;
    Ok(HttpResponse::Ok().content_type("text/csv; charset=utf-8").body(valuation::file(&view)))
}
