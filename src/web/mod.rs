//! The only code that knows actix-web.

mod actor;
mod api;
mod app;
mod drawing;
mod openapi;
mod page;
pub mod pages;
mod problem;
mod public;
mod server;
mod tries;

pub use app::{App, Settings};
pub use server::serve;
