use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate};
use serde::Serialize;

use crate::domain::codes::PartNumber;
use crate::domain::demand::{Month, Needs};
use crate::domain::ids::{KitId, OrderId, SupplierId, VariantId};
use crate::domain::kits::contents;
use crate::domain::netting::{Item, LotRule, Need, PlannedOrder, Use, plan};
use crate::domain::reorder::arrival;
use crate::domain::statistics::{real, whole_up};
use crate::error::Error;
use crate::ops::demand;
use crate::ops::words::by_variant;
use crate::store::catalog::{SupplierRow, VariantRow};
use crate::store::{Conn, catalog, orders, purchasing, stock};
use crate::units::Quantity;

/// How many weeks are planned: half a year.
const WEEKS: usize = 26;

/// What must be made and ordered, week by week, so that what is promised and planned can be built.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Releases {
    /// What is made here: bags, bar sets, cut forks, in order of week, then level.
    pub made: Vec<Release>,
    /// What is bought, in order of week.
    pub bought: Vec<Release>,
    /// What can't be planned, and why.
    pub faults: Vec<String>,
}

/// Pieces to be begun or ordered in a week.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Release {
    /// The Monday of the week in which to begin.
    pub week: NaiveDate,
    /// The Monday of the week in which they are wanted.
    pub wanted: NaiveDate,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// How many.
    pub quantity: Quantity,
    /// Its level: 0 for what goes into bikes alone, 1 for what goes into that, and so on.
    pub level: usize,
    /// Weeks by which it should have been begun before today.
    pub weeks_late: usize,
    /// The supplier's name; empty where it is made here.
    pub supplier: String,
}

/// Loads what must be made and ordered in each week of the half year to come.
///
/// # Errors
///
/// [`Error::Database`]; [`Error::Conflict`] `reorder.no_plan` where the bills can't be planned.
pub fn releases(conn: &mut Conn, today: NaiveDate) -> Result<Releases, Error> {
    let calendar = Weeks::from(today);
    let rows = catalog::variants(conn)?;
    let demand = demand::load(conn, today)?;
    let place: BTreeMap<VariantId, usize> =
        rows.iter().enumerate().map(|(at, it)| (it.id, at)).collect();
    let numbers: BTreeMap<PartNumber, usize> = rows
        .iter()
        .enumerate()
        .filter_map(|(at, it)| Some((it.part_number.parse().ok()?, at)))
        .collect();
    let items = items(conn, &calendar, &rows)?;
    let promised = promised(conn, &calendar, &place)?;
    let needs = needs(&calendar, &demand.needs, &numbers, promised)?;
    let uses: Vec<Use> = numbers
        .iter()
        .flat_map(|(part, parent)| {
            let inside = contents(&demand.boms, part).into_iter();
            let of = |(part, each)| Some(Use { parent: *parent, part: *numbers.get(&part)?, each });
            inside.filter_map(of).collect::<Vec<_>>()
        })
        .collect();
    let planned = plan(WEEKS, &items, &uses, &needs)
        .map_err(|fault| Error::conflict("reorder.no_plan", format!("no plan: {fault}")))?;
    let is_made: Vec<bool> =
        numbers.iter().fold(vec![false; rows.len()], |mut made, (part, at)| {
            let by_us = demand.boms.values().any(|it| it.makes.as_ref() == Some(part));
            if let Some(made) = made.get_mut(*at) {
                *made = by_us;
            }
            made
        });
    let mut releases = Releases { made: Vec::new(), bought: Vec::new(), faults: demand.faults };
    for order in &planned.orders {
        let Some(row) = rows.get(order.part) else { continue };
        let level = planned.levels.get(order.part).copied().unwrap_or_default();
        let release = release(&calendar, row, order, level);
        match is_made.get(order.part) {
            Some(true) => releases.made.push(release),
            _ => releases.bought.push(release),
        }
    }
    let key = |it: &Release| (it.week, it.level, it.wanted, it.part_number.clone());
    releases.made.sort_by_key(key);
    releases.bought.sort_by_key(|it| (it.week, it.supplier.clone(), it.part_number.clone()));
    Ok(releases)
}

fn release(calendar: &Weeks, row: &VariantRow, order: &PlannedOrder, level: usize) -> Release {
    Release {
        week: calendar.monday(order.release),
        wanted: calendar.monday(order.due),
        part_number: row.part_number.clone(),
        part: row.part.clone(),
        variant: row.variant.clone(),
        quantity: order.quantity,
        level,
        weeks_late: order.late,
        supplier: row.supplier_name.clone().unwrap_or_default(),
    }
}

/// The weeks that are planned, from the Monday of today's.
struct Weeks {
    today: NaiveDate,
    first: NaiveDate,
}

impl Weeks {
    fn from(today: NaiveDate) -> Self {
        let back = u64::from(today.weekday().num_days_from_monday());
        Self { today, first: today.checked_sub_days(Days::new(back)).unwrap_or(today) }
    }

    fn monday(&self, week: usize) -> NaiveDate {
        let days = u64::try_from(week).unwrap_or_default().saturating_mul(7);
        self.first.checked_add_days(Days::new(days)).unwrap_or(self.first)
    }

    /// Returns the week that a day is in; what is overdue is wanted in the first, and nothing is
    /// said of what comes after the last.
    fn of(&self, day: NaiveDate) -> Option<usize> {
        let days = (day - self.first).num_days().max(0);
        usize::try_from(days / 7).ok().filter(|it| *it < WEEKS)
    }
}

/// Loads what is there of each part, what is to come, and how long one takes.
fn items(conn: &mut Conn, calendar: &Weeks, rows: &[VariantRow]) -> Result<Vec<Item>, Error> {
    let on_hand = by_variant(stock::usable(conn, calendar.today)?);
    let suppliers: BTreeMap<SupplierId, SupplierRow> =
        catalog::suppliers(conn)?.into_iter().map(|it| (it.id, it)).collect();
    let closings = purchasing::closings(conn)?;
    let mut coming: BTreeMap<VariantId, Vec<(usize, Quantity)>> = BTreeMap::new();
    for it in purchasing::incoming(conn)? {
        if let Some(week) = calendar.of(it.due_on) {
            coming.entry(it.variant).or_default().push((week, it.quantity));
        }
    }
    let drafted = by_variant(purchasing::drafted(conn)?);
    let item = |row: &VariantRow| {
        let supplier = row.supplier.and_then(|it| suppliers.get(&it));
        let closed = row.supplier.and_then(|it| closings.get(&it));
        let lead = lead_weeks(calendar, supplier, closed.map_or(&[], Vec::as_slice));
        let mut receipts = coming.get(&row.id).cloned().unwrap_or_default();
        // A draft that is sent today comes after the lead time.
        receipts.extend(drafted.get(&row.id).filter(|_| lead < WEEKS).map(|it| (lead, *it)));
        let minimum = if supplier.is_some() { row.minimum_order } else { row.order_quantity };
        Item {
            on_hand: on_hand.get(&row.id).copied().unwrap_or_default(),
            safety: Quantity::ZERO,
            lead,
            lot: LotRule::Packs { minimum, pack: row.pack },
            receipts,
        }
    };
    Ok(rows.iter().map(item).collect())
}

/// Returns whole weeks from an order of today to its arrival; what is made here is begun in the week
/// before it is wanted.
fn lead_weeks(
    calendar: &Weeks,
    supplier: Option<&SupplierRow>,
    closed: &[crate::domain::reorder::Closing],
) -> usize {
    let Some(supplier) = supplier else { return 1 };
    let due = arrival(calendar.today, supplier.lead_days, closed).unwrap_or(calendar.today);
    let days = (due - calendar.today).num_days();
    usize::try_from((days + 6).div_euclid(7)).unwrap_or_default()
}

/// Loads what open kits still need, by part and the week of their order's promise.
fn promised(
    conn: &mut Conn,
    calendar: &Weeks,
    place: &BTreeMap<VariantId, usize>,
) -> Result<BTreeMap<(usize, usize), i64>, Error> {
    let days: BTreeMap<OrderId, NaiveDate> =
        orders::orders(conn)?.into_iter().map(|it| (it.id, it.promised_on)).collect();
    let kits: BTreeMap<KitId, NaiveDate> = orders::kits(conn)?
        .into_iter()
        .filter_map(|it| Some((it.id, *days.get(&it.order)?)))
        .collect();
    let mut sums: BTreeMap<(usize, usize), i64> = BTreeMap::new();
    for line in orders::open_lines(conn)? {
        let week = kits.get(&line.kit).and_then(|it| calendar.of(*it));
        if let Some((part, week)) = place.get(&line.variant).zip(week) {
            *sums.entry((*part, week)).or_default() += line.left().pieces();
        }
    }
    Ok(sums)
}

/// Returns what is wanted from outside: what is promised, and what is planned beyond it.
fn needs(
    calendar: &Weeks,
    planned: &Needs,
    numbers: &BTreeMap<PartNumber, usize>,
    promised: BTreeMap<(usize, usize), i64>,
) -> Result<Vec<Need>, Error> {
    let mut wanted = promised.clone();
    for (number, months) in &planned.direct {
        let Some(part) = numbers.get(number) else { continue };
        // Weeks are rounded by their running sum, so that thin demand is neither lost nor doubled.
        let (mut sum, mut given) = (0.0, 0);
        for week in 0..WEEKS {
            let (from, until) =
                (calendar.monday(week).max(calendar.today), calendar.monday(week + 1));
            sum += months.iter().map(|it| within(it, from, until)).sum::<f64>();
            let whole = whole_up(sum - 0.5)
                .map_err(|fault| Error::Internal(format!("a plan can't be counted: {fault}")))?;
            let pieces = whole - given;
            given = whole;
            let known = promised.get(&(*part, week)).copied().unwrap_or_default();
            if known < pieces {
                wanted.insert((*part, week), pieces);
            }
        }
    }
    let need = |((part, period), pieces): ((usize, usize), i64)| Need {
        part,
        period,
        quantity: Quantity::new(pieces),
    };
    Ok(wanted.into_iter().map(need).filter(|it| it.quantity.is_some()).collect())
}

/// Returns what of a month's pieces falls on the days from `from` on and before `until`.
fn within((month, pieces): (&Month, &f64), from: NaiveDate, until: NaiveDate) -> f64 {
    pieces * real(month.days_within(from, until)) / real(month.days())
}
