//! Bills of materials: what a kit is made of along its assembly steps, and which part numbers one
//! choice of options comes to.

mod bom;
mod choices;
mod contents;
mod error;
mod resolve;
pub mod revision;
pub mod text;

#[cfg(test)]
mod tests;

pub use bom::{Bom, BomItem, BomLine, Choice, OptionDef, Step};
pub use choices::every_choice;
pub use contents::{contents, explode_to_parts};
pub use error::KitError;
pub use resolve::{ResolvedLine, resolve};
