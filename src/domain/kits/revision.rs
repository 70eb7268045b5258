//! Which revision of a bill is in force on a day, and what a kit that was promised relies on.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};

use super::{Bom, BomItem, Guide, KitError};
use crate::domain::codes::PartNumber;

/// The revision of a bill that holds on a day, and why it does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InForce<'a> {
    /// The revision.
    pub bom: &'a Bom,
    /// Why, in words.
    pub reason: String,
}

/// Returns the revision of one code that is in force on a day: the released one that holds from the
/// latest day up to that one, or the earliest released one where the day lies before all. Nothing
/// comes back where all are drafts.
///
/// # Example
///
/// ```
/// use kitwright::domain::kits::{Bom, revision::in_force};
///
/// let bill = |revision: &str, from: Option<&str>| Bom {
///     code: "SEAT".to_owned(), revision: revision.to_owned(), name: "Seat bag".to_owned(),
///     valid_from: from.and_then(|it| it.parse().ok()),
///     makes: None, options: Vec::new(), steps: Vec::new(), lines: Vec::new(),
///     guide: Default::default(),
/// };
/// let all = [bill("A", Some("2026-01-01")), bill("B", Some("2026-06-01")), bill("C", None)];
/// let day = "2026-11-25".parse().unwrap_or_default();
/// assert_eq!(in_force(&all, day).map(|it| it.reason).as_deref(), Some("holds since 2026-06-01"));
/// ```
pub fn in_force<'a>(
    revisions: impl IntoIterator<Item = &'a Bom>,
    day: NaiveDate,
) -> Option<InForce<'a>> {
    let mut released: Vec<(NaiveDate, &Bom)> =
        revisions.into_iter().filter_map(|it| Some((it.valid_from?, it))).collect();
    released.sort_by(|a, b| (a.0, &a.1.revision).cmp(&(b.0, &b.1.revision)));
    if let Some((from, bom)) = released.iter().rev().find(|(from, _)| *from <= day) {
        return Some(InForce { bom, reason: format!("holds since {from}") });
    }
    let (from, bom) = released.first()?;
    let reason = format!("the first one: it holds from {from}, and none was there before");
    Some(InForce { bom, reason })
}

/// Returns, by code, the bills in force on a day. Codes that have only drafts are left out.
pub fn on_day(all: &[Bom], day: NaiveDate) -> BTreeMap<String, Bom> {
    let mut by_code: BTreeMap<&str, Vec<&Bom>> = BTreeMap::new();
    for bom in all {
        by_code.entry(&bom.code).or_default().push(bom);
    }
    let chosen = by_code.into_values().filter_map(|it| in_force(it, day));
    chosen.map(|it| (it.bom.code.clone(), it.bom.clone())).collect()
}

/// Returns the bills in force on a day, with this very revision for its own code; a draft may stand
/// there to be looked at.
pub fn with_top(all: &[Bom], top: &Bom, day: NaiveDate) -> BTreeMap<String, Bom> {
    let mut bills = on_day(all, day);
    bills.insert(top.code.clone(), top.clone());
    bills
}

/// Returns the revision of that code and name.
pub fn find<'a>(all: &'a [Bom], code: &str, revision: &str) -> Option<&'a Bom> {
    all.iter().find(|it| it.code == code && it.revision == revision)
}

/// How a revision stands on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It is not released.
    Draft,
    /// It will hold.
    Later,
    /// It holds.
    InForce,
    /// Another has taken its place.
    Past,
}

impl Standing {
    /// Returns the standing in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Later => "released, holds later",
            Self::InForce => "in force",
            Self::Past => "superseded",
        }
    }
}

/// Returns how a revision stands among all on a day.
pub fn standing(all: &[Bom], bom: &Bom, day: NaiveDate) -> Standing {
    let holds = in_force(all.iter().filter(|it| it.code == bom.code), day);
    match bom.valid_from {
        None => Standing::Draft,
        Some(_) if holds.is_some_and(|it| it.bom.revision == bom.revision) => Standing::InForce,
        Some(from) if day < from => Standing::Later,
        Some(_) => Standing::Past,
    }
}

/// Returns every set of bills that is or will be used together: those in force from each day on
/// which a revision begins to hold, and once more with each draft put in its place.
pub fn moments(all: &[Bom]) -> Vec<BTreeMap<String, Bom>> {
    let days: BTreeSet<NaiveDate> = all.iter().filter_map(|it| it.valid_from).collect();
    let last = days.iter().next_back().copied().unwrap_or_default();
    let drafts = all.iter().filter(|it| it.valid_from.is_none());
    let with_drafts: Vec<_> = drafts.map(|it| with_top(all, it, last)).collect();
    days.into_iter().map(|day| on_day(all, day)).chain(with_drafts).collect()
}

/// Returns the ring in which a bill calls for itself, through others or through the part numbers
/// that they make, if there is one below `code`.
pub fn ring(bills: &BTreeMap<String, Bom>, code: &str) -> Option<KitError> {
    find_ring(bills, code, &mut Vec::new())
}

fn find_ring(
    bills: &BTreeMap<String, Bom>,
    code: &str,
    open: &mut Vec<String>,
) -> Option<KitError> {
    if let Some(start) = open.iter().position(|it| it == code) {
        let path = open.iter().skip(start).cloned().chain([code.to_owned()]).collect();
        return Some(KitError::Cycle { path });
    }
    open.push(code.to_owned());
    let nested = bills.get(code).map(|it| nested(bills, it)).unwrap_or_default();
    let found = nested.into_iter().find_map(|it| find_ring(bills, it, open));
    open.pop();
    found
}

/// Returns the codes of the bills that a bill's lines lead to.
fn nested<'a>(bills: &'a BTreeMap<String, Bom>, bom: &'a Bom) -> Vec<&'a str> {
    bom.lines
        .iter()
        .filter_map(|line| match &line.item {
            BomItem::Kit(code) => Some(code.as_str()),
            BomItem::PartNumber(number) => made_by(bills, number).map(|it| it.code.as_str()),
            BomItem::Part(_) => None,
        })
        .collect()
}

fn made_by<'a>(bills: &'a BTreeMap<String, Bom>, number: &PartNumber) -> Option<&'a Bom> {
    bills.values().find(|it| it.makes.as_ref() == Some(number))
}

/// Kits that were promised the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Promise {
    /// The code of their bill.
    pub code: String,
    /// The very revision.
    pub revision: String,
    /// The day whose bills they follow.
    pub day: NaiveDate,
    /// The part numbers of their lines that the house makes.
    pub made: BTreeSet<PartNumber>,
    /// How many kits they are.
    pub kits: usize,
}

/// A promise that a change of the bills would break.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Broken {
    /// The code of the bill that changes under the kits.
    pub code: String,
    /// The revision that they were promised.
    pub was: String,
    /// The revision that would take its place: the same one where its content changes.
    pub now: Option<String>,
    /// How many kits rely on it.
    pub kits: usize,
    /// The latest day whose bills such a kit follows.
    pub until: NaiveDate,
}

impl Broken {
    /// Returns what is wrong and how to mend it.
    pub fn words(&self) -> String {
        let Self { code, was, now, kits, until } = self;
        let kits = if *kits == 1 { "1 kit".to_owned() } else { format!("{kits} kits") };
        match now {
            Some(now) if now != was => {
                let after = until.checked_add_days(Days::new(1)).unwrap_or(*until);
                format!(
                    "revision {now} would take the place of revision {was} of {code} in {kits} \
                     promised already: let it hold from {after} or later"
                )
            }
            _ => format!(
                "revision {was} of {code} is promised to {kits}: give the changed bill a revision \
                 of its own and a date from which it holds"
            ),
        }
    }
}

/// Returns the promises that a change of the bills from `before` to `after` would break: no kit may
/// get other parts, steps or contents than those that hold for it.
pub fn broken(before: &[Bom], after: &[Bom], promises: &[Promise]) -> Vec<Broken> {
    let mut found: BTreeMap<(String, String, Option<String>), (usize, NaiveDate)> = BTreeMap::new();
    for promise in promises {
        let Some(top) = find(before, &promise.code, &promise.revision) else { continue };
        let (old, mut new) = (with_top(before, top, promise.day), on_day(after, promise.day));
        match find(after, &top.code, &top.revision).filter(|it| it.valid_from.is_some()) {
            Some(top) => new.insert(top.code.clone(), top.clone()),
            None => new.remove(&top.code),
        };
        for was in relied_on(&old, top, &promise.made) {
            let now = new.get(&was.code);
            if now.is_some_and(|it| same_content(it, was)) {
                continue;
            }
            let key = (was.code.clone(), was.revision.clone(), now.map(|it| it.revision.clone()));
            let sum = found.entry(key).or_insert((0, promise.day));
            *sum = (sum.0 + promise.kits, sum.1.max(promise.day));
        }
    }
    let broken = |((code, was, now), (kits, until))| Broken { code, was, now, kits, until };
    found.into_iter().map(broken).collect()
}

/// Returns whether two revisions are the same but for the day from which they hold, and for what
/// the assembly card says beyond steps and parts: a torque that its maker corrects, or a word that
/// is translated, reaches the kits that were promised before.
pub fn same_content(a: &Bom, b: &Bom) -> bool {
    let bare = |it: &Bom| Bom { valid_from: None, guide: Guide::default(), ..it.clone() };
    bare(a) == bare(b)
}

/// Returns the bills that a kit of the bill `top` relies on: itself, what it calls for, and those of
/// the part numbers that it holds and the house makes, all levels down.
pub fn relied_on<'a>(
    bills: &'a BTreeMap<String, Bom>,
    top: &'a Bom,
    made: &BTreeSet<PartNumber>,
) -> Vec<&'a Bom> {
    let mut found: BTreeMap<&str, &Bom> = BTreeMap::new();
    let makers = made.iter().filter_map(|it| made_by(bills, it));
    let mut open: Vec<&Bom> = makers.chain([top]).collect();
    while let Some(bom) = open.pop() {
        if found.insert(&bom.code, bom).is_none() {
            open.extend(nested(bills, bom).into_iter().filter_map(|it| bills.get(it)));
        }
    }
    found.into_values().collect()
}
