use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::{Month, Used};
use crate::domain::statistics::real;

/// Where the demand of a month to come is from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Expected {
    /// The plan: so many pieces in kits, and so many more as spares and losses.
    Planned {
        /// Pieces in kits.
        kits: f64,
        /// Pieces beside them.
        beside: f64,
    },
    /// The forecast: so many pieces.
    Forecast(f64),
}

impl Expected {
    /// Returns the pieces of the whole month.
    pub const fn pieces(self) -> f64 {
        match self {
            Self::Planned { kits, beside } => kits + beside,
            Self::Forecast(pieces) => pieces,
        }
    }
}

/// The demand of one part in the months to come.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ahead(BTreeMap<Month, Expected>);

impl Ahead {
    /// Returns the demand by month: what is planned, with spares and losses at the share that they
    /// had of the last year's kits, and the forecast where nothing is planned.
    ///
    /// `planned` says how many pieces the planned bikes of a month take, and nothing where the month
    /// is not planned. A part that no planned bike takes is expected to go on as it did.
    pub fn of(
        first: Month,
        forecast: &[f64],
        planned: impl Fn(Month) -> Option<f64>,
        last_year: Used,
    ) -> Self {
        let share = match last_year.kits {
            kits if 0 < kits => real(last_year.spares + last_year.lost).max(0.0) / real(kits),
            _ => 0.0,
        };
        let months = std::iter::successors(Some(first), |it| Some(it.next()));
        let expected = |(month, forecast): (Month, &f64)| {
            let expected = match planned(month).filter(|it| 0.0 < *it) {
                Some(kits) => Expected::Planned { kits, beside: kits * share },
                None => Expected::Forecast(*forecast),
            };
            (month, expected)
        };
        Self(months.zip(forecast).map(expected).collect())
    }

    /// Returns each month with what it is expected to use.
    pub fn months(&self) -> impl Iterator<Item = (Month, Expected)> {
        self.0.iter().map(|(month, expected)| (*month, *expected))
    }

    /// Returns the pieces wanted from a day on, up to but without another.
    pub fn pieces(&self, from: NaiveDate, until: NaiveDate) -> f64 {
        let of = |(month, expected): (&Month, &Expected)| {
            expected.pieces() * real(month.days_within(from, until)) / real(month.days())
        };
        self.0.iter().map(of).sum()
    }

    /// Returns the pieces a day on average over so many days from `from` on, at least one day.
    pub fn rate(&self, from: NaiveDate, days: i64) -> f64 {
        let days = days.max(1);
        let until = from.checked_add_days(Days::new(u64::try_from(days).unwrap_or(1)));
        self.pieces(from, until.unwrap_or(from)) / real(days)
    }

    /// Returns the pieces a day in the busiest month of those that begin within a year, and which.
    pub fn peak(&self) -> Option<(Month, f64)> {
        let rate = |(month, expected): (&Month, &Expected)| {
            (*month, expected.pieces() / real(month.days()))
        };
        self.0.iter().take(12).map(rate).max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
    }

    /// Returns the pieces of the twelve months from the first on.
    pub fn per_year(&self) -> f64 {
        self.0.values().take(12).map(|it| it.pieces()).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn planned_bikes_bring_their_spares_and_losses_along() {
        // The shop of 1,150 bikes: 253 in December, 4 pinch bolts each, 6 % spares, 2.5 % lost.
        let first: Month = "2026-12".parse().unwrap();
        let last_year = Used { kits: 4600, spares: 276, lost: 115 };
        let planned = |month: Month| (month == first).then_some(253.0 * 4.0);
        let ahead = Ahead::of(first, &[0.0, 310.0], planned, last_year);
        let (month, rate) = ahead.peak().unwrap();
        assert_eq!(month, first);
        assert!((rate - 253.0 * 4.0 * 1.085 / 31.0).abs() < 1e-9, "{rate}");
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        assert!((ahead.pieces(day("2027-01-01"), day("2027-01-11")) - 100.0).abs() < 1e-9);
        let across = ahead.rate(day("2026-12-22"), 20);
        assert!((across - (10.0 * rate + 100.0) / 20.0).abs() < 1e-9, "{across}");
    }
}
