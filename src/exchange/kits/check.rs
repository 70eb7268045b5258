use std::collections::{BTreeMap, BTreeSet};

use super::{At, Faults, KitRecord};
use crate::domain::codes::PartNumber;
use crate::domain::kits::{Bom, BomItem, BomLine, Choice};

/// Notes where a bill contradicts itself.
pub(super) fn kit(kit: &At<KitRecord>, faults: &mut Faults) {
    let bom = &kit.value.bom;
    let mut names = BTreeSet::new();
    for option in bom.options.iter().filter(|option| !names.insert(&option.name)) {
        let message = format!("the kit has the option '{}' twice: remove one", option.name);
        faults.add(kit.line, "kit", message);
    }
    if bom.makes.is_some() && !bom.options.is_empty() {
        let message = "a kit that is stocked under a part number has no options: make one kit for \
                       each variant, or empty this field";
        faults.add(kit.line, "part", message);
    }
    for line in &bom.lines {
        let at = kit.value.lines_at.get(&line.number).copied().unwrap_or(kit.line);
        check_line(bom, line, &mut |column, message| faults.add(at, column, message));
    }
}

fn check_line(bom: &Bom, line: &BomLine, fault: &mut impl FnMut(&str, String)) {
    if line.step != 0
        && !bom.steps.is_empty()
        && !bom.steps.iter().any(|step| step.number == line.step)
    {
        fault("step", format!("kit {} has no step {}", bom.code, line.step));
    }
    match &line.item {
        BomItem::Part(name) if bom.makes.is_some() => fault(
            "part",
            format!(
                "'{name}' leaves open what goes into a stocked kit: write a part number, or the \
                 code of a kit in this file"
            ),
        ),
        BomItem::PartNumber(number) if !line.choose.is_empty() => {
            fault("choose", format!("{number} leaves nothing to choose: empty this field"));
        }
        _ => {}
    }
    for (_, choice) in &line.choose {
        if let Choice::Option(option) = choice
            && values_of(bom, option).is_none()
        {
            fault("choose", no_option(bom, option));
        }
    }
    for (option, values) in &line.when {
        match values_of(bom, option) {
            None => fault("when", no_option(bom, option)),
            Some(allowed) => {
                for value in values.iter().filter(|it| !allowed.contains(it)) {
                    let allowed = allowed.join(", ");
                    fault("when", format!("'{value}' is no {option}: the kit has {allowed}"));
                }
            }
        }
    }
}

fn values_of<'a>(bom: &'a Bom, option: &str) -> Option<&'a [String]> {
    bom.options.iter().find(|it| it.name == option).map(|it| it.values.as_slice())
}

fn no_option(bom: &Bom, option: &str) -> String {
    let names: Vec<&str> = bom.options.iter().map(|it| it.name.as_str()).collect();
    let known = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
    format!("kit {} has no option '{option}': its options are {known}", bom.code)
}

/// Notes where two bills make the same part number.
pub(super) fn makers(kits: &[At<KitRecord>], faults: &mut Faults) {
    let mut makers: BTreeMap<&PartNumber, &At<KitRecord>> = BTreeMap::new();
    for kit in kits {
        let Some(number) = &kit.value.bom.makes else { continue };
        let other = makers.get(number).filter(|it| it.value.bom.code != kit.value.bom.code);
        if let Some(earlier) = other {
            let message = format!(
                "kit {} on line {} makes {number} already: a part number has one bill",
                earlier.value.bom.code, earlier.line
            );
            faults.add(kit.line, "part", message);
        } else {
            makers.insert(number, kit);
        }
    }
}
