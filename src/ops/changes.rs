//! What a file or a form changed in the shop's records, and who changed what before.

use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};

use crate::domain::kits::Bom;
use crate::error::Error;
use crate::exchange::{FieldChange, Kind, Records, compare};
use crate::store::changes::{self, ChangeRow, NewChange};
use crate::store::{Conn, Tx};

/// The most changes of one record that a page shows.
const MOST_SHOWN: i64 = 50;

/// A field before and after.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct FieldView {
    /// The column's heading, with the row before it where the record has several; empty where the
    /// whole record is new.
    pub field: String,
    /// The text before.
    pub from: String,
    /// The text after.
    pub to: String,
}

impl From<FieldChange> for FieldView {
    fn from(it: FieldChange) -> Self {
        Self { field: it.field, from: it.from, to: it.to }
    }
}

/// A record that is new or changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct RecordChange {
    /// The record's key: a part number, a code.
    pub key: String,
    /// Whether it was not there before.
    pub new: bool,
    /// What differs.
    pub fields: Vec<FieldView>,
}

/// What a file changes, record by record.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Comparison {
    /// The records that are new or changed, in order of key.
    pub changed: Vec<RecordChange>,
    /// How many records of the file the shop holds just so.
    pub unchanged: u64,
    /// The keys of records that the shop has and the file lacks: they are left as they are.
    pub absent: Vec<String>,
}

impl Comparison {
    /// Returns how two states of a kind's records differ in those of the file.
    pub(super) fn of(before: &Records, after: &Records, in_file: &[String]) -> Self {
        let mut it = Self::default();
        for key in after.keys() {
            let here = in_file.iter().any(|it| it == key);
            let fields = if here { compare(before, after, key) } else { Vec::new() };
            match fields.is_empty() {
                true if here => it.unchanged = it.unchanged.saturating_add(1),
                true => it.absent.push(key.to_owned()),
                false => it.changed.push(record_change(before, key, fields)),
            }
        }
        it
    }

    /// Returns how revisions of bills differ before and after.
    pub(super) fn of_bills(before: &[&Bom], after: &[&Bom]) -> Self {
        let records = |boms: &[&Bom]| {
            Records::of(Kind::Kits, &crate::exchange::kits::write(boms.iter().copied()))
        };
        let keys: Vec<String> = after.iter().map(|it| crate::exchange::kits::key(it)).collect();
        Self::of(&records(before), &records(after), &keys)
    }

    /// Returns the sums in words.
    pub fn words(&self) -> String {
        let new = self.changed.iter().filter(|it| it.new).count();
        let changed = self.changed.len().saturating_sub(new);
        format!("{new} new, {changed} changed, {} as before", self.unchanged)
    }
}

fn record_change(before: &Records, key: &str, fields: Vec<FieldChange>) -> RecordChange {
    RecordChange {
        key: key.to_owned(),
        new: !before.has(key),
        fields: fields.into_iter().map(FieldView::from).collect(),
    }
}

/// Returns the change that takes a record away.
pub(super) fn gone(before: &Records, after: &Records, key: &str) -> RecordChange {
    record_change(before, key, compare(before, after, key))
}

/// Writes what changed into the history.
pub(super) fn note(
    tx: &mut Tx<'_>,
    kind: Kind,
    by_file: bool,
    changed: &[RecordChange],
) -> Result<(), Error> {
    let rows: Vec<NewChange<'_>> = changed
        .iter()
        .flat_map(|record| {
            record.fields.iter().map(|it| NewChange {
                record: &record.key,
                field: &it.field,
                from: &it.from,
                to: &it.to,
            })
        })
        .collect();
    Ok(changes::note(tx, kind.as_str(), by_file, &rows)?)
}

/// A change that somebody made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ChangeView {
    /// Its number; a later change has a higher one.
    pub change: i64,
    /// When.
    pub at: NaiveDateTime,
    /// Who; empty for the program itself.
    pub person: String,
    /// The field; empty where the record was new.
    pub field: String,
    /// The text before.
    pub from: String,
    /// The text after.
    pub to: String,
    /// Whether a file brought it.
    pub by_file: bool,
}

/// Loads the changes of a record after the one of that number, the newest first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn since(conn: &mut Conn, kind: Kind, key: &str, after: i64) -> Result<Vec<ChangeView>, Error> {
    let rows = changes::of_record(conn, kind.as_str(), key, after, MOST_SHOWN)?;
    Ok(rows.into_iter().map(change_view).collect())
}

fn change_view(it: ChangeRow) -> ChangeView {
    ChangeView {
        change: it.id,
        at: it.at,
        person: it.person.unwrap_or_default(),
        field: it.field,
        from: it.from,
        to: it.to,
        by_file: it.by_file,
    }
}

/// Returns the version of a record: the number of its newest change, 0 where there is none.
pub(super) fn version(changes: &[ChangeView]) -> i64 {
    changes.first().map_or(0, |it| it.change)
}
