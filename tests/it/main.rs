//! One test binary: behaviour through the real thing.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a helper of a test fails the test by stopping it"
)]

mod api;
mod browser;
mod cli;
mod codes;
mod exchange;
mod fit;
mod floor;
mod gs1;
mod instances;
mod ledger;
mod live;
mod measures;
mod outbox;
mod pages;
mod paper;
#[cfg(feature = "postgres")]
mod postgres;
mod printing;
mod races;
mod stock;
mod store;
mod support;
mod symbols;
mod tidy;
mod zint;
