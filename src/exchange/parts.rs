//! Parts: one row for each part number, with all that [`PartRecord`] holds.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{Fields, Seen, bare};
use super::{At, Fault, Read};
use crate::domain::catalog::{Attributes, PartRecord};
use crate::domain::codes::PartNumber;
use crate::units::{Mass, Money};

/// The columns of the file, in order.
pub const COLUMNS: [&str; 18] = [
    "part_number",
    "part",
    "variant",
    "specification",
    "attributes",
    "mass_g",
    "mass_sd_g",
    "box_mm",
    "tracking",
    "class",
    "supplier",
    "supplier_item",
    "unit_cost",
    "pack",
    "minimum_order",
    "reorder_point",
    "order_quantity",
    "bin",
];

/// Returns the parts of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<PartRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<PartRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns the one record whose columns hold the texts that `cell` returns, or what is wrong in it.
pub fn read_entry(cell: impl Fn(&str) -> String) -> Read<PartRecord> {
    rows(&Table::entry(&COLUMNS, cell), Faults::default())
}

fn rows(table: &Table, mut faults: Faults) -> Read<PartRecord> {
    let (mut records, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        records.extend(part(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(records)
}

fn part(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<PartRecord> {
    let part_number: Option<PartNumber> = fields.parse("part_number");
    fields.once(seen, "part_number", part_number.as_ref());
    let part = fields.text("part");
    let variant = fields.any("variant");
    let specification = fields.any("specification");
    let attributes = fields.maybe_parse::<Attributes>("attributes");
    let mass = fields.with("mass_g", Mass::parse_grams);
    let mass_sd = fields.with("mass_sd_g", Mass::parse_grams);
    let box_size = fields.maybe_parse("box_mm");
    let tracking = fields.parse("tracking");
    let class = fields.parse("class");
    let supplier = fields.maybe("supplier");
    let supplier_item = fields.maybe("supplier_item");
    let unit_cost = fields.with("unit_cost", Money::parse_units);
    let pack = fields.pieces("pack");
    let minimum_order = fields.parse("minimum_order");
    let reorder_point = fields.parse("reorder_point");
    let order_quantity = fields.parse("order_quantity");
    let bin = fields.maybe_parse("bin");
    Some(PartRecord {
        part_number: part_number?,
        part: part?,
        variant: variant?,
        specification: specification?,
        attributes: attributes?.unwrap_or_default(),
        mass: mass?,
        mass_sd: mass_sd?,
        box_size: box_size?,
        tracking: tracking?,
        class: class?,
        supplier: supplier?,
        supplier_item: supplier_item?,
        unit_cost: unit_cost?,
        pack: pack?,
        minimum_order: minimum_order?,
        reorder_point: reorder_point?,
        order_quantity: order_quantity?,
        bin: bin?,
    })
}

/// Returns a file of the parts, which reads back as the same.
pub fn write<'a>(parts: impl IntoIterator<Item = &'a PartRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in parts {
        text.row([
            it.part_number.to_string(),
            it.part.clone(),
            it.variant.clone(),
            it.specification.clone(),
            it.attributes.to_string(),
            bare(it.mass),
            bare(it.mass_sd),
            it.box_size.map(|size| size.to_string()).unwrap_or_default(),
            it.tracking.to_string(),
            it.class.letter().to_owned(),
            it.supplier.clone().unwrap_or_default(),
            it.supplier_item.clone().unwrap_or_default(),
            it.unit_cost.to_string(),
            it.pack.to_string(),
            it.minimum_order.to_string(),
            it.reorder_point.to_string(),
            it.order_quantity.to_string(),
            it.bin.as_ref().map(ToString::to_string).unwrap_or_default(),
        ]);
    }
    text.finish()
}
