//! The JSON API: each handler reads the request, asks permission, calls one op and answers.

/// Names the handlers of a file once, for the service and for the API document alike, so that no
/// route goes undescribed.
macro_rules! endpoints {
    ($($handler:ident),* $(,)?) => {
        pub(super) fn routes(config: &mut actix_web::web::ServiceConfig) {
            $(config.service($handler);)*
        }

        #[derive(utoipa::OpenApi)]
        #[openapi(paths($($handler),*))]
        pub(in crate::web) struct Document;
    };
}

pub(in crate::web) mod advices;
pub(in crate::web) mod bench;
pub(in crate::web) mod bills;
pub(in crate::web) mod card;
pub(in crate::web) mod catalog;
pub(in crate::web) mod events;
pub(in crate::web) mod exchange;
pub(in crate::web) mod fit;
pub(in crate::web) mod labels;
pub(in crate::web) mod leaving;
pub(in crate::web) mod orders;
pub(in crate::web) mod outbox;
pub(in crate::web) mod packing;
pub(in crate::web) mod people;
pub(in crate::web) mod picking;
pub(in crate::web) mod printing;
pub(in crate::web) mod purchasing;
mod reading;
pub(in crate::web) mod receiving;
pub(in crate::web) mod reorder;
pub(in crate::web) mod runway;
pub(in crate::web) mod stock;
pub(in crate::web) mod substitution;
pub(in crate::web) mod supplier_codes;
pub(in crate::web) mod trace;
pub(in crate::web) mod valuation;
pub(in crate::web) mod verification;

use actix_web::{HttpResponse, web};
use serde::Serialize;

use super::openapi::not_here;

/// Everything under `/api`. What is not there, or can't be read, is answered as a problem too.
pub(super) fn routes(config: &mut web::ServiceConfig) {
    let scope = web::scope("/api")
        .app_data(reading::query_config())
        .app_data(reading::path_config())
        .configure(advices::routes)
        .configure(bench::routes)
        .configure(bills::routes)
        .configure(card::routes)
        .configure(catalog::routes)
        .configure(events::routes)
        .configure(exchange::routes)
        .configure(fit::routes)
        .configure(labels::routes)
        .configure(leaving::routes)
        .configure(orders::routes)
        .configure(outbox::routes)
        .configure(packing::routes)
        .configure(people::routes)
        .configure(picking::routes)
        .configure(printing::routes)
        .configure(purchasing::routes)
        .configure(receiving::routes)
        .configure(reorder::routes)
        .configure(runway::routes)
        .configure(stock::routes)
        .configure(substitution::routes)
        .configure(supplier_codes::routes)
        .configure(trace::routes)
        .configure(valuation::routes)
        .configure(verification::routes)
        .default_service(web::to(not_here));
    config.service(scope);
}

/// Returns the answer to what has made something new.
fn created(made: &impl Serialize) -> HttpResponse {
    HttpResponse::Created().json(made)
}

/// Returns the answer to what was done and has nothing to tell.
fn done() -> HttpResponse {
    HttpResponse::NoContent().finish()
}

/// The bytes of a PDF, to the API document.
#[derive(utoipa::ToSchema)]
#[schema(value_type = String, format = Binary)]
#[expect(dead_code, reason = "only the document names it")]
struct Pdf(Vec<u8>);
