//! Whether the parts of a kit fit each other, bags looked into.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::fit::{KitFinding, KitPart, Verdict, judge_kit};
use crate::domain::kits::revision::on_day;
use crate::domain::kits::{Bom, KitError, contents, resolve};
use crate::error::Error;
use crate::store::catalog::VariantRow;
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::{Conn, catalog, kits, orders};
use crate::units::Quantity;

use super::words;

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
pub struct Fitter {
    bills: BTreeMap<NaiveDate, Bills>,
    variants: Vec<Variant>,
    parts: BTreeMap<PartNumber, KitPart>,
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
        let rows = catalog::variants(conn)?;
        let days: BTreeSet<NaiveDate> = days.into_iter().collect();
        let all = if days.is_empty() { Vec::new() } else { kits::all_boms(conn)? };
        Ok(Self {
            bills: days.into_iter().map(|day| (day, on_day(&all, day))).collect(),
            variants: rows.iter().map(variant).collect::<Result<_, _>>()?,
            parts: rows.iter().map(part).collect::<Result<_, _>>()?,
        })
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
    ) -> Result<Vec<FindingView>, Vec<KitError>> {
        let lines = resolve(boms, code, options, &self.variants)?;
        Ok(self.judge(boms, lines.into_iter().map(|it| (it.part_number, it.quantity))))
    }

    fn lines(&self, day: NaiveDate, lines: &[KitLineRow]) -> Result<Vec<FindingView>, Error> {
        let lines: Vec<(PartNumber, Quantity)> = lines
            .iter()
            .map(|it| Ok((stored(it.part_number.parse())?, it.quantity)))
            .collect::<Result<_, Error>>()?;
        let none = Bills::new();
        Ok(self.judge(self.bills.get(&day).unwrap_or(&none), lines))
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
        judge_kit(&parts).into_iter().map(FindingView::from).collect()
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
    of_lines(&Fitter::load(conn, [kit.bills_on])?, kit.bills_on, &lines)
}

/// Returns what the rules say of a kit's lines, with bags by the bills of that day.
///
/// # Errors
///
/// [`Error::Internal`] where a stored part number no longer reads.
pub fn of_lines(fitter: &Fitter, day: NaiveDate, lines: &[KitLineRow]) -> Result<FitView, Error> {
    Ok(FitView::of(fitter.lines(day, lines)?))
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
    let message = format!(
        "kit {} does not fit together, so nobody should walk for it. {misfits}. Mend its bill, \
         or what is stated about the parts",
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
    let fitter = Fitter::load(conn, [])?;
    fitter.options(boms, code, options).map_err(|faults| not_laid_out(&faults))
}

fn not_laid_out(faults: &[KitError]) -> Error {
    let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let code = faults.first().map_or("kits.unknown_kit", KitError::code);
    Error::invalid(code, words.join("; "))
}
