//! The bench: what a run of bags, sets or cut forks takes from stock, and what comes back of it.

mod apart;
mod error;
mod plan;

pub use apart::{Back, Goes, PartOfRun, Said, take_apart};
pub use error::BenchError;
pub use plan::{Lack, Need, Plan, Take, check_takes, plan};
