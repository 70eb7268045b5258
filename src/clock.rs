//! The time, so that tests can hold it still.

use chrono::{NaiveDateTime, Utc};

/// Where the service takes the time from. All times are UTC.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    /// The machine's clock.
    System,
    /// A time that stands still.
    Fixed(NaiveDateTime),
}

impl Clock {
    /// Returns the time now, to the second.
    pub fn now(self) -> NaiveDateTime {
        match self {
            Self::System => {
                let now = Utc::now();
                chrono::DateTime::from_timestamp(now.timestamp(), 0).unwrap_or(now).naive_utc()
            }
            Self::Fixed(time) => time,
        }
    }
}
