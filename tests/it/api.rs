//! The JSON API over real HTTP.

mod access;
pub mod advices;
mod bags;
mod bench;
mod bills;
mod boxes;
mod card;
mod card_parts;
mod disk;
mod document;
mod events;
mod files;
mod fit;
mod goods_in;
mod labels;
mod orders;
mod packing;
mod papers;
mod picking;
mod prints;
mod race;
mod reorder;
mod requests;
mod stock;
mod substitution;
mod supplier_codes;
mod trace;
