use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use super::judge::{Judged, judge};
use crate::domain::demand::Month;
use crate::domain::ids::PurchaseOrderId;
use crate::domain::purchasing::UnitPrice;
use crate::domain::statistics::{real, whole_up};
use crate::error::Error;
use crate::store::purchasing::PurchaseOrderRow;
use crate::store::{Conn, purchasing, spend as spend_store};
use crate::units::{Money, Quantity};

/// How many months are shown: this one and those before it.
const MONTHS: u32 = 12;

/// What deliveries cost, by supplier and month.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Spend {
    /// The months, the newest last, as "2026-11".
    pub months: Vec<String>,
    /// The suppliers, the dearest first.
    pub suppliers: Vec<SupplierSpend>,
    /// What each month comes to, in cents.
    pub total_cents: Vec<i64>,
    /// What is left out, and why.
    pub notes: Vec<String>,
}

/// What one supplier's deliveries cost.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct SupplierSpend {
    /// The supplier's code.
    pub code: String,
    /// The supplier's name.
    pub name: String,
    /// Cents in each month.
    pub month_cents: Vec<i64>,
    /// Cents in all of them.
    pub total_cents: i64,
    /// Cents of what is ordered and still to come.
    pub to_come_cents: i64,
}

/// Loads what good pieces cost that came in each of the last twelve months, at their orders' prices.
///
/// # Errors
///
/// [`Error::Database`].
pub fn spend(conn: &mut Conn, today: NaiveDate) -> Result<Spend, Error> {
    let now = Month::of(today);
    let months: Vec<Month> = (0..MONTHS).rev().map(|back| now.less(back)).collect();
    let mut rows: BTreeMap<String, SupplierSpend> = BTreeMap::new();
    let mut foreign: BTreeSet<String> = BTreeSet::new();
    let none = |code: &str, name: &str| SupplierSpend {
        code: code.to_owned(),
        name: name.to_owned(),
        month_cents: vec![0; months.len()],
        total_cents: 0,
        to_come_cents: 0,
    };
    for it in spend_store::delivered(conn)? {
        let at = months.iter().position(|month| month.to_string() == it.month);
        let Some(at) = at else { continue };
        if !it.currency.is_empty() {
            foreign.insert(format!("{} ({})", it.name, it.currency));
            continue;
        }
        let price = UnitPrice::new(Money::from_cents(it.price_cents), Quantity::new(it.price_per));
        let cost = price.cost(Quantity::new(it.pieces)).unwrap_or(Money::ZERO).cents();
        let row = rows.entry(it.code.clone()).or_insert_with(|| none(&it.code, &it.name));
        if let Some(month) = row.month_cents.get_mut(at) {
            *month += cost;
            row.total_cents += cost;
        }
    }
    let heads: BTreeMap<PurchaseOrderId, PurchaseOrderRow> =
        purchasing::purchase_orders(conn)?.into_iter().map(|it| (it.id, it)).collect();
    for line in purchasing::all_lines(conn)? {
        let head = heads.get(&line.order).filter(|it| it.is_with_supplier());
        let Some(head) = head.filter(|_| line.open().is_some()) else { continue };
        if !line.currency.is_empty() {
            foreign.insert(format!("{} ({})", head.supplier, line.currency));
            continue;
        }
        let cost = line.price().cost(line.open()).unwrap_or(Money::ZERO).cents();
        let code = &head.supplier_code;
        let row = rows.entry(code.clone()).or_insert_with(|| none(code, &head.supplier));
        row.to_come_cents += cost;
    }
    let mut suppliers: Vec<SupplierSpend> = rows.into_values().collect();
    suppliers.sort_by_key(|it| (-it.total_cents, -it.to_come_cents, it.name.clone()));
    let sum = |at: usize| suppliers.iter().filter_map(|it| it.month_cents.get(at)).sum();
    let left_out = |it: String| format!("{it}: prices in another currency are not added up here");
    Ok(Spend {
        total_cents: (0..months.len()).map(sum).collect(),
        months: months.iter().map(ToString::to_string).collect(),
        suppliers,
        notes: foreign.into_iter().map(left_out).collect(),
    })
}

/// Stock that nobody uses, and what it is worth.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct DeadStock {
    /// Not used since this day.
    pub since: NaiveDate,
    /// The parts, the dearest first.
    pub parts: Vec<DeadPart>,
    /// What all of it is worth, in cents.
    pub total_cents: i64,
    /// What of that is more than a year's use, in cents.
    pub beyond_cents: i64,
    /// What all stock in bins is worth at catalogue prices, in cents.
    pub stock_cents: i64,
}

/// A part that has not been used since a day and lasts longer than a year.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct DeadPart {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Its home bin.
    pub bin: String,
    /// Pieces in bins.
    pub on_hand: Quantity,
    /// Pieces that a year to come is expected to use.
    pub a_year: Quantity,
    /// The month of its last use, as "2026-03"; none where none is known.
    pub last_used: Option<String>,
    /// What it is worth at the catalogue's price, in cents.
    pub value_cents: i64,
    /// Pieces beyond what open kits need and a year uses.
    pub beyond: Quantity,
    /// What those are worth, in cents.
    pub beyond_cents: i64,
}

/// Loads the parts that have not been used in the month of a day or later and of which there is more
/// than open kits need and a year is expected to use.
///
/// # Errors
///
/// [`Error::Database`].
pub fn dead_stock(conn: &mut Conn, today: NaiveDate, since: NaiveDate) -> Result<DeadStock, Error> {
    let judgement = judge(conn, today)?;
    let mut dead =
        DeadStock { since, parts: Vec::new(), total_cents: 0, beyond_cents: 0, stock_cents: 0 };
    for it in &judgement.parts {
        let loose = it.standing.on_hand.less(it.standing.in_sub_kits);
        dead.stock_cents += it.row.unit_cost.times(loose.pieces()).cents();
        let demand = judgement.demand.of(&it.row.part_number);
        let used = demand.and_then(|it| {
            it.months.iter().rev().find(|it| 0 < it.1.kits + it.1.spares).map(|it| *it.0)
        });
        if used.is_some_and(|month| Month::of(since) <= month) {
            continue;
        }
        let year = demand.map_or(0.0, |it| it.ahead.per_year());
        dead.parts.extend(lasting(it, loose, year, used));
    }
    dead.parts.sort_by_key(|it| (-it.value_cents, it.part_number.clone()));
    dead.total_cents = dead.parts.iter().map(|it| it.value_cents).sum();
    dead.beyond_cents = dead.parts.iter().map(|it| it.beyond_cents).sum();
    Ok(dead)
}

/// Returns the part where there is more of it than a year uses.
fn lasting(it: &Judged, loose: Quantity, year: f64, used: Option<Month>) -> Option<DeadPart> {
    let free = it.standing.on_hand.less(it.standing.needed);
    if !loose.is_some() || real(free.pieces()) <= year {
        return None;
    }
    let a_year = Quantity::new(whole_up(year).unwrap_or_default());
    let beyond = free.less(a_year).at_least_zero().min(loose);
    Some(DeadPart {
        part_number: it.row.part_number.clone(),
        part: it.row.part.clone(),
        variant: it.row.variant.clone(),
        bin: it.row.bin_code.clone().unwrap_or_default(),
        on_hand: loose,
        a_year,
        last_used: used.map(|it| it.to_string()),
        value_cents: it.row.unit_cost.times(loose.pieces()).cents(),
        beyond,
        beyond_cents: it.row.unit_cost.times(beyond.pieces()).cents(),
    })
}
