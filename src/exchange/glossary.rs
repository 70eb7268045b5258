//! Glossary: `text,language,words`.
//!
//! What a part, variant, option or value of the catalogue is called in another language. A variant
//! of several words may be put together from the rows of its words.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{Fields, Seen};
use super::{At, EntryRow, Fault, Read};
use crate::domain::messages::Language;

const COLUMNS: [&str; 3] = ["text", "language", "words"];

/// The column that is alike in all rows of a text.
pub const HEAD: [&str; 1] = ["text"];

/// The columns of one row of a text.
pub const ROW: [&str; 2] = ["language", "words"];

/// One entry of the glossary.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GlossaryRecord {
    /// The words of the catalogue.
    pub text: String,
    /// The other language.
    pub language: Language,
    /// What they are called in it.
    pub words: String,
}

/// Returns the entries of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<GlossaryRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<GlossaryRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns what one text is called, row by row, or what is wrong in it, each fault at its row.
pub fn read_entry(rows_of_text: &[EntryRow]) -> Read<GlossaryRecord> {
    rows(&Table::entry_rows(&COLUMNS, rows_of_text), Faults::default())
}

fn rows(table: &Table, mut faults: Faults) -> Read<GlossaryRecord> {
    let (mut entries, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        entries.extend(entry(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(entries)
}

fn entry(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<GlossaryRecord> {
    let text = fields.text("text");
    let language: Option<Language> = fields.parse("language");
    if language == Some(Language::default()) {
        fields.fault("language", "the catalogue itself is in en: write de or fr");
        return None;
    }
    let key = text.as_ref().zip(language).map(|(text, language)| format!("{text} ({language})"));
    fields.once(seen, "text", key);
    let words = fields.text("words");
    Some(GlossaryRecord { text: text?, language: language?, words: words? })
}

/// Returns a file of the entries, which reads back as the same.
pub fn write<'a>(entries: impl IntoIterator<Item = &'a GlossaryRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in entries {
        text.row([it.text.clone(), it.language.to_string(), it.words.clone()]);
    }
    text.finish()
}
