use chrono::NaiveDate;
use serde::Serialize;

use super::desk::{SuggestionView, view};
use super::outlook::outlooks;
use crate::domain::demand::Month;
use crate::domain::runway::{Arrival, Runway};
use crate::error::Error;
use crate::store::Conn;
use crate::units::Quantity;

/// How long the stock of a part lasts.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct RunwayView {
    /// What is suggested of it today.
    pub suggestion: SuggestionView,
    /// The supplier's name; empty where the house makes it.
    pub supplier: String,
    /// When nothing is left and how far that is uncertain, in words.
    pub words: String,
    /// The day on which nothing is left, as expected.
    pub runs_out_on: Option<NaiveDate>,
    /// The same at the worst of the band.
    pub earliest: Option<NaiveDate>,
    /// The same at the best of the band.
    pub latest: Option<NaiveDate>,
    /// The deviation of the supplier's lead time, in days, by which the band lets arrivals slip.
    pub lead_sd_days: u64,
    /// The busiest month of the year to come, as "2026-12".
    pub busiest: Option<String>,
    /// What is on its way.
    pub arrivals: Vec<ArrivalView>,
    /// Week by week.
    pub weeks: Vec<RunwayWeek>,
    /// The walk itself, for the picture.
    #[serde(skip)]
    pub runway: Runway,
    /// What is on its way, for the picture.
    #[serde(skip)]
    pub coming: Vec<Arrival>,
    /// The first and last day of the busiest month, for the picture.
    #[serde(skip)]
    pub busiest_days: Option<(NaiveDate, NaiveDate)>,
}

/// Pieces that are on their way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ArrivalView {
    /// The purchase order's number.
    pub purchase_order: String,
    /// The day.
    pub on: NaiveDate,
    /// How many.
    pub quantity: Quantity,
    /// "confirmed", "expected", "late" where the day is past and another is guessed, or "draft" where
    /// the order is not sent yet.
    pub kind: String,
}

/// A week of a part's stock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct RunwayWeek {
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
    /// Pieces at its end; below zero where kits wait.
    pub level: i64,
    /// The same at the worst of the band.
    pub low: i64,
    /// The same at the best of the band.
    pub high: i64,
    /// The most pieces that are lacking on a day of it.
    pub short: Quantity,
}

/// Loads how long the stock of a part lasts, week by week for half a year.
///
/// # Errors
///
/// [`Error::NotFound`] where there is no such part, [`Error::Conflict`] `reorder.not_judged` where
/// its figures contradict one another.
pub fn runway(conn: &mut Conn, today: NaiveDate, part_number: &str) -> Result<RunwayView, Error> {
    let outlooks = outlooks(conn, today)?;
    let it = outlooks.judgement.of(part_number)?;
    let walk = outlooks.walk(it)?;
    let advice = &it.decision.advice;
    let demand = outlooks.judgement.demand.of(part_number);
    let busiest = demand.and_then(|it| it.ahead.peak()).filter(|it| 0.0 < it.1).map(|it| it.0);
    let out = walk.runway.runs_out;
    let within = |it: &Month| walk.runway.level_on(it.first_day().max(today)).is_some();
    let weeks = walk.runway.weeks.iter().map(|it| RunwayWeek {
        monday: it.monday,
        arrived: it.arrived,
        wanted: it.wanted,
        promised: it.promised,
        expired: it.expired,
        level: it.level,
        low: it.low,
        high: it.high,
        short: it.short,
    });
    let arrivals = walk.arrivals.iter().map(|it| ArrivalView {
        purchase_order: it.document.clone(),
        on: it.on,
        quantity: it.quantity,
        kind: it.kind.word().to_owned(),
    });
    Ok(RunwayView {
        suggestion: view(it, advice.quantity, advice),
        supplier: it.row.supplier_name.clone().unwrap_or_default(),
        words: out.words(),
        runs_out_on: out.expected,
        earliest: out.earliest,
        latest: out.latest,
        lead_sd_days: walk.lead_sd_days,
        busiest: busiest.map(|it| it.to_string()),
        arrivals: arrivals.collect(),
        weeks: weeks.collect(),
        busiest_days: busiest.filter(within).map(|it| (it.first_day().max(today), it.last_day())),
        runway: walk.runway,
        coming: walk.arrivals,
    })
}
