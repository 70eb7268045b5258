//! A form with its values, its faults, and what others have made of the record meanwhile.

use super::page::{Control, FormField, Group};
use super::rows::{self, Rows};
use super::shape;
use crate::exchange::Fault;
use crate::ops::catalog::{EntryView, Proposals, fact_rows};
use crate::ops::changes::ChangeView;
use crate::ops::exchange::RecordKind;
use crate::web::pages::Choice;

/// What a form shows beside its fields' values.
pub(super) struct Notes {
    pub(super) faults: Vec<Fault>,
    /// What others have changed since the form was loaded, the newest first.
    pub(super) meanwhile: Vec<ChangeView>,
    /// How many empty rows are offered.
    pub(super) spare: usize,
}

impl Default for Notes {
    fn default() -> Self {
        Self { faults: Vec::new(), meanwhile: Vec::new(), spare: rows::SPARE }
    }
}

/// Returns the groups of a form, filled; the key's fields are `fixed` where the record is there.
pub(super) fn groups(
    kind: RecordKind,
    fixed: bool,
    view: &mut EntryView,
    known: &Proposals,
    notes: &Notes,
) -> Vec<Group> {
    let facts = others_facts(kind, view, notes);
    let view = &*view;
    let key = kind.of_key("");
    let one = |mut field: FormField| {
        if fixed && key.contains_key(field.name.as_str()) {
            field.control = Control::Fixed;
            let number = view.fields.get(&field.name);
            let named = known.numbers.iter().find(|it| Some(&it.0) == number);
            field.hint = named.map(|it| it.1.clone()).unwrap_or_default();
        }
        let text = view.fields.get(&field.name).cloned().unwrap_or_default();
        let column = field.name.clone();
        fill(field, text, &column, notes, |it| it.column == column)
    };
    let group = |(it, fields): (&'static shape::GroupShape, Vec<FormField>)| Group {
        heading: it.heading,
        hint: it.hint,
        meanwhile: match it.rows {
            Rows::None | Rows::Languages => String::new(),
            Rows::Facts => facts.clone(),
            Rows::Masses => others_rows(notes),
        },
        rows: filled_rows(it.rows, view, notes),
        fields: fields.into_iter().map(one).collect(),
    };
    shape::groups(kind, known).map(group).collect()
}

/// Returns the rows of a form, filled, each with what it is called.
fn filled_rows(of: Rows, view: &EntryView, notes: &Notes) -> Vec<(String, Vec<FormField>)> {
    if of == Rows::None {
        return Vec::new();
    }
    let rows = of.with_spare(&view.rows, notes.spare);
    let filled = (1_u64..).zip(rows).map(|(number, row)| {
        let (title, of_change) = of.names(number, &row);
        let fields = of.fields(&row).into_iter().map(|(column, field)| {
            let field = FormField { name: rows::name(column, number), ..field };
            let text = row.get(column).cloned().unwrap_or_default();
            let change = format!("{of_change} {column}");
            fill(field, text, &change, notes, |it| it.column == column && it.line == number)
        });
        (title, fields.collect())
    });
    filled.collect()
}

/// Returns a field with its value, and what is to be said of it: its faults, and what others have
/// made meanwhile of what the history calls `change`.
fn fill(
    mut field: FormField,
    text: String,
    change: &str,
    notes: &Notes,
    is_here: impl Fn(&&Fault) -> bool,
) -> FormField {
    field.value = text;
    let mut messages: Vec<&str> =
        notes.faults.iter().filter(is_here).map(|it| it.message.as_str()).collect();
    messages.dedup();
    field.fault = messages.join("; ");
    let mut of_field = notes.meanwhile.iter().filter(|it| it.field == change);
    if let Some(newest) = of_field.next() {
        let first = of_field.next_back().unwrap_or(newest);
        // Whoever left the field as it was takes over what it has become.
        if field.value == first.from {
            field.value.clone_from(&newest.to);
            field.meanwhile =
                format!("{}; you had left it, so it stands here now.", made(newest, first));
        } else if field.value != newest.to {
            field.meanwhile = kept(newest, first);
        }
    }
    for choice in &mut field.choices {
        choice.chosen = choice.value == field.value;
    }
    let missing = !field.value.is_empty() && field.choices.iter().all(|it| !it.chosen);
    if field.control == Control::Select && missing {
        let value = field.value.clone();
        field.choices.push(Choice::new(value.clone(), value).chosen());
    }
    field
}

fn who(change: &ChangeView) -> &str {
    if change.person.is_empty() { "the program" } else { &change.person }
}

fn made(newest: &ChangeView, first: &ChangeView) -> String {
    format!("{} has made “{}” of “{}” meanwhile", who(newest), newest.to, first.from)
}

fn kept(newest: &ChangeView, first: &ChangeView) -> String {
    format!("{}; what you typed is kept here. Save it, or write theirs.", made(newest, first))
}

/// Returns what others have made of a part's facts, which are one text to the history. Whoever left
/// them as they were takes over what they have become.
fn others_facts(kind: RecordKind, view: &mut EntryView, notes: &Notes) -> String {
    let mut of_facts = notes.meanwhile.iter().filter(|it| it.field == "facts");
    let Some(newest) = of_facts.next().filter(|_| kind == RecordKind::Part) else {
        return String::new();
    };
    let first = of_facts.next_back().unwrap_or(newest);
    let stated = |row: &std::collections::BTreeMap<String, String>| {
        let value = row.get("value").filter(|it| !it.is_empty())?;
        Some(format!("{}={value}", row.get("fact").map_or("", String::as_str)))
    };
    let typed = view.rows.iter().filter_map(stated).collect::<Vec<_>>().join("; ");
    if typed == first.from {
        view.rows = fact_rows(&newest.to);
        format!("{}; you had left them, so they stand here now.", made(newest, first))
    } else if typed == newest.to {
        String::new()
    } else {
        kept(newest, first)
    }
}

/// Returns which whole rows others have added or taken out.
fn others_rows(notes: &Notes) -> String {
    let whole = |it: &&ChangeView| it.field.starts_with("row ") && it.field.split(' ').count() == 2;
    let said = notes.meanwhile.iter().filter(whole).map(|it| match it.to.as_str() {
        "" => format!("{} has taken {} out meanwhile: {}", who(it), it.field, it.from),
        to => format!("{} has added {} meanwhile: {to}", who(it), it.field),
    });
    said.collect::<Vec<_>>().join("; ")
}
