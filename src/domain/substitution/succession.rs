use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::units::Quantity;

use super::{Consent, Kind, Rule, Until};

/// The part that takes the place of another in a kit, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Successor {
    /// The part.
    pub part_number: PartNumber,
    /// Why, in words.
    pub reason: String,
}

/// Returns, by part number of a kit's lines, what takes its place for an order placed on `day`.
///
/// A part number goes over whole: all its lines in the kit, or none. So do the two of a pair, which
/// [`is_pair`] tells. A rule "until used up" leaves the old part in while `free` stock covers all
/// that the kit needs of it.
pub fn successors(
    lines: &[(PartNumber, Quantity)],
    rules: &[Rule],
    variants: &[Variant],
    free: &BTreeMap<PartNumber, Quantity>,
    day: NaiveDate,
) -> BTreeMap<PartNumber, Successor> {
    let mut needed: BTreeMap<PartNumber, Quantity> = BTreeMap::new();
    for (number, quantity) in lines {
        let sum = needed.entry(number.clone()).or_default();
        *sum = sum.plus(*quantity);
    }
    let rules: Vec<&Rule> = rules
        .iter()
        .filter(|it| it.kind == Kind::SupersededBy && it.consent != Consent::Customer)
        .filter(|it| it.holds_on(day))
        .collect();
    let covers =
        |number: &PartNumber, need: Quantity| need <= free.get(number).copied().unwrap_or_default();
    let mut found: BTreeMap<PartNumber, Successor> = BTreeMap::new();
    for (number, need) in &needed {
        let stays = |rule: &Rule| rule.until == Until::UsedUp && covers(&rule.from, *need);
        found.extend(follow(&rules, number, stays).map(|it| (number.clone(), it)));
    }
    let mates: Vec<PartNumber> = needed
        .keys()
        .filter(|it| !found.contains_key(*it))
        .filter(|it| found.keys().any(|gone| are_pair(variants, gone, it)))
        .cloned()
        .collect();
    for number in mates {
        found.extend(follow(&rules, &number, |_| false).map(|it| (number.clone(), it)));
    }
    found
}

/// Returns the last part that takes the place of another, along rules one after the other.
fn follow(
    rules: &[&Rule],
    number: &PartNumber,
    stays: impl Fn(&Rule) -> bool,
) -> Option<Successor> {
    let (mut at, mut last, mut seen) = (number, None, BTreeSet::new());
    while seen.insert(at) {
        let Some(rule) = rules.iter().find(|it| it.from == *at).filter(|it| !stays(it)) else {
            break;
        };
        (at, last) = (&rule.to, Some(rule));
    }
    let reason = |it: &&Rule| format!("superseded since {}: {}", it.valid_from, it.reason);
    last.filter(|_| at != number)
        .map(|it| Successor { part_number: at.clone(), reason: reason(it) })
}

fn are_pair(variants: &[Variant], a: &PartNumber, b: &PartNumber) -> bool {
    let of = |number: &PartNumber| variants.iter().find(|it| it.part_number == *number);
    of(a).zip(of(b)).is_some_and(|(a, b)| is_pair(a, b))
}

/// Returns whether two parts are the two of a pair: sisters that differ in side or position alone.
pub fn is_pair(a: &Variant, b: &Variant) -> bool {
    let sides = ["side", "position"];
    let rest = |it: &Variant| -> BTreeMap<String, String> {
        let others = it.attributes.iter().filter(|(name, _)| !sides.contains(name));
        others.map(|(name, value)| (name.to_owned(), value.to_owned())).collect()
    };
    a.part_number != b.part_number && a.part == b.part && rest(a) == rest(b)
}
