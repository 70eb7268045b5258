//! JSON for devices, each with a token of its own.

use actix_web::web;

pub(super) fn routes(_: &mut web::ServiceConfig) {}
