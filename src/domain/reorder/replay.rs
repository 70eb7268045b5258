use super::lot_size::{Period, wagner_whitin};
use crate::domain::statistics::{StatisticsError, at_least_zero, real, real_of_count};

/// What happened to one part, day by day, in pieces and days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct History<'a> {
    /// Pieces wanted each day.
    pub demand: &'a [i64],
    /// Days that each order took, one after the other; the last counts for all further ones.
    pub lead_days: &'a [i64],
    /// Pieces on hand at the start.
    pub start: i64,
}

/// What a policy would have done to that part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Replayed {
    /// Pieces that were not there on the day they were wanted; they are served later.
    pub short: i64,
    /// Days on which something wanted was not there.
    pub days_short: usize,
    /// Orders placed.
    pub orders: usize,
    /// Pieces on hand at the end of a day, on average.
    pub average_stock: f64,
    /// The most pieces on hand at the end of a day.
    pub most_stock: i64,
    /// Pieces on hand at the end.
    pub left: i64,
}

impl Replayed {
    /// Returns the share of demand that was there on its day; 1 where nothing was wanted.
    pub fn fill_rate(&self, wanted: i64) -> f64 {
        if wanted <= 0 { 1.0 } else { 1.0 - real(self.short) / real(wanted) }
    }
}

/// The most days that are replayed: ten years.
const MOST_DAYS: usize = 3_660;

impl History<'_> {
    fn check(&self) -> Result<(), StatisticsError> {
        if MOST_DAYS < self.demand.len() {
            let count = u64::try_from(self.demand.len()).unwrap_or(u64::MAX);
            return Err(StatisticsError::TooMany { what: "days", count, most: 3_660 });
        }
        at_least_zero("the stock at the start", real(self.start))?;
        let all = self.demand.iter().chain(self.lead_days);
        all.into_iter().try_for_each(|it| at_least_zero("a day's figure", real(*it)).map(|_| ()))
    }

    /// Returns the day on which the so-manieth order of a day arrives.
    fn arrival(&self, order: usize, day: usize) -> usize {
        let lead = self.lead_days.get(order).or(self.lead_days.last()).copied().unwrap_or(0);
        day.saturating_add(usize::try_from(lead).unwrap_or(0))
    }
}

/// Returns what would have happened if `decide` had been asked each evening, with the day and the
/// supply: on hand, less owed, plus on order. It answers how many pieces to order, zero for none.
///
/// What arrives, arrives in the morning; an order of lead time 0 arrives the next one.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is below zero or there are more than 3,660 days.
///
/// ```
/// use kitwright::domain::reorder::{History, replay};
/// let history = History { demand: &[2, 2, 2, 2, 2], lead_days: &[2], start: 5 };
/// // Order 4 when the supply is at or below 3.
/// let done = replay(&history, |_, supply| if supply <= 3 { 4 } else { 0 })?;
/// assert_eq!((done.orders, done.short, done.left), (3, 0, 3));
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn replay(
    history: &History<'_>,
    mut decide: impl FnMut(usize, i64) -> i64,
) -> Result<Replayed, StatisticsError> {
    history.check()?;
    let mut arrivals = vec![0; history.demand.len() + 1];
    let mut walk = Walk::new(history.start);
    let mut on_order = 0;
    for (day, wanted) in history.demand.iter().enumerate() {
        let came = arrivals.get(day).copied().unwrap_or_default();
        on_order -= came;
        walk.day(came, *wanted);
        let pieces = decide(day, walk.stock + on_order).max(0);
        if 0 < pieces {
            let arrival = history.arrival(walk.done.orders, day).max(day + 1);
            if let Some(sum) = arrivals.get_mut(arrival) {
                *sum += pieces;
            }
            on_order += pieces;
            walk.done.orders += 1;
        }
    }
    Ok(walk.end(history.demand.len()))
}

/// Returns what somebody would have done who knew all demand before: the plan of least cost, each
/// order placed in time; only what is wanted before a first order can come may be short.
///
/// # Errors
///
/// As [`replay`], and [`StatisticsError`] when a cost is below zero or there are more than 2,000
/// days.
pub fn clairvoyant(
    history: &History<'_>,
    fixed_cost: f64,
    holding_cost_a_day: f64,
) -> Result<Replayed, StatisticsError> {
    history.check()?;
    let first = history.arrival(0, 0).max(1);
    let mut left = history.start;
    let mut periods = Vec::with_capacity(history.demand.len());
    let mut owed = 0;
    for (day, wanted) in history.demand.iter().enumerate() {
        let used = left.min(*wanted);
        left -= used;
        owed += wanted - used;
        // What is lacking before the first order can come is made good on that day.
        let demand = if day < first { 0 } else { std::mem::take(&mut owed) };
        periods.push(Period {
            demand,
            fixed_cost,
            holding_cost: holding_cost_a_day,
            purchase_cost: 0.0,
        });
    }
    let plan = wagner_whitin(&periods)?;
    let mut walk = Walk::new(history.start);
    for (wanted, came) in history.demand.iter().zip(&plan.quantities) {
        walk.done.orders += usize::from(0 < *came);
        walk.day(*came, *wanted);
    }
    Ok(walk.end(history.demand.len()))
}

struct Walk {
    /// On hand, or below zero what is owed.
    stock: i64,
    sum: i64,
    done: Replayed,
}

impl Walk {
    const fn new(start: i64) -> Self {
        let done = Replayed {
            short: 0,
            days_short: 0,
            orders: 0,
            average_stock: 0.0,
            most_stock: 0,
            left: 0,
        };
        Self { stock: start, sum: 0, done }
    }

    fn day(&mut self, came: i64, wanted: i64) {
        self.stock = self.stock.saturating_add(came);
        let short = wanted.saturating_sub(self.stock.max(0)).max(0);
        self.stock = self.stock.saturating_sub(wanted);
        self.done.short = self.done.short.saturating_add(short);
        self.done.days_short += usize::from(0 < short);
        let kept = self.stock.max(0);
        self.sum = self.sum.saturating_add(kept);
        self.done.most_stock = self.done.most_stock.max(kept);
    }

    fn end(self, days: usize) -> Replayed {
        let average_stock = real(self.sum) / real_of_count(days.max(1));
        Replayed { average_stock, left: self.stock.max(0), ..self.done }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_season_is_replayed_against_somebody_who_knew() {
        let demand: Vec<i64> = (0..120).map(|day| [0, 3, 9, 2][day % 4]).collect();
        let history = History { demand: &demand, lead_days: &[10, 14, 7], start: 60 };
        let fixed = replay(&history, |_, supply| if supply <= 20 { 100 } else { 0 }).unwrap();
        let safer = replay(&history, |_, supply| if supply <= 70 { 100 } else { 0 }).unwrap();
        let known = clairvoyant(&history, 24.0, 0.01).unwrap();
        assert!(0 < fixed.short && 0 < fixed.days_short);
        assert_eq!((safer.short, known.short), (0, 0));
        assert!(known.average_stock < safer.average_stock);
        assert_eq!(known.left, 0);
        assert_eq!(known.fill_rate(demand.iter().sum()), 1.0);
        let late = History { start: 0, ..history };
        assert_eq!(clairvoyant(&late, 24.0, 0.01).unwrap().short, demand[..10].iter().sum::<i64>());
    }

    proptest! {
        #[test]
        fn pieces_are_neither_lost_nor_made(
            demand in prop::collection::vec(0_i64..20, 1..100), lead in 0_i64..15, start in 0_i64..60,
            point in 0_i64..80, lot in 1_i64..60
        ) {
            let history = History { demand: &demand, lead_days: &[lead], start };
            let mut ordered = 0;
            let rule = |_, supply| {
                let pieces = if supply <= point { lot } else { 0 };
                ordered += pieces;
                pieces
            };
            let done = replay(&history, rule).unwrap();
            let wanted: i64 = demand.iter().sum();
            prop_assert!(done.left <= start + ordered - wanted || done.left == 0);
            prop_assert!(done.short <= wanted && done.left <= done.most_stock.max(start));
            let known = clairvoyant(&history, 5.0, 0.1).unwrap();
            prop_assert!(known.short <= done.short);
        }
    }
}
