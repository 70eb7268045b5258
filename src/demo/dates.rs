use std::borrow::Cow;

use chrono::{NaiveDate, TimeDelta};

use crate::domain::demand::{HistoryRecord, Month, PlanRecord};
use crate::domain::substitution::Until;
use crate::error::Error;
use crate::exchange::{self, At, Kind};

/// The day on which the shop's files were written.
const WRITTEN_ON: Option<NaiveDate> = NaiveDate::from_ymd_opt(2026, 11, 25);

/// Returns a file with its dates moved as far as `today` is from the day it was written on.
pub(super) fn moved(
    kind: Kind,
    text: &'static str,
    today: NaiveDate,
) -> Result<Cow<'static, str>, Error> {
    let by = WRITTEN_ON.map_or(TimeDelta::zero(), |written| today - written);
    if by.is_zero() {
        return Ok(Cow::Borrowed(text));
    }
    let bytes = text.as_bytes();
    Ok(Cow::Owned(match kind {
        Kind::Orders => {
            let mut orders = values(exchange::orders::read(bytes).map_err(Error::Faults)?);
            for it in &mut orders {
                it.placed_on += by;
                it.promised_on += by;
            }
            exchange::orders::write(&orders)
        }
        Kind::PurchaseOrders => {
            let mut orders = values(exchange::purchase_orders::read(bytes).map_err(Error::Faults)?);
            for it in &mut orders {
                it.ordered_on += by;
                it.due_on += by;
                for line in &mut it.lines {
                    line.wanted_on = line.wanted_on.map(|day| day + by);
                }
            }
            exchange::purchase_orders::write(&orders)
        }
        Kind::Stock => {
            let mut stock = values(exchange::stock::read(bytes).map_err(Error::Faults)?);
            for it in &mut stock {
                it.use_by = it.use_by.map(|day| day + by);
            }
            exchange::stock::write(&stock)
        }
        Kind::Substitutions => {
            let mut rules = values(exchange::substitutions::read(bytes).map_err(Error::Faults)?);
            for it in &mut rules {
                it.valid_from += by;
                if let Until::Day(last) = it.until {
                    it.until = Until::Day(last + by);
                }
            }
            exchange::substitutions::write(&rules)
        }
        Kind::Kits => {
            let mut kits = values(exchange::kits::read(bytes).map_err(Error::Faults)?);
            for it in &mut kits {
                it.bom.valid_from = it.bom.valid_from.map(|day| day + by);
            }
            exchange::kits::write(kits.iter().map(|it| &it.bom))
        }
        Kind::Suppliers => {
            let mut suppliers = values(exchange::suppliers::read(bytes).map_err(Error::Faults)?);
            for terms in suppliers.iter_mut().filter_map(|it| it.terms.as_mut()) {
                terms.closed = terms.closed.moved(by);
            }
            exchange::suppliers::write(&suppliers)
        }
        Kind::Plan => {
            let plan = values(exchange::plan::read(bytes).map_err(Error::Faults)?);
            exchange::plan::write(&in_season(plan, Month::of(today), true))
        }
        Kind::DemandHistory => {
            let history = values(exchange::demand_history::read(bytes).map_err(Error::Faults)?);
            exchange::demand_history::write(&in_season(history, Month::of(today), false))
        }
        Kind::Bins | Kind::Parts | Kind::Glossary | Kind::AirCharts | Kind::Policies => {
            return Ok(Cow::Borrowed(text));
        }
    }))
}

/// A record of one month.
trait Monthly {
    fn month(&mut self) -> &mut Month;
}

impl Monthly for PlanRecord {
    fn month(&mut self) -> &mut Month {
        &mut self.month
    }
}

impl Monthly for HistoryRecord {
    fn month(&mut self) -> &mut Month {
        &mut self.month
    }
}

/// Returns records moved by whole years, so that each stays in its month of the year: those `ahead`
/// lie within two years from `now` on, the others within three years before it.
fn in_season<T: Monthly>(mut records: Vec<T>, now: Month, ahead: bool) -> Vec<T> {
    let (first, years) = if ahead { (now, 2) } else { (now.less(36), 3) };
    for it in &mut records {
        let month = it.month();
        while *month < first {
            *month = month.plus(12 * years);
        }
        while first.plus(12 * years) <= *month {
            *month = month.less(12 * years);
        }
    }
    records
}

fn values<T>(records: Vec<At<T>>) -> Vec<T> {
    records.into_iter().map(|it| it.value).collect()
}
