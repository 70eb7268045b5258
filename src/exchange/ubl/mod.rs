//! Orders and despatch advices as documents of OASIS UBL 2.1.
//!
//! An [`Order`] and a [`Despatch`] are written; a supplier's despatch advice is read by
//! [`read_advice`], which refuses what the schema refuses, and what a shop can't use besides.
//!
//! # Source
//!
//! OASIS Universal Business Language 2.1, the schemas UBL-Order-2.1 and UBL-DespatchAdvice-2.1 for
//! elements and their order; UN/ECE Recommendation 20 for unit codes; ISO/IEC 6523 code 0088 for
//! global location numbers and 0160 for GTINs as schemes of identifiers (from memory,
//! unconfirmed).

mod despatch;
mod grammar;
mod order;
mod read;
mod tree;
mod write;

#[cfg(test)]
mod tests;

pub use despatch::{Despatch, DespatchLine};
pub use order::{LineStatus, Order, OrderLine, Price};
pub use read::{Advice, AdviceLine, MOST_BYTES, read_advice};
pub use write::{Forbidden, Goods, Party};

const COMMON: &str = "urn:oasis:names:specification:ubl:schema:xsd:";
