//! One test binary: behaviour through the real thing.

mod api;
mod cli;
mod codes;
mod exchange;
mod ledger;
mod paper;
mod store;
mod support;
mod tidy;
