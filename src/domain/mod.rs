//! The trade as pure computation: no database, web, files, clock or dice.
//!
//! Subjects are listed so that each uses only those above it, and `units`.

pub mod fasteners;
pub mod gs1;
pub mod statistics;

pub mod optimum;

pub mod codes;
pub mod host;
pub mod ids;
pub mod messages;
pub mod people;
pub mod queue;

pub mod fit;

pub mod drawing;
pub mod joints;

pub mod catalog;
pub mod kits;
pub mod setup;
pub mod stock;
pub mod substitution;

pub mod orders;
pub mod picking;
pub mod routes;
pub mod weighing;

pub mod bench;
pub mod packing;
pub mod trace;

pub mod verification;

pub mod forecast;
pub mod netting;
pub mod receiving;

pub mod demand;
pub mod reorder;

pub mod purchasing;
pub mod valuation;

pub mod runway;

pub mod pictures;

pub mod labels;

pub mod outbox;
pub mod printing;

pub mod card;
pub mod translations;
