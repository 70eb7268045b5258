//! How long stock lasts: a part walked through the half year to come, told by week, and what two
//! bins say on the way.

mod bins;
mod project;
mod walk;

#[cfg(test)]
mod tests;

pub use bins::{Gauge, HalfEmpty, half_empty};
pub use project::{
    Arrival, ArrivalKind, Batch, DayLevel, Expiry, Outlook, RunsOut, Runway, WEEKS, Week,
    monday_of, project,
};
