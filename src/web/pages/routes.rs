use actix_web::web;

/// Adds every page to the service.
pub fn routes(_: &mut web::ServiceConfig) {}
