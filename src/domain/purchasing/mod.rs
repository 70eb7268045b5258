//! Purchase orders before goods-in: how they stand, who may approve them, and what may be changed.

mod approve;
mod change;
mod error;
mod late;
mod price;
mod state;

#[cfg(test)]
mod tests;

pub use approve::{Approval, check_approval};
pub use change::{Edit, check_edit, check_quantity};
pub use error::PurchasingError;
pub use late::{Lateness, Waiting, lateness};
pub use price::UnitPrice;
pub use state::{LineProgress, Progress, State};
