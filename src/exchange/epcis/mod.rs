//! What happened to goods, as EPCIS 2.0 events in JSON-LD.
//!
//! [`tell`] makes events of what the ledger says; [`names`](Names) gives parts, lots, cartons and
//! places the URIs by which others know them; [`judge`] says whether a document is what the
//! standard asks, and is asked before each one leaves.
//!
//! # Source
//!
//! GS1 EPCIS Standard 2.0 for events and the JSON/JSON-LD binding, and GS1 Core Business
//! Vocabulary 2.0 for the words of business steps, dispositions, transactions and parties.

mod event;
mod judge;
mod names;
mod packed;
mod tell;

#[cfg(test)]
mod tests;

pub use event::{Document, Event};
pub use judge::judge;
pub use names::{Carton, Names};
pub use packed::{Change, Story, story};
pub use tell::{Fact, Item, Moved, Place, Purchase, RunPart, Told, tell};
