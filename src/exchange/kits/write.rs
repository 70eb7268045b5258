use super::COLUMNS;
use crate::domain::joints::Joint;
use crate::domain::kits::text::{write_choices, write_conditions};
use crate::domain::kits::{Bom, BomLine, OptionDef, Step};
use crate::exchange::csv::Text;

/// Returns a file of the bills, which reads back as the same. Options are numbered from 1.
pub fn write<'a>(boms: impl IntoIterator<Item = &'a Bom>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for bom in boms {
        let makes = bom.makes.as_ref().map(ToString::to_string).unwrap_or_default();
        let valid_from = bom.valid_from.map_or_else(|| "draft".to_owned(), |it| it.to_string());
        let head = [("name", bom.name.clone()), ("part", makes), ("valid_from", valid_from)];
        row(&mut text, "kit", bom, head);
        for (number, option) in (1..).zip(&bom.options) {
            row(&mut text, "option", bom, option_cells(number, option));
        }
        for step in &bom.steps {
            row(&mut text, "step", bom, step_cells(bom, step));
        }
        for line in &bom.lines {
            row(&mut text, "line", bom, line_cells(line));
        }
        guide(&mut text, bom);
    }
    text.finish()
}

fn option_cells(number: u32, option: &OptionDef) -> [(&'static str, String); 3] {
    let values = option.values.join("|");
    [("number", number.to_string()), ("name", option.name.clone()), ("values", values)]
}

fn step_cells(bom: &Bom, step: &Step) -> [(&'static str, String); 6] {
    let aids = bom.guide.aids.get(&step.number);
    let tools = aids.map(|it| barred(&it.tools)).unwrap_or_default();
    let drawings = aids.map(|it| barred(&it.drawings)).unwrap_or_default();
    [
        ("number", step.number.to_string()),
        ("name", step.title.clone()),
        ("check", step.check.clone()),
        ("caution", step.caution.clone()),
        ("tools", tools),
        ("drawings", drawings),
    ]
}

fn barred(all: &[impl ToString]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join("|")
}

/// Adds what the assembly card says beyond steps and parts.
fn guide(text: &mut Text, bom: &Bom) {
    for ((number, language), it) in &bom.guide.words {
        let cells = [
            ("number", number.to_string()),
            ("language", language.to_string()),
            ("name", it.title.clone()),
            ("check", it.check.clone()),
            ("caution", it.caution.clone()),
        ];
        row(text, "words", bom, cells);
    }
    for joint in &bom.guide.joints {
        row(text, "joint", bom, joint_cells(joint));
        let number = || ("number", joint.number.to_string());
        for (language, name) in &joint.names {
            let cells = [number(), ("language", language.to_string()), ("name", name.clone())];
            row(text, "joint-words", bom, cells);
        }
        for it in &joint.statements {
            let stated = ("torque", it.torque.to_string());
            row(text, "torque", bom, [number(), stated, ("source", it.source.clone())]);
        }
    }
    for key in &bom.guide.keys {
        let cells = [
            ("part", key.part_number.to_string()),
            ("torque", key.torque.to_string()),
            ("source", key.source.clone()),
        ];
        row(text, "key", bom, cells);
    }
}

fn joint_cells(joint: &Joint) -> [(&'static str, String); 8] {
    let set_by_maker = if joint.set_by_maker { "yes" } else { "" };
    [
        ("number", joint.number.to_string()),
        ("name", joint.name.clone()),
        ("step", joint.step.to_string()),
        ("bolts", joint.bolts.to_string()),
        ("thread", joint.thread.clone()),
        ("pattern", joint.pattern.to_string()),
        ("condition", joint.condition.to_string()),
        ("set_by_maker", set_by_maker.to_owned()),
    ]
}

fn line_cells(line: &BomLine) -> [(&'static str, String); 7] {
    [
        ("number", line.number.to_string()),
        ("part", line.item.to_string()),
        ("step", line.step.to_string()),
        ("choose", write_choices(&line.choose)),
        ("when", write_conditions(&line.when)),
        ("quantity", line.quantity.to_string()),
        ("carton", line.carton.to_string()),
    ]
}

/// Adds a row with the given cells; the others stay empty.
fn row<const N: usize>(
    text: &mut Text,
    record: &str,
    bom: &Bom,
    cells: [(&'static str, String); N],
) {
    let cell = |column: &&str| match *column {
        "record" => record.to_owned(),
        "kit" => bom.code.clone(),
        "revision" => bom.revision.clone(),
        other => cells
            .iter()
            .find(|(name, _)| *name == other)
            .map(|(_, it)| it.clone())
            .unwrap_or_default(),
    };
    text.row(COLUMNS.iter().map(cell));
}
