//! What every part's walk through the weeks to come begins with, loaded once.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::judge::{Judged, Judgement, judge};
use crate::domain::codes::PartNumber;
use crate::domain::demand::Ahead;
use crate::domain::ids::{KitId, OrderId, PurchaseOrderId, VariantId};
use crate::domain::netting::inside_what_is_made;
use crate::domain::runway::{Arrival, ArrivalKind, Batch, Outlook, Runway, monday_of, project};
use crate::domain::statistics::whole_up;
use crate::error::Error;
use crate::ops::words::by_variant;
use crate::store::purchasing::PurchaseOrderRow;
use crate::store::{Conn, orders, purchasing, stock};
use crate::units::Quantity;

/// All parts of the shop on a day, with what their walks begin with.
pub(super) struct Outlooks {
    pub today: NaiveDate,
    pub judgement: Judgement,
    batches: BTreeMap<VariantId, Vec<Batch>>,
    coming: BTreeMap<VariantId, Vec<Coming>>,
    promised: BTreeMap<VariantId, BTreeMap<NaiveDate, Quantity>>,
}

/// An open line of a purchase order.
struct Coming {
    order: String,
    quantity: Quantity,
    /// The day; none while the order is a draft.
    on: Option<NaiveDate>,
    confirmed: bool,
}

/// A part's walk, and what is on its way to it.
pub(super) struct Walk {
    pub runway: Runway,
    pub arrivals: Vec<Arrival>,
    /// The deviation of the supplier's lead time, in whole days.
    pub lead_sd_days: u64,
}

/// Loads what every part's walk begins with.
pub(super) fn outlooks(conn: &mut Conn, today: NaiveDate) -> Result<Outlooks, Error> {
    let judgement = judge(conn, today)?;
    let mut batches: BTreeMap<VariantId, Vec<Batch>> = BTreeMap::new();
    let variants = judgement.parts.iter().map(|it| it.row.id).collect();
    for it in stock::in_bins(conn, &variants)? {
        let batch = Batch { quantity: it.quantity, last_day: it.use_by };
        batches.entry(it.variant).or_default().push(batch);
    }
    for it in &judgement.parts {
        let inside = it.standing.in_sub_kits;
        if inside.is_some() {
            let batch = Batch { quantity: inside, last_day: None };
            batches.entry(it.row.id).or_default().push(batch);
        }
    }
    let coming = coming(conn)?;
    let promised = promised(conn, today, &judgement)?;
    Ok(Outlooks { today, judgement, batches, coming, promised })
}

/// Loads what is on its way of each part, or on a draft.
fn coming(conn: &mut Conn) -> Result<BTreeMap<VariantId, Vec<Coming>>, Error> {
    let heads: BTreeMap<PurchaseOrderId, PurchaseOrderRow> =
        purchasing::purchase_orders(conn)?.into_iter().map(|it| (it.id, it)).collect();
    let promises = purchasing::promises(conn)?;
    let mut coming: BTreeMap<VariantId, Vec<Coming>> = BTreeMap::new();
    for line in purchasing::all_lines(conn)? {
        let Some(head) = heads.get(&line.order).filter(|it| !it.cancelled) else { continue };
        if line.closed || !line.open().is_some() {
            continue;
        }
        let promise = promises.get(&line.id);
        let day = promise.map_or(head.due_on, |it| it.promised_on);
        coming.entry(line.variant).or_default().push(Coming {
            order: head.number.clone(),
            quantity: line.open(),
            on: head.is_with_supplier().then_some(day),
            confirmed: promise.is_some(),
        });
    }
    Ok(coming)
}

/// Loads what open kits need of each part, by the Monday of their promise: by itself, or inside what
/// must yet be made.
fn promised(
    conn: &mut Conn,
    today: NaiveDate,
    judgement: &Judgement,
) -> Result<BTreeMap<VariantId, BTreeMap<NaiveDate, Quantity>>, Error> {
    let days: BTreeMap<OrderId, NaiveDate> =
        orders::orders(conn)?.into_iter().map(|it| (it.id, it.promised_on)).collect();
    let kits: BTreeMap<KitId, NaiveDate> = orders::kits(conn)?
        .into_iter()
        .filter_map(|it| Some((it.id, *days.get(&it.order)?)))
        .collect();
    let numbers: BTreeMap<VariantId, PartNumber> = judgement
        .parts
        .iter()
        .filter_map(|it| Some((it.row.id, it.row.part_number.parse().ok()?)))
        .collect();
    let ids: BTreeMap<&PartNumber, VariantId> = numbers.iter().map(|it| (it.1, *it.0)).collect();
    let there: BTreeMap<PartNumber, Quantity> = by_variant(stock::usable(conn, today)?)
        .into_iter()
        .filter_map(|(id, quantity)| Some((numbers.get(&id)?.clone(), quantity)))
        .collect();
    let mut by_week: BTreeMap<NaiveDate, Vec<(PartNumber, Quantity)>> = BTreeMap::new();
    for line in orders::open_lines(conn)? {
        let day = kits.get(&line.kit).copied().unwrap_or(today).max(today);
        if let Some(number) = numbers.get(&line.variant) {
            by_week.entry(monday_of(day)).or_default().push((number.clone(), line.left()));
        }
    }
    let mut wanted: BTreeMap<PartNumber, Quantity> = BTreeMap::new();
    let mut before: BTreeMap<PartNumber, Quantity> = BTreeMap::new();
    let mut promised: BTreeMap<VariantId, BTreeMap<NaiveDate, Quantity>> = BTreeMap::new();
    for (monday, lines) in by_week {
        for (number, quantity) in lines {
            let sum = wanted.entry(number).or_default();
            *sum = sum.plus(quantity);
        }
        // What is made for earlier weeks is used up by them, so each week adds to the sum so far.
        let mut sums = wanted.clone();
        for (number, quantity) in inside_what_is_made(&judgement.demand.boms, &wanted, &there) {
            let sum = sums.entry(number).or_default();
            *sum = sum.plus(quantity);
        }
        for (number, sum) in &sums {
            let more = sum.less(before.get(number).copied().unwrap_or_default());
            if let Some(id) = ids.get(number).filter(|_| more.is_some()) {
                promised.entry(*id).or_default().insert(monday, more);
            }
        }
        before = sums;
    }
    Ok(promised)
}

impl Outlooks {
    /// Returns a part's walk through the half year to come.
    pub(super) fn walk(&self, it: &Judged) -> Result<Walk, Error> {
        let none = Ahead::default();
        let empty = BTreeMap::new();
        let demand = self.judgement.demand.of(&it.row.part_number);
        let lead = self.lead_sd_days(it);
        let arrivals = self.arrivals(it, lead);
        let runway = project(&Outlook {
            today: self.today,
            batches: self.batches.get(&it.row.id).map_or(&[], Vec::as_slice),
            promised: self.promised.get(&it.row.id).unwrap_or(&empty),
            arrivals: &arrivals,
            ahead: demand.map_or(&none, |it| &it.ahead),
            day_sd: it.decision.part.supply.demand_sd,
            lead_sd_days: lead,
        })
        .map_err(|fault| {
            Error::Internal(format!("{} can't be walked ahead: {fault}", it.row.part_number))
        })?;
        Ok(Walk { runway, arrivals, lead_sd_days: lead })
    }

    /// Returns the days from an order of today to its arrival.
    pub(super) fn arrival_days(&self, it: &Judged) -> u64 {
        u64::try_from((it.decision.due_on - self.today).num_days()).unwrap_or_default()
    }

    fn lead_sd_days(&self, it: &Judged) -> u64 {
        let days = whole_up(it.decision.part.supply.lead_time_sd).unwrap_or_default();
        u64::try_from(days).unwrap_or_default()
    }

    fn arrivals(&self, it: &Judged, lead_sd_days: u64) -> Vec<Arrival> {
        let late = self.today.checked_add_days(Days::new(lead_sd_days.max(1)));
        let arrival = |coming: &Coming| {
            let (on, kind) = match coming.on {
                None => (it.decision.due_on, ArrivalKind::Draft),
                Some(on) if on < self.today => (late.unwrap_or(self.today), ArrivalKind::Late),
                Some(on) if coming.confirmed => (on, ArrivalKind::Confirmed),
                Some(on) => (on, ArrivalKind::Expected),
            };
            Arrival { document: coming.order.clone(), on, quantity: coming.quantity, kind }
        };
        let coming = self.coming.get(&it.row.id).map_or(&[][..], Vec::as_slice);
        let mut arrivals: Vec<Arrival> = coming.iter().map(arrival).collect();
        arrivals.sort_by(|a, b| (a.on, &a.document).cmp(&(b.on, &b.document)));
        arrivals
    }
}
