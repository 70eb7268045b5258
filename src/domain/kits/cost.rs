use std::collections::BTreeMap;

use super::{Bom, KitError, ResolvedLine, contents, resolve};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::units::{Money, Quantity};

/// One line of a cost roll-up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostNode {
    /// How deep it stands: 0 for the kit's own lines.
    pub level: usize,
    /// The code of the assembly or sub-kit whose lines follow one level deeper; none for what is
    /// bought.
    pub code: Option<String>,
    /// The part number; none for a phantom assembly, which is never stocked.
    pub part_number: Option<PartNumber>,
    /// The first step that needs it, 0 for packing material and for what the shop puts together.
    pub step: u32,
    /// Pieces in one kit.
    pub quantity: Quantity,
    /// What all of them cost as the catalogue states it; for an assembly, its lines together.
    pub stated: Money,
    /// What the bought parts in all of them cost.
    pub parts: Money,
}

/// What one kit costs, level by level.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cost {
    /// The lines, each assembly and sub-kit before what it holds.
    pub nodes: Vec<CostNode>,
    /// The kit at stated costs: a sub-kit that the house makes counts as the catalogue states it,
    /// with the work in it.
    pub stated: Money,
    /// The bought parts alone.
    pub parts: Money,
}

/// Returns what the kit `code` costs for one choice of options. A part number whose cost `costs`
/// does not hold counts as nothing.
///
/// # Errors
///
/// What [`resolve`] finds wrong.
pub fn cost(
    bills: &BTreeMap<String, Bom>,
    code: &str,
    options: &BTreeMap<String, String>,
    variants: &[Variant],
    costs: &BTreeMap<PartNumber, Money>,
) -> Result<Cost, Vec<KitError>> {
    let lines = resolve(bills, code, options, variants)?;
    let mut pricing = Pricing { bills, costs, nodes: Vec::new() };
    let (stated, parts) = pricing.assembly(&lines, 0);
    Ok(Cost { nodes: pricing.nodes, stated, parts })
}

/// What comes of a set of lines: stated, and in bought parts.
type Sums = (Money, Money);

fn add(a: Sums, b: Sums) -> Sums {
    (a.0.plus(b.0), a.1.plus(b.1))
}

struct Pricing<'a> {
    bills: &'a BTreeMap<String, Bom>,
    costs: &'a BTreeMap<PartNumber, Money>,
    nodes: Vec<CostNode>,
}

impl Pricing<'_> {
    /// Prices lines that stand in the same assembly, `level` phantom assemblies down.
    fn assembly(&mut self, lines: &[ResolvedLine], level: usize) -> Sums {
        let mut sums = (Money::ZERO, Money::ZERO);
        let mut rest = lines;
        while let Some(first) = rest.first() {
            let Some(code) = first.path.get(level) else {
                let part = self.part(&first.part_number, first.quantity, first.step, level);
                sums = add(sums, part);
                rest = rest.get(1..).unwrap_or_default();
                continue;
            };
            // The lines of one call for an assembly share the way that leads there.
            let of_call = |it: &&ResolvedLine| it.trail.get(..=level) == first.trail.get(..=level);
            let (call, others): (Vec<_>, Vec<_>) = rest.iter().partition(of_call);
            let at = self.nodes.len();
            self.nodes.push(CostNode {
                level,
                code: Some(code.clone()),
                part_number: None,
                step: 0,
                quantity: Quantity::ONE,
                stated: Money::ZERO,
                parts: Money::ZERO,
            });
            let call: Vec<ResolvedLine> = call.into_iter().cloned().collect();
            let (stated, parts) = self.assembly(&call, level + 1);
            if let Some(node) = self.nodes.get_mut(at) {
                (node.stated, node.parts) = (stated, parts);
            }
            sums = add(sums, (stated, parts));
            let done = rest.len() - others.len();
            rest = rest.get(done..).unwrap_or_default();
        }
        sums
    }

    /// Prices a part number and, where the house makes it, what it holds.
    fn part(&mut self, number: &PartNumber, quantity: Quantity, step: u32, level: usize) -> Sums {
        let stated = self.costs.get(number).copied().unwrap_or_default().times(quantity.pieces());
        let maker = self.bills.values().find(|it| it.makes.as_ref() == Some(number));
        let at = self.nodes.len();
        self.nodes.push(CostNode {
            level,
            code: maker.map(|it| it.code.clone()),
            part_number: Some(number.clone()),
            step,
            quantity,
            stated,
            parts: stated,
        });
        let held = maker.map(|_| contents(self.bills, number)).unwrap_or_default();
        if held.is_empty() {
            return (stated, stated);
        }
        let inside = held.iter().fold(Money::ZERO, |sum, (part, each)| {
            sum.plus(self.part(part, each.times(quantity), 0, level + 1).1)
        });
        if let Some(node) = self.nodes.get_mut(at) {
            node.parts = inside;
        }
        (stated, inside)
    }
}
