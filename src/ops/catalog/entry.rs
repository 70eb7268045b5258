//! Suppliers, bins and parts as people enter and change them, one at a time.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::domain::codes::PartNumber;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::Records;
use crate::ops::changes::{self, ChangeView, Comparison};
use crate::ops::exchange::{RecordKind, export, export_one, take_entry};
use crate::ops::once::{RequestKey, once};
use crate::ops::people;
use crate::store::{Conn, Tx, catalog};

/// What an entry takes for granted about the record that it changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Expected {
    /// That there is none of its key yet.
    New,
    /// That it is there, and that its newest change has that number.
    Version(i64),
    /// Nothing: what is there is changed, and what is not is made.
    Any,
}

/// What somebody entered.
#[derive(Debug, Clone, Serialize)]
pub struct Entry {
    /// The record's key; unused where it is to be new, since it is then one of the fields.
    pub key: String,
    /// What is taken for granted.
    pub expected: Expected,
    /// The texts by the headings of the kind's file. A field that is left out stays as it is.
    pub fields: BTreeMap<String, String>,
}

/// What came of an entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Entered {
    /// The record's key.
    pub key: String,
    /// Whether it was not there before.
    pub new: bool,
    /// What came of it, in words.
    pub words: String,
}

/// A record as a form shows it.
#[derive(Debug, Clone)]
pub struct EntryView {
    /// The texts by the headings of the kind's file.
    pub fields: BTreeMap<String, String>,
    /// The number of its newest change, which a form sends back.
    pub version: i64,
    /// Who changed what, the newest first.
    pub changes: Vec<ChangeView>,
}

/// Loads a record for a form.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn entry(conn: &mut Conn, kind: RecordKind, key: &str) -> Result<EntryView, Error> {
    let records = stored(conn, kind, key)?;
    if !records.has(key) {
        return Err(Error::not_found(kind.words(), key));
    }
    let text = |column: &str| records.text(key, column).unwrap_or_default().to_owned();
    let changes = changes::since(conn, kind.file(), key, 0)?;
    Ok(EntryView {
        fields: kind.columns().iter().map(|it| ((*it).to_owned(), text(it))).collect(),
        version: changes::version(&changes),
        changes,
    })
}

fn stored(conn: &mut Conn, kind: RecordKind, key: &str) -> Result<Records, Error> {
    Ok(Records::of(kind.file(), &export_one(conn, kind, key)?))
}

/// Makes or changes a record, by the same rules as a file of such records, and keeps who changed
/// what.
///
/// # Errors
///
/// [`Error::Entry`] with each field that is at fault; [`Error::Conflict`] `catalog.changed` where
/// somebody else has changed the record meanwhile; [`Error::NotFound`].
pub fn put(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    kind: RecordKind,
    entry: &Entry,
) -> Result<Entered, Error> {
    people::check(tx.who.role(), Permission::EditCatalogue)?;
    let body = (kind.file().as_str(), entry);
    once(tx, key, "catalog.put", &body, |tx| put_once(tx, kind, entry))
}

fn put_once(tx: &mut Tx<'_>, kind: RecordKind, entry: &Entry) -> Result<Entered, Error> {
    if let Some(unknown) = entry.fields.keys().find(|it| !kind.columns().contains(&it.as_str())) {
        let message =
            format!("there is no field '{unknown}': the fields are {}", kind.columns().join(", "));
        return Err(Error::invalid("catalog.unknown_field", message));
    }
    let new = entry.expected == Expected::New;
    let before = if new { Records::default() } else { stored(tx.conn, kind, &entry.key)? };
    check_version(tx, kind, entry, &before)?;
    let key_column = kind.columns().first().copied().unwrap_or_default();
    let key = take_entry(tx, kind, new, |column| match entry.fields.get(column) {
        _ if column == key_column && !new => entry.key.clone(),
        Some(text) => text.clone(),
        None => before.text(&entry.key, column).unwrap_or_default().to_owned(),
    })?;
    let after = stored(tx.conn, kind, &key)?;
    let compared = Comparison::of(&before, &after, std::slice::from_ref(&key));
    changes::note(tx, kind.file(), false, &compared.changed)?;
    let new = !before.has(&key);
    let words = match compared.changed.first() {
        None => format!("{key} is as it was: nothing differed"),
        Some(_) if new => format!("{key} is made"),
        Some(it) => {
            let fields: Vec<&str> = it.fields.iter().map(|it| it.field.as_str()).collect();
            format!("{key} is changed: {}", fields.join(", "))
        }
    };
    Ok(Entered { key, new, words })
}

fn check_version(
    tx: &mut Tx<'_>,
    kind: RecordKind,
    entry: &Entry,
    before: &Records,
) -> Result<(), Error> {
    let Expected::Version(seen) = entry.expected else { return Ok(()) };
    if !before.has(&entry.key) {
        return Err(Error::not_found(kind.words(), &entry.key));
    }
    let meanwhile = changes::since(tx.conn, kind.file(), &entry.key, seen)?;
    let Some(newest) = meanwhile.first() else { return Ok(()) };
    let who = if newest.person.is_empty() { "the program" } else { newest.person.as_str() };
    let mut fields: Vec<&str> = meanwhile.iter().map(|it| it.field.as_str()).collect();
    fields.sort_unstable();
    fields.dedup();
    let message = format!(
        "{who} has changed {} since this was loaded ({}): look at both, then save again",
        entry.key,
        fields.join(", ")
    );
    Err(Error::conflict("catalog.changed", message))
}

/// Loads the next free part number of each family in use, in order.
///
/// # Errors
///
/// [`Error::Database`].
pub fn next_numbers(conn: &mut Conn) -> Result<Vec<PartNumber>, Error> {
    let rows = catalog::variants(conn)?;
    let used: Vec<PartNumber> = rows.iter().filter_map(|it| it.part_number.parse().ok()).collect();
    let mut families: Vec<&str> = used.iter().map(PartNumber::family).collect();
    families.dedup();
    Ok(families.into_iter().filter_map(|it| PartNumber::next_in(it, used.iter())).collect())
}

/// Returns the next free part number of a family of two capitals, which may be a new one.
///
/// # Errors
///
/// [`Error::Invalid`] where the family is no such, or full.
pub fn next_number(conn: &mut Conn, family: &str) -> Result<PartNumber, Error> {
    let rows = catalog::variants(conn)?;
    let used: Vec<PartNumber> = rows.iter().filter_map(|it| it.part_number.parse().ok()).collect();
    PartNumber::next_in(&family.trim().to_ascii_uppercase(), used.iter()).ok_or_else(|| {
        let message = format!(
            "'{family}' is no family with a free number: write the two letters that its part \
             numbers begin with, such as MT"
        );
        Error::invalid("catalog.family", message)
    })
}

/// Loads the texts of every record of a kind, in the order of its columns.
///
/// # Errors
///
/// [`Error::Database`].
pub fn entries(conn: &mut Conn, kind: RecordKind) -> Result<Vec<Vec<String>>, Error> {
    let records = Records::of(kind.file(), &export(conn, kind.file())?);
    let row = |key: &str| {
        let text = |column: &&str| records.text(key, column).unwrap_or_default().to_owned();
        kind.columns().iter().map(text).collect()
    };
    Ok(records.keys().map(row).collect())
}

/// What a form proposes: each code with the words for it.
#[derive(Debug, Clone, Default)]
pub struct Proposals {
    /// Suppliers by code, with their names.
    pub suppliers: Vec<(String, String)>,
    /// Bins by code, with their zones.
    pub bins: Vec<(String, String)>,
    /// The names of base parts.
    pub parts: Vec<String>,
}

/// Loads what a form proposes.
///
/// # Errors
///
/// [`Error::Database`].
pub fn proposals(conn: &mut Conn) -> Result<Proposals, Error> {
    let mut parts: Vec<String> = catalog::variants(conn)?.into_iter().map(|it| it.part).collect();
    parts.sort();
    parts.dedup();
    let suppliers = catalog::suppliers(conn)?.into_iter().map(|it| (it.code, it.name));
    let bins = catalog::bins(conn)?.into_iter().map(|it| (it.code, it.zone));
    Ok(Proposals { suppliers: suppliers.collect(), bins: bins.collect(), parts })
}
