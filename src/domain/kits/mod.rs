//! Bills of materials: what a kit is made of along its assembly steps, and which part numbers one
//! choice of options comes to.

mod bom;
mod choices;
mod compare;
mod contents;
mod cost;
mod error;
mod guide;
mod resolve;
pub mod revision;
pub mod text;
mod where_used;

#[cfg(test)]
mod tests;

pub use bom::{Bom, BomItem, BomLine, Choice, OptionDef, Step};
pub use choices::every_choice;
pub use compare::{Difference, KitPart, PartChange, compare, compare_lines};
pub use contents::{contents, explode_to_parts};
pub use cost::{Cost, CostNode, cost};
pub use error::KitError;
pub use guide::{Guide, StepAids, StepWords, reachable};
pub use resolve::{ResolvedLine, resolve};
pub use where_used::{Conditions, Use, where_used};
