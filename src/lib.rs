//! Kitwright: kits of a ski bike, from the order to the verified box.

pub mod domain;
pub mod exchange;
pub mod paper;
pub mod units;
pub mod web;
