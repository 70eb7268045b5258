use std::net::TcpListener;

use actix_web::dev::Server;
use actix_web::middleware::{DefaultHeaders, NormalizePath, TrailingSlash};
use actix_web::{App as Service, HttpServer, web};

use super::app::App;
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

fn headers() -> DefaultHeaders {
    DefaultHeaders::new()
        .add(("Content-Security-Policy", CONTENT_POLICY))
        .add(("X-Content-Type-Options", "nosniff"))
        .add(("Referrer-Policy", "no-referrer"))
        .add(("Cross-Origin-Opener-Policy", "same-origin"))
}
