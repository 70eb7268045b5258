//! What a signed link opens, with no session.

use actix_web::web;

pub(super) fn routes(_: &mut web::ServiceConfig) {}
