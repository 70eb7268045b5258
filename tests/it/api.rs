//! The JSON API over real HTTP.

mod access;
pub mod advices;
mod bench;
mod bills;
mod boxes;
mod card;
mod document;
mod events;
mod files;
mod fit;
mod goods_in;
mod labels;
mod orders;
mod packing;
mod picking;
mod race;
mod requests;
mod stock;
mod substitution;
mod supplier_codes;
mod trace;
