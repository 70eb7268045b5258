//! Whether the parts of a kit fit each other, bags looked into.
//!
//! A bag that a kit holds counts with what its own run put into it; one that it has yet to get, with
//! what the bill says that the kit was promised.

mod held;

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::fit::{
    CapGap, KitFinding, KitPart, PostWindow, ScrewStack, Verdict, gap_of_kit, judge_kit,
    post_of_kit, ski_screws_of_kit,
};
use crate::domain::ids::{BomId, KitLineId};
use crate::domain::kits::revision::on_day;
use crate::domain::kits::{Bom, KitError, contents, resolve};
use crate::error::Error;
use crate::store::bench::RunBillRow;
use crate::store::catalog::VariantRow;
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::{Conn, card, catalog, kits, orders};
use crate::units::Quantity;

use super::words;
use held::{HeldRun, HeldRuns, with_bill};

pub(super) use held::{UnfitLot, held_runs, unfit_lots};

/// The most choices of one kit's options that are judged at once.
pub(super) const MOST_CHOICES: usize = 10_000;

/// What one rule says of a kit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct FindingView {
    /// The rule's name.
    pub rule: String,
    /// fits, does not fit or not known.
    pub verdict: String,
    /// Why, with the measures.
    pub reason: String,
    /// Where the rule and its numbers come from.
    pub source: String,
    /// The documents that state the parts' measures.
    pub documents: Vec<String>,
    /// The part numbers that the rule looked at.
    pub parts: Vec<String>,
}

impl From<KitFinding> for FindingView {
    fn from(it: KitFinding) -> Self {
        Self {
            rule: it.finding.rule.name().to_owned(),
            verdict: it.finding.verdict.words().to_owned(),
            reason: it.finding.reason,
            source: it.finding.rule.source().to_owned(),
            documents: it.documents,
            parts: it.parts.iter().map(ToString::to_string).collect(),
        }
    }
}

/// What the rules say of a kit together.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct FitView {
    /// In a few words: "fits: 21 rules", or how many do not.
    pub words: String,
    /// What each rule says, in order.
    pub findings: Vec<FindingView>,
}

impl FitView {
    pub(super) fn of(findings: Vec<FindingView>) -> Self {
        let count =
            |verdict: Verdict| findings.iter().filter(|it| it.verdict == verdict.words()).count();
        let rules =
            |count: usize| if count == 1 { "1 rule".to_owned() } else { format!("{count} rules") };
        let mut words = Vec::new();
        for verdict in [Verdict::DoesNotFit, Verdict::Fits, Verdict::NotKnown] {
            let count = count(verdict);
            if 0 < count {
                words.push(format!("{}: {}", verdict.words(), rules(count)));
            }
        }
        let words = if words.is_empty() { "no rule applies".to_owned() } else { words.join(", ") };
        Self { words, findings }
    }

    /// Returns the same view with the findings of what does not fit alone.
    pub(super) fn misfits_only(mut self) -> Self {
        self.findings.retain(|it| it.verdict == Verdict::DoesNotFit.words());
        self
    }

    /// Returns what does not fit, in words.
    pub fn misfits(&self) -> impl Iterator<Item = String> {
        self.findings
            .iter()
            .filter(|it| it.verdict == Verdict::DoesNotFit.words())
            .map(|it| format!("{}: {}", it.rule, it.reason))
    }
}

/// What is stated about parts, and the bills by the day of their promise, loaded once for many kits.
#[derive(Clone)]
pub struct Fitter {
    bills: BTreeMap<NaiveDate, Bills>,
    /// Of which something is stated: the rules look at no other.
    parts: BTreeMap<PartNumber, KitPart>,
    /// What lines hold of which run.
    runs: HeldRuns,
    /// The bills of those runs.
    run_bills: BTreeMap<BomId, Bom>,
}

/// Bills of materials by code.
type Bills = BTreeMap<String, Bom>;

impl Fitter {
    /// Loads what is stated about parts, and the bills in force on each of the days.
    ///
    /// # Errors
    ///
    /// [`Error::Database`], and [`Error::Internal`] where a stored fact no longer reads.
    pub fn load(conn: &mut Conn, days: impl IntoIterator<Item = NaiveDate>) -> Result<Self, Error> {
        let rows = catalog::variants_stated(conn)?;
        let days: BTreeSet<NaiveDate> = days.into_iter().collect();
        let all = if days.is_empty() { Vec::new() } else { kits::all_boms(conn)? };
        Ok(Self {
            bills: days.into_iter().map(|day| (day, on_day(&all, day))).collect(),
            parts: rows.iter().map(part).collect::<Result<_, _>>()?,
            runs: HeldRuns::new(),
            run_bills: BTreeMap::new(),
        })
    }

    /// Returns the same with what lines hold of which run, so that each bag counts with what its own
    /// run put into it.
    ///
    /// # Errors
    ///
    /// [`Error::Database`].
    pub fn with_runs(mut self, conn: &mut Conn, lines: &[KitLineId]) -> Result<Self, Error> {
        self.runs = held_runs(conn, lines)?;
        if !self.runs.is_empty() {
            let used: BTreeSet<BomId> = self.runs.values().flatten().map(|it| it.bom).collect();
            let bills = card::bills(conn)?.into_iter();
            self.run_bills = bills.filter(|it| used.contains(&it.0)).collect();
        }
        Ok(self)
    }

    /// Returns the same, were a line to hold bags of that run and bill.
    fn trial(&self, line: KitLineId, run: HeldRun, bill: &Bom) -> Self {
        let mut trial = self.clone();
        trial.run_bills.insert(run.bom, bill.clone());
        trial.runs.insert(line, vec![run]);
        trial
    }

    /// Returns what the rules say of a kit by these bills, for one choice of options.
    ///
    /// # Errors
    ///
    /// Every fault of the bill that keeps it from being laid out.
    pub fn options(
        &self,
        boms: &BTreeMap<String, Bom>,
        code: &str,
        options: &BTreeMap<String, String>,
        variants: &[Variant],
    ) -> Result<Vec<FindingView>, Vec<KitError>> {
        let lines = resolve(boms, code, options, variants)?;
        Ok(self.judge(boms, lines.into_iter().map(|it| (it.part_number, it.quantity))))
    }

    fn parts_of(&self, day: NaiveDate, lines: &[KitLineRow]) -> Result<Vec<KitPart>, Error> {
        let none = Bills::new();
        let bills = self.bills.get(&day).unwrap_or(&none);
        let mut held = Vec::new();
        for line in lines {
            let number: PartNumber = stored(line.part_number.parse())?;
            let mut left = line.quantity;
            for run in self.runs.get(&line.id).into_iter().flatten() {
                let Some(bill) = self.run_bills.get(&run.bom) else { continue };
                let pieces = run.quantity.min(left);
                left = left.less(pieces);
                let same = bills.get(&bill.code).is_some_and(|it| it.revision == bill.revision);
                let changed = if same { None } else { Some(with_bill(bills, bill)) };
                let bills = changed.as_ref().unwrap_or(bills);
                open(bills, &number, pieces, &mut Vec::new(), &mut held);
            }
            if left.is_some() {
                open(bills, &number, left, &mut Vec::new(), &mut held);
            }
        }
        Ok(self.known(held))
    }

    /// Returns which bags of a kit another revision made than the one that it was promised.
    fn of_other_revisions(&self, day: NaiveDate, lines: &[KitLineRow]) -> Vec<String> {
        let mut found = Vec::new();
        for line in lines {
            for run in self.runs.get(&line.id).into_iter().flatten() {
                let Some(bill) = self.run_bills.get(&run.bom) else { continue };
                let bills = self.bills.get(&day);
                let promised = bills.and_then(|it| it.get(&bill.code));
                if promised.is_none_or(|it| it.revision != bill.revision) {
                    let part = words::line_part(line);
                    found.push(format!(
                        "{part} of run {} was made by revision {} of {}",
                        run.run, bill.revision, bill.code
                    ));
                }
            }
        }
        found
    }

    /// Judges lines with all that their bags and other stocked sub-kits hold.
    fn judge(
        &self,
        boms: &Bills,
        lines: impl IntoIterator<Item = (PartNumber, Quantity)>,
    ) -> Vec<FindingView> {
        let mut held = Vec::new();
        for (number, quantity) in lines {
            open(boms, &number, quantity, &mut Vec::new(), &mut held);
        }
        judge_kit(&self.known(held)).into_iter().map(FindingView::from).collect()
    }

    /// Returns what is stated about part numbers, each once.
    fn known(&self, held: Vec<(PartNumber, Quantity)>) -> Vec<KitPart> {
        let mut parts: Vec<KitPart> = Vec::new();
        for (number, quantity) in held {
            match parts.iter_mut().find(|it| it.part_number == number) {
                Some(part) => part.quantity = part.quantity.plus(quantity),
                None => {
                    let Some(part) = self.parts.get(&number) else { continue };
                    parts.push(KitPart { quantity, ..part.clone() });
                }
            }
        }
        parts
    }
}

/// Adds a part and what it holds; a bag that holds itself is opened once.
fn open(
    boms: &Bills,
    number: &PartNumber,
    quantity: Quantity,
    opened: &mut Vec<PartNumber>,
    held: &mut Vec<(PartNumber, Quantity)>,
) {
    held.push((number.clone(), quantity));
    if opened.contains(number) {
        return;
    }
    opened.push(number.clone());
    for (inside, count) in contents(boms, number) {
        open(boms, &inside, count.times(quantity), opened, held);
    }
    opened.pop();
}

fn stored<T, E: std::fmt::Display>(read: Result<T, E>) -> Result<T, Error> {
    read.map_err(|fault| Error::Internal(format!("a stored part can't be read: {fault}")))
}

/// Loads all that options can choose from.
///
/// # Errors
///
/// [`Error::Database`], and [`Error::Internal`] where a stored part no longer reads.
pub fn choosable(conn: &mut Conn) -> Result<Vec<Variant>, Error> {
    catalog::variants(conn)?.iter().map(variant).collect()
}

fn variant(row: &VariantRow) -> Result<Variant, Error> {
    Ok(Variant {
        part_number: stored(row.part_number.parse())?,
        part: row.part.clone(),
        attributes: stored(row.attributes.parse())?,
    })
}

fn part(row: &VariantRow) -> Result<(PartNumber, KitPart), Error> {
    let part_number: PartNumber = stored(row.part_number.parse())?;
    let part = KitPart {
        part_number: part_number.clone(),
        name: words::part(&row.part, &row.variant),
        quantity: Quantity::ZERO,
        facts: stored(row.facts.parse())?,
        stated_by: row.facts_source.clone(),
    };
    Ok((part_number, part))
}

/// Returns what the rules say of one kit as it was laid out for its order.
///
/// # Errors
///
/// [`Error::NotFound`] and [`Error::Database`].
pub fn of_kit(conn: &mut Conn, number: &str) -> Result<FitView, Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let lines = orders::lines_of(conn, &[kit.id])?;
    of_lines(&of_one(conn, &kit, &lines)?, kit.bills_on, &lines)
}

/// Returns a fitter for one kit as it stands, with the runs of its bags.
pub(super) fn of_one(conn: &mut Conn, kit: &KitRow, lines: &[KitLineRow]) -> Result<Fitter, Error> {
    let ids: Vec<KitLineId> = lines.iter().map(|it| it.id).collect();
    Fitter::load(conn, [kit.bills_on])?.with_runs(conn, &ids)
}

/// Returns what the rules say of a kit's lines, with bags by the bills of that day.
///
/// # Errors
///
/// [`Error::Internal`] where a stored part number no longer reads.
pub fn of_lines(fitter: &Fitter, day: NaiveDate, lines: &[KitLineRow]) -> Result<FitView, Error> {
    let found = judge_kit(&fitter.parts_of(day, lines)?);
    Ok(FitView::of(found.into_iter().map(FindingView::from).collect()))
}

/// What the measures of a kit's parts come to; each left out where one that it needs is not stated.
pub(super) struct Measures {
    /// How far the seat post may stand out.
    pub(super) post: Option<PostWindow>,
    /// What the steerer carries, and what stays free under the cap.
    pub(super) gap: Option<CapGap>,
    /// What the ski bolts go through, the deepest first.
    pub(super) ski_screws: Vec<ScrewStack>,
}

/// Returns what the measures of a kit's parts come to, bags looked into.
pub(super) fn measures_of_kit(
    conn: &mut Conn,
    kit: &KitRow,
    lines: &[KitLineRow],
) -> Result<Measures, Error> {
    let parts = of_one(conn, kit, lines)?.parts_of(kit.bills_on, lines)?;
    Ok(Measures {
        post: post_of_kit(&parts),
        gap: gap_of_kit(&parts),
        ski_screws: ski_screws_of_kit(&parts),
    })
}

/// Refuses a kit whose parts don't fit each other; what is not known lets it pass.
///
/// # Errors
///
/// [`Error::Conflict`] with each misfit in words.
pub fn refuse_misfit(fitter: &Fitter, kit: &KitRow, lines: &[KitLineRow]) -> Result<(), Error> {
    let misfits: Vec<String> = of_lines(fitter, kit.bills_on, lines)?.misfits().collect();
    if misfits.is_empty() {
        return Ok(());
    }
    let misfits = misfits.join("; ");
    let others = fitter.of_other_revisions(kit.bills_on, lines).join("; ");
    let others = if others.is_empty() { others } else { format!(" ({others})") };
    let message = format!(
        "kit {} does not fit together, so nobody should walk for it. {misfits}{others}. Mend its \
         bill, or what is stated about the parts",
        kit.number
    );
    Err(Error::conflict("kits.does_not_fit", message))
}

/// Returns what the rules say of the kit `code` by these bills, for one choice of options.
///
/// # Errors
///
/// [`Error::Invalid`] with every fault that keeps the bill from being laid out.
pub fn judge_options(
    conn: &mut Conn,
    boms: &BTreeMap<String, Bom>,
    code: &str,
    options: &BTreeMap<String, String>,
) -> Result<Vec<FindingView>, Error> {
    let (fitter, variants) = (Fitter::load(conn, [])?, choosable(conn)?);
    fitter.options(boms, code, options, &variants).map_err(|faults| not_laid_out(&faults))
}

/// Returns which bags do not fit a kit and why.
fn in_words(run: &RunBillRow, bill: &Bom, misfits: &[String]) -> String {
    format!(
        "those of run {}, made by revision {} of {}, do not fit this kit: {}",
        run.number,
        bill.revision,
        bill.code,
        misfits.join("; ")
    )
}

fn not_laid_out(faults: &[KitError]) -> Error {
    let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let code = faults.first().map_or("kits.unknown_kit", KitError::code);
    Error::invalid(code, words.join("; "))
}
