use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use super::cards::{CardScanView, card_quantity, newest_scans};
use super::judge::Judged;
use super::outlook::{Outlooks, outlooks};
use crate::domain::ids::PlaceId;
use crate::domain::runway::{Gauge, HalfEmpty, half_empty};
use crate::error::Error;
use crate::ops::words;
use crate::store::catalog::BinRow;
use crate::store::{Conn, catalog};
use crate::units::Quantity;

/// A wall of bins, each as full as it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Wall {
    /// The zone that is shown.
    pub zone: String,
    /// Every zone that has home bins of parts.
    pub zones: Vec<ZoneChoice>,
    /// The bins in walking order.
    pub bins: Vec<WallBin>,
    /// Which of them must be told of today, in words.
    pub alerts: Vec<String>,
    /// What cards ordered, the newest first.
    pub scans: Vec<CardScanView>,
}

/// A zone of bins.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ZoneChoice {
    /// Its name.
    pub zone: String,
    /// How many parts are at home in it.
    pub parts: usize,
    /// How many of them are bought by two bins.
    pub two_bins: usize,
}

/// A part in its home bin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct WallBin {
    /// The bin's code.
    pub bin: String,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Whether its policy is two bins; where not, its reorder point stands for what one bin holds.
    pub two_bins: bool,
    /// What one full bin holds.
    pub full: Quantity,
    /// Pieces in the first bin.
    pub first: Quantity,
    /// Pieces in the second.
    pub second: Quantity,
    /// What its card orders; none where no supplier brings it.
    pub card_orders: Quantity,
    /// The supplier's name; empty where the house makes it.
    pub supplier: String,
    /// Pieces still to come, or on a draft.
    pub on_order: Quantity,
    /// The day on which the next of them come.
    pub comes_on: Option<NaiveDate>,
    /// The day on which the second bin is expected to fall below half.
    pub half_on: Option<NaiveDate>,
    /// The day from which no order would come before that any more.
    pub tell_on: Option<NaiveDate>,
    /// Whether that day has come.
    pub alert: bool,
    /// How it stands, in words.
    pub words: String,
}

impl WallBin {
    /// Returns how its two bins are filled.
    pub fn gauge(&self) -> Gauge {
        Gauge { bin: self.full, first: self.first, second: self.second }
    }
}

/// Loads a wall of bins; where no zone is named, the one with the greatest share of two-bin parts.
///
/// # Errors
///
/// [`Error::NotFound`] where no part is at home in that zone.
pub fn wall(conn: &mut Conn, now: NaiveDateTime, zone: &str) -> Result<Wall, Error> {
    let bins: BTreeMap<PlaceId, BinRow> =
        catalog::bins(conn)?.into_iter().map(|it| (it.id, it)).collect();
    let scans = newest_scans(conn)?;
    let outlooks = outlooks(conn, now.date())?;
    let mut zones: BTreeMap<&str, ZoneChoice> = BTreeMap::new();
    let mut homes: Vec<(&BinRow, &Judged)> = Vec::new();
    for it in &outlooks.judgement.parts {
        let Some(bin) = it.row.bin.and_then(|it| bins.get(&it)) else { continue };
        homes.push((bin, it));
        let choice = zones.entry(&bin.zone).or_insert_with(|| ZoneChoice {
            zone: bin.zone.clone(),
            parts: 0,
            two_bins: 0,
        });
        choice.parts += 1;
        choice.two_bins += usize::from(it.decision.bins.is_some());
    }
    let zones: Vec<ZoneChoice> = zones.into_values().collect();
    let shown = match zone {
        "" => zones.iter().max_by_key(|it| (1000 * it.two_bins / it.parts.max(1), it.two_bins)),
        named => zones.iter().find(|it| it.zone == named),
    };
    let shown = match shown {
        Some(it) => it.zone.clone(),
        None if zone.is_empty() => String::new(),
        None => return Err(Error::not_found("zone with home bins", zone)),
    };
    homes.retain(|it| it.0.zone == shown);
    homes.sort_by_key(|(bin, it)| (bin.walk_order, bin.code.clone(), it.row.part_number.clone()));
    let bins: Vec<WallBin> = homes
        .into_iter()
        .map(|(bin, it)| of_part(&outlooks, &bin.code, it))
        .collect::<Result<_, _>>()?;
    let alerts = bins.iter().filter(|it| it.alert).map(named).collect();
    Ok(Wall { zone: shown, zones, bins, alerts, scans })
}

/// Returns a bin with its part in words, and how it stands.
pub(super) fn named(it: &WallBin) -> String {
    let part = words::part(&it.part, &it.variant);
    format!("{}, {part} ({}): {}", it.bin, it.part_number, it.words)
}

/// Returns a part's bin of that code.
pub(super) fn of_part(outlooks: &Outlooks, bin: &str, it: &Judged) -> Result<WallBin, Error> {
    let walk = outlooks.walk(it)?;
    let two = it.decision.bins;
    let full = two.map_or(it.decision.advice.rule.reorder_point, |it| it.bin).max(Quantity::ONE);
    let on_hand = walk.runway.days.first().map_or(0, |it| it.morning);
    let loose = it.standing.on_hand.less(it.standing.in_sub_kits);
    let gauge = Gauge::of(loose, full);
    let half = half_empty(&walk.runway, full, outlooks.arrival_days(it));
    let half = half.filter(|_| two.is_some() && it.row.supplier.is_some());
    let alert = half.is_some_and(|it| it.tell_on <= outlooks.today);
    let next = walk.arrivals.first();
    let comes_on = next.map(|it| it.on);
    Ok(WallBin {
        bin: bin.to_owned(),
        part_number: it.row.part_number.clone(),
        part: it.row.part.clone(),
        variant: it.row.variant.clone(),
        two_bins: two.is_some(),
        full,
        first: gauge.first,
        second: gauge.second,
        card_orders: card_quantity(&it.row, two.map(|it| it.bin)),
        supplier: it.row.supplier_name.clone().unwrap_or_default(),
        on_order: it.standing.on_order,
        comes_on,
        half_on: half.map(|it| it.on),
        tell_on: half.map(|it| it.tell_on),
        alert,
        words: said(outlooks, it, &gauge, half, on_hand, comes_on),
    })
}

/// Returns how two bins stand, in words.
fn said(
    outlooks: &Outlooks,
    it: &Judged,
    gauge: &Gauge,
    half: Option<HalfEmpty>,
    level: i64,
    comes_on: Option<NaiveDate>,
) -> String {
    let mut said = Vec::new();
    if it.row.supplier.is_none() {
        return "made at the bench".to_owned();
    }
    if it.decision.bins.is_none() {
        return format!("bought by another policy, reorder at {}", gauge.bin);
    }
    if gauge.is_first_empty() {
        said.push("the first bin is empty".to_owned());
    }
    if level < 0 {
        said.push(format!("{} are lacking", -level));
    }
    let due = it.decision.due_on;
    match half {
        Some(half) if half.tell_on <= outlooks.today => {
            let falls =
                if half.on <= outlooks.today { "is below half" } else { "falls below half" };
            let when = if half.on <= outlooks.today {
                "now".to_owned()
            } else {
                format!("on {}", half.on)
            };
            said.push(format!(
                "the second bin {falls} {when}, and an order of today comes on {due}"
            ));
        }
        Some(half) => said.push(format!("order by {}", half.tell_on)),
        None => said.push("enough for half a year".to_owned()),
    }
    if let Some(comes_on) = comes_on {
        said.push(format!("{} on order, next on {comes_on}", it.standing.on_order));
    }
    said.join("; ")
}
