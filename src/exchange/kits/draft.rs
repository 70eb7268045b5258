use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::guide::{GuideDraft, GuideRecord, aids};
use super::{At, COLUMNS, Faults, Fields, KitRecord, check};
use crate::domain::catalog::CatalogError;
use crate::domain::codes::PartNumber;
use crate::domain::kits::text::{choices, conditions, item, values};
use crate::domain::kits::{Bom, BomLine, OptionDef, Step};
use crate::exchange::fields;

/// What a row of the file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Record {
    Kit,
    Option,
    Step,
    Line,
    Guide(GuideRecord),
}

/// Reads the word that says what a row is.
pub(super) fn record(text: &str) -> Result<Record, CatalogError> {
    match text {
        "kit" => Ok(Record::Kit),
        "option" => Ok(Record::Option),
        "step" => Ok(Record::Step),
        "line" => Ok(Record::Line),
        other => GuideRecord::of(other).map(Record::Guide).ok_or_else(|| {
            let (kind, allowed) =
                ("record", "kit, option, step, line, words, joint, joint-words, torque, key");
            CatalogError::Word { text: other.to_owned(), kind, allowed }
        }),
    }
}

impl Record {
    /// Returns the columns that such a row uses, besides record and kit.
    pub(super) const fn columns(self) -> &'static [&'static str] {
        match self {
            Self::Kit => &["name", "part", "revision", "valid_from"],
            Self::Option => &["number", "name", "revision", "values"],
            Self::Step => &["number", "name", "revision", "check", "caution", "tools", "drawings"],
            Self::Line => {
                &["number", "part", "revision", "step", "choose", "when", "quantity", "carton"]
            }
            Self::Guide(it) => it.columns(),
        }
    }
}

/// The `kit` row of a bill.
struct Head {
    name: String,
    makes: Option<PartNumber>,
    valid_from: Option<ValidFrom>,
}

/// One bill while its rows are read; each map is by number, with the line of the file.
pub(super) struct Draft {
    code: String,
    revision: String,
    first: u64,
    head: Option<(u64, Option<Head>)>,
    options: BTreeMap<u32, (u64, OptionDef)>,
    steps: BTreeMap<u32, (u64, Step)>,
    lines: BTreeMap<u32, (u64, BomLine)>,
    guide: GuideDraft,
    /// Whether a row was at fault, so that what seems to be absent may only be unread.
    torn: bool,
}

impl Draft {
    pub(super) fn new(code: &str, revision: &str, first: u64) -> Self {
        Self {
            code: code.to_owned(),
            revision: revision.to_owned(),
            first,
            head: None,
            options: BTreeMap::new(),
            steps: BTreeMap::new(),
            lines: BTreeMap::new(),
            guide: GuideDraft::default(),
            torn: false,
        }
    }

    /// Takes one row into the bill.
    pub(super) fn take(
        &mut self,
        record: Record,
        codes: &BTreeSet<String>,
        fields: &mut Fields<'_>,
    ) {
        fields.leave_empty(&COLUMNS, record.columns());
        let line = fields.line();
        let taken =
            match record {
                Record::Kit => self.take_head(fields),
                Record::Option => option(fields)
                    .map(|(number, it)| put(&mut self.options, number, it, fields, line)),
                Record::Step => {
                    let aids = aids(fields);
                    step(fields).zip(aids).map(|(it, aids)| {
                        self.guide.add_aids(it.number, aids);
                        put(&mut self.steps, it.number, it, fields, line);
                    })
                }
                Record::Line => bom_line(fields, codes)
                    .map(|it| put(&mut self.lines, it.number, it, fields, line)),
                Record::Guide(record) => self.guide.take(record, fields),
            };
        self.torn |= taken.is_none();
    }

    fn take_head(&mut self, fields: &mut Fields<'_>) -> Option<()> {
        if let Some((line, _)) = self.head {
            fields.fault("kit", format!("line {line} is the kit row already: keep one of the two"));
            return None;
        }
        let head = head(fields);
        let whole = head.is_some();
        self.head = Some((fields.line(), head));
        whole.then_some(())
    }

    /// Returns the bill, or nothing where its `kit` row is at fault.
    pub(super) fn finish(self, faults: &mut Faults) -> Option<At<KitRecord>> {
        let Some((line, head)) = self.head else {
            let of = match self.revision.as_str() {
                "" => String::new(),
                revision => format!(" of revision {revision}"),
            };
            let message =
                format!("the kit '{}' has no kit row{of}: add one with its name", self.code);
            faults.add(self.first, "kit", message);
            return None;
        };
        let Head { name, makes, valid_from } = head?;
        let steps: BTreeSet<u32> = self.steps.keys().copied().collect();
        let guide = self.guide.finish(&self.code, &steps, !self.torn, faults);
        let lines_at = self.lines.iter().map(|(number, (line, _))| (*number, *line)).collect();
        let bom = Bom {
            code: self.code,
            revision: self.revision,
            valid_from: match valid_from {
                Some(ValidFrom::Day(day)) => Some(day),
                Some(ValidFrom::Draft) | None => None,
            },
            name,
            makes,
            options: self.options.into_values().map(|(_, it)| it).collect(),
            steps: self.steps.into_values().map(|(_, it)| it).collect(),
            lines: self.lines.into_values().map(|(_, it)| it).collect(),
            guide,
        };
        let kit = At { line, value: KitRecord { bom, dated: valid_from.is_some(), lines_at } };
        if !self.torn {
            check::kit(&kit, faults);
        }
        Some(kit)
    }
}

/// Puts a numbered row in, or notes that its number is taken.
fn put<T>(
    rows: &mut BTreeMap<u32, (u64, T)>,
    number: u32,
    row: T,
    fields: &mut Fields<'_>,
    line: u64,
) {
    match rows.get(&number) {
        Some((earlier, _)) => fields.fault(
            "number",
            format!("the number {number} is on line {earlier} of the file already: take another"),
        ),
        None => {
            rows.insert(number, (line, row));
        }
    }
}

fn head(fields: &mut Fields<'_>) -> Option<Head> {
    let name = fields.text("name");
    let revision = fields.text("revision");
    let makes = fields.maybe_parse("part");
    let valid_from = fields.optional_with("valid_from", valid_from);
    revision?;
    Some(Head { name: name?, makes: makes?, valid_from: valid_from? })
}

/// What a `kit` row says of when its revision holds.
#[derive(Debug, Clone, Copy)]
enum ValidFrom {
    Draft,
    Day(NaiveDate),
}

fn valid_from(text: &str) -> Result<ValidFrom, String> {
    if text == "draft" {
        return Ok(ValidFrom::Draft);
    }
    let day = fields::day(text).map(ValidFrom::Day);
    day.map_err(|fault| format!("{fault}, or draft for a revision that nobody is to use yet"))
}

fn option(fields: &mut Fields<'_>) -> Option<(u32, OptionDef)> {
    let number = fields.with("number", positive);
    let name = fields.text("name");
    let values = fields.with("values", values);
    Some((number?, OptionDef { name: name?, values: values? }))
}

fn step(fields: &mut Fields<'_>) -> Option<Step> {
    let number = fields.with("number", positive);
    let title = fields.text("name");
    let check = fields.any("check");
    let caution = fields.any("caution");
    Some(Step { number: number?, title: title?, check: check?, caution: caution? })
}

fn bom_line(fields: &mut Fields<'_>, codes: &BTreeSet<String>) -> Option<BomLine> {
    let number = fields.with("number", positive);
    let step = fields.maybe_with("step", fields::whole);
    let item = fields.with("part", |text| item(text, codes));
    let choose = fields.maybe_with("choose", choices);
    let when = fields.maybe_with("when", conditions);
    let quantity = fields.pieces("quantity");
    let carton = fields.maybe_with("carton", fields::whole);
    Some(BomLine {
        number: number?,
        step: step?.unwrap_or(0),
        item: item?,
        choose: choose?.unwrap_or_default(),
        when: when?.unwrap_or_default(),
        quantity: quantity?,
        carton: carton?.unwrap_or(0),
    })
}

pub(super) fn positive(text: &str) -> Result<u32, String> {
    match fields::whole(text)? {
        0 => Err("numbers start at 1".to_owned()),
        number => Ok(number),
    }
}
