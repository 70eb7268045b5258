use std::collections::BTreeMap;

use super::{Bom, BomItem, KitError};
use crate::domain::codes::PartNumber;
use crate::units::Quantity;

/// Returns what one piece of a stocked sub-kit holds, one level down, in the order of its bill.
///
/// Lines of phantom assemblies stand in their place. A part that no bill makes holds nothing. Lines
/// that leave open which part they mean are left out: [`explode_to_parts`] reports them.
pub fn contents(boms: &BTreeMap<String, Bom>, part: &PartNumber) -> Vec<(PartNumber, Quantity)> {
    let mut lines = Lines::new(boms, part);
    if let Some(bom) = made_by(boms, part) {
        // What is at fault is left out here, and is an error when exploded.
        let _ = lines.gather(bom, Quantity::ONE);
    }
    lines.held
}

/// Returns the purchased parts in one piece of `part`, all levels down.
///
/// A part that no bill makes is returned as itself.
///
/// # Errors
///
/// [`KitError::Cycle`] where a kit holds itself, [`KitError::OpenLine`] where a stocked kit leaves
/// open what goes in, and [`KitError::UnknownNestedKit`] where a bill is not there.
pub fn explode_to_parts(
    boms: &BTreeMap<String, Bom>,
    part: &PartNumber,
) -> Result<BTreeMap<PartNumber, Quantity>, KitError> {
    let mut parts = BTreeMap::new();
    explode(boms, part, Quantity::ONE, &mut Vec::new(), &mut parts)?;
    Ok(parts)
}

fn made_by<'a>(boms: &'a BTreeMap<String, Bom>, part: &PartNumber) -> Option<&'a Bom> {
    boms.values().find(|bom| bom.makes.as_ref() == Some(part))
}

fn explode<'a>(
    boms: &'a BTreeMap<String, Bom>,
    part: &PartNumber,
    times: Quantity,
    open: &mut Vec<&'a str>,
    parts: &mut BTreeMap<PartNumber, Quantity>,
) -> Result<(), KitError> {
    let Some(bom) = made_by(boms, part) else {
        let sum = parts.entry(part.clone()).or_default();
        *sum = sum.plus(times);
        return Ok(());
    };
    enter(bom, open)?;
    let mut lines = Lines::new(boms, part);
    lines.gather(bom, times)?;
    for (part, quantity) in lines.held {
        explode(boms, &part, quantity, open, parts)?;
    }
    open.pop();
    Ok(())
}

/// The lines of one stocked kit, with phantom assemblies laid out.
struct Lines<'a> {
    boms: &'a BTreeMap<String, Bom>,
    stocked: &'a PartNumber,
    open: Vec<&'a str>,
    held: Vec<(PartNumber, Quantity)>,
}

impl<'a> Lines<'a> {
    fn new(boms: &'a BTreeMap<String, Bom>, stocked: &'a PartNumber) -> Self {
        Self { boms, stocked, open: Vec::new(), held: Vec::new() }
    }

    /// Adds the lines of `bom`; goes on past a fault, and returns the first.
    fn gather(&mut self, bom: &'a Bom, times: Quantity) -> Result<(), KitError> {
        enter(bom, &mut self.open)?;
        let mut first = Ok(());
        for line in &bom.lines {
            let quantity = times.times(line.quantity);
            let added = match &line.item {
                BomItem::PartNumber(number) => self.add(number, quantity),
                BomItem::Part(_) => Err(open_line(self.stocked, bom, line.number, &line.item)),
                BomItem::Kit(code) => match self.boms.get(code) {
                    None => Err(unknown(bom, line.number, code)),
                    Some(Bom { makes: Some(number), .. }) => self.add(number, quantity),
                    Some(phantom) => self.gather(phantom, quantity),
                },
            };
            first = first.and(added);
        }
        self.open.pop();
        first
    }

    fn add(&mut self, number: &PartNumber, quantity: Quantity) -> Result<(), KitError> {
        match self.held.iter_mut().find(|(it, _)| it == number) {
            Some((_, sum)) => *sum = sum.plus(quantity),
            None => self.held.push((number.clone(), quantity)),
        }
        Ok(())
    }
}

fn enter<'a>(bom: &'a Bom, open: &mut Vec<&'a str>) -> Result<(), KitError> {
    if let Some(start) = open.iter().position(|it| *it == bom.code) {
        let ring = open.iter().skip(start).copied().chain([bom.code.as_str()]);
        return Err(KitError::Cycle { path: ring.map(str::to_owned).collect() });
    }
    open.push(&bom.code);
    Ok(())
}

fn open_line(stocked: &PartNumber, bom: &Bom, line: u32, item: &BomItem) -> KitError {
    let (kit, item) = (bom.code.clone(), item.to_string());
    KitError::OpenLine { kit, stocked: stocked.clone(), line, item }
}

fn unknown(bom: &Bom, line: u32, wanted: &str) -> KitError {
    KitError::UnknownNestedKit { kit: bom.code.clone(), line, wanted: wanted.to_owned() }
}
