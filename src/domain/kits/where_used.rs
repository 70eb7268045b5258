use std::collections::{BTreeMap, BTreeSet};

use super::{Bom, BomItem, BomLine, Choice};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::units::Quantity;

/// The options under which a use counts: each named option must have one of the values.
pub type Conditions = BTreeMap<String, BTreeSet<String>>;

/// One way in which a part gets into a kit that nothing else calls for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Use {
    /// The codes of the bills from the kit down to the one whose line names the part.
    pub path: Vec<String>,
    /// The number of that line.
    pub line: u32,
    /// The options of the kit at the top under which the line counts; empty where it always does.
    pub when: Conditions,
    /// Pieces in one kit at the top.
    pub quantity: Quantity,
}

/// Returns every way in which a part gets into the kits at the top, all levels up, through phantom
/// assemblies and through sub-kits that the house makes.
///
/// `bills` are those in force together; a bill that no other calls for is a top.
pub fn where_used(
    bills: &BTreeMap<String, Bom>,
    variants: &[Variant],
    part: &PartNumber,
) -> Vec<Use> {
    let mut search = Search { bills, variants, open: Vec::new() };
    let mut uses = search.of_part(part);
    uses.sort();
    uses
}

struct Search<'a> {
    bills: &'a BTreeMap<String, Bom>,
    variants: &'a [Variant],
    /// The bills on the way up, so that a ring ends.
    open: Vec<&'a str>,
}

impl<'a> Search<'a> {
    fn of_part(&mut self, part: &PartNumber) -> Vec<Use> {
        let variant = self.variants.iter().find(|it| it.part_number == *part);
        let mut uses = Vec::new();
        for bom in self.bills.values() {
            for line in &bom.lines {
                if let Some(when) = self.takes(bom, line, part, variant) {
                    uses.extend(self.climb(bom, line.number, when, line.quantity));
                }
            }
        }
        uses
    }

    /// Returns the options under which a line takes the part, if it ever does.
    fn takes(
        &self,
        bom: &Bom,
        line: &BomLine,
        part: &PartNumber,
        variant: Option<&Variant>,
    ) -> Option<Conditions> {
        let when = conditions(line);
        match &line.item {
            BomItem::PartNumber(number) => (number == part).then_some(when),
            BomItem::Kit(code) => {
                let makes = self.bills.get(code).and_then(|it| it.makes.as_ref());
                (makes == Some(part)).then_some(when)
            }
            BomItem::Part(name) => {
                let variant = variant.filter(|it| it.part == *name)?;
                line.choose.iter().try_fold(when, |when, (attribute, choice)| {
                    let value = variant.attributes.get(attribute)?;
                    chosen(bom, when, choice, &BTreeSet::from([value.to_owned()]))
                })
            }
        }
    }

    /// Returns the ways from a bill up to the tops.
    fn climb(&mut self, bom: &'a Bom, line: u32, when: Conditions, quantity: Quantity) -> Vec<Use> {
        if self.open.contains(&bom.code.as_str()) {
            return Vec::new();
        }
        self.open.push(&bom.code);
        let above: Vec<(&'a Bom, Conditions, Quantity)> = self.callers(bom, &when);
        let mut uses = Vec::new();
        if above.is_empty() && self.is_top(bom) {
            uses.push(Use { path: Vec::new(), line, when, quantity });
        }
        for (caller, when, count) in above {
            uses.extend(self.climb(caller, line, when, quantity.times(count)));
        }
        for it in &mut uses {
            it.path.push(bom.code.clone());
        }
        self.open.pop();
        uses
    }

    /// Returns the lines that call for a bill, with the options of the caller under which they do
    /// so and the bill's own conditions hold.
    fn callers(&self, bom: &Bom, when: &Conditions) -> Vec<(&'a Bom, Conditions, Quantity)> {
        let made = bom.makes.as_ref();
        let variant = made.and_then(|it| self.variants.iter().find(|v| v.part_number == *it));
        let mut found = Vec::new();
        for caller in self.bills.values() {
            for line in &caller.lines {
                let outer = match (&line.item, made) {
                    (BomItem::Kit(code), None) if *code == bom.code => {
                        translated(bom, caller, line, when)
                    }
                    (_, Some(made)) => self.takes(caller, line, made, variant),
                    _ => None,
                };
                found.extend(outer.map(|it| (caller, it, line.quantity)));
            }
        }
        found
    }

    fn is_top(&self, bom: &Bom) -> bool {
        let all: Conditions = BTreeMap::new();
        self.callers(bom, &all).is_empty()
    }
}

fn conditions(line: &BomLine) -> Conditions {
    line.when.iter().map(|(name, it)| (name.clone(), it.iter().cloned().collect())).collect()
}

/// Returns the conditions with that a choice comes to one of `values`; nothing where it never does.
fn chosen(
    bom: &Bom,
    mut when: Conditions,
    choice: &Choice,
    values: &BTreeSet<String>,
) -> Option<Conditions> {
    match choice {
        Choice::Fixed(value) => values.contains(value).then_some(when),
        Choice::Option(option) => {
            let allowed = bom.options.iter().find(|it| it.name == *option)?;
            let now: BTreeSet<String> =
                allowed.values.iter().filter(|it| values.contains(*it)).cloned().collect();
            let both = match when.get(option) {
                Some(before) => before.intersection(&now).cloned().collect(),
                None => now,
            };
            if both.is_empty() {
                return None;
            }
            when.insert(option.clone(), both);
            Some(when)
        }
    }
}

/// Returns the conditions of an assembly in the options of the line's bill that calls for it.
fn translated(inner: &Bom, caller: &Bom, line: &BomLine, when: &Conditions) -> Option<Conditions> {
    when.iter().try_fold(conditions(line), |outer, (option, values)| {
        if !inner.options.iter().any(|it| it.name == *option) {
            return None;
        }
        let stated = line.choose.iter().find(|(name, _)| name == option).map(|it| it.1.clone());
        let choice = stated.unwrap_or_else(|| Choice::Option(option.clone()));
        chosen(caller, outer, &choice, values)
    })
}
