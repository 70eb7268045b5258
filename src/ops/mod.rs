//! One function for each thing that a person does, in one transaction.
//!
//! Reads take a connection and return a view; writes take a transaction. Views carry the words and
//! numbers that a page or the API shows, and no row's id that a person would have to know.

mod label_story;
mod once;
mod scan;
mod words;

pub mod advices;
pub mod audit;
pub mod backup;
pub mod bench;
pub mod bills;
pub mod box_words;
pub mod card;
pub mod catalog;
pub mod changes;
pub mod demand;
pub mod drafts;
pub mod events;
pub mod exchange;
pub mod fit;
pub mod kits;
pub mod labels;
pub mod orders;
pub mod outbox;
pub mod packing;
pub mod people;
pub mod picking;
pub mod printers;
pub mod printing;
pub mod purchasing;
pub mod receiving;
pub mod reorder;
pub mod reversal;
pub mod shop;
pub mod shortages;
pub mod stock;
pub mod substitution;
pub mod supplier_codes;
pub mod trace;
#[cfg(feature = "postgres")]
pub mod transfer;
pub mod translations;
pub mod ubl;
pub mod verification;

pub use once::RequestKey;
pub use scan::{ScanAnswer, ScanOutcome};
