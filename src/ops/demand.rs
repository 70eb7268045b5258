//! What is wanted of each part: what was used, what is planned, and what the forecast says.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::demand::{
    Ahead, Month, Needs, Plans, Used, UsedByMonth, series, with_what_is_inside,
};
use crate::domain::forecast::{Choice, choose};
use crate::domain::kits::Bom;
use crate::error::Error;
use crate::store::{Conn, catalog, demand, kits};

use super::kits::as_variant;

/// How many months to come are forecast: a season buy looks two seasons ahead.
const HORIZON: usize = 25;

/// The months of one season of bikes.
const SEASON: usize = 12;

/// The demand of one part.
#[derive(Debug, Clone)]
pub struct PartDemand {
    /// What was used in each month.
    pub months: BTreeMap<Month, Used>,
    /// The first month of the series that the forecast rests on.
    pub first: Month,
    /// The pieces of each whole month since then.
    pub series: Vec<f64>,
    /// The method chosen, its errors, and what it says of the months to come.
    pub choice: Choice,
    /// The months to come, by plan and forecast.
    pub ahead: Ahead,
}

/// The demand of every part that was ever used or is planned.
#[derive(Debug, Clone)]
pub struct Demand {
    /// By part number.
    pub parts: BTreeMap<PartNumber, PartDemand>,
    /// What is planned, by part number and month.
    pub needs: Needs,
    /// What can't be planned, and why, in words.
    pub faults: Vec<String>,
    /// The bills in force.
    pub boms: BTreeMap<String, Bom>,
}

impl Demand {
    /// Returns the demand of a part; none where nothing is known of it.
    pub fn of(&self, part: &str) -> Option<&PartDemand> {
        part.parse::<PartNumber>().ok().and_then(|it| self.parts.get(&it))
    }
}

/// Loads the demand of every part as it stands on a day.
///
/// # Errors
///
/// [`Error::Database`].
pub fn load(conn: &mut Conn, today: NaiveDate) -> Result<Demand, Error> {
    let boms = kits::boms_on(conn, today)?;
    let used = used(conn, &boms)?;
    let now = Month::of(today);
    let (needs, faults) = planned(conn, &boms)?;
    // A month that is not over yet would look like a month of less demand.
    let first = used.values().filter_map(|it| it.keys().next()).min().copied();
    let first = first.filter(|it| *it < now).unwrap_or_else(|| now.less(1));
    let none = BTreeMap::new();
    let mut parts = BTreeMap::new();
    for part in used.keys().chain(needs.by_part.keys()) {
        if parts.contains_key(part) {
            continue;
        }
        let months = used.get(part).unwrap_or(&none);
        let demand = of_part(months, (first, now), |month| needs.pieces(part, month))?;
        parts.insert(part.clone(), demand);
    }
    Ok(Demand { parts, needs, faults, boms })
}

/// Returns the demand of one part from what was used of it.
fn of_part(
    months: &BTreeMap<Month, Used>,
    (first, now): (Month, Month),
    planned: impl Fn(Month) -> Option<f64>,
) -> Result<PartDemand, Error> {
    let series = series(months, first, now);
    let choice = choose(&series, Some(SEASON), HORIZON)
        .map_err(|fault| Error::Internal(format!("a series can't be forecast: {fault}")))?;
    let year = months.range(now.less(12)..now);
    let last_year = year.fold(Used::default(), |sum, it| sum.plus(*it.1));
    let ahead = Ahead::of(now, &choice.ahead, planned, last_year);
    Ok(PartDemand { months: months.clone(), first, series, choice, ahead })
}

/// Loads what was used of each part by month: what left since these books began, with what was
/// inside it, and what a file states of the months before.
fn used(conn: &mut Conn, boms: &BTreeMap<String, Bom>) -> Result<UsedByMonth, Error> {
    let mut left = UsedByMonth::new();
    for row in demand::left(conn)? {
        let key = row.part_number.parse::<PartNumber>().ok().zip(row.month.parse::<Month>().ok());
        let Some((part, month)) = key else { continue };
        // More found than lost in a month is no demand, and no less of it either.
        let used = Used { kits: row.kits, spares: row.spares, lost: row.lost.max(0) };
        let sum = left.entry(part).or_default().entry(month).or_default();
        *sum = sum.plus(used);
    }
    let mut used = with_what_is_inside(boms, &left);
    for it in demand::history(conn)? {
        let sum = used.entry(it.part_number).or_default().entry(it.month).or_default();
        *sum = sum.plus(it.used);
    }
    Ok(used)
}

/// Loads what is planned of each part, and what can't be.
fn planned(conn: &mut Conn, boms: &BTreeMap<String, Bom>) -> Result<(Needs, Vec<String>), Error> {
    let plans = Plans::of(demand::plan(conn)?);
    let rows = catalog::variants(conn)?;
    let variants: Vec<Variant> = rows.iter().filter_map(as_variant).collect();
    Ok(Needs::of(&plans, boms, &variants))
}
