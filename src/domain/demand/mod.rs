//! What is wanted of each part: what was used, month by month, and what the months to come are
//! planned or expected to use.

mod ahead;
mod history;
mod invent;
mod mix;
mod month;
mod plan;

pub use ahead::{Ahead, Expected};
pub use history::{HistoryRecord, Used, UsedByMonth, series, with_what_is_inside};
pub use invent::{Dice, Habit, UsedByDay, invent};
pub use mix::{Mix, MixError};
pub use month::Month;
pub use plan::{Needs, PlanError, PlanRecord, Plans, per_kit};
