//! One revision of a bill as the rows of its file: what a form edits, row by row.

use std::collections::{BTreeMap, BTreeSet};

use super::{At, Bom, Fault, KitRecord, Read, draft, read_all, write};
use crate::exchange::csv::{Text, unguarded};

/// The rows of one revision of a bill, in the order of its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    columns: Vec<String>,
    rows: Vec<SheetRow>,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetRow {
    /// What tells it from the bill's other rows: "line 40", "words 3 de".
    pub id: String,
    /// The text of each column that is filled.
    pub cells: BTreeMap<String, String>,
}

impl SheetRow {
    /// Returns the text of a column; nothing where it is empty.
    pub fn text(&self, column: &str) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }

    /// Returns the number of the row; 0 where it has none.
    pub fn number(&self) -> u32 {
        self.text("number").parse().unwrap_or_default()
    }
}

/// What was read of a bill's rows.
#[derive(Debug, Clone)]
pub struct SheetRead {
    /// The bill, without the rows that can't be read; none where its own row can't be.
    pub record: Option<At<KitRecord>>,
    /// What is wrong, each with the row's id.
    pub faults: Vec<RowFault>,
}

/// What is wrong in a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowFault {
    /// The row's id.
    pub row: String,
    /// The column; empty where the whole row is at fault.
    pub column: String,
    /// What is wrong and how to mend it.
    pub message: String,
}

/// Returns the name of a row among those of its bill, without regard to rows just like it.
pub(in crate::exchange) fn row_name<'a>(cell: impl Fn(&str) -> &'a str) -> String {
    let record = cell("record");
    let parts = match record {
        "kit" => vec![record],
        "key" => vec![record, cell("part")],
        _ => vec![record, cell("number"), cell("language")],
    };
    let parts: Vec<&str> = parts.into_iter().filter(|it| !it.is_empty()).collect();
    parts.join(" ")
}

/// Returns the columns that a row of that record has, besides record, kit and revision; nothing
/// where there is no such record.
pub fn columns_of(record: &str) -> Option<Vec<&'static str>> {
    let columns = draft::record(record).ok()?.columns();
    Some(columns.iter().copied().filter(|it| !["revision", "valid_from"].contains(it)).collect())
}

impl Sheet {
    /// Returns the rows of a bill.
    pub fn of(bom: &Bom) -> Self {
        let text = write([bom]);
        let mut reader = ::csv::ReaderBuilder::new().from_reader(text.as_bytes());
        let heading = reader.headers().cloned().unwrap_or_default();
        let columns: Vec<String> = heading.iter().map(str::to_owned).collect();
        let rows = reader.records().filter_map(Result::ok).map(|row| {
            let filled = columns.iter().zip(&row).filter(|it| !it.1.is_empty());
            filled.map(|(column, text)| (column.clone(), unguarded(text).to_owned())).collect()
        });
        let mut sheet = Self {
            rows: rows.map(|cells| SheetRow { id: String::new(), cells }).collect(),
            columns,
        };
        sheet.name_rows();
        sheet
    }

    /// Gives each row its id; rows of one name are counted.
    fn name_rows(&mut self) {
        let mut counts: BTreeMap<String, u32> = BTreeMap::new();
        for row in &mut self.rows {
            let name = row_name(|column| row.cells.get(column).map_or("", String::as_str));
            let count = counts.entry(name.clone()).or_default();
            *count = count.saturating_add(1);
            row.id = if *count == 1 { name } else { format!("{name} #{count}") };
        }
    }

    /// Returns the rows of a record, in order.
    pub fn rows<'a>(&'a self, record: &'a str) -> impl Iterator<Item = &'a SheetRow> {
        self.rows.iter().filter(move |it| it.text("record") == record)
    }

    /// Returns the row of that id.
    pub fn row(&self, id: &str) -> Option<&SheetRow> {
        self.rows.iter().find(|it| it.id == id)
    }

    /// Returns the first number after all of a record's rows, in steps of `by`.
    pub fn next_number(&self, record: &str, by: u32) -> u32 {
        let last = self.rows(record).map(SheetRow::number).max().unwrap_or_default();
        last.saturating_sub(last % by).saturating_add(by)
    }

    /// Sets a row's cells, in place of the row of the id `old` or as a new one; returns its id. The
    /// cells of the columns that the record does not have are left out.
    pub fn put(
        &mut self,
        old: Option<&str>,
        record: &str,
        cells: &BTreeMap<String, String>,
    ) -> String {
        let head = self.rows.iter().find(|it| it.id == "kit");
        let kept = |column: &str| head.map_or("", |it| it.text(column)).to_owned();
        let mut row: BTreeMap<String, String> = [
            ("record".to_owned(), record.to_owned()),
            ("kit".to_owned(), kept("kit")),
            ("revision".to_owned(), kept("revision")),
        ]
        .into();
        if record == "kit" {
            row.insert("valid_from".to_owned(), kept("valid_from"));
        }
        for column in columns_of(record).unwrap_or_default() {
            let text = cells.get(column).map(|it| it.trim()).unwrap_or_default();
            row.insert(column.to_owned(), text.to_owned());
        }
        row.retain(|_, text| !text.is_empty());
        let place = old.and_then(|old| self.rows.iter().position(|it| it.id == old));
        let place = match place {
            Some(place) => place,
            None => {
                let after = self.rows.iter().rposition(|it| it.text("record") == record);
                after.map_or(self.rows.len(), |it| it.saturating_add(1))
            }
        };
        let fresh = SheetRow { id: String::new(), cells: row };
        match self.rows.get_mut(place).filter(|it| Some(it.id.as_str()) == old) {
            Some(row) => *row = fresh,
            None => self.rows.insert(place, fresh),
        }
        self.name_rows();
        self.rows.get(place).map(|it| it.id.clone()).unwrap_or_default()
    }

    /// Takes a row out, with what speaks of it alone: a step's words, a joint's words and torques.
    pub fn drop_row(&mut self, id: &str) {
        let Some(row) = self.row(id).cloned() else { return };
        let number = row.text("number").to_owned();
        let follows: &[&str] = match row.text("record") {
            "step" => &["words"],
            "joint" => &["joint-words", "torque"],
            _ => &[],
        };
        self.rows.retain(|it| {
            it.id != id && !(follows.contains(&it.text("record")) && it.text("number") == number)
        });
        self.name_rows();
    }

    /// Gives steps other numbers; lines, words and joints of a step follow it.
    pub fn renumber_steps(&mut self, numbers: &BTreeMap<u32, u32>) {
        for row in &mut self.rows {
            let column = match row.text("record") {
                "step" | "words" => "number",
                "line" | "joint" => "step",
                _ => continue,
            };
            if let Some(new) = row.text(column).parse().ok().and_then(|it: u32| numbers.get(&it)) {
                row.cells.insert(column.to_owned(), new.to_string());
            }
        }
        self.in_order();
    }

    /// Lets two rows of one record change places: each gets the other's number. What belongs to a step
    /// follows it.
    pub fn exchange(&mut self, one: &str, other: &str) {
        let Some((a, b)) = self.row(one).zip(self.row(other)) else { return };
        let (a, b) = (a.clone(), b.clone());
        if a.text("record") == "step" {
            self.renumber_steps(&[(a.number(), b.number()), (b.number(), a.number())].into());
            return;
        }
        for row in &mut self.rows {
            let number = match row.id.as_str() {
                id if id == a.id => b.number(),
                id if id == b.id => a.number(),
                _ => continue,
            };
            row.cells.insert("number".to_owned(), number.to_string());
        }
        self.in_order();
    }

    /// Gives lines the numbers 10, 20, 30, in the order of their steps and of their numbers before;
    /// packing material comes last.
    pub fn renumber_lines(&mut self) {
        let step = |row: &SheetRow| match row.text("step").parse::<u32>() {
            Ok(0) | Err(_) => u32::MAX,
            Ok(step) => step,
        };
        let mut ids: Vec<(u32, u32, String)> =
            self.rows("line").map(|it| (step(it), it.number(), it.id.clone())).collect();
        ids.sort();
        for (number, (_, _, id)) in (1_u32..).zip(ids) {
            if let Some(row) = self.rows.iter_mut().find(|it| it.id == id) {
                let number = number.saturating_mul(10).to_string();
                row.cells.insert("number".to_owned(), number);
            }
        }
        self.in_order();
    }

    /// Puts rows of one record in order of number, and names them anew.
    fn in_order(&mut self) {
        let records = ["kit", "option", "step", "line"];
        let place = |row: &SheetRow| {
            let record = row.text("record");
            records.iter().position(|it| *it == record).unwrap_or(records.len())
        };
        self.rows
            .sort_by_key(|it| (place(it), if place(it) < records.len() { it.number() } else { 0 }));
        self.name_rows();
    }

    /// Returns the same rows as those of another revision, as a draft.
    pub fn as_draft(mut self, revision: &str) -> Self {
        for row in &mut self.rows {
            row.cells.insert("revision".to_owned(), revision.to_owned());
            if row.text("record") == "kit" {
                row.cells.insert("valid_from".to_owned(), "draft".to_owned());
            }
        }
        self
    }

    /// Returns the same rows with the day from which they hold.
    pub fn from_day(mut self, day: &str) -> Self {
        for row in self.rows.iter_mut().filter(|it| it.text("record") == "kit") {
            row.cells.insert("valid_from".to_owned(), day.to_owned());
        }
        self
    }

    /// Returns the rows of a bill that is only named as yet.
    pub fn named(code: &str, revision: &str, name: &str, makes: &str) -> Self {
        let text = write(std::iter::empty::<&Bom>());
        let columns = text.trim_end().split(',').map(str::to_owned).collect();
        let cells = [
            ("record", "kit"),
            ("kit", code),
            ("revision", revision),
            ("name", name),
            ("part", makes),
            ("valid_from", "draft"),
        ];
        let cells = cells.into_iter().filter(|it| !it.1.is_empty());
        let cells = cells.map(|(column, text)| (column.to_owned(), text.to_owned())).collect();
        let mut sheet = Self { columns, rows: vec![SheetRow { id: String::new(), cells }] };
        sheet.name_rows();
        sheet
    }

    /// Returns the rows as a file.
    pub fn file(&self) -> String {
        let mut text = Text::with_heading(self.columns.iter().map(String::as_str));
        for row in &self.rows {
            text.row(self.columns.iter().map(|it| row.text(it).to_owned()));
        }
        text.finish()
    }

    /// Returns what the rows say, and each fault with its row. Lines may call for kits of the codes
    /// `known`.
    pub fn read(&self, known: &BTreeSet<String>) -> SheetRead {
        let (records, faults): Read<KitRecord> = read_all(self.file().as_bytes(), known);
        let record = records.into_iter().next();
        SheetRead { record, faults: faults.into_iter().map(|it| self.row_fault(it)).collect() }
    }

    /// Returns a fault of the file as one of its row.
    pub fn row_fault(&self, fault: Fault) -> RowFault {
        // The heading is line 1, and no cell holds a line break.
        let place = usize::try_from(fault.line).ok().and_then(|it| it.checked_sub(2));
        let row = place.and_then(|it| self.rows.get(it));
        RowFault {
            row: row.map_or("kit", |it| it.id.as_str()).to_owned(),
            column: fault.column,
            message: fault.message,
        }
    }

    /// Returns the ids of rows that are not among those of `other`.
    pub fn missing_in<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = &'a str> {
        let ids = self.rows.iter().map(|it| it.id.as_str());
        ids.filter(|id| other.row(id).is_none())
    }
}
