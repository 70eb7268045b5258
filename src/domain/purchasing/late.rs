use chrono::NaiveDate;

/// What is known of the day on which a line comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waiting {
    /// The day on which we expect it, by its lead time or by what we asked for.
    pub expected_on: NaiveDate,
    /// The day that the supplier promised for the line as it is now.
    pub promised_on: Option<NaiveDate>,
    /// The day on which it was sent.
    pub sent_on: NaiveDate,
}

/// What is wrong with a line that is still to come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lateness {
    /// It should have been here.
    Late {
        /// Since when, in days.
        days: i64,
    },
    /// The supplier promised a later day than we count on.
    PromisedLate {
        /// By how many days.
        days: i64,
    },
    /// The supplier has not said when it comes, and has had the time to.
    Unconfirmed {
        /// Days since it was sent.
        days: i64,
    },
}

/// Days within which a supplier is to confirm an order.
///
/// # Source
///
/// Common practice, no source.
const DAYS_TO_CONFIRM: i64 = 3;

/// Returns what is wrong with a line that is still to come; `None` where nothing is.
pub fn lateness(it: &Waiting, today: NaiveDate) -> Option<Lateness> {
    let due = it.promised_on.unwrap_or(it.expected_on);
    let late = (today - due).num_days();
    if 0 < late {
        return Some(Lateness::Late { days: late });
    }
    match it.promised_on {
        Some(promised) if it.expected_on < promised => {
            Some(Lateness::PromisedLate { days: (promised - it.expected_on).num_days() })
        }
        Some(_) => None,
        None => {
            let days = (today - it.sent_on).num_days();
            (DAYS_TO_CONFIRM < days).then_some(Lateness::Unconfirmed { days })
        }
    }
}
