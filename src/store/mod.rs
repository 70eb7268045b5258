//! The only code that knows diesel: connections, transactions, and one file of queries per subject.

mod claims;
mod conn;
mod database;
mod dialect;
#[cfg(feature = "postgres")]
mod listen;
mod migrate;
mod schema;
mod signal;
mod sql_types;
mod writer;

pub mod advices;
pub mod alerts;
pub mod audit;
pub mod backup;
pub mod bench;
pub mod card;
pub mod card_scans;
pub mod catalog;
pub mod changes;
pub mod demand;
pub mod events;
pub mod guides;
pub mod kits;
pub mod labels;
pub mod leaving;
pub mod orders;
pub mod outbox;
pub mod packing;
pub mod people;
pub mod picking;
pub mod printing;
pub mod purchasing;
pub mod reorder;
pub mod requests;
pub mod spend;
pub mod stock;
pub mod substitution;
pub mod supplier_codes;
pub mod trace;
#[cfg(feature = "postgres")]
pub mod transfer;
pub mod valuation;
pub mod verification;

/// How many values one query names: databases bound them.
const CHUNK: usize = 500;

pub use conn::{Conn, DatabaseUrl};
pub use database::{Database, Tx, Who};
pub use migrate::down as take_migrations_back;
pub use signal::Changes;
