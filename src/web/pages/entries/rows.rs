//! The rows of a form: a part's facts, a chart's pressures, a text's languages.

use std::collections::BTreeMap;

use super::page::{Control, FormField};
use crate::domain::fit::FactName;
use crate::domain::messages::Language;
use crate::ops::exchange::RecordKind;
use crate::web::pages::words::Word;
use crate::web::pages::{Choice, Fields};

/// What the rows of a group hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rows {
    /// There are none.
    None,
    /// A fact each, for the rules of fit.
    Facts,
    /// A pressure each, by the rider's mass.
    Masses,
    /// The words of one language each.
    Languages,
}

/// The most rows that a form is read for.
const MOST: u64 = 200;

/// How many empty rows a form offers.
pub(super) const SPARE: usize = 2;

impl Rows {
    /// Returns the rows of a form: those held, with empty ones to add to them.
    pub(super) fn with_spare(
        self,
        held: &[BTreeMap<String, String>],
        spare: usize,
    ) -> Vec<BTreeMap<String, String>> {
        if self != Self::Languages {
            return held.iter().cloned().chain((0..spare).map(|_| BTreeMap::new())).collect();
        }
        let row = |it: Language| {
            let same = |row: &&BTreeMap<String, String>| text(row, "language") == it.tag();
            let empty = || [("language".to_owned(), it.tag().to_owned())].into();
            held.iter().find(same).cloned().unwrap_or_else(empty)
        };
        languages().map(row).collect()
    }

    /// Returns what a row is called, on the page and in the history.
    pub(super) fn names(self, number: u64, row: &BTreeMap<String, String>) -> (String, String) {
        match self {
            Self::Languages => {
                let tag = text(row, "language");
                (language_name(tag).unwrap_or(tag).to_owned(), tag.to_owned())
            }
            _ => (format!("Row {number}"), format!("row {number}")),
        }
    }

    /// Returns the fields of a row, each with its column.
    pub(super) fn fields(self, row: &BTreeMap<String, String>) -> Vec<(Word, FormField)> {
        let plain =
            |label, hint: &str| FormField { label, hint: hint.to_owned(), ..FormField::default() };
        match self {
            Self::None => Vec::new(),
            Self::Facts => facts(row),
            Self::Masses => vec![
                ("mass_from", plain("Rider from", "")),
                ("mass_to", plain("Up to", "")),
                ("pressure", plain("Pressure", "")),
            ],
            Self::Languages => {
                let label = language_name(text(row, "language")).unwrap_or_default();
                vec![("words", FormField { label, control: Control::Wide, ..FormField::default() })]
            }
        }
    }
}

fn text<'a>(row: &'a BTreeMap<String, String>, column: &str) -> &'a str {
    row.get(column).map_or("", String::as_str)
}

/// Returns the languages that the catalogue has words in besides its own.
fn languages() -> impl Iterator<Item = Language> {
    Language::ALL.into_iter().filter(|it| *it != Language::default())
}

/// Returns the language of that tag as the shop calls it.
pub(super) fn language_name(tag: &str) -> Option<Word> {
    tag.parse().ok().map(Language::english_name)
}

fn facts(row: &BTreeMap<String, String>) -> Vec<(Word, FormField)> {
    let name = FactName::ALL.iter().copied().find(|it| it.word() == text(row, "fact"));
    let choice = |it: &FactName| {
        let unit = if it.unit().is_empty() { String::new() } else { format!(", {}", it.unit()) };
        Choice::new(it.word(), format!("{}{unit}: {}", it.word().replace('_', " "), it.meaning()))
    };
    let none = Choice::new("", "no fact");
    let chosen = FormField {
        label: "Fact",
        control: Control::Select,
        choices: [none].into_iter().chain(FactName::ALL.iter().map(choice)).collect(),
        ..FormField::default()
    };
    let choices: Vec<Choice> = name
        .map(FactName::choices)
        .unwrap_or_default()
        .into_iter()
        .map(|it| Choice::new(it, ""))
        .collect();
    let value = FormField {
        label: "Value",
        unit: name.map_or("", FactName::unit),
        control: if choices.is_empty() { Control::Text } else { Control::Proposed },
        choices,
        ..FormField::default()
    };
    vec![("fact", chosen), ("value", value)]
}

/// Returns what a form sends a column of a row as.
pub(super) fn name(column: &str, number: u64) -> String {
    format!("{column}.{number}")
}

/// Returns whether rows can be added to such a record.
pub(super) const fn can_grow(kind: RecordKind) -> bool {
    matches!(kind, RecordKind::Part | RecordKind::AirChart)
}

/// The rows of a form, each with its texts by column.
pub(super) type Typed = Vec<BTreeMap<String, String>>;

/// Returns the rows that a form holds, in order; nothing where it has none.
pub(super) fn typed(kind: RecordKind, form: &Fields) -> Option<Typed> {
    let columns = kind.row_columns();
    let there = |number: &u64| columns.iter().any(|it| form.has(&name(it, *number)));
    let row = |number: u64| -> BTreeMap<String, String> {
        let cell = |it: &&str| ((*it).to_owned(), form.text(&name(it, number)).to_owned());
        columns.iter().map(cell).collect()
    };
    let mut rows: Typed = (1..=MOST).take_while(there).map(row).collect();
    if kind == RecordKind::Word {
        for (row, language) in rows.iter_mut().zip(languages()) {
            row.insert("language".to_owned(), language.tag().to_owned());
        }
    }
    Some(rows).filter(|it| !it.is_empty())
}
