use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate};

use super::walk::{Walked, walk};
use crate::domain::demand::Ahead;
use crate::domain::statistics::{StatisticsError, whole_down, whole_up};
use crate::units::Quantity;

/// How many weeks are looked ahead: half a year.
pub const WEEKS: usize = 26;

/// Deviations on either side of the forecast between which nine of ten demands lie.
const BAND: f64 = 1.645;

/// Returns the Monday of the week that a day is in.
pub fn monday_of(day: NaiveDate) -> NaiveDate {
    let back = u64::from(day.weekday().num_days_from_monday());
    day.checked_sub_days(Days::new(back)).unwrap_or(day)
}

/// Pieces in bins that expire together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Batch {
    /// How many.
    pub quantity: Quantity,
    /// The last day on which they may be used; none where they keep.
    pub last_day: Option<NaiveDate>,
}

/// How sure the day of an arrival is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArrivalKind {
    /// The supplier has promised the day.
    Confirmed,
    /// The day is that of the order.
    Expected,
    /// The day is past, and another is guessed.
    Late,
    /// The order is not sent yet: the day holds if it is sent today.
    Draft,
}

impl ArrivalKind {
    /// Returns the kind in a word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Confirmed => "confirmed",
            Self::Expected => "expected",
            Self::Late => "late",
            Self::Draft => "draft",
        }
    }
}

/// Pieces that are on their way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arrival {
    /// The purchase order's number.
    pub document: String,
    /// The day.
    pub on: NaiveDate,
    /// How many.
    pub quantity: Quantity,
    /// How sure the day is.
    pub kind: ArrivalKind,
}

/// What is known of a part when its stock is walked through the weeks to come.
#[derive(Debug, Clone)]
pub struct Outlook<'a> {
    /// The day.
    pub today: NaiveDate,
    /// What lies in bins.
    pub batches: &'a [Batch],
    /// What open kits need, by the day of their promise.
    pub promised: &'a BTreeMap<NaiveDate, Quantity>,
    /// What is on its way.
    pub arrivals: &'a [Arrival],
    /// What the months to come are expected to use.
    pub ahead: &'a Ahead,
    /// The standard deviation of a day's demand, in pieces.
    pub day_sd: f64,
    /// The standard deviation of the supplier's lead time, in days, rounded up.
    pub lead_sd_days: u64,
}

/// The level of a part on a day, in pieces; below zero where more is wanted than is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayLevel {
    /// The day.
    pub on: NaiveDate,
    /// With what has come.
    pub morning: i64,
    /// When what is wanted is served.
    pub evening: i64,
    /// When what has expired is gone.
    pub night: i64,
    /// The same at the worst of the band.
    pub low: i64,
    /// The same at the best of the band.
    pub high: i64,
}

/// A week of the walk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Week {
    /// Its Monday.
    pub monday: NaiveDate,
    /// Pieces that arrive in it.
    pub arrived: Quantity,
    /// Pieces wanted in it: promised, or forecast where that is more.
    pub wanted: Quantity,
    /// Those of them that open kits need.
    pub promised: Quantity,
    /// Pieces that expire in it unused.
    pub expired: Quantity,
    /// The level at its end, in pieces; below zero where kits wait.
    pub level: i64,
    /// The same at the worst of the band.
    pub low: i64,
    /// The same at the best of the band.
    pub high: i64,
    /// The most pieces that are lacking on a day of it.
    pub short: Quantity,
}

/// Pieces that expire unused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Expiry {
    /// Their last day.
    pub on: NaiveDate,
    /// How many.
    pub quantity: Quantity,
}

/// When nothing is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RunsOut {
    /// By what is expected; none where that is not within the half year.
    pub expected: Option<NaiveDate>,
    /// At the worst of the band.
    pub earliest: Option<NaiveDate>,
    /// At the best of the band.
    pub latest: Option<NaiveDate>,
}

/// A part walked through the half year to come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Runway {
    /// Day by day.
    pub days: Vec<DayLevel>,
    /// Week by week; the first one is what is left of today's.
    pub weeks: Vec<Week>,
    /// What expires unused.
    pub expiries: Vec<Expiry>,
    /// When nothing is left.
    pub runs_out: RunsOut,
}

/// Returns the walk of a part through the half year to come.
///
/// A week's demand is what is promised, or the forecast where that is more, since orders come in of
/// what was forecast; it is spread over the week's days in whole pieces. The band's worse edge adds to
/// the demand so far what nine of ten demands stay below, and lets arrivals come late by the lead
/// time's deviation; the better edge does the reverse, and never takes less than what is promised.
///
/// # Errors
///
/// [`StatisticsError`] when a forecast is no number that can be counted.
///
/// # Source
///
/// Errors of independent days add up by root-sum-square: Silver, Pyke & Thomas, *Inventory and
/// Production Management in Supply Chains*, 4th ed., §6.7. 1.645 is the normal quantile of 0.95.
pub fn project(it: &Outlook<'_>) -> Result<Runway, StatisticsError> {
    let calendar = Calendar::from(it.today);
    let promised = calendar.promised(it.promised);
    let wanted = wanted(&calendar, it.ahead, &promised)?;
    let sure = calendar.by_day(&promised);
    let middle = calendar.by_day(&wanted);
    let is_wanted = 0 < middle.last().copied().unwrap_or_default();
    let spread = if is_wanted { it.day_sd } else { 0.0 };
    let (mut worse, mut better) = (Vec::new(), Vec::new());
    let (mut passed, mut most_sure) = (0.0, 0);
    for (pieces, sure) in middle.iter().zip(&sure) {
        passed += 1.0;
        let error = BAND * spread * f64::sqrt(passed);
        worse.push(pieces + whole_up(error)?);
        most_sure = (pieces - whole_down(error)?).max(*sure).max(most_sure);
        better.push(most_sure);
    }
    let batches: Vec<(Option<NaiveDate>, i64)> = it
        .batches
        .iter()
        .filter(|it| it.quantity.is_some())
        .map(|it| (it.last_day, it.quantity.pieces()))
        .filter(|(last, _)| last.is_none_or(|last| calendar.today <= last))
        .collect();
    let shifted = |late: u64, early: u64| -> Vec<(usize, i64)> {
        let day = |it: &Arrival| {
            let later = it.on.checked_add_days(Days::new(late)).unwrap_or(it.on);
            let day = later.checked_sub_days(Days::new(early)).unwrap_or(later);
            Some((calendar.place(day)?, it.quantity.pieces()))
        };
        it.arrivals.iter().filter_map(day).collect()
    };
    let days = &calendar.days;
    let expected = walk(days, &batches, &shifted(0, 0), &middle);
    let worst = walk(days, &batches, &shifted(it.lead_sd_days, 0), &worse);
    let best = walk(days, &batches, &shifted(0, it.lead_sd_days), &better);
    let zero = |walked: &[Walked]| {
        let first = walked.iter().zip(days).find(|(it, _)| it.night <= 0);
        first.map(|(_, day)| *day).filter(|_| is_wanted)
    };
    Ok(Runway {
        runs_out: RunsOut {
            expected: zero(&expected),
            earliest: zero(&worst),
            latest: zero(&best),
        },
        weeks: weeks(&calendar, (&expected, &worst, &best), &wanted, &promised),
        expiries: days
            .iter()
            .zip(&expected)
            .filter(|(_, it)| 0 < it.expired)
            .map(|(on, it)| Expiry { on: *on, quantity: Quantity::new(it.expired) })
            .collect(),
        days: day_levels(days, &expected, &worst, &best),
    })
}

fn day_levels(
    days: &[NaiveDate],
    expected: &[Walked],
    worst: &[Walked],
    best: &[Walked],
) -> Vec<DayLevel> {
    let all = days.iter().zip(expected).zip(worst.iter().zip(best));
    all.map(|((on, it), (worst, best))| DayLevel {
        on: *on,
        morning: it.morning,
        evening: it.evening,
        night: it.night,
        low: worst.night,
        high: best.night,
    })
    .collect()
}

fn weeks(
    calendar: &Calendar,
    (expected, worst, best): (&[Walked], &[Walked], &[Walked]),
    wanted: &[i64],
    promised: &[i64],
) -> Vec<Week> {
    let mut weeks = Vec::new();
    let mut from = 0;
    for (at, (wanted, promised)) in wanted.iter().zip(promised).enumerate() {
        let until = from + calendar.days_of(at);
        let of = |walked: &[Walked]| walked.get(from..until).unwrap_or_default().to_vec();
        let (days, worst, best) = (of(expected), of(worst), of(best));
        let last = |days: &[Walked]| days.last().map_or(0, |it| it.night);
        let lowest = days.iter().map(|it| it.evening.min(it.night)).min().unwrap_or_default();
        weeks.push(Week {
            monday: calendar.monday(at),
            arrived: Quantity::new(days.iter().map(|it| it.arrived).sum()),
            wanted: Quantity::new(*wanted),
            promised: Quantity::new(*promised),
            expired: Quantity::new(days.iter().map(|it| it.expired).sum()),
            level: last(&days),
            low: last(&worst),
            high: last(&best),
            short: Quantity::new((-lowest).max(0)),
        });
        from = until;
    }
    weeks
}

/// Returns what is wanted in each week, in whole pieces. The forecast is rounded by its running sum,
/// so that thin demand is neither lost nor doubled.
fn wanted(
    calendar: &Calendar,
    ahead: &Ahead,
    promised: &[i64],
) -> Result<Vec<i64>, StatisticsError> {
    let (mut sum, mut given) = (0.0, 0);
    let mut wanted = Vec::new();
    for (week, promised) in promised.iter().enumerate() {
        let from = calendar.monday(week).max(calendar.today);
        sum += ahead.pieces(from, calendar.monday(week + 1)).max(0.0);
        let whole = whole_up(sum - 0.5)?.max(given);
        wanted.push((*promised).max(whole - given));
        given = whole;
    }
    Ok(wanted)
}

/// The days and weeks of a walk.
struct Calendar {
    today: NaiveDate,
    first: NaiveDate,
    days: Vec<NaiveDate>,
}

impl Calendar {
    fn from(today: NaiveDate) -> Self {
        let first = monday_of(today);
        let calendar = Self { today, first, days: Vec::new() };
        let end = calendar.monday(WEEKS);
        let days = today.iter_days().take_while(|it| *it < end).collect();
        Self { days, ..calendar }
    }

    fn monday(&self, week: usize) -> NaiveDate {
        let days = u64::try_from(week).unwrap_or_default().saturating_mul(7);
        self.first.checked_add_days(Days::new(days)).unwrap_or(self.first)
    }

    /// Returns how many days of a week are still to come.
    fn days_of(&self, week: usize) -> usize {
        let passed = (self.today - self.first).num_days();
        if week == 0 { 7 - usize::try_from(passed).unwrap_or_default() } else { 7 }
    }

    /// Returns the place of a day; what is overdue comes today, and nothing after the last day.
    fn place(&self, day: NaiveDate) -> Option<usize> {
        let days = (day - self.today).num_days().max(0);
        usize::try_from(days).ok().filter(|it| *it < self.days.len())
    }

    /// Returns what is promised in each week; what is overdue is wanted in the first.
    fn promised(&self, by_day: &BTreeMap<NaiveDate, Quantity>) -> Vec<i64> {
        let mut weeks = vec![0; WEEKS];
        for (day, quantity) in by_day {
            let week = (*day - self.first).num_days().max(0) / 7;
            let week = usize::try_from(week).ok().and_then(|it| weeks.get_mut(it));
            if let Some(week) = week {
                *week += quantity.pieces();
            }
        }
        weeks
    }

    /// Returns the sum from today to the end of each day, each week's pieces spread over its days and
    /// never later than evenly.
    fn by_day(&self, weeks: &[i64]) -> Vec<i64> {
        let mut sums = Vec::with_capacity(self.days.len());
        let mut before = 0;
        for (at, pieces) in weeks.iter().enumerate() {
            let days = i64::try_from(self.days_of(at)).unwrap_or(7);
            sums.extend((1..=days).map(|day| before + (pieces * day + days - 1).div_euclid(days)));
            before += pieces;
        }
        sums
    }
}

impl RunsOut {
    /// Returns when nothing is left and how far that is uncertain, in words.
    pub fn words(&self) -> String {
        let day = |it: NaiveDate| it.format("%-d %b %Y").to_string();
        let week = |it: NaiveDate| format!("the week of {}", day(monday_of(it)));
        match (self.expected, self.earliest, self.latest) {
            (None, None, _) => "Lasts through the half year, even at the worst of the band".into(),
            (None, Some(earliest), _) => format!(
                "Lasts through the half year as expected; at the worst of the band it runs out in {}",
                week(earliest)
            ),
            (Some(expected), earliest, latest) => {
                let before = earliest.map(|it| (expected - it).num_days()).unwrap_or_default();
                let after = match latest {
                    Some(latest) => format!("+{} days", (latest - expected).num_days()),
                    None => "or not within the half year at the best".to_owned(),
                };
                format!("Runs out in {} ({}, −{before} {after})", week(expected), day(expected))
            }
        }
    }
}

impl Runway {
    /// Returns the level when a day ends; none outside the half year.
    pub fn level_on(&self, day: NaiveDate) -> Option<i64> {
        self.days.iter().find(|it| it.on == day).map(|it| it.night)
    }

    /// Returns the first day on which pieces are lacking.
    pub fn short_on(&self) -> Option<NaiveDate> {
        self.days.iter().find(|it| it.evening.min(it.night) < 0).map(|it| it.on)
    }
}
