use std::collections::BTreeMap;

use super::text::{write_choices, write_conditions};
use super::{Bom, BomLine, ResolvedLine, Step};
use crate::domain::codes::PartNumber;
use crate::units::Quantity;

/// One thing that differs between two revisions of a bill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What it is of: "line 40", "step 3", "option size", or "bill" for its head.
    pub of: String,
    /// The field that differs; empty where the whole line, step or option came or went.
    pub field: &'static str,
    /// What it was; empty where it was not there.
    pub from: String,
    /// What it is; empty where it is gone.
    pub to: String,
}

/// Returns what differs between two bills: their heads, then options, steps and lines, field by
/// field, each in the order of its name or number.
pub fn compare(from: &Bom, to: &Bom) -> Vec<Difference> {
    let mut found = Vec::new();
    let makes = |bom: &Bom| bom.makes.as_ref().map(ToString::to_string).unwrap_or_default();
    fields(
        &mut found,
        "bill",
        [("name", from.name.clone(), to.name.clone()), ("makes", makes(from), makes(to))],
    );
    let options = |bom: &Bom| -> BTreeMap<String, String> {
        bom.options.iter().map(|it| (it.name.clone(), it.values.join("|"))).collect()
    };
    both(options(from), options(to), |name, a, b| match (a, b) {
        (Some(a), Some(b)) => {
            fields(&mut found, &format!("option {name}"), [("values", a.clone(), b.clone())]);
        }
        (a, b) => whole(&mut found, format!("option {name}"), a.cloned(), b.cloned()),
    });
    let steps = |bom: &Bom| -> BTreeMap<u32, Step> {
        bom.steps.iter().map(|it| (it.number, it.clone())).collect()
    };
    both(steps(from), steps(to), |number, a, b| match (a, b) {
        (Some(a), Some(b)) => fields(
            &mut found,
            &format!("step {number}"),
            [
                ("title", a.title.clone(), b.title.clone()),
                ("check", a.check.clone(), b.check.clone()),
                ("caution", a.caution.clone(), b.caution.clone()),
            ],
        ),
        (a, b) => {
            let title = |it: Option<&Step>| it.map(|it| it.title.clone());
            whole(&mut found, format!("step {number}"), title(a), title(b));
        }
    });
    let lines = |bom: &Bom| -> BTreeMap<u32, BomLine> {
        bom.lines.iter().map(|it| (it.number, it.clone())).collect()
    };
    both(lines(from), lines(to), |number, a, b| match (a, b) {
        (Some(a), Some(b)) => fields(&mut found, &format!("line {number}"), line_fields(a, b)),
        (a, b) => whole(&mut found, format!("line {number}"), a.map(said), b.map(said)),
    });
    found
}

fn line_fields(a: &BomLine, b: &BomLine) -> [(&'static str, String, String); 6] {
    let of = |it: &BomLine| {
        [
            it.item.to_string(),
            write_choices(&it.choose),
            write_conditions(&it.when),
            it.quantity.to_string(),
            it.step.to_string(),
            it.carton.to_string(),
        ]
    };
    let [item, choose, when, quantity, step, carton] = of(a);
    let [new_item, new_choose, new_when, new_quantity, new_step, new_carton] = of(b);
    [
        ("part", item, new_item),
        ("choose", choose, new_choose),
        ("when", when, new_when),
        ("quantity", quantity, new_quantity),
        ("step", step, new_step),
        ("carton", carton, new_carton),
    ]
}

/// Returns a line in words: "2 × Bag HEAD (build={build}) at step 4".
fn said(line: &BomLine) -> String {
    let choose = match write_choices(&line.choose) {
        it if it.is_empty() => String::new(),
        it => format!(" ({it})"),
    };
    let when = match write_conditions(&line.when) {
        it if it.is_empty() => String::new(),
        it => format!(", only where {it}"),
    };
    format!("{} × {}{choose} at step {}{when}", line.quantity, line.item, line.step)
}

fn fields<const N: usize>(
    found: &mut Vec<Difference>,
    of: &str,
    pairs: [(&'static str, String, String); N],
) {
    let differ = pairs.into_iter().filter(|(_, from, to)| from != to);
    found.extend(differ.map(|(field, from, to)| Difference { of: of.to_owned(), field, from, to }));
}

fn whole(found: &mut Vec<Difference>, of: String, from: Option<String>, to: Option<String>) {
    let (from, to) = (from.unwrap_or_default(), to.unwrap_or_default());
    found.push(Difference { of, field: "", from, to });
}

/// Calls `each` with what both maps have under every key of either.
fn both<K: Ord + Clone, V>(
    a: BTreeMap<K, V>,
    b: BTreeMap<K, V>,
    mut each: impl FnMut(&K, Option<&V>, Option<&V>),
) {
    let mut keys: Vec<&K> = a.keys().chain(b.keys()).collect();
    keys.sort();
    keys.dedup();
    for key in keys {
        each(key, a.get(key), b.get(key));
    }
}

/// A part number whose place in a kit differs between two ways to build it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartChange {
    /// The part number.
    pub part_number: PartNumber,
    /// The step.
    pub step: u32,
    /// The carton.
    pub carton: u32,
    /// Pieces before; zero where it is new there.
    pub from: Quantity,
    /// Pieces after; zero where it goes.
    pub to: Quantity,
}

/// Pieces of a part number at one place of a kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitPart {
    /// The step.
    pub step: u32,
    /// The carton.
    pub carton: u32,
    /// The part number.
    pub part_number: PartNumber,
    /// How many.
    pub quantity: Quantity,
}

impl From<&ResolvedLine> for KitPart {
    fn from(line: &ResolvedLine) -> Self {
        Self {
            step: line.step,
            carton: line.carton.max(1),
            part_number: line.part_number.clone(),
            quantity: line.quantity,
        }
    }
}

/// Returns what differs between two sets of lines of a kit, by step, carton and part number.
pub fn compare_lines(from: &[KitPart], to: &[KitPart]) -> Vec<PartChange> {
    let sums = |lines: &[KitPart]| {
        let mut sums: BTreeMap<(u32, u32, PartNumber), Quantity> = BTreeMap::new();
        for it in lines {
            let key = (it.step, it.carton, it.part_number.clone());
            let sum = sums.entry(key).or_default();
            *sum = sum.plus(it.quantity);
        }
        sums
    };
    let mut found = Vec::new();
    both(sums(from), sums(to), |(step, carton, part_number), a, b| {
        let (from, to) = (a.copied().unwrap_or_default(), b.copied().unwrap_or_default());
        if from != to {
            let part_number = part_number.clone();
            found.push(PartChange { part_number, step: *step, carton: *carton, from, to });
        }
    });
    found
}
