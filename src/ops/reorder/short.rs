use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use super::outlook::outlooks;
use crate::domain::ids::{KitId, KitLineId, VariantId};
use crate::domain::runway::monday_of;
use crate::error::Error;
use crate::ops::shortages::shortages as open_shortages;
use crate::store::{Conn, orders};
use crate::units::Quantity;

/// What will be lacking, by part and week, if nothing more is ordered.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct Shortages {
    /// The weeks, with what is lacking in each.
    pub weeks: Vec<ShortWeek>,
    /// The parts, the first to be lacking before the others.
    pub parts: Vec<ShortPart>,
    /// What can't be judged, and why.
    pub faults: Vec<String>,
}

/// What is lacking in a week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ShortWeek {
    /// Its Monday.
    pub monday: NaiveDate,
    /// How many parts are lacking.
    pub parts: usize,
    /// How many of them no order of today would bring in time.
    pub too_late: usize,
    /// Pieces lacking.
    pub pieces: Quantity,
}

/// A bought part that will be lacking.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ShortPart {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// What its absence does, in its letter: S stops the build, R stops the ride, C looks only, D must
    /// not leave without.
    pub class: String,
    /// The supplier's name.
    pub supplier: String,
    /// The first day on which pieces are lacking.
    pub short_on: NaiveDate,
    /// The day on which an order of today would come.
    pub order_comes_on: NaiveDate,
    /// Kits that wait for it now.
    pub kits_waiting: usize,
    /// Pieces lacking at the worst day of each week.
    pub weeks: Vec<Quantity>,
    /// How many weeks from the first on an order of today would come too late for.
    pub too_late_weeks: usize,
}

/// Loads what will be lacking in each week of the half year, by part, if nothing is ordered beyond
/// what is on its way or on a draft.
///
/// # Errors
///
/// [`Error::Database`].
pub fn shortages(conn: &mut Conn, today: NaiveDate) -> Result<Shortages, Error> {
    let waiting = waiting(conn)?;
    let outlooks = outlooks(conn, today)?;
    let mut parts = Vec::new();
    let mut mondays: Vec<NaiveDate> = Vec::new();
    // What is made here is short where what it is made of is.
    for it in outlooks.judgement.parts.iter().filter(|it| it.row.supplier.is_some()) {
        let walk = outlooks.walk(it)?.runway;
        if mondays.is_empty() {
            mondays = walk.weeks.iter().map(|it| it.monday).collect();
        }
        let Some(short_on) = walk.short_on() else { continue };
        let comes = it.decision.due_on;
        parts.push(ShortPart {
            part_number: it.row.part_number.clone(),
            part: it.row.part.clone(),
            variant: it.row.variant.clone(),
            class: it.row.class.clone(),
            supplier: it.row.supplier_name.clone().unwrap_or_default(),
            short_on,
            order_comes_on: comes,
            kits_waiting: waiting.get(&it.row.id).map_or(0, BTreeSet::len),
            weeks: walk.weeks.iter().map(|it| it.short).collect(),
            too_late_weeks: mondays.iter().filter(|it| **it <= monday_of(comes)).count(),
        });
    }
    parts.sort_by(|a, b| {
        (a.short_on, rank(&a.class), &a.part_number).cmp(&(
            b.short_on,
            rank(&b.class),
            &b.part_number,
        ))
    });
    let week = |(at, monday): (usize, NaiveDate)| {
        let short = parts.iter().filter(|it| it.short_in(at).is_some());
        ShortWeek {
            monday,
            parts: short.clone().count(),
            too_late: short.clone().filter(|it| at < it.too_late_weeks).count(),
            pieces: short.map(|it| it.short_in(at)).fold(Quantity::ZERO, Quantity::plus),
        }
    };
    let weeks = mondays.into_iter().enumerate().map(week).collect();
    Ok(Shortages { weeks, parts, faults: outlooks.judgement.faults })
}

impl ShortPart {
    /// Returns how many pieces are lacking in a week, counted from 0.
    pub fn short_in(&self, week: usize) -> Quantity {
        self.weeks.get(week).copied().unwrap_or_default()
    }
}

/// Returns the place of a class among those that fall short on one day: what stops the most first.
fn rank(class: &str) -> usize {
    ["S", "R", "D", "C"].iter().position(|it| *it == class).unwrap_or(4)
}

/// Loads, by part, which kits wait for it now.
fn waiting(conn: &mut Conn) -> Result<BTreeMap<VariantId, BTreeSet<KitId>>, Error> {
    let kits: BTreeMap<KitLineId, KitId> =
        orders::open_lines(conn)?.into_iter().map(|it| (it.line, it.kit)).collect();
    let mut waiting: BTreeMap<VariantId, BTreeSet<KitId>> = BTreeMap::new();
    for it in open_shortages(conn)? {
        if let Some(kit) = kits.get(&it.line) {
            waiting.entry(it.variant).or_default().insert(*kit);
        }
    }
    Ok(waiting)
}
