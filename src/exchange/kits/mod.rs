//! Kits: `record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,check,caution,
//! valid_from`, and for the assembly card
//! `language,tools,drawings,bolts,thread,pattern,condition,set_by_maker,torque,source`, which a file
//! may lack.
//!
//! The word in `record` says what a row is; the columns that it does not use stay empty:
//! - `kit`: code, name, revision, in `part` the part number that it is stocked under, if any, and in
//!   `valid_from` the day from which the revision holds, or `draft`. A file may lack that column;
//! - `option`: number, name and values, `T12|T15`;
//! - `step`: number, name, check and caution, and for its card the part numbers of tools and the
//!   names of drawings, each parted by `|`;
//! - `words`: a step's number, a language, and name, check and caution in it;
//! - `joint`: number, name, the step of its final torque, bolts, thread, pattern, condition, and `yes`
//!   in `set_by_maker` where it was tightened before packing;
//! - `joint-words`: a joint's number, a language, and its name in it;
//! - `torque`: a joint's number, what is stated about its torque, and the document that states it;
//! - `key`: in `part` a torque key of the kit that turns at one torque only, its torque with tolerance,
//!   and who states it;
//! - `line`: number, step, quantity, carton, and in `part` a part number, else the code of a kit in
//!   the same file or in the shop, else the name of a base part; `choose` reads `size={size}; colour=black` and
//!   `when` reads `ski=95|105`.
//!
//! A file may hold several revisions of a kit: then every row names its own in
//! `revision` too. An empty one means the only revision of that kit in the file.

mod check;
mod draft;
mod guide;
mod sheet;
mod write;

use std::collections::{BTreeMap, BTreeSet};

pub(super) use sheet::row_name;
pub use sheet::{RowFault, Sheet, SheetRead, SheetRow, columns_of};
pub use write::write;

use super::csv::whole;
use super::csv::{Faults, Further, Row, Table};
use super::fields::Fields;
use super::{At, Fault, Read};
use crate::domain::kits::Bom;
use draft::{Draft, Record};

const COLUMNS: [&str; 25] = [
    "record",
    "kit",
    "number",
    "name",
    "part",
    "revision",
    "values",
    "step",
    "choose",
    "when",
    "quantity",
    "carton",
    "check",
    "caution",
    "valid_from",
    "language",
    "tools",
    "drawings",
    "bolts",
    "thread",
    "pattern",
    "condition",
    "set_by_maker",
    "torque",
    "source",
];

/// The columns that a file may lack.
const OPTIONAL: [&str; 11] = [
    "valid_from",
    "language",
    "tools",
    "drawings",
    "bolts",
    "thread",
    "pattern",
    "condition",
    "set_by_maker",
    "torque",
    "source",
];

/// A bill of materials as a file states it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitRecord {
    /// The bill. Options, steps and lines are in order of number.
    pub bom: Bom,
    /// Whether the file says when the bill holds: from a day, or as a draft not yet.
    pub dated: bool,
    /// The line of the file for each line number of the bill.
    pub lines_at: BTreeMap<u32, u64>,
}

/// Returns what tells one revision of a bill from all others: "TARVET revision C".
pub fn key(bom: &Bom) -> String {
    super::revision_key(&bom.code, &bom.revision)
}

/// Returns the bills of a file, each at the line of its `kit` row, in the order of those rows.
///
/// # Errors
///
/// Every fault of the file, in order of line. Checked are also: a line's step, options and values
/// against its own bill, and that a stocked kit leaves nothing open.
pub fn read(bytes: &[u8]) -> Result<Vec<At<KitRecord>>, Vec<Fault>> {
    whole(read_all(bytes, &BTreeSet::new()))
}

/// Returns what could be read of a file, and every fault of the rest in order of line. Lines may
/// call for a kit of the file or for one of the codes `known`.
pub fn read_all(bytes: &[u8], known: &BTreeSet<String>) -> Read<KitRecord> {
    let mut faults = Faults::default();
    let table = Table::parse_with(bytes, &COLUMNS, &OPTIONAL, Further::Refused, &mut faults);
    let revisions = revisions(&table);
    let codes = revisions.keys().chain(known).cloned().collect();
    let mut drafts: BTreeMap<(String, String), Draft> = BTreeMap::new();
    for row in &table.rows {
        let mut fields = Fields::of(&table, row, &mut faults);
        let record = fields.with("record", draft::record);
        if let (Some(record), Some(code)) = (record, fields.text("kit")) {
            let Some(revision) = revision(record, &code, &revisions, &mut fields) else { continue };
            let fresh = || Draft::new(&code, &revision, row.line);
            let draft = drafts.entry((code.clone(), revision.clone())).or_insert_with(fresh);
            draft.take(record, &codes, &mut fields);
        }
    }
    let mut kits: Vec<At<KitRecord>> =
        drafts.into_values().filter_map(|draft| draft.finish(&mut faults)).collect();
    kits.sort_by_key(|kit| kit.line);
    check::makers(&kits, &mut faults);
    faults.beside(kits)
}

/// Returns the revisions that the file's kit rows name, by code; the codes also tell a nested kit
/// from a base part.
fn revisions(table: &Table) -> BTreeMap<String, BTreeSet<String>> {
    let cell = |row: &Row, column: &str| {
        table.place(column).map(|place| row.at(place).to_owned()).unwrap_or_default()
    };
    let mut revisions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for row in table.rows.iter().filter(|row| cell(row, "record") == "kit") {
        revisions.entry(cell(row, "kit")).or_default().insert(cell(row, "revision"));
    }
    revisions
}

/// Returns the revision that a row belongs to, or notes that the row leaves it open.
fn revision(
    record: Record,
    code: &str,
    revisions: &BTreeMap<String, BTreeSet<String>>,
    fields: &mut Fields<'_>,
) -> Option<String> {
    let stated = fields.any("revision")?;
    if record == Record::Kit || !stated.is_empty() {
        return Some(stated);
    }
    let known: Vec<&String> = revisions.get(code).into_iter().flatten().collect();
    match known.as_slice() {
        [] => Some(stated),
        [only] => Some((*only).clone()),
        several => {
            let several: Vec<&str> = several.iter().map(|it| it.as_str()).collect();
            let message = format!(
                "the file has several revisions of {code}: write which one this row is of, {}",
                several.join(" or ")
            );
            fields.fault("revision", message);
            None
        }
    }
}
