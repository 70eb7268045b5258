use chrono::{Days, NaiveDate};

use super::bought::Bought;
use super::replay::{History, Replayed, clairvoyant, replay};
use crate::domain::demand::Ahead;
use crate::domain::statistics::{StatisticsError, real, whole_up};
use crate::units::Quantity;

/// One part over a season that is replayed.
#[derive(Debug, Clone)]
pub struct SeasonPart<'a> {
    /// The part as the desk knows it; its day, stock and demand are set anew each day.
    pub bought: Bought<'a>,
    /// What the desk expects, as it would have known it: from each month's first day on, that month
    /// and those after it.
    pub expected: &'a [(NaiveDate, Ahead)],
    /// Pieces wanted on each day.
    pub demand: &'a [i64],
    /// Days that each order takes, one after the other.
    pub lead_days: &'a [i64],
    /// What keeping a piece for a day costs, in cents.
    pub keeping: f64,
}

/// What three ways to buy a part would have come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// By the policies of the desk.
    pub desk: Replayed,
    /// By a minimum and a maximum that are set once, from the average of the year.
    pub fixed: Replayed,
    /// By somebody who knew every day before it came, and whom no minimum or pack binds.
    pub known: Replayed,
}

/// Days of average demand that a fixed minimum holds beyond the lead time, and that its maximum
/// holds beyond the minimum: common practice, no source.
const FIXED_DAYS: (i64, i64) = (14, 60);

/// Days of demand beyond the lead time that each part starts with.
const START_DAYS: i64 = 30;

impl SeasonPart<'_> {
    /// Returns what the three ways come to, each from the same stock at the start.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is out of range.
    pub fn compare(&self) -> Result<Compared, StatisticsError> {
        let lead = whole_up(self.bought.lead.days)?;
        let first = self.expected.first().map(|it| &it.1);
        let soon = first.map_or(0.0, |it| it.rate(self.bought.today, lead + START_DAYS));
        let start = whole_up(soon * real(lead + START_DAYS))?;
        let history = History { demand: self.demand, lead_days: self.lead_days, start };
        let mut fault = None;
        let desk = replay(&history, |day, supply| match self.decide(day, supply) {
            Ok(pieces) => pieces,
            Err(found) => {
                fault = Some(found);
                0
            }
        })?;
        if let Some(fault) = fault {
            return Err(fault);
        }
        let (least, most) = self.fixed(lead)?;
        let fixed = replay(
            &history,
            |_, supply| {
                if least < supply { 0 } else { self.packs(most - supply) }
            },
        )?;
        let order_cost = real(self.bought.order_cost.cents()).max(1.0);
        let known = clairvoyant(&history, order_cost, self.keeping.max(1e-6))?;
        Ok(Compared { desk, fixed, known })
    }

    /// Returns what the desk orders on the evening of a day.
    fn decide(&self, day: usize, supply: i64) -> Result<i64, StatisticsError> {
        let more = Days::new(u64::try_from(day).unwrap_or(0));
        let today = self.bought.today.checked_add_days(more).unwrap_or(self.bought.today);
        let known = self.expected.iter().rev().find(|it| it.0 <= today).or(self.expected.first());
        let Some((_, ahead)) = known else { return Ok(0) };
        let on_hand = Quantity::new(supply);
        let bought = Bought { today, ahead, on_hand, ..self.bought.clone() };
        Ok(bought.decide()?.advice.quantity.pieces())
    }

    /// Returns a minimum and a maximum by the average day of the year.
    fn fixed(&self, lead: i64) -> Result<(i64, i64), StatisticsError> {
        let year = self.expected.first().map_or(0.0, |it| it.1.per_year());
        let (beyond, more) = FIXED_DAYS;
        let least = whole_up(year / 365.0 * real(lead + beyond))?;
        let more = whole_up(year / 365.0 * real(more))?;
        Ok((least, least + more.max(self.bought.minimum_order.pieces())))
    }

    fn packs(&self, pieces: i64) -> i64 {
        let wanted = Quantity::new(pieces).max(self.bought.minimum_order);
        wanted.in_packs_of(self.bought.pack).pieces()
    }
}
