//! Kitwright: kits of a ski bike, from the order to the verified box.
//!
//! Five layers, each of which uses only those below it; a test holds the source to that.
//!
//! - **Edges**: who asks, and in what form they are answered. [`cli`] and [`web`] (pages, JSON API,
//!   the page behind a signed link); [`demo`] is an invented shop; [`jobs`] is what the service does
//!   by itself.
//! - **[`ops`]**: one function for each thing that a person does, each in one transaction.
//! - **The world outside the arithmetic**: [`store`] (the only code that knows diesel), [`paper`]
//!   (values to PDF), [`printer`] (printers, spoken to by IPP), [`exchange`] (CSV files to values and back), [`error`], [`clock`].
//! - **[`domain`]**: the trade as pure computation.
//! - **[`units`]**: measures that cannot be mixed up.
//!
//! The same subject word names the file in every layer: for picking, look in `domain::picking`,
//! `store::picking`, `ops::picking`, the web's `api::picking` and `pages::picking`, and in
//! `templates/picking/`.

pub mod cli;
pub mod clock;
pub mod courier;
pub mod demo;
pub mod domain;
pub mod error;
pub mod exchange;
pub mod jobs;
pub mod ops;
pub mod paper;
pub mod printer;
pub mod store;
pub mod units;
pub mod web;
