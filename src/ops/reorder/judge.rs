use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::codes::PartNumber;
use crate::domain::demand::Ahead;
use crate::domain::ids::{SupplierId, VariantId};
use crate::domain::kits::Bom;
use crate::domain::netting::{inside_what_is_free, inside_what_is_made};
use crate::domain::reorder::{
    Abc, Bought, Closing, Decision, LeadTime, Policies, PolicyRecord, XYZ_CUTS, Xyz, rank_by_spend,
    steadiness,
};
use crate::domain::statistics::real;
use crate::error::Error;
use crate::ops::demand::{self, Demand, PartDemand};
use crate::ops::words::by_variant;
use crate::store::catalog::{SupplierRow, VariantRow};
use crate::store::{Conn, catalog, orders, purchasing, reorder, stock};
use crate::units::{Money, Quantity};

/// The share of a year's value where A and B end.
///
/// # Source
///
/// Common practice, no source.
const ABC_CUTS: (f64, f64) = (0.8, 0.95);

/// Days from order to arrival of what the shop makes itself, and their standard deviation.
///
/// # Source
///
/// The invented shop: 1 ± 0.5 days.
const IN_HOUSE: LeadTime = LeadTime { days: 1.0, sd: 0.5 };

/// A part's place among all: its class, and what a year of it is worth.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ranked {
    /// By value and steadiness.
    pub class: (Abc, Xyz),
    /// Cents a year, at catalogue prices.
    pub yearly_cents: f64,
    /// The share of all that it and those before it make up.
    pub up_to: f64,
}

/// Where a part's pieces are.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Standing {
    /// In bins, by themselves or in sub-kits that nothing asks for.
    pub on_hand: Quantity,
    /// Those of them in sub-kits.
    pub in_sub_kits: Quantity,
    /// Still needed by open kits, by themselves or inside what must yet be made.
    pub needed: Quantity,
    /// Those of them inside what must yet be made.
    pub to_be_made: Quantity,
    /// Still to come, or on a draft.
    pub on_order: Quantity,
}

/// A part, and what is decided of it.
#[derive(Debug, Clone)]
pub(super) struct Judged {
    pub row: VariantRow,
    pub ranked: Option<Ranked>,
    pub policy: PolicyRecord,
    pub standing: Standing,
    pub decision: Decision,
}

/// All parts of the shop on a day.
#[derive(Debug)]
pub(super) struct Judgement {
    pub parts: Vec<Judged>,
    pub demand: Demand,
    pub suppliers: BTreeMap<SupplierId, SupplierRow>,
    /// What can't be judged, and why, in words.
    pub faults: Vec<String>,
}

impl Judgement {
    /// Returns the part of that number, or why there is none.
    pub(super) fn of(&self, part_number: &str) -> Result<&Judged, Error> {
        if let Some(it) = self.parts.iter().find(|it| it.row.part_number == part_number) {
            return Ok(it);
        }
        Err(match self.faults.iter().find(|it| it.starts_with(part_number)) {
            Some(fault) => Error::conflict("reorder.not_judged", fault.clone()),
            None => Error::not_found("part number", part_number),
        })
    }
}

/// Loads every part with what is decided of it on a day.
pub(super) fn judge(conn: &mut Conn, today: NaiveDate) -> Result<Judgement, Error> {
    let rows = catalog::variants(conn)?;
    let demand = demand::load(conn, today)?;
    let standings = standings(conn, today, &rows, &demand.boms)?;
    let ranked = ranked(&rows, &demand);
    let policies = Policies::of(reorder::policies(conn)?);
    let suppliers: BTreeMap<SupplierId, SupplierRow> =
        catalog::suppliers(conn)?.into_iter().map(|it| (it.id, it)).collect();
    let closings = purchasing::closings(conn)?;
    let mut faults = demand.faults.clone();
    let mut parts = Vec::new();
    for row in rows {
        let Ok(number) = row.part_number.parse::<PartNumber>() else { continue };
        let standing = standings.get(&row.id).copied().unwrap_or_default();
        let ranked = ranked.get(&row.id).copied();
        let policy = policies.of_part(&number, ranked.map(|it| it.class));
        let supplier = row.supplier.and_then(|it| suppliers.get(&it));
        let closed = row.supplier.and_then(|it| closings.get(&it));
        let part = (&row, standing, &policy, demand.parts.get(&number));
        match decide(today, part, supplier, closed.map_or(&[], Vec::as_slice)) {
            Ok(decision) => parts.push(Judged { row, ranked, policy, standing, decision }),
            Err(fault) => faults.push(format!("{}: {fault}", row.part_number)),
        }
    }
    Ok(Judgement { parts, demand, suppliers, faults })
}

fn decide(
    today: NaiveDate,
    (row, standing, policy, demand): (&VariantRow, Standing, &PolicyRecord, Option<&PartDemand>),
    supplier: Option<&SupplierRow>,
    closings: &[Closing],
) -> Result<Decision, crate::domain::statistics::StatisticsError> {
    let none = Ahead::default();
    let lead = supplier.map_or(IN_HOUSE, |it| LeadTime {
        days: real(it.lead_days),
        sd: real(it.lead_sd_tenths) / 10.0,
    });
    Bought {
        today,
        policy,
        on_hand: standing.on_hand,
        needed: standing.needed,
        on_order: standing.on_order,
        set: (row.reorder_point, row.order_quantity),
        unit_cost: row.unit_cost,
        pack: row.pack,
        minimum_order: row.minimum_order,
        lead,
        closings,
        order_cost: supplier.map_or(Money::ZERO, |it| it.order_cost),
        ahead: demand.map_or(&none, |it| &it.ahead),
        month_sd: demand.map_or(0.0, |it| it.choice.sd),
    }
    .decide()
}

/// Loads where every part's pieces are. What is past its last day of use is no supply.
fn standings(
    conn: &mut Conn,
    today: NaiveDate,
    rows: &[VariantRow],
    boms: &BTreeMap<String, Bom>,
) -> Result<BTreeMap<VariantId, Standing>, Error> {
    let on_hand = by_variant(stock::usable(conn, today)?);
    let needed =
        by_variant(orders::open_lines(conn)?.into_iter().map(|it| (it.variant, it.left())));
    let incoming = purchasing::incoming(conn)?.into_iter().map(|it| (it.variant, it.quantity));
    // What stands on a draft is as good as ordered, or it would be suggested a second time.
    let on_order = by_variant(incoming.chain(purchasing::drafted(conn)?));
    let numbers: BTreeMap<VariantId, PartNumber> =
        rows.iter().filter_map(|it| Some((it.id, it.part_number.parse().ok()?))).collect();
    let by_number = |sums: &BTreeMap<VariantId, Quantity>| -> BTreeMap<PartNumber, Quantity> {
        let of = |(id, sum): (&VariantId, &Quantity)| Some((numbers.get(id)?.clone(), *sum));
        sums.iter().filter_map(of).collect()
    };
    let (wanted, there) = (by_number(&needed), by_number(&on_hand));
    let to_be_made = inside_what_is_made(boms, &wanted, &there);
    let mut all_wanted = wanted;
    for (part, quantity) in &to_be_made {
        let sum = all_wanted.entry(part.clone()).or_default();
        *sum = sum.plus(*quantity);
    }
    let free = inside_what_is_free(boms, &all_wanted, &there);
    let standing = |(id, number): (&VariantId, &PartNumber)| {
        let of =
            |sums: &BTreeMap<PartNumber, Quantity>| sums.get(number).copied().unwrap_or_default();
        let in_sub_kits = of(&free);
        let standing = Standing {
            on_hand: of(&there).plus(in_sub_kits),
            in_sub_kits,
            needed: of(&all_wanted),
            to_be_made: of(&to_be_made),
            on_order: on_order.get(id).copied().unwrap_or_default(),
        };
        (*id, standing)
    };
    Ok(numbers.iter().map(standing).collect())
}

/// Returns the class of each bought part that anything is wanted of.
fn ranked(rows: &[VariantRow], demand: &Demand) -> BTreeMap<VariantId, Ranked> {
    let wanted: Vec<(VariantId, f64, &PartDemand)> = rows
        .iter()
        .filter(|it| it.supplier.is_some())
        .filter_map(|it| {
            let demand = demand.of(&it.part_number)?;
            let year = demand.ahead.per_year();
            (0.0 < year).then(|| (it.id, year * real(it.unit_cost.cents()), demand))
        })
        .collect();
    let costs: Vec<f64> = wanted.iter().map(|it| it.1).collect();
    // Where nothing costs anything, no part is before another.
    let Ok(ranks) = rank_by_spend(&costs, ABC_CUTS) else { return BTreeMap::new() };
    let place = |rank: &crate::domain::reorder::Ranked| {
        let (id, yearly_cents, demand) = wanted.get(rank.at)?;
        let mean = demand.ahead.per_year() / 12.0;
        let xyz = steadiness(mean, demand.choice.sd, XYZ_CUTS).unwrap_or(Xyz::Z);
        let class = (rank.by_share_before, xyz);
        Some((*id, Ranked { class, yearly_cents: *yearly_cents, up_to: rank.up_to }))
    };
    ranks.iter().filter_map(place).collect()
}

/// Returns a class in its letters.
pub(super) fn letters(class: (Abc, Xyz)) -> String {
    format!("{}{}", class.0.name(), class.1.name())
}
