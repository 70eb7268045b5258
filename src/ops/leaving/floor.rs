//! The open orders and the free stock, as the search for the best set takes them.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};

use super::Looks;
use crate::domain::catalog::MissingClass;
use crate::domain::ids::{KitId, KitLineId, LotId, VariantId};
use crate::domain::orders::{OpenOrder, Pool, Supply, Way};
use crate::error::Error;
use crate::ops::orders::{OrderView, unasked};
use crate::ops::words::by_variant;
use crate::ops::{fit, shortages, words};
use crate::store::catalog::VariantRow;
use crate::store::orders::OpenLineRow;
use crate::store::{Conn, catalog, orders, purchasing, stock};
use crate::units::Quantity;

/// An order that waits.
pub(super) struct Waiting {
    pub(super) number: String,
    pub(super) customer: String,
    pub(super) open: OpenOrder,
}

/// The open orders and the free stock.
pub(super) struct Floor {
    pub(super) today: NaiveDate,
    /// By promised date.
    pub(super) waiting: Vec<Waiting>,
    /// Orders that can't leave whatever the stock, in words.
    pub(super) stuck: Vec<String>,
    /// What is free once kits that are being picked have what they hold.
    pub(super) free: Pool,
    pub(super) coming: Vec<Supply>,
    /// When a variant would come if it were ordered today.
    pub(super) arrives: BTreeMap<VariantId, NaiveDate>,
    pub(super) variants: BTreeMap<VariantId, VariantRow>,
}

impl Floor {
    pub(super) fn load(conn: &mut Conn, today: NaiveDate, looks: Looks) -> Result<Self, Error> {
        let variants: BTreeMap<VariantId, VariantRow> =
            catalog::variants(conn)?.into_iter().map(|it| (it.id, it)).collect();
        let stock = Stock::load(conn, today, &variants.keys().copied().collect())?;
        let lines = orders::open_lines(conn)?;
        let unfit = fit::unfit_lots(conn, &lines)?;
        let mut wants: BTreeMap<KitId, Vec<OpenLineRow>> = BTreeMap::new();
        for line in lines {
            let class = variants.get(&line.variant).map(|it| it.class.as_str());
            if looks == Looks::WaitedFor || class != Some(MissingClass::LooksOnly.letter()) {
                wants.entry(line.kit).or_default().push(line);
            }
        }
        let kits: BTreeMap<String, KitId> =
            orders::kits(conn)?.into_iter().map(|it| (it.number, it.id)).collect();
        let mut floor = Self {
            today,
            waiting: Vec::new(),
            stuck: Vec::new(),
            free: stock.free.clone(),
            coming: coming(conn)?,
            arrives: arrives(conn, &variants, today)?,
            variants,
        };
        for view in unasked(conn)? {
            let open: Vec<_> = view
                .kits
                .iter()
                .filter(|it| matches!(it.state.as_str(), "open" | "picking"))
                .collect();
            if open.is_empty() {
                continue;
            }
            let of_kit =
                |number: &str| kits.get(number).and_then(|it| wants.get(it)).into_iter().flatten();
            let lines: Vec<&OpenLineRow> = open.iter().flat_map(|it| of_kit(&it.number)).collect();
            let misfit = open.iter().find_map(|it| Some((it, it.fit.misfits().next()?)));
            let bags = lines.iter().find(|it| {
                let lots = unfit.get(&it.line).map(Vec::as_slice).unwrap_or_default();
                let lots: BTreeSet<_> = lots.iter().map(|it| it.lot).collect();
                !lots.is_empty() && stock.without(it.variant, &lots) < it.left()
            });
            let why = match (misfit, bags) {
                (Some((kit, words)), _) => format!("kit {} does not fit: {words}", kit.number),
                (None, Some(line)) => {
                    format!("the {} in stock do not fit it", floor.part(line.variant))
                }
                (None, None) => String::new(),
            };
            if !why.is_empty() {
                floor.stuck.push(format!("{}: {why}", view.number));
            }
            let waiting = waiting(&view, open.len(), &lines, &stock.held, why.is_empty());
            floor.waiting.push(waiting);
        }
        Ok(floor)
    }

    /// Returns a part in words, with its number.
    pub(super) fn part(&self, variant: VariantId) -> String {
        let (number, part) = self.named(variant);
        format!("{part} ({number})")
    }

    /// Returns a part's number and words.
    pub(super) fn named(&self, variant: VariantId) -> (String, String) {
        let named = |it: &VariantRow| (it.part_number.clone(), words::part(&it.part, &it.variant));
        self.variants.get(&variant).map(named).unwrap_or_default()
    }

    /// Returns what so many pieces cost, if a price is known.
    pub(super) fn cost_cents(&self, variant: VariantId, pieces: Quantity) -> Option<i64> {
        let cost = self.variants.get(&variant)?.unit_cost.times(pieces.pieces()).cents();
        (0 < cost).then_some(cost)
    }
}

fn waiting(
    view: &OrderView,
    kits: usize,
    lines: &[&OpenLineRow],
    held: &BTreeMap<KitLineId, Quantity>,
    may_leave: bool,
) -> Waiting {
    let lacks = |it: &&OpenLineRow| {
        let held = held.get(&it.line).copied().unwrap_or_default();
        (it.variant, it.left().less(held).at_least_zero())
    };
    let mut needs = by_variant(lines.iter().map(lacks));
    needs.retain(|_, it| it.is_some());
    let ways = if may_leave { vec![Way { needs, stand_ins: 0 }] } else { Vec::new() };
    Waiting {
        number: view.number.clone(),
        customer: view.customer.clone(),
        open: OpenOrder {
            promised_on: view.promised_on,
            placed_on: view.placed_on,
            class: 0,
            kits: i64::try_from(kits).unwrap_or(i64::MAX),
            ways,
        },
    }
}

/// What lies in bins, and what kits that are being picked hold of it.
struct Stock {
    /// What is free, lot by lot.
    lots: BTreeMap<(VariantId, Option<LotId>), Quantity>,
    free: Pool,
    held: BTreeMap<KitLineId, Quantity>,
}

impl Stock {
    fn load(
        conn: &mut Conn,
        today: NaiveDate,
        variants: &BTreeSet<VariantId>,
    ) -> Result<Self, Error> {
        let mut lots = BTreeMap::new();
        let mut places = BTreeMap::new();
        for it in stock::in_bins(conn, variants)? {
            if it.use_by.is_none_or(|last| today <= last) {
                let sum: &mut Quantity = lots.entry((it.variant, it.lot)).or_default();
                *sum = sum.plus(it.quantity);
                places.insert((it.variant, it.place, it.lot), ());
            }
        }
        let picking: BTreeSet<KitId> = orders::kits(conn)?
            .into_iter()
            .filter(|it| it.state == "picking")
            .map(|it| it.id)
            .collect();
        let ids: Vec<KitId> = picking.into_iter().collect();
        let kept: BTreeSet<KitLineId> =
            orders::lines_of(conn, &ids)?.into_iter().map(|it| it.id).collect();
        let mut held: BTreeMap<KitLineId, Quantity> = BTreeMap::new();
        for it in stock::reservations(conn)? {
            let good = places.contains_key(&(it.variant, it.place, it.lot));
            if kept.contains(&it.line) && good {
                if let Some(lot) = lots.get_mut(&(it.variant, it.lot)) {
                    *lot = lot.less(it.quantity).at_least_zero();
                }
                let sum = held.entry(it.line).or_default();
                *sum = sum.plus(it.quantity);
            }
        }
        let free = by_variant(lots.iter().map(|(lot, quantity)| (lot.0, *quantity)));
        Ok(Self { lots, free, held })
    }

    /// Returns what is free of a variant in other lots than these.
    fn without(&self, variant: VariantId, lots: &BTreeSet<LotId>) -> Quantity {
        let fits = |lot: &Option<LotId>| lot.is_none_or(|it| !lots.contains(&it));
        let of = self.lots.iter().filter(|it| it.0.0 == variant && fits(&it.0.1));
        of.map(|it| *it.1).sum()
    }
}

fn coming(conn: &mut Conn) -> Result<Vec<Supply>, Error> {
    let rows = purchasing::incoming(conn)?.into_iter();
    let supply = rows.map(|it| Supply {
        purchase_order: it.purchase_order,
        variant: it.variant,
        due_on: it.due_on,
        quantity: it.quantity,
    });
    Ok(supply.collect())
}

/// Returns when each variant that is bought would come if it were ordered on a day.
fn arrives(
    conn: &mut Conn,
    variants: &BTreeMap<VariantId, VariantRow>,
    today: NaiveDate,
) -> Result<BTreeMap<VariantId, NaiveDate>, Error> {
    let lead: BTreeMap<String, i64> =
        catalog::suppliers(conn)?.into_iter().map(|it| (it.code, it.lead_days)).collect();
    let day = |it: &VariantRow| {
        let days = u64::try_from(*lead.get(it.supplier_code.as_ref()?)?).ok()?;
        Some((it.id, today.checked_add_days(Days::new(days))?))
    };
    Ok(variants.values().filter_map(day).collect())
}

/// Returns what orders still lack after stock was held for them, in words.
pub(super) fn short_of(
    conn: &mut Conn,
    numbers: &[String],
    looks: Looks,
) -> Result<Vec<String>, Error> {
    let counts = |it: &shortages::Alert| {
        it.cause == shortages::Cause::NotInStock && (looks == Looks::WaitedFor || it.holds_back())
    };
    let alerts = shortages::alerts(conn)?.into_iter();
    let short = alerts.filter(|it| numbers.contains(&it.order) && counts(it));
    Ok(short
        .map(|it| format!("{} lacks {} × {} ({})", it.order, it.quantity, it.part, it.part_number))
        .collect())
}
