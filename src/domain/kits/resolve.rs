use std::collections::{BTreeMap, BTreeSet};

use super::{Bom, BomItem, BomLine, Choice, KitError};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::units::Quantity;

/// A line of a kit for one choice of options: a part number and how many of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ResolvedLine {
    /// The codes of the phantom assemblies that the line stands in, outermost first; empty for a
    /// line of the kit itself.
    pub path: Vec<String>,
    /// The numbers of the lines that lead here, from the kit's own line down to this one. No two
    /// lines of a kit share it, even where an assembly is called for twice.
    pub trail: Vec<u32>,
    /// The line's number in the innermost bill.
    pub line: u32,
    /// The first step that needs the part; 0 for packing material.
    pub step: u32,
    /// The part number.
    pub part_number: PartNumber,
    /// How many go into one kit.
    pub quantity: Quantity,
    /// The carton it is packed in.
    pub carton: u32,
}

/// Returns the lines of the kit `code` for one choice of options, in the order of the bill.
///
/// A nested kit that makes a part number stays one line, as it is taken from stock. A nested kit
/// that makes none is a phantom assembly: its own lines stand in its place, with quantities
/// multiplied. Quantities are those of one kit.
///
/// # Errors
///
/// Every [`KitError`] that is found, sorted: options that are missing, unknown or have another
/// value than those allowed, lines whose choice finds no variant or several, and rings of kits.
pub fn resolve(
    boms: &BTreeMap<String, Bom>,
    code: &str,
    options: &BTreeMap<String, String>,
    variants: &[Variant],
) -> Result<Vec<ResolvedLine>, Vec<KitError>> {
    let Some(top) = boms.get(code) else {
        return Err(vec![KitError::UnknownKit { kit: code.to_owned() }]);
    };
    let steps: BTreeSet<u32> = top.steps.iter().map(|it| it.number).collect();
    let mut walk = Walk {
        boms,
        variants,
        top,
        steps,
        open: Vec::new(),
        found: Vec::new(),
        errors: Vec::new(),
    };
    walk.check_options(top, options);
    if walk.errors.is_empty() {
        let place = Place { step: 0, carton: 0, times: Quantity::ONE, trail: Vec::new() };
        walk.lay_out(top, options, &place);
    }
    if walk.errors.is_empty() {
        return Ok(walk.found);
    }
    walk.errors.sort();
    walk.errors.dedup();
    Err(walk.errors)
}

/// Where the lines of a bill land in the kit that is laid out.
struct Place {
    step: u32,
    carton: u32,
    times: Quantity,
    trail: Vec<u32>,
}

/// One pass through a kit and the assemblies in it.
struct Walk<'a> {
    boms: &'a BTreeMap<String, Bom>,
    variants: &'a [Variant],
    top: &'a Bom,
    steps: BTreeSet<u32>,
    /// The bills that are being laid out, outermost first.
    open: Vec<&'a str>,
    found: Vec<ResolvedLine>,
    errors: Vec<KitError>,
}

impl<'a> Walk<'a> {
    fn check_options(&mut self, bom: &Bom, options: &BTreeMap<String, String>) {
        for (option, value) in options {
            if !bom.options.iter().any(|it| it.name == *option) {
                let allowed = bom.options.iter().map(|it| it.name.clone()).collect();
                let (kit, option, value) = (bom.code.clone(), option.clone(), value.clone());
                self.errors.push(KitError::OptionUnknown { kit, option, value, allowed });
            }
        }
        for wanted in &bom.options {
            let (kit, option) = (bom.code.clone(), wanted.name.clone());
            let allowed = wanted.values.clone();
            match options.get(&wanted.name) {
                None => self.errors.push(KitError::OptionMissing { kit, option, allowed }),
                Some(value) if !allowed.contains(value) => {
                    let value = value.clone();
                    self.errors.push(KitError::ValueUnknown { kit, option, value, allowed });
                }
                Some(_) => {}
            }
        }
    }

    fn lay_out(&mut self, bom: &'a Bom, options: &BTreeMap<String, String>, place: &Place) {
        self.open.push(&bom.code);
        for line in &bom.lines {
            if self.counts(bom, line, options) {
                self.lay_line(bom, line, options, place);
            }
        }
        self.open.pop();
    }

    /// Returns whether the line counts for these options.
    fn counts(&mut self, bom: &Bom, line: &BomLine, options: &BTreeMap<String, String>) -> bool {
        line.when.iter().all(|(option, values)| match options.get(option) {
            Some(value) => values.contains(value),
            None => {
                self.errors.push(line_option(bom, line, option));
                false
            }
        })
    }

    fn lay_line(
        &mut self,
        bom: &'a Bom,
        line: &BomLine,
        options: &BTreeMap<String, String>,
        place: &Place,
    ) {
        let Some(chosen) = self.choose(bom, line, options) else { return };
        let place = self.place(bom, line, place);
        match &line.item {
            BomItem::PartNumber(number) => self.take(line, number.clone(), place),
            BomItem::Part(part) => match self.single_out(bom, line, part, &chosen) {
                Ok(number) => self.take(line, number, place),
                Err(error) => self.errors.push(error),
            },
            BomItem::Kit(code) => self.lay_nested(bom, line, code, chosen, options, place),
        }
    }

    /// Returns each choice with its value, or nothing where an option is not there.
    fn choose(
        &mut self,
        bom: &Bom,
        line: &BomLine,
        options: &BTreeMap<String, String>,
    ) -> Option<BTreeMap<String, String>> {
        let mut chosen = BTreeMap::new();
        let mut complete = true;
        for (name, choice) in &line.choose {
            let value = match choice {
                Choice::Fixed(value) => Some(value),
                Choice::Option(option) => {
                    let value = options.get(option);
                    if value.is_none() {
                        self.errors.push(line_option(bom, line, option));
                        complete = false;
                    }
                    value
                }
            };
            chosen.extend(value.map(|value| (name.clone(), value.clone())));
        }
        complete.then_some(chosen)
    }

    /// Returns where the line lands, given where its bill does.
    fn place(&mut self, bom: &Bom, line: &BomLine, outer: &Place) -> Place {
        let step = if line.step == 0 { outer.step } else { line.step };
        if step != 0 && !self.steps.is_empty() && !self.steps.contains(&step) {
            let (kit, top) = (bom.code.clone(), self.top.code.clone());
            self.errors.push(KitError::UnknownStep { kit, line: line.number, step, top });
        }
        let carton = if line.carton == 0 { outer.carton } else { line.carton };
        let trail = outer.trail.iter().copied().chain([line.number]).collect();
        Place { step, carton, times: outer.times.times(line.quantity), trail }
    }

    fn take(&mut self, line: &BomLine, part_number: PartNumber, place: Place) {
        let path = self.open.iter().skip(1).map(|it| (*it).to_owned()).collect();
        let Place { step, carton, times: quantity, trail } = place;
        let line = line.number;
        self.found.push(ResolvedLine { path, trail, line, step, part_number, quantity, carton });
    }

    fn single_out(
        &self,
        bom: &Bom,
        line: &BomLine,
        part: &str,
        chosen: &BTreeMap<String, String>,
    ) -> Result<PartNumber, KitError> {
        let sisters = || self.variants.iter().filter(|it| it.part == part);
        let answers: Vec<&Variant> = sisters()
            .filter(|it| chosen.iter().all(|(name, value)| it.attributes.get(name) == Some(value)))
            .collect();
        let (kit, line, part) = (bom.code.clone(), line.number, part.to_owned());
        let wanted = in_words(chosen);
        match answers.as_slice() {
            [one] => Ok(one.part_number.clone()),
            [] => {
                let candidates = sisters().map(candidate).collect();
                Err(KitError::NoVariant { kit, line, part, wanted, candidates })
            }
            several => {
                let candidates = several.iter().copied().map(candidate).collect();
                Err(KitError::ManyVariants { kit, line, part, wanted, candidates })
            }
        }
    }

    fn lay_nested(
        &mut self,
        bom: &Bom,
        line: &BomLine,
        code: &str,
        chosen: BTreeMap<String, String>,
        options: &BTreeMap<String, String>,
        place: Place,
    ) {
        let Some(nested) = self.boms.get(code) else {
            let (kit, wanted) = (bom.code.clone(), code.to_owned());
            self.errors.push(KitError::UnknownNestedKit { kit, line: line.number, wanted });
            return;
        };
        if let Some(number) = &nested.makes {
            self.take(line, number.clone(), place);
            return;
        }
        if let Some(start) = self.open.iter().position(|it| *it == code) {
            let ring = self.open.iter().skip(start).copied().chain([code]);
            self.errors.push(KitError::Cycle { path: ring.map(str::to_owned).collect() });
            return;
        }
        let options = hand_down(nested, chosen, options);
        let before = self.errors.len();
        self.check_options(nested, &options);
        if self.errors.len() == before {
            self.lay_out(nested, &options, &place);
        }
    }
}

/// Returns the options of a nested kit: those that the line states, and for the others the value
/// of the outer kit's option of the same name.
fn hand_down(
    nested: &Bom,
    stated: BTreeMap<String, String>,
    outer: &BTreeMap<String, String>,
) -> BTreeMap<String, String> {
    let mut options = stated;
    for option in &nested.options {
        if let Some(value) = outer.get(&option.name) {
            options.entry(option.name.clone()).or_insert_with(|| value.clone());
        }
    }
    options
}

fn line_option(bom: &Bom, line: &BomLine, option: &str) -> KitError {
    let (kit, option) = (bom.code.clone(), option.to_owned());
    KitError::LineOption { kit, line: line.number, option }
}

fn candidate(variant: &Variant) -> String {
    if variant.attributes.is_empty() {
        variant.part_number.to_string()
    } else {
        format!("{} ({})", variant.part_number, variant.attributes)
    }
}

fn in_words(chosen: &BTreeMap<String, String>) -> String {
    if chosen.is_empty() {
        return "that name alone".to_owned();
    }
    let pairs: Vec<String> = chosen.iter().map(|(name, value)| format!("{name}={value}")).collect();
    pairs.join(" and ")
}
