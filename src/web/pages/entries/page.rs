use askama::Template;

use super::shape;
use crate::ops::changes::ChangeView;
use crate::ops::exchange::RecordKind;
use crate::web::pages::words::{Moment, Word};
use crate::web::pages::{Choice, Frame};

/// The page that makes or changes a record.
#[derive(Debug, Template)]
#[template(path = "parts/form.html")]
pub struct EntryPage {
    /// The page around it.
    pub frame: Frame,
    /// Where the form is posted.
    pub action: String,
    /// Where it leads back to.
    pub back: Choice,
    /// What is made or changed, in words.
    pub title: String,
    /// The record's key; empty where it is new.
    pub key: String,
    /// The number of the newest change that the form knows of.
    pub version: i64,
    /// The fields, in groups with a heading each.
    pub groups: Vec<Group>,
    /// Each family of part numbers with its next free one, for a new part.
    pub free: Vec<(String, String)>,
    /// Whether the form has rows that can be added to.
    pub can_grow: bool,
    /// What taking the record away does, in words; empty where it can't go.
    pub can_go: Word,
    /// Who changed what before.
    pub changes: Vec<ChangeRow>,
}

impl EntryPage {
    /// Returns where the form is posted that takes the record out.
    pub fn remove_action(&self) -> String {
        let form = self.action.strip_suffix("/edit").unwrap_or(&self.action);
        format!("{form}/remove")
    }
}

/// Fields under one heading.
#[derive(Debug, Default)]
pub struct Group {
    /// The heading.
    pub heading: Word,
    /// How they are filled in, in words; empty where the fields say it.
    pub hint: Word,
    /// What somebody else has made of its rows meanwhile; empty where nobody has.
    pub meanwhile: String,
    /// Its rows, each with what it is called.
    pub rows: Vec<(String, Vec<FormField>)>,
    /// Its other fields.
    pub fields: Vec<FormField>,
}

/// One field of a form.
#[derive(Debug, Default)]
pub struct FormField {
    /// What the form sends it as: the column's heading, in a row with the row's number behind it.
    pub name: String,
    /// What a person reads.
    pub label: Word,
    /// How it is written.
    pub hint: String,
    /// The unit that a bare number is in; empty where it has none.
    pub unit: Word,
    /// How it is entered.
    pub control: Control,
    /// What it holds.
    pub value: String,
    /// What can be chosen or is proposed.
    pub choices: Vec<Choice>,
    /// What is wrong with it; empty where nothing is.
    pub fault: String,
    /// What somebody else has made of it meanwhile; empty where nobody has.
    pub meanwhile: String,
}

/// How a field is entered.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Control {
    /// As text.
    #[default]
    Text,
    /// As text that must be there.
    Needed,
    /// As text that takes a whole line.
    Wide,
    /// As one of a list.
    Select,
    /// As text, with proposals.
    Proposed,
    /// As text with proposals that takes a whole line.
    ProposedWide,
    /// As a day.
    Day,
    /// Not at all: it is the record's key.
    Fixed,
}

impl Control {
    /// Returns whether the field takes a whole line.
    pub const fn is_wide(self) -> bool {
        matches!(self, Self::Wide | Self::ProposedWide)
    }

    /// Returns whether the field can't be changed.
    pub const fn is_fixed(self) -> bool {
        matches!(self, Self::Fixed)
    }

    /// Returns whether the field is chosen from a list.
    pub const fn is_select(self) -> bool {
        matches!(self, Self::Select)
    }

    /// Returns whether the field is a day.
    pub const fn is_day(self) -> bool {
        matches!(self, Self::Day)
    }
}

/// A change of a record, as its page shows it.
#[derive(Debug)]
pub struct ChangeRow {
    /// When.
    pub at: Moment,
    /// Who, and by which way.
    pub by: String,
    /// The field in words; empty where the record was new, or is gone.
    pub field: String,
    /// The text before.
    pub from: String,
    /// The text after.
    pub to: String,
}

impl ChangeRow {
    /// Returns the field in words, or what came of the whole record.
    pub fn what(&self) -> &str {
        match (self.field.as_str(), self.to.as_str()) {
            ("", "") => "taken out",
            ("", _) => "made",
            (field, _) => field,
        }
    }
}

/// Returns changes as a page shows them.
pub(in crate::web::pages) fn change_rows(
    kind: RecordKind,
    changes: Vec<ChangeView>,
) -> Vec<ChangeRow> {
    let row = |it: ChangeView| {
        let person = if it.person.is_empty() { "the program".to_owned() } else { it.person };
        ChangeRow {
            at: Moment(it.at),
            by: if it.by_file { format!("{person}, by a file") } else { person },
            field: shape::label(kind, &it.field),
            from: it.from,
            to: it.to,
        }
    };
    changes.into_iter().map(row).collect()
}

/// The page that lists suppliers, bins, air charts, words or rules.
#[derive(Debug, Template)]
#[template(path = "parts/records.html")]
pub struct RecordsPage {
    /// The page around it.
    pub frame: Frame,
    /// Where the page leads back to.
    pub up: Choice,
    /// What the page lists.
    pub title: Word,
    /// What such records are for, in words; empty where the title says it.
    pub lead: Word,
    /// Where the list stands.
    pub href: Word,
    /// What one more is called.
    pub one: Word,
    /// Whether the person may change them.
    pub may_edit: bool,
    /// What was searched for.
    pub query: String,
    /// Whether the keys are codes, rather than words.
    pub coded: bool,
    /// The columns' headings.
    pub headings: Vec<Word>,
    /// The records.
    pub rows: Vec<RecordRow>,
    /// How many more there are than the page lists.
    pub more: usize,
    /// How many translations are missing, where the page is that of the glossary.
    pub missing: Option<usize>,
}

/// A record in a list.
#[derive(Debug)]
pub struct RecordRow {
    /// Its key.
    pub key: String,
    /// Its cells, in the order of the headings.
    pub cells: Vec<String>,
}
