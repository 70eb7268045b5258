//! What must be made or come, and when, so that what is planned can be built.

mod add_up;
mod lot;
mod plan;
mod sub_kits;

#[cfg(test)]
mod tests;

pub use add_up::{NettingError, add_up, lacking};
pub use lot::LotRule;
pub use plan::{Item, Need, Plan, PlannedOrder, Use, levels, plan};
pub use sub_kits::{inside_what_is_free, inside_what_is_made};
