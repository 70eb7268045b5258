use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;

/// One thing that is wrong in a file: where, what, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The line of the file, from 1; the heading is line 1.
    pub line: u64,
    /// The column's heading; empty where the whole line is at fault.
    pub column: String,
    /// What is wrong and how to mend it.
    pub message: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}", self.line)?;
        if !self.column.is_empty() {
            write!(f, ", column {}", self.column)?;
        }
        write!(f, ": {}", self.message)
    }
}

/// A value with the line of the file that it was read from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct At<T> {
    /// The line of the file, from 1.
    pub line: u64,
    /// What was read there.
    pub value: T,
}

/// One row of a record that a form holds: its number there, and the texts by column.
pub type EntryRow = (u64, BTreeMap<String, String>);

/// What could be read of a file, and the faults of the rest.
pub type Read<T> = (Vec<At<T>>, Vec<Fault>);

/// Returns a file's records, or its faults where it has any.
pub(super) fn whole<T>((values, faults): Read<T>) -> Result<Vec<At<T>>, Vec<Fault>> {
    if faults.is_empty() { Ok(values) } else { Err(faults) }
}

/// The faults of one file, as they are found.
#[derive(Debug, Default)]
pub(super) struct Faults(Vec<Fault>);

impl Faults {
    pub(super) fn add(&mut self, line: u64, column: &str, message: impl Into<String>) {
        self.0.push(Fault { line, column: column.to_owned(), message: message.into() });
    }

    /// Returns what was read beside the faults, these sorted by line and each told once.
    pub(super) fn beside<T>(mut self, values: Vec<At<T>>) -> Read<T> {
        self.0.sort();
        self.0.dedup();
        (values, self.0)
    }
}

/// A file taken apart into cells, with the heading checked.
pub(super) struct Table {
    /// Where each column that the kind knows stands.
    places: BTreeMap<&'static str, usize>,
    /// The further columns, for a kind that takes them: heading and place.
    pub(super) further: Vec<(String, usize)>,
    pub(super) rows: Vec<Row>,
}

/// One line of a file.
pub(super) struct Row {
    pub(super) line: u64,
    cells: Vec<String>,
}

impl Row {
    /// Returns the trimmed text at a place of the heading.
    pub(super) fn at(&self, place: usize) -> &str {
        self.cells.get(place).map_or("", String::as_str)
    }
}

/// Whether a file may hold columns that its kind does not name.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Further {
    Refused,
    Taken,
}

impl Table {
    /// Takes a file apart. Rows that do not match the heading are reported and left out.
    ///
    /// A byte-order mark is dropped. Cells may be parted by commas or by semicolons, which some
    /// spreadsheets write instead; the heading shows which. Rows without any text are passed over.
    pub(super) fn parse(
        bytes: &[u8],
        columns: &[&'static str],
        further: Further,
        faults: &mut Faults,
    ) -> Self {
        Self::parse_with(bytes, columns, &[], further, faults)
    }

    /// Takes a file apart as [`Self::parse`] does; it may lack the columns named in `optional`.
    pub(super) fn parse_with(
        bytes: &[u8],
        columns: &[&'static str],
        optional: &[&'static str],
        further: Further,
        faults: &mut Faults,
    ) -> Self {
        let mut table = Self { places: BTreeMap::new(), further: Vec::new(), rows: Vec::new() };
        let Some(text) = decode(bytes, faults) else { return table };
        let mut lines = ::csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .trim(::csv::Trim::All)
            .delimiter(delimiter(&text))
            .from_reader(text.as_bytes());
        let mut records = lines.records().filter_map(Result::ok);
        let Some(heading) = records.next() else {
            let wanted = columns.join(",");
            faults.add(1, "", format!("the file is empty: its first line should be {wanted}"));
            return table;
        };
        let line = line_of(&heading, &text);
        table.take_heading(&heading, line, columns, further, faults);
        let missing = |it: &&&str| !optional.contains(*it) && table.place(it).is_none();
        for missing in columns.iter().filter(missing) {
            faults.add(line, missing, "this column is missing: add it to the first line");
        }
        for record in records {
            table.take_row(&record, line_of(&record, &text), heading.len(), faults);
        }
        table
    }

    /// Returns one record as a table of one line, from the text of each column.
    pub(super) fn entry(columns: &[&'static str], cell: impl Fn(&str) -> String) -> Self {
        Self {
            places: columns.iter().copied().zip(0..).collect(),
            further: Vec::new(),
            rows: vec![Row {
                line: 1,
                cells: columns.iter().map(|it| cell(it).trim().to_owned()).collect(),
            }],
        }
    }

    /// Returns one record of several rows as a table: each row at its own number, with the text of each
    /// column.
    pub(super) fn entry_rows(columns: &[&'static str], rows: &[EntryRow]) -> Self {
        let cells = |it: &EntryRow| {
            let text = |column: &&str| it.1.get(*column).map(|it| it.trim().to_owned());
            columns.iter().map(|column| text(column).unwrap_or_default()).collect()
        };
        Self {
            places: columns.iter().copied().zip(0..).collect(),
            further: Vec::new(),
            rows: rows.iter().map(|it| Row { line: it.0, cells: cells(it) }).collect(),
        }
    }

    fn take_heading(
        &mut self,
        heading: &::csv::StringRecord,
        line: u64,
        columns: &[&'static str],
        further: Further,
        faults: &mut Faults,
    ) {
        for (place, name) in heading.iter().enumerate() {
            let name = unguarded(name.trim());
            let known = columns.iter().find(|it| it.eq_ignore_ascii_case(name));
            let twice = match known {
                Some(column) => self.places.insert(column, place).is_some(),
                None => self.further.iter().any(|(it, _)| it == name),
            };
            if name.is_empty() {
                let message = format!("column {} has no name: name it or remove it", place + 1);
                faults.add(line, "", message);
            } else if twice {
                faults.add(line, name, "this column is there twice: remove one of them");
            } else if known.is_none() && further == Further::Refused {
                let message = format!("unknown column: the columns are {}", columns.join(", "));
                faults.add(line, name, message);
            } else if known.is_none() {
                self.further.push((name.to_owned(), place));
            }
        }
    }

    fn take_row(
        &mut self,
        record: &::csv::StringRecord,
        line: u64,
        width: usize,
        faults: &mut Faults,
    ) {
        let cells: Vec<String> =
            record.iter().map(|cell| unguarded(cell.trim()).to_owned()).collect();
        if cells.iter().all(String::is_empty) {
            return;
        }
        if cells.len() == width {
            self.rows.push(Row { line, cells });
            return;
        }
        let message = format!(
            "this line has {} fields, and the first line has {width}: put quotes around a text \
             that holds the separator, and write a separator for each empty field",
            cells.len()
        );
        faults.add(line, "", message);
    }

    /// Returns the place of a column, or nothing where the heading lacks it.
    pub(super) fn place(&self, column: &str) -> Option<usize> {
        self.places.get(column).copied()
    }
}

/// Returns the line that a record begins on.
///
/// The position that the record carries lies before any empty lines that were passed over.
fn line_of(record: &::csv::StringRecord, text: &str) -> u64 {
    let Some(position) = record.position() else { return 1 };
    let start = usize::try_from(position.byte()).unwrap_or(usize::MAX);
    let rest = text.as_bytes().get(start..).unwrap_or_default();
    let ends = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    ends.filter(|byte| **byte == b'\n').fold(position.line(), |line, _| line + 1)
}

/// Returns the file's text; bytes that are not UTF-8 are reported by line and replaced. Nothing
/// comes back from a file in another encoding altogether.
fn decode<'a>(bytes: &'a [u8], faults: &mut Faults) -> Option<Cow<'a, str>> {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        faults.add(1, "", "the file is in UTF-16: save it again as CSV in UTF-8");
        return None;
    }
    let bytes = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(bytes);
    for (line, part) in (1..).zip(bytes.split(|byte| *byte == b'\n')) {
        if let Err(error) = std::str::from_utf8(part) {
            let place = error.valid_up_to() + 1;
            let message = format!(
                "the line is not UTF-8 from byte {place} on: save the file again as CSV in UTF-8"
            );
            faults.add(line, "", message);
        }
    }
    Some(String::from_utf8_lossy(bytes))
}

/// Returns the separator that the first line with text uses outside of quotes.
fn delimiter(text: &str) -> u8 {
    let heading = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("");
    let bare: String = heading.split('"').step_by(2).collect();
    let count = |wanted: char| bare.chars().filter(|it| *it == wanted).count();
    if count(',') < count(';') { b';' } else { b',' }
}

/// Signs at the start of a cell that make a spreadsheet take it for a formula; the wide ones do so
/// where the spreadsheet runs in Japanese.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];

/// Returns whether a cell is written with an apostrophe before it: a spreadsheet would take it for
/// a formula, or reading would take its own apostrophe away.
///
/// # Source
///
/// OWASP, "CSV Injection": an apostrophe before the cell keeps a spreadsheet from running it.
fn needs_guard(cell: &str) -> bool {
    let bare = cell.trim_start_matches('\'');
    bare.starts_with(FORMULA)
}

/// Returns a cell as it was before [`needs_guard`] had an apostrophe put before it.
pub(super) fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|rest| needs_guard(rest)).unwrap_or(cell)
}

/// The text of a file, row by row.
pub(super) struct Text(String);

impl Text {
    /// Starts a file with its heading.
    pub(super) fn with_heading<'a>(columns: impl IntoIterator<Item = &'a str>) -> Self {
        let mut text = Self(String::new());
        text.row(columns.into_iter().map(str::to_owned));
        text
    }

    /// Adds a row, with quotes where a cell needs them.
    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        for (at, cell) in cells.into_iter().enumerate() {
            if at != 0 {
                self.0.push(',');
            }
            let guard = if needs_guard(&cell) { "'" } else { "" };
            if cell.contains([',', ';', '"', '\n', '\r']) {
                self.0.push('"');
                self.0.push_str(guard);
                self.0.push_str(&cell.replace('"', "\"\""));
                self.0.push('"');
            } else {
                self.0.push_str(guard);
                self.0.push_str(&cell);
            }
        }
        self.0.push('\n');
    }

    /// Returns the whole file.
    pub(super) fn finish(self) -> String {
        self.0
    }
}
