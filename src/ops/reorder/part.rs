use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use super::desk::{SuggestionView, view};
use super::judge::judge;
use crate::domain::demand::{Expected, Month};
use crate::domain::forecast::{Judged as Tried, Score};
use crate::error::Error;
use crate::ops::demand::PartDemand;
use crate::store::Conn;
use crate::store::reorder::{OverruleRow, overrules_of};
use crate::units::Quantity;

/// The most overrules that a page shows.
const MOST_SHOWN: i64 = 20;

/// All that a suggestion for a part rests on.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct PartNumbers {
    /// What is suggested today; a quantity of none where nothing is.
    pub suggestion: SuggestionView,
    /// How demand comes: smooth, erratic, intermittent or lumpy; empty where nothing was wanted.
    pub shape: String,
    /// The forecast's method, in words.
    pub method: String,
    /// Every method that was tried on the part's own past, the best first.
    pub tried: Vec<TriedMethod>,
    /// What was used, the newest month first.
    pub months: Vec<MonthUsed>,
    /// What the months to come are expected to use.
    pub ahead: Vec<MonthAhead>,
    /// Where the buyer did otherwise than was suggested, the newest first.
    pub overrules: Vec<OverruleView>,
}

/// A method and how it would have done.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct TriedMethod {
    /// The method, in words.
    pub method: String,
    /// Whether it is the one chosen.
    pub chosen: bool,
    /// The root of the mean squared error, in pieces a month, to one decimal.
    pub root_mean_square: String,
    /// The mean absolute error, in pieces a month, to one decimal.
    pub mean_absolute: String,
    /// The mean of forecast less demand, in pieces a month, to one decimal.
    pub bias: String,
    /// The root of the mean squared error in parts of that of "as the last month", to two decimals;
    /// empty where the past never changed.
    pub scaled: String,
}

/// What was used in a month.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MonthUsed {
    /// The month.
    pub month: String,
    /// Left in kits.
    pub kits: i64,
    /// Left by themselves.
    pub spares: i64,
    /// Lost.
    pub lost: i64,
    /// All of it.
    pub total: i64,
}

/// What a month to come is expected to use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MonthAhead {
    /// The month.
    pub month: String,
    /// "planned" or "forecast".
    pub from: String,
    /// In planned kits, to one decimal; empty where it is forecast.
    pub kits: String,
    /// Spares and losses beside them, to one decimal; empty where it is forecast.
    pub beside: String,
    /// All of it, to one decimal.
    pub total: String,
}

/// That the buyer did otherwise than was suggested.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct OverruleView {
    /// When.
    pub at: NaiveDateTime,
    /// Who.
    pub person: String,
    /// Pieces that were suggested.
    pub suggested: Quantity,
    /// Pieces that were ordered.
    pub chosen: Quantity,
    /// The day until which it was put off.
    pub put_off_until: Option<NaiveDate>,
    /// Why.
    pub reason: String,
    /// The suggestion's own reason.
    pub because: String,
}

/// Loads all that a suggestion for a part rests on.
///
/// # Errors
///
/// [`Error::NotFound`] where there is no such part, [`Error::Conflict`] `reorder.not_judged` where
/// its figures contradict one another.
pub fn part(conn: &mut Conn, today: NaiveDate, part_number: &str) -> Result<PartNumbers, Error> {
    let judgement = judge(conn, today)?;
    let it = judgement.of(part_number)?;
    let advice = &it.decision.advice;
    let overrules = overrules_of(conn, Some(it.row.id), MOST_SHOWN)?;
    let demand = judgement.demand.of(part_number);
    let choice = demand.map(|it| &it.choice);
    let shape = choice.and_then(|it| it.shape);
    Ok(PartNumbers {
        suggestion: view(it, advice.quantity, advice),
        shape: shape.map(|it| it.class.name().to_owned()).unwrap_or_default(),
        method: choice.map(|it| it.method.to_string()).unwrap_or_default(),
        tried: demand.map(tried).unwrap_or_default(),
        months: demand.map(|it| months(it, Month::of(today))).unwrap_or_default(),
        ahead: demand.map(ahead).unwrap_or_default(),
        overrules: overrules.into_iter().map(overrule).collect(),
    })
}

fn figure(value: f64) -> String {
    // What is nearly nothing has no sign.
    format!("{:.1}", if value.abs() < 0.05 { 0.0 } else { value })
}

fn tried(demand: &PartDemand) -> Vec<TriedMethod> {
    let choice = &demand.choice;
    let mut all: Vec<&Tried> = choice.tried.iter().collect();
    all.sort_by(|a, b| a.score.root_mean_square.total_cmp(&b.score.root_mean_square));
    let view = |it: &&Tried| {
        let Score { root_mean_square, mean_absolute, bias, rmsse, .. } = it.score;
        TriedMethod {
            method: it.method.to_string(),
            chosen: it.method == choice.method,
            root_mean_square: figure(root_mean_square),
            mean_absolute: figure(mean_absolute),
            bias: figure(bias),
            scaled: rmsse.map(|it| format!("{it:.2}")).unwrap_or_default(),
        }
    };
    all.iter().map(view).collect()
}

/// Returns every month since the first that is known of any part, this one too.
fn months(demand: &PartDemand, now: Month) -> Vec<MonthUsed> {
    let all = std::iter::successors(Some(demand.first), |it| Some(it.next()));
    let view = |month: Month| {
        let used = demand.months.get(&month).copied().unwrap_or_default();
        MonthUsed {
            month: month.to_string(),
            kits: used.kits,
            spares: used.spares,
            lost: used.lost,
            total: used.total(),
        }
    };
    let mut views: Vec<MonthUsed> = all.take_while(|it| *it <= now).map(view).collect();
    views.reverse();
    views
}

/// Returns the year to come.
fn ahead(demand: &PartDemand) -> Vec<MonthAhead> {
    let view = |(month, expected): (Month, Expected)| {
        let (from, kits, beside) = match expected {
            Expected::Planned { kits, beside } => ("planned", figure(kits), figure(beside)),
            Expected::Forecast(_) => ("forecast", String::new(), String::new()),
        };
        let total = figure(expected.pieces());
        MonthAhead { month: month.to_string(), from: from.to_owned(), kits, beside, total }
    };
    demand.ahead.months().take(12).map(view).collect()
}

fn overrule(it: OverruleRow) -> OverruleView {
    OverruleView {
        at: it.at,
        person: it.person,
        suggested: it.suggested,
        chosen: it.chosen,
        put_off_until: it.put_off_until,
        reason: it.reason,
        because: it.because,
    }
}
