//! Other people's files to domain values and back.
//!
//! Each kind of file has one module with `read`, which returns every record with the line it stands
//! on or else every fault in the file, and `write`, whose text reads back as the same records. What
//! a file refers to outside itself (is there such a part?) is for the caller to check: the values
//! keep their line numbers for that.

pub mod air_charts;
pub mod bins;
mod compare;
mod csv;
pub mod demand_history;
pub mod epcis;
mod fields;
pub mod glossary;
mod groups;
mod kind;
pub mod kits;
pub mod letters;
pub mod orders;
pub mod parts;
pub mod plan;
pub mod policies;
pub mod purchase_orders;
pub mod stock;
pub mod stock_value;
pub mod substitutions;
pub mod suppliers;
pub mod table;
pub mod ubl;

pub use compare::{FieldChange, Records, compare, revision_key};
pub use csv::{At, EntryRow, Fault, Read};
pub use kind::{Kind, UnknownKind};
