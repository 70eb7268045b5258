//! A kit that nobody has begun to pick may follow newer bills than those of its order's day.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::domain::ids::{BomId, KitId, VariantId};
use crate::domain::kits::{
    self as domain, Bom, KitPart, PartChange, ResolvedLine, compare_lines, contents, resolve,
    revision,
};
use crate::error::Error;
use crate::ops::kits::{as_variant, within_reach};
use crate::ops::once::{RequestKey, once};
use crate::ops::substitution::{self, Succeeded, Succession};
use crate::ops::{orders as order_ops, words};
use crate::store::catalog::VariantRow;
use crate::store::orders::{KitRow, NewLine};
use crate::store::{Conn, Tx, kits, orders};
use crate::units::Quantity;

use super::cost::first;
use super::{DifferenceView, known, part_words};

/// A part that a kit gets more, fewer or none of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct MovedPart {
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// The bag that holds it, its part number; empty for a line of the kit itself.
    pub inside: String,
    /// The step, 0 for packing material.
    pub step: u32,
    /// Pieces before.
    pub from: Quantity,
    /// Pieces after.
    pub to: Quantity,
}

/// What moving a kit to the bills in force today would change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Moving {
    /// The kit.
    pub kit: String,
    /// Its order.
    pub order: String,
    /// The code of its bill.
    pub code: String,
    /// The revision that it has.
    pub from: String,
    /// The revision in force today.
    pub to: String,
    /// The day whose bills it follows.
    pub bills_on: NaiveDate,
    /// What differs between the two revisions of its own bill.
    pub bill: Vec<DifferenceView>,
    /// The parts that differ, in the kit and in its bags.
    pub parts: Vec<MovedPart>,
    /// Why it can't be moved; empty where it can.
    pub refused: String,
}

impl Moving {
    /// Returns whether there is anything to move to.
    pub const fn differs(&self) -> bool {
        !self.bill.is_empty() || !self.parts.is_empty()
    }
}

/// All that moving a kit takes.
struct Plan {
    kit: KitRow,
    top: Bom,
    bom: BomId,
    succeeded: Succeeded,
}

/// Loads what moving a kit to the bills in force today would change.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn moving(conn: &mut Conn, kit: &str, today: NaiveDate) -> Result<Moving, Error> {
    Ok(plan(conn, kit, today)?.0)
}

/// Moves a kit that nobody has begun to pick to the bills in force today: its lines are laid out
/// anew, and stock is held for them anew.
///
/// # Errors
///
/// [`Error::NotFound`], and [`Error::Conflict`] where it is no longer open, where pieces of it have
/// moved, or where today's bill can't be laid out with its options.
pub fn move_kit(tx: &mut Tx<'_>, key: &RequestKey, kit: &str) -> Result<Moved, Error> {
    once(tx, key, "bills.move", &kit, |tx| {
        let today = tx.today();
        let (moving, plan) = plan(tx.conn, kit, today)?;
        let Some(plan) = plan else {
            return Err(Error::conflict("bills.not_movable", moving.refused));
        };
        orders::release(tx.conn, plan.kit.id)?;
        orders::put_lines_anew(tx.conn, plan.kit.id, &plan.succeeded.lines)?;
        plan.succeeded.note(tx.conn, plan.kit.id, tx.who.user(), tx.now)?;
        orders::set_bill(tx.conn, plan.kit.id, plan.bom, &plan.top.revision, today)?;
        order_ops::reserve(tx)?;
        Ok(Moved { kit: kit.to_owned(), revision: plan.top.revision })
    })
}

/// A kit that follows the bills of today now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Moved {
    /// The kit.
    pub kit: String,
    /// The revision of its bill.
    pub revision: String,
}

fn plan(conn: &mut Conn, number: &str, today: NaiveDate) -> Result<(Moving, Option<Plan>), Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let all = kits::all_boms(conn)?;
    let old = known(&all, &kit.bom_code, &kit.bom_revision)?;
    let then = revision::with_top(&all, old, kit.bills_on);
    let now = revision::on_day(&all, today);
    let new = now.get(&kit.bom_code).unwrap_or(old);
    let lines = orders::lines_of(conn, &[kit.id])?;
    let rows = within_reach(conn, lines.iter().map(|it| it.part_number.as_str()))?;
    let variants: Vec<_> = rows.iter().filter_map(as_variant).collect();
    let options: BTreeMap<String, String> = orders::options_of(conn, kit.id)?.into_iter().collect();
    let has = lines_now(conn, &kit)?;
    let (mut refused, laid) = match resolve(&now, &kit.bom_code, &options, &variants) {
        Ok(laid) => (String::new(), laid),
        Err(errors) => (first(errors).to_string(), Vec::new()),
    };
    if kit.state != "open" {
        refused = format!("kit {number} is {}: only a kit that waits can be moved", kit.state);
    } else if orders::has_moved(conn, kit.id)? {
        refused =
            format!("pieces of kit {number} have been picked and put back: it keeps its bill");
    }
    let succeeded = succeeded(conn, kit.id, &laid, &rows, today)?;
    let gets = kit_parts(&succeeded.lines, &rows);
    let words = part_words(&rows);
    let mut parts: Vec<MovedPart> = match refused.is_empty() {
        true => compare_lines(&has, &gets)
            .into_iter()
            .map(|it| moved(it, String::new(), &words))
            .collect(),
        false => Vec::new(),
    };
    parts.extend(in_bags(&then, &now, &has, &words));
    let moving = Moving {
        kit: number.to_owned(),
        order: orders::order_of(conn, kit.order)?.number,
        code: kit.bom_code.clone(),
        from: kit.bom_revision.clone(),
        to: new.revision.clone(),
        bills_on: kit.bills_on,
        bill: domain::compare(old, new).into_iter().map(DifferenceView::from).collect(),
        parts,
        refused,
    };
    let bom = kits::bom_ids(conn)?.get(&(new.code.clone(), new.revision.clone())).copied();
    let (can, top) = (moving.refused.is_empty(), new.clone());
    let plan = bom.filter(|_| can).map(|bom| Plan { kit, top, bom, succeeded });
    Ok((moving, plan))
}

/// Returns the lines that today's bill comes to, with what has taken the place of superseded parts
/// and what was put in with somebody's word.
fn succeeded(
    conn: &mut Conn,
    kit: KitId,
    laid: &[ResolvedLine],
    rows: &[VariantRow],
    today: NaiveDate,
) -> Result<Succeeded, Error> {
    let ids: BTreeMap<&str, VariantId> =
        rows.iter().map(|it| (it.part_number.as_str(), it.id)).collect();
    let line =
        |it: KitPart| Some((it.step, *ids.get(it.part_number.as_str())?, it.quantity, it.carton));
    let lines: Vec<NewLine> = laid.iter().map(KitPart::from).filter_map(line).collect();
    let mut succeeded = Succession::load(conn, today)?.apply(&lines, today);
    succeeded.keep(substitution::standing(conn, &[kit])?)?;
    Ok(succeeded)
}

fn kit_parts(lines: &[NewLine], rows: &[VariantRow]) -> Vec<KitPart> {
    let part = |(step, variant, quantity, carton): &NewLine| {
        let row = rows.iter().find(|it| it.id == *variant)?;
        let part_number = row.part_number.parse().ok()?;
        Some(KitPart { step: *step, carton: *carton, part_number, quantity: *quantity })
    };
    lines.iter().filter_map(part).collect()
}

fn lines_now(conn: &mut Conn, kit: &KitRow) -> Result<Vec<KitPart>, Error> {
    let part = |it: crate::store::orders::KitLineRow| {
        Ok(KitPart {
            step: words::small(it.step)?,
            carton: words::small(it.carton)?,
            part_number: it.part_number.parse().map_err(|fault| {
                Error::Internal(format!("a stored part number can't be read: {fault}"))
            })?,
            quantity: it.quantity,
        })
    };
    orders::lines_of(conn, &[kit.id])?.into_iter().map(part).collect()
}

fn moved(it: PartChange, inside: String, words: &BTreeMap<&str, String>) -> MovedPart {
    let part = words.get(it.part_number.as_str()).cloned().unwrap_or_default();
    MovedPart {
        part_number: it.part_number.to_string(),
        part,
        inside,
        step: it.step,
        from: it.from,
        to: it.to,
    }
}

/// Returns what differs in the bags that the kit has, by their bills then and now.
fn in_bags(
    then: &BTreeMap<String, Bom>,
    now: &BTreeMap<String, Bom>,
    has: &[KitPart],
    words: &BTreeMap<&str, String>,
) -> Vec<MovedPart> {
    let bags: BTreeSet<_> = has.iter().map(|it| &it.part_number).collect();
    let held = |bills: &BTreeMap<String, Bom>, bag| -> Vec<KitPart> {
        let held = contents(bills, bag).into_iter();
        held.map(|(part_number, quantity)| KitPart { step: 0, carton: 1, part_number, quantity })
            .collect()
    };
    bags.into_iter()
        .flat_map(|bag| {
            let changes = compare_lines(&held(then, bag), &held(now, bag));
            changes.into_iter().map(|it| moved(it, bag.to_string(), words))
        })
        .collect()
}
