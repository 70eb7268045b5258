use chrono::{Days, NaiveDate};

use super::project::Runway;
use crate::units::Quantity;

/// How full the two bins of a part are: the first is used until it is empty, then the second.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gauge {
    /// What one full bin holds.
    pub bin: Quantity,
    /// Pieces in the first bin.
    pub first: Quantity,
    /// Pieces in the second.
    pub second: Quantity,
}

impl Gauge {
    /// Returns how so many pieces fill two bins of that size. What no bin has room for stands in the
    /// first.
    ///
    /// ```
    /// use kitwright::domain::runway::Gauge;
    /// use kitwright::units::Quantity;
    /// let gauge = Gauge::of(Quantity::new(1_452), Quantity::new(1_438));
    /// assert_eq!((gauge.first.pieces(), gauge.second.pieces()), (14, 1_438));
    /// ```
    pub fn of(on_hand: Quantity, bin: Quantity) -> Self {
        let bin = bin.max(Quantity::ONE);
        let second = on_hand.at_least_zero().min(bin);
        Self { bin, first: on_hand.at_least_zero().less(second), second }
    }

    /// Returns whether the first bin is empty, so that its card should have been scanned.
    pub fn is_first_empty(&self) -> bool {
        !self.first.is_some()
    }

    /// Returns whether less than half of the second bin is left.
    pub fn is_below_half(&self) -> bool {
        is_below_half(self.second.pieces(), self.bin)
    }
}

const fn is_below_half(level: i64, bin: Quantity) -> bool {
    level.saturating_mul(2) < bin.pieces()
}

/// That the second bin falls below half.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HalfEmpty {
    /// The day on which it does, as expected.
    pub on: NaiveDate,
    /// The day from which an order could not come before that any more: when to tell.
    pub tell_on: NaiveDate,
}

/// Returns when the second bin is expected to fall below half, and the day on which to tell: the one
/// on which the use expected until an order's arrival passes that level. `None` where it does not
/// within the half year. What is on its way is counted.
///
/// `arrival_days` are the days from an order of today to its arrival.
pub fn half_empty(runway: &Runway, bin: Quantity, arrival_days: u64) -> Option<HalfEmpty> {
    let below = runway.days.iter().find(|it| is_below_half(it.night, bin))?;
    let tell_on = below.on.checked_sub_days(Days::new(arrival_days)).unwrap_or(below.on);
    Some(HalfEmpty { on: below.on, tell_on })
}
