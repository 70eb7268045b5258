//! How fast a queue goes whose rows are taken, tried and tried again.

use chrono::TimeDelta;

/// The pauses between tries, and how long a row stays in one hand.
#[derive(Debug, Clone, Copy)]
pub struct Pace {
    /// The pause before the second try; each further one is twice as long.
    pub first_pause: TimeDelta,
    /// The longest pause.
    pub longest_pause: TimeDelta,
    /// How long a claim on a row holds unless it is renewed.
    pub lease: TimeDelta,
}

impl Pace {
    /// Returns how long to wait after that many tries.
    pub fn pause(&self, tries: i64) -> TimeDelta {
        let doublings = u32::try_from(tries.saturating_sub(1).clamp(0, 16)).unwrap_or(0);
        let pause = self.first_pause.checked_mul(1_i32 << doublings);
        pause.unwrap_or(self.longest_pause).min(self.longest_pause)
    }
}
