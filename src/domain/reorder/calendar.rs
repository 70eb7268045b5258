use chrono::{Days, NaiveDate};

use crate::domain::catalog::Closing;
use crate::domain::statistics::{
    StatisticsError, at_least_zero, positive, real, share, standard, whole_up,
};

/// The longest time from order to arrival: ten years.
const MOST_DAYS: i64 = 3_660;

fn in_range(days: i64) -> Result<i64, StatisticsError> {
    if (0..=MOST_DAYS).contains(&days) {
        return Ok(days);
    }
    let must = "from 0 to 3660 days";
    Err(StatisticsError::Range { name: "the lead time", must, value: real(days) })
}

const BEYOND: StatisticsError = StatisticsError::NoNumber("a day of the calendar");

/// Returns the day on which an order of `ordered_on` arrives after so many days of work by the
/// supplier: days on which he is closed do not count.
///
/// # Errors
///
/// [`StatisticsError`] when the lead time is below zero or above ten years.
///
/// ```
/// use chrono::NaiveDate;
/// use kitwright::domain::catalog::Closing;
/// use kitwright::domain::reorder::arrival;
/// let day = |month, day| NaiveDate::from_ymd_opt(2026, month, day).unwrap();
/// let new_year = Closing { from: day(1, 20), until: day(2, 16) };
/// assert_eq!(arrival(day(1, 5), 98, &[new_year]), Ok(day(5, 11)), "98 days become 126");
/// ```
pub fn arrival(
    ordered_on: NaiveDate,
    lead_days: i64,
    closings: &[Closing],
) -> Result<NaiveDate, StatisticsError> {
    let step = |day: NaiveDate| day.checked_add_days(Days::new(1));
    walk(ordered_on, in_range(lead_days)?, closings, step)
}

fn walk(
    start: NaiveDate,
    lead_days: i64,
    closings: &[Closing],
    step: impl Fn(NaiveDate) -> Option<NaiveDate>,
) -> Result<NaiveDate, StatisticsError> {
    let (mut day, mut left, mut all) = (start, lead_days, 0);
    while 0 < left {
        day = step(day).ok_or(BEYOND)?;
        all += 1;
        if 4 * MOST_DAYS < all {
            return Err(StatisticsError::Contradiction("the supplier is closed for decades"));
        }
        if !closings.iter().any(|it| it.holds(day)) {
            left -= 1;
        }
    }
    Ok(day)
}

/// A lead time in days: its mean and standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeadTime {
    /// Days.
    pub days: f64,
    /// Days.
    pub sd: f64,
}

impl LeadTime {
    /// Returns the days within which an order has come with the chance `level`, rounded to the
    /// next whole day.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is out of range.
    pub fn within(&self, level: f64) -> Result<i64, StatisticsError> {
        let days = at_least_zero("the lead time", self.days)?;
        let sd = at_least_zero("the standard deviation of the lead time", self.sd)?;
        let z = standard::quantile(share("the level of service", level)?);
        in_range(whole_up((days + z * sd - 0.5).max(0.0))?)
    }

    /// Returns the last day on which an order still comes by `needed_on` with the chance `level`.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is out of range.
    pub fn last_day_to_order(
        &self,
        needed_on: NaiveDate,
        level: f64,
        closings: &[Closing],
    ) -> Result<NaiveDate, StatisticsError> {
        let days = self.within(level)?;
        walk(needed_on, days, closings, |day| day.checked_sub_days(Days::new(1)))
    }

    /// Returns the chance that an order of `ordered_on` comes after `needed_on`, from 0 to 1.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is out of range.
    pub fn chance_of_being_late(
        &self,
        ordered_on: NaiveDate,
        needed_on: NaiveDate,
        closings: &[Closing],
    ) -> Result<f64, StatisticsError> {
        let days = positive("the lead time", self.days)?;
        let sd = at_least_zero("the standard deviation of the lead time", self.sd)?;
        let left = (needed_on - ordered_on).num_days().max(0);
        let open = ordered_on.iter_days().skip(1).take(usize::try_from(left).unwrap_or(0));
        let open = open.filter(|day| !closings.iter().any(|it| it.holds(*day))).count();
        let spare = crate::domain::statistics::real_of_count(open) - days;
        if sd == 0.0 {
            return Ok(if spare < 0.0 { 1.0 } else { 0.0 });
        }
        Ok(standard::above(spare / sd))
    }
}
