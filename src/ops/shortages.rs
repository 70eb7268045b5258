//! Missing-part alerts: what each open kit lacks, at which step, and what is on its way.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::catalog::MissingClass;
use crate::domain::ids::{KitId, KitLineId, VariantId};
use crate::domain::orders::{Cover, Shortage, cover};
use crate::error::Error;
use crate::store::orders::{KitLineRow, KitRow, OpenLineRow, OrderRow};
use crate::store::{Conn, kits, orders, purchasing, verification};
use crate::units::Quantity;

use super::bench::{self, MakeNow};
use super::fit;
use super::substitution::ask_for_stand_ins;
use super::words;

/// Where a part turned out to be missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// No bin has it free for this order.
    NotInStock,
    /// The box leaves or left without it, with a reason.
    LeftOut,
    /// Whoever opened the box says that it is missing.
    ReportedMissing,
    /// Whoever opened the box says that it is damaged.
    ReportedDamaged,
}

impl Cause {
    /// Returns the word by which programs know the cause.
    pub const fn word(self) -> &'static str {
        match self {
            Self::NotInStock => "not_in_stock",
            Self::LeftOut => "left_out",
            Self::ReportedMissing => "reported_missing",
            Self::ReportedDamaged => "reported_damaged",
        }
    }

    /// Returns the cause in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NotInStock => "not in stock",
            Self::LeftOut => "left out of the box",
            Self::ReportedMissing => "reported missing by the receiver",
            Self::ReportedDamaged => "reported damaged by the receiver",
        }
    }
}

/// That a kit lacks a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct Alert {
    /// The order.
    pub order: String,
    /// The day on which the order is to leave.
    pub promised_on: NaiveDate,
    /// The kit.
    pub kit: String,
    /// The line's number in the kit.
    pub line: i64,
    /// The assembly step that it stops, 0 for packing material.
    pub step: u32,
    /// The step's title.
    pub step_title: String,
    /// What its absence does, in its letter.
    pub class: String,
    /// What its absence does, in words.
    pub class_words: String,
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// How many pieces.
    pub quantity: Quantity,
    /// Where it turned out.
    pub cause: Cause,
    /// The reason or note beside it.
    pub note: String,
    /// The purchase order that brings the last missing piece, if one does.
    pub covered_by: Option<String>,
    /// Whether the house makes the part itself, so that no purchase order will bring it.
    pub made_here: bool,
    /// The day on which that purchase order is due.
    pub due_on: Option<NaiveDate>,
    /// Of a part that the house makes and no bin has: how many can be made now, and what stops the
    /// rest.
    pub make_now: Option<MakeNow>,
    /// Parts with enough free stock that may stand in for it, in words.
    pub stand_ins: Vec<String>,
}

/// Loads every alert, with what the bench can do about those whose part the house makes.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, today: NaiveDate) -> Result<Vec<Alert>, Error> {
    let mut alerts = alerts(conn)?;
    ask_around(conn, &mut alerts.iter_mut().collect::<Vec<_>>(), today)?;
    Ok(alerts)
}

/// Loads what riders and dealers report of boxes that have left.
///
/// # Errors
///
/// [`Error::Database`].
pub fn reported(conn: &mut Conn) -> Result<Vec<Alert>, Error> {
    Ok(alerts(conn)?.into_iter().filter(Alert::is_reported).collect())
}

/// Fills in what can be done about parts that no bin has: made here, or another part taken.
pub(super) fn ask_around(
    conn: &mut Conn,
    alerts: &mut [&mut Alert],
    today: NaiveDate,
) -> Result<(), Error> {
    ask_the_bench(conn, alerts.iter_mut().map(|it| &mut **it), today)?;
    ask_for_stand_ins(conn, alerts.iter_mut().map(|it| &mut **it), today)
}

/// Fills in what the bench can do about parts that the house makes and no bin has.
fn ask_the_bench<'a>(
    conn: &mut Conn,
    alerts: impl Iterator<Item = &'a mut Alert>,
    today: NaiveDate,
) -> Result<(), Error> {
    let waits = |it: &&mut Alert| it.made_here && it.cause == Cause::NotInStock;
    let mut waiting: Vec<&mut Alert> = alerts.filter(waits).collect();
    let made: BTreeSet<String> = waiting.iter().map(|it| it.part_number.clone()).collect();
    let make_now = bench::make_now(conn, &made, today)?;
    for alert in &mut waiting {
        alert.make_now = make_now.get(&alert.part_number).cloned();
    }
    Ok(())
}

/// All that alerts are made of, loaded once.
struct Facts {
    orders: BTreeMap<i64, OrderRow>,
    kits: BTreeMap<KitId, KitRow>,
    titles: BTreeMap<(i64, u32), String>,
    made: BTreeSet<VariantId>,
}

/// Loads every alert, by promised date, order, kit, then step.
///
/// # Errors
///
/// [`Error::Database`].
pub(super) fn alerts(conn: &mut Conn) -> Result<Vec<Alert>, Error> {
    let open = orders::open_lines(conn)?;
    let (short, unfit) = (short_of(conn, &open)?, unfit(conn, &open)?);
    let covers: BTreeMap<KitLineId, Cover> =
        cover(&short, &purchasing::incoming(conn)?).into_iter().map(|it| (it.line, it)).collect();
    let reports = verification::once_amiss(conn)?;
    let mut ids: BTreeSet<KitLineId> = short.iter().map(|it| it.line).collect();
    ids.extend(orders::lines_left_out(conn)?);
    ids.extend(reports.iter().map(|it| it.line));
    let mut lines = orders::lines_by_id(conn, &ids)?;
    lines.sort_by_key(|it| (it.kit, it.step == 0, it.step, it.number));
    let facts = facts(conn, &lines)?;
    let by_line: BTreeMap<KitLineId, &KitLineRow> = lines.iter().map(|it| (it.id, it)).collect();
    let mut alerts = Vec::new();
    for it in &short {
        if let Some(line) = by_line.get(&it.line) {
            let note = unfit.get(&it.line).map(String::as_str).unwrap_or_default();
            let mut alert = facts.alert(line, it.quantity, Cause::NotInStock, note)?;
            let ends_with = covers.get(&it.line).and_then(|it| it.ends_with.as_ref());
            alert.covered_by = ends_with.map(|it| it.purchase_order.clone());
            alert.due_on = ends_with.map(|it| it.due_on);
            alerts.push(alert);
        }
    }
    for line in lines.iter().filter(|it| it.short.is_some()) {
        let reason = line.short_reason.as_deref().unwrap_or_default();
        alerts.push(facts.alert(line, line.short, Cause::LeftOut, reason)?);
    }
    for report in reports {
        let cause = match report.outcome.as_str() {
            "missing" => Cause::ReportedMissing,
            "damaged" => Cause::ReportedDamaged,
            _ => continue,
        };
        if let Some(line) = by_line.get(&report.line) {
            alerts.push(facts.alert(line, report.quantity, cause, &report.note)?);
        }
    }
    alerts.sort_by(|a, b| {
        let key =
            |it: &Alert| (it.promised_on, it.order.clone(), it.kit.clone(), it.step, it.cause);
        key(a).cmp(&key(b))
    });
    Ok(alerts)
}

/// Loads what open kits need and no bin holds for them, in the order of promises.
pub(super) fn shortages(conn: &mut Conn) -> Result<Vec<Shortage>, Error> {
    let open = orders::open_lines(conn)?;
    short_of(conn, &open)
}

fn short_of(conn: &mut Conn, lines: &[OpenLineRow]) -> Result<Vec<Shortage>, Error> {
    let mut held: BTreeMap<KitLineId, Quantity> = BTreeMap::new();
    for (line, quantity) in orders::reserved_by_line(conn)? {
        let sum = held.entry(line).or_default();
        *sum = sum.plus(quantity);
    }
    Ok(lines
        .iter()
        .map(|it| Shortage {
            line: it.line,
            variant: it.variant,
            quantity: it.left().less(held.get(&it.line).copied().unwrap_or_default()),
        })
        .filter(|it| it.quantity.is_some())
        .collect())
}

/// Loads, by line that still needs pieces, which bags in bins do not fit its kit, in words.
fn unfit(conn: &mut Conn, open: &[OpenLineRow]) -> Result<BTreeMap<KitLineId, String>, Error> {
    let lots = fit::unfit_lots(conn, open)?.into_iter();
    let words = |(line, lots): (KitLineId, Vec<fit::UnfitLot>)| {
        let words: Vec<String> = lots.into_iter().map(|it| it.words).collect();
        (line, words.join("; "))
    };
    Ok(lots.map(words).collect())
}

/// Loads the kits and orders of lines, with what their steps are called.
fn facts(conn: &mut Conn, lines: &[KitLineRow]) -> Result<Facts, Error> {
    let kit_rows = orders::kits_by_id(conn, &lines.iter().map(|it| it.kit).collect())?;
    let order_rows = orders::orders_of(conn, &kit_rows.iter().map(|it| it.order).collect())?;
    let boms: BTreeSet<i64> = kit_rows.iter().map(|it| i64::from(it.bom)).collect();
    let mut titles = BTreeMap::new();
    for bom in boms {
        for step in kits::steps(conn, bom.into())? {
            titles.insert((bom, step.number), step.title);
        }
    }
    Ok(Facts {
        orders: order_rows.into_iter().map(|it| (i64::from(it.id), it)).collect(),
        kits: kit_rows.into_iter().map(|it| (it.id, it)).collect(),
        titles,
        made: kits::made_variants(conn)?.into_iter().collect(),
    })
}

impl Facts {
    fn alert(
        &self,
        line: &KitLineRow,
        quantity: Quantity,
        cause: Cause,
        note: &str,
    ) -> Result<Alert, Error> {
        let missing = || Error::Internal(format!("kit line {} has no kit or order", line.id));
        let kit = self.kits.get(&line.kit).ok_or_else(missing)?;
        let order = self.orders.get(&i64::from(kit.order)).ok_or_else(missing)?;
        let step = words::small(line.step)?;
        let class = words::class(&line.class)?;
        let title = self.titles.get(&(i64::from(kit.bom), step)).cloned();
        Ok(Alert {
            order: order.number.clone(),
            promised_on: order.promised_on,
            kit: kit.number.clone(),
            line: line.number,
            step,
            step_title: title.unwrap_or_else(|| "packing material".to_owned()),
            class: class.letter().to_owned(),
            class_words: class.words().to_owned(),
            part_number: line.part_number.clone(),
            part: words::line_part(line),
            quantity,
            cause,
            note: note.to_owned(),
            covered_by: None,
            made_here: self.made.contains(&line.variant),
            due_on: None,
            make_now: None,
            stand_ins: Vec::new(),
        })
    }
}

impl Alert {
    /// Returns whether the part keeps its box in the house: not in stock, and more than looks.
    pub fn holds_back(&self) -> bool {
        self.cause == Cause::NotInStock && self.class != MissingClass::LooksOnly.letter()
    }

    /// Returns whether whoever opened the box says so.
    pub fn is_reported(&self) -> bool {
        matches!(self.cause, Cause::ReportedMissing | Cause::ReportedDamaged)
    }
}
