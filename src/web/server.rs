use std::net::TcpListener;

use actix_web::body::{EitherBody, MessageBody};
use actix_web::dev::{Server, ServiceRequest, ServiceResponse};
use actix_web::http::StatusCode;
use actix_web::middleware::{DefaultHeaders, Next, NormalizePath, TrailingSlash, from_fn};
use actix_web::{App as Service, HttpServer, ResponseError, web};

use super::app::App;
use super::problem::Problem;
use super::{api, openapi, pages, public};

/// Nothing from elsewhere: no script, style, frame or form target but this service's own.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; \
    frame-ancestors 'none'";

/// Builds the running server on a socket that is already bound; the program and every test start
/// it this way.
///
/// # Errors
///
/// When the socket can't be served.
pub fn serve(app: App, listener: TcpListener, workers: usize) -> std::io::Result<Server> {
    let app = web::Data::new(app);
    let server = HttpServer::new(move || {
        Service::new()
            .app_data(app.clone())
            .wrap(from_fn(refuse_nul))
            .wrap(headers())
            .wrap(NormalizePath::new(TrailingSlash::Trim))
            .configure(api::routes)
            .configure(openapi::routes)
            .configure(public::routes)
            .configure(pages::routes)
    })
    .workers(workers)
    .shutdown_timeout(5)
    .listen(listener)?;
    Ok(server.run())
}

/// Refuses an address with the character U+0000, which no text of the books may hold.
async fn refuse_nul<B: MessageBody>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<EitherBody<B>>, actix_web::Error> {
    if request.uri().path_and_query().is_some_and(|it| it.as_str().contains("%00")) {
        let title = "the address has the character U+0000 (%00): leave it out";
        let problem = Problem::request(StatusCode::BAD_REQUEST, "request.nul", title);
        return Ok(request.into_response(problem.error_response()).map_into_right_body());
    }
    next.call(request).await.map(ServiceResponse::map_into_left_body)
}

fn headers() -> DefaultHeaders {
    DefaultHeaders::new()
        .add(("Content-Security-Policy", CONTENT_POLICY))
        .add(("X-Content-Type-Options", "nosniff"))
        .add(("Referrer-Policy", "no-referrer"))
        .add(("Cross-Origin-Opener-Policy", "same-origin"))
}
