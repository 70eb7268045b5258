//! What a person does to the rows of a draft.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::error::Error;
use crate::exchange::kits::{Sheet, SheetRow};

/// What a person does to a draft.
#[derive(Debug, Clone, Serialize)]
pub enum Change {
    /// Sets a row's cells: that of the id, or a new one.
    Put {
        /// The row's id; none for a new one.
        row: Option<String>,
        /// option, step, line and so on.
        record: String,
        /// The texts by the headings of the kits' file.
        cells: BTreeMap<String, String>,
    },
    /// Takes a row out. The lines and joints of a step go to another one, where one is named.
    Drop {
        /// The row's id.
        row: String,
        /// The step that takes what the step had.
        to: Option<u32>,
    },
    /// Moves an option, a step, or a line within its step by one place.
    Move {
        /// The row's id.
        row: String,
        /// Whether it goes after the next one, rather than before the one before.
        later: bool,
    },
    /// Numbers the lines 10, 20, 30 along the steps.
    Renumber,
}

/// The records that hold words in other languages.
const WORDS: [&str; 2] = ["words", "joint-words"];

impl Change {
    /// Returns the row that it is about; nothing where it is about many.
    pub(super) fn row(&self) -> Option<&str> {
        match self {
            Self::Put { row, record, .. } if record != "step" => row.as_deref(),
            Self::Drop { row, .. } if !row.starts_with("step ") => Some(row),
            _ => None,
        }
    }

    /// Returns whether it can't get in the way of another's change.
    pub(super) fn is_new(&self) -> bool {
        matches!(self, Self::Put { row: None, record, .. } if record != "step")
    }

    /// Returns whether it is about words in another language and nothing else.
    pub(super) fn is_words(&self) -> bool {
        let of_words =
            |row: &str| row.split_once(' ').is_some_and(|(record, _)| WORDS.contains(&record));
        match self {
            Self::Put { row, record, .. } => {
                WORDS.contains(&record.as_str()) && row.as_deref().is_none_or(of_words)
            }
            Self::Drop { row, .. } => of_words(row),
            Self::Move { .. } | Self::Renumber => false,
        }
    }
}

/// Applies a change to the rows; returns the row that was written, and what was done in words.
pub(super) fn apply(sheet: &mut Sheet, change: &Change) -> Result<(Option<String>, String), Error> {
    match change {
        Change::Put { row, record, cells } => {
            if let Some(row) = row.as_deref().filter(|it| sheet.row(it).is_none()) {
                return Err(Error::not_found("row", row));
            }
            if crate::exchange::kits::columns_of(record).is_none() {
                return Err(Error::not_found("kind of row", record.as_str()));
            }
            let old = match record.as_str() {
                "step" => make_room(sheet, row.as_deref(), cells),
                _ => row.clone(),
            };
            let id = sheet.put(old.as_deref(), record, cells);
            let words = format!("{id} is {}", if row.is_some() { "changed" } else { "added" });
            Ok((Some(id), words))
        }
        Change::Drop { row, to } => {
            let found = sheet.row(row).ok_or_else(|| Error::not_found("row", row.as_str()))?;
            if row == "kit" {
                return Err(Error::invalid(
                    "draft.head",
                    "a bill keeps its head: discard the draft instead",
                ));
            }
            let step = (found.text("record") == "step").then(|| found.number());
            sheet.drop_row(row);
            if let (Some(step), Some(to)) = (step, to) {
                sheet.renumber_steps(&[(step, *to)].into());
            }
            Ok((None, format!("{row} is taken out")))
        }
        Change::Move { row, later } => Ok((None, move_row(sheet, row, *later)?)),
        Change::Renumber => {
            sheet.renumber_lines();
            Ok((None, "the lines are numbered anew along the steps".to_owned()))
        }
    }
}

/// Makes a step's number free by moving the others, whose lines follow; returns the row's id then.
fn make_room(
    sheet: &mut Sheet,
    row: Option<&str>,
    cells: &BTreeMap<String, String>,
) -> Option<String> {
    let wanted: Option<u32> = cells.get("number").and_then(|it| it.trim().parse().ok());
    let old = row.and_then(|it| sheet.row(it)).map(SheetRow::number);
    let Some(wanted) = wanted.filter(|it| Some(*it) != old && *it != 0) else {
        return row.map(str::to_owned);
    };
    let taken: BTreeSet<u32> = sheet.rows("step").map(SheetRow::number).collect();
    let mut numbers: BTreeMap<u32, u32> = BTreeMap::new();
    if taken.contains(&wanted) {
        // Without a place of its own, a step pushes those after it up to the first gap.
        let gap = (wanted..).find(|it| !taken.contains(it)).unwrap_or(u32::MAX);
        let end = old.unwrap_or(gap);
        numbers.extend(
            (wanted..end).filter(|it| taken.contains(it)).map(|it| (it, it.saturating_add(1))),
        );
        if old.is_some_and(|old| old < wanted) {
            let between = (end.saturating_add(1)..=wanted).filter(|it| taken.contains(it));
            numbers.extend(between.map(|it| (it, it.saturating_sub(1))));
        }
    }
    numbers.extend(old.map(|old| (old, wanted)));
    sheet.renumber_steps(&numbers);
    old.map(|_| format!("step {wanted}"))
}

/// Moves a row by one place among its kin; returns what was done, in words.
fn move_row(sheet: &mut Sheet, row: &str, later: bool) -> Result<String, Error> {
    let found = sheet.row(row).ok_or_else(|| Error::not_found("row", row))?;
    let (record, step) = (found.text("record").to_owned(), found.text("step").to_owned());
    if !["option", "step", "line"].contains(&record.as_str()) {
        return Err(Error::not_found("row", row));
    }
    let mut kin: Vec<(u32, String)> = sheet
        .rows(&record)
        .filter(|it| record != "line" || it.text("step") == step)
        .map(|it| (it.number(), it.id.clone()))
        .collect();
    kin.sort();
    if later {
        kin.reverse();
    }
    // The one before it in the way that it goes.
    let place = kin.iter().position(|it| it.1 == row);
    let other = place.and_then(|it| it.checked_sub(1)).and_then(|it| kin.get(it));
    let Some((_, other)) = other else {
        let end = if later { "last" } else { "first" };
        let of = if record == "line" { " of its step" } else { "" };
        return Err(Error::invalid("draft.at_the_end", format!("{row} is the {end}{of} already")));
    };
    sheet.exchange(row, other);
    Ok(format!("{row} and {other} have changed places"))
}
