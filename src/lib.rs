//! Kitwright: kits of a ski bike, from the order to the verified box.

pub mod cli;
pub mod clock;
pub mod demo;
pub mod domain;
pub mod error;
pub mod exchange;
pub mod ops;
pub mod paper;
pub mod store;
pub mod units;
pub mod web;
