use super::COLUMNS;
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
            row(&mut text, "step", bom, step_cells(step));
        }
        for line in &bom.lines {
            row(&mut text, "line", bom, line_cells(line));
        }
    }
    text.finish()
}

fn option_cells(number: u32, option: &OptionDef) -> [(&'static str, String); 3] {
    let values = option.values.join("|");
    [("number", number.to_string()), ("name", option.name.clone()), ("values", values)]
}

fn step_cells(step: &Step) -> [(&'static str, String); 4] {
    [
        ("number", step.number.to_string()),
        ("name", step.title.clone()),
        ("check", step.check.clone()),
        ("caution", step.caution.clone()),
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
