//! A season replayed: what the desk's policies would have come to beside two others.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate};

use super::judge::{Judged, Judgement, judge};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::demand::{Ahead, Dice, Habit, Month, Needs, Plans, Used, UsedByDay, invent};
use crate::domain::reorder::{Abc, Bought, Compared, LeadTime, Replayed, SeasonPart};
use crate::domain::statistics::{real, real_of_count};
use crate::error::Error;
use crate::ops::kits::as_variant;
use crate::store::catalog::{SupplierRow, VariantRow};
use crate::store::{Conn, catalog, demand as demand_store, purchasing};
use crate::units::{Money, Quantity};

/// What a season came to under three ways to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonView {
    /// The first day.
    pub from: NaiveDate,
    /// The last day.
    pub until: NaiveDate,
    /// Class A, B and C, and all of them.
    pub rows: Vec<SeasonRow>,
    /// What can't be replayed, and why.
    pub faults: Vec<String>,
}

/// One class under the three ways.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonRow {
    /// "A", "B", "C" or "all".
    pub class: String,
    /// How many parts.
    pub parts: usize,
    /// Pieces that were wanted.
    pub wanted: i64,
    /// By the policies of the desk.
    pub desk: Sums,
    /// By a minimum and a maximum, fixed for the year.
    pub fixed: Sums,
    /// By somebody who knew every day before.
    pub known: Sums,
}

/// What one way to buy came to.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Sums {
    /// Pieces that were not there on the day they were wanted.
    pub short: i64,
    /// Days on which a part was short, over all parts.
    pub days_short: usize,
    /// Parts that were ever short.
    pub parts_short: usize,
    /// What lay in stock on an average day, in cents.
    pub stock_cents: f64,
    /// Orders placed, one for each part.
    pub orders: usize,
}

impl Sums {
    fn add(&mut self, done: &Replayed, unit_cost: Money) {
        self.short += done.short;
        self.days_short += done.days_short;
        self.parts_short += usize::from(0 < done.short);
        self.stock_cents += done.average_stock * real(unit_cost.cents());
        self.orders += done.orders;
    }
}

/// Days of a replayed season: a year, from the quiet months through the winter.
const DAYS: usize = 365;
/// The month with which a replayed season begins: long-lead parts are ordered before the winter.
const FIRST_MONTH: u32 = 5;

/// Loads what an invented season comes to, bike by bike from a seed, by the shop's own plan,
/// policies and suppliers.
///
/// # Errors
///
/// [`Error::Conflict`] `reorder.no_plan` where nothing is planned or a kit does not lay out.
pub fn invented(conn: &mut Conn, today: NaiveDate, seed: u64) -> Result<SeasonView, Error> {
    let judgement = judge(conn, today)?;
    let plans = Plans::of(demand_store::plan(conn)?);
    let rows = catalog::variants(conn)?;
    let variants: Vec<Variant> = rows.iter().filter_map(as_variant).collect();
    let from = season_start(today);
    let until = after(from, DAYS);
    let known = |part: &PartNumber| rows.iter().find(|it| it.part_number == part.as_str());
    let habit_of = |it: &VariantRow| {
        habit(it.supplier.is_some(), &it.class, it.unit_cost, it.tracking == "lot")
    };
    let of = |part: &PartNumber| known(part).map(habit_of).unwrap_or_default();
    let boms = &judgement.demand.boms;
    let used = invent(&plans, (boms, &variants), (from, until), of, seed)
        .map_err(|fault| Error::conflict("reorder.no_plan", fault.to_string()))?;
    let (needs, _) = Needs::of(&plans, boms, &variants);
    if needs.by_part.is_empty() {
        let message = "nothing is planned, so no season can be invented: import a plan first";
        return Err(Error::conflict("reorder.no_plan", message));
    }
    compare(conn, &judgement, (from, until), &used, &needs, seed)
}

/// Loads what the last whole season of the books comes to, May to April, each month's pieces spread
/// evenly over its days.
///
/// # Errors
///
/// [`Error::Conflict`] `reorder.no_history` where nothing was used in them.
pub fn past(conn: &mut Conn, today: NaiveDate, seed: u64) -> Result<SeasonView, Error> {
    let judgement = judge(conn, today)?;
    let begun = Month::of(season_start(today));
    let now = Month::of(today);
    let from = if begun.plus(12) <= now { begun } else { begun.less(12) };
    let end = from.plus(12);
    let mut used = UsedByDay::new();
    for (part, demand) in &judgement.demand.parts {
        for (month, it) in demand.months.range(from..end) {
            let days = month.days();
            let all = it.total();
            for day in 0..days {
                let pieces = all * (day + 1) / days - all * day / days;
                let day = after(month.first_day(), usize::try_from(day).unwrap_or(0));
                if 0 < pieces {
                    let of_day = Used { kits: pieces, ..Used::default() };
                    used.entry(part.clone()).or_default().insert(day, of_day);
                }
            }
        }
    }
    if used.is_empty() {
        let message = "nothing was used in the last season, May to April: import a demand history, or \
                       replay an invented season";
        return Err(Error::conflict("reorder.no_history", message));
    }
    let needs = judgement.demand.needs.clone();
    compare(conn, &judgement, (from.first_day(), end.first_day()), &used, &needs, seed)
}

fn after(day: NaiveDate, days: usize) -> NaiveDate {
    day.checked_add_days(Days::new(u64::try_from(days).unwrap_or(0))).unwrap_or(day)
}

/// Returns the first day of the newest season that has begun.
fn season_start(today: NaiveDate) -> NaiveDate {
    let of = |year: i32| NaiveDate::from_ymd_opt(year, FIRST_MONTH, 1);
    let this = of(today.year()).filter(|it| *it <= today);
    this.or_else(|| of(today.year() - 1)).unwrap_or(today)
}

/// Returns how a part of the invented shop is used beside the bikes: 6 % again as spares, 2.5 % of
/// fasteners lost; dear parts seldom, papers and packaging never.
///
/// # Source
///
/// The invented shop's own shares.
pub(crate) fn habit(bought: bool, class: &str, unit_cost: Money, by_lot: bool) -> Habit {
    let (is_paper, is_dear) = (class == "D", 5_000 < unit_cost.cents());
    let is_small = unit_cost.cents() < 100 && by_lot;
    Habit {
        spares_per_mille: match (bought && !is_paper, is_dear) {
            (false, _) => 0,
            (true, true) => 10,
            (true, false) => 60,
        },
        lost_per_mille: match (bought, is_small) {
            (false, _) => 0,
            (true, true) => 25,
            (true, false) => 2,
        },
        alone_per_mille: if bought && !is_paper && !is_dear { 150 } else { 0 },
    }
}

fn compare(
    conn: &mut Conn,
    judgement: &Judgement,
    (from, until): (NaiveDate, NaiveDate),
    used: &UsedByDay,
    needs: &Needs,
    seed: u64,
) -> Result<SeasonView, Error> {
    let closings = purchasing::closings(conn)?;
    let mut dice = Dice::new(seed);
    let mut rows: BTreeMap<&str, SeasonRow> = BTreeMap::new();
    let mut faults = judgement.faults.clone();
    for it in judgement.parts.iter().filter(|it| it.ranked.is_some()) {
        let Some(supplier) = it.row.supplier.and_then(|id| judgement.suppliers.get(&id)) else {
            continue;
        };
        let Ok(number) = it.row.part_number.parse::<PartNumber>() else { continue };
        let demand = by_day(used.get(&number), (from, until));
        let lead_days: Vec<i64> = (0..demand.len())
            .map(|_| dice.around(10 * supplier.lead_days, supplier.lead_sd_tenths))
            .collect();
        let expected = expected(it, judgement, needs, (from, until));
        let closed = closings.get(&supplier.id).map_or(&[][..], Vec::as_slice);
        let Some((_, ahead)) = expected.first() else { continue };
        let month_sd = judgement.demand.parts.get(&number).map_or(0.0, |it| it.choice.sd);
        let part = SeasonPart {
            bought: bought(it, supplier, (from, closed), (ahead, month_sd)),
            expected: &expected,
            demand: &demand,
            lead_days: &lead_days,
            keeping: real(it.row.unit_cost.cents()) * real(it.policy.holding_percent.unwrap_or(20))
                / 100.0
                / real_of_count(DAYS),
        };
        match part.compare() {
            Ok(compared) => add(&mut rows, it, demand.iter().sum(), &compared),
            Err(fault) => faults.push(format!("{}: {fault}", it.row.part_number)),
        }
    }
    let until = until.pred_opt().unwrap_or(until);
    Ok(SeasonView { from, until, rows: rows.into_values().collect(), faults })
}

fn add(rows: &mut BTreeMap<&str, SeasonRow>, it: &Judged, wanted: i64, done: &Compared) {
    let class = it.ranked.map_or(Abc::C, |it| it.class.0);
    for class in [class.name(), "all"] {
        let row = rows.entry(class).or_insert_with(|| SeasonRow {
            class: class.to_owned(),
            parts: 0,
            wanted: 0,
            desk: Sums::default(),
            fixed: Sums::default(),
            known: Sums::default(),
        });
        row.parts += 1;
        row.wanted += wanted;
        row.desk.add(&done.desk, it.row.unit_cost);
        row.fixed.add(&done.fixed, it.row.unit_cost);
        row.known.add(&done.known, it.row.unit_cost);
    }
}

fn by_day(
    used: Option<&BTreeMap<NaiveDate, Used>>,
    (from, until): (NaiveDate, NaiveDate),
) -> Vec<i64> {
    let days = from.iter_days().take_while(|it| *it < until);
    let of = |day: NaiveDate| used.and_then(|it| it.get(&day)).map_or(0, |it| it.total());
    days.map(of).collect()
}

/// Returns what the desk would have expected at the start of each month: the plan by the month of
/// the year, with the spares and losses of the last year, and the part's average where no bike takes
/// it.
fn expected(
    it: &Judged,
    judgement: &Judgement,
    needs: &Needs,
    (from, until): (NaiveDate, NaiveDate),
) -> Vec<(NaiveDate, Ahead)> {
    let planned = it.row.part_number.parse().ok().and_then(|it: PartNumber| needs.by_part.get(&it));
    let demand = judgement.demand.of(&it.row.part_number);
    let year = demand.map_or(Used::default(), |it| {
        it.months.values().rev().take(12).fold(Used::default(), |sum, it| sum.plus(*it))
    });
    let average = demand.map_or(0.0, |it| it.ahead.per_year() / 12.0);
    let of_month = |month: Month| {
        let alike = |it: &&Month| it.first_day().month() == month.first_day().month();
        planned.and_then(|it| it.iter().rev().find(|it| alike(&it.0)).map(|it| *it.1))
    };
    let months = std::iter::successors(Some(Month::of(from)), |it| Some(it.next()));
    months
        .take_while(|it| it.first_day() < until)
        .map(|month| {
            let ahead = Ahead::of(month, &[average; 25], of_month, year);
            (month.first_day(), ahead)
        })
        .collect()
}

fn bought<'a>(
    it: &'a Judged,
    supplier: &SupplierRow,
    (today, closings): (NaiveDate, &'a [crate::domain::reorder::Closing]),
    (ahead, month_sd): (&'a Ahead, f64),
) -> Bought<'a> {
    Bought {
        today,
        policy: &it.policy,
        on_hand: Quantity::ZERO,
        needed: Quantity::ZERO,
        on_order: Quantity::ZERO,
        set: (it.row.reorder_point, it.row.order_quantity),
        unit_cost: it.row.unit_cost,
        pack: it.row.pack,
        minimum_order: it.row.minimum_order,
        lead: LeadTime { days: real(supplier.lead_days), sd: real(supplier.lead_sd_tenths) / 10.0 },
        closings,
        order_cost: supplier.order_cost,
        ahead,
        month_sd,
    }
}
