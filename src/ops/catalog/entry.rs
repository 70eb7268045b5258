//! Suppliers, bins, parts, air charts, words and rules as people enter and change them, one at a time.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::domain::codes::PartNumber;
use crate::domain::fit::{FactName, Facts};
use crate::error::Error;
use crate::exchange::Records;
use crate::ops::changes::{self, ChangeView, Comparison};
use crate::ops::exchange::{RecordKind, export, export_one, take_entry};
use crate::ops::once::{RequestKey, once};
use crate::ops::{people, words};
use crate::store::catalog::VariantRow;
use crate::store::{Conn, Tx, catalog, kits};

use super::remove::drop_record;

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
    /// The rows, each with its texts by column, where such a record has rows; left out, they stay as
    /// they are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rows: Option<Vec<BTreeMap<String, String>>>,
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
    /// Its rows, where such a record has some, each with its texts by column.
    pub rows: Vec<BTreeMap<String, String>>,
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
    let changes = changes::since(conn, kind.file(), key, 0)?;
    Ok(EntryView {
        fields: fields(kind, &records, key),
        rows: rows(kind, &records, key),
        version: changes::version(&changes),
        changes,
    })
}

fn fields(kind: RecordKind, records: &Records, key: &str) -> BTreeMap<String, String> {
    let text = |column: &str| records.text(key, column).unwrap_or_default().to_owned();
    kind.columns().iter().map(|it| ((*it).to_owned(), text(it))).collect()
}

fn rows(kind: RecordKind, records: &Records, key: &str) -> Vec<BTreeMap<String, String>> {
    if kind == RecordKind::Part {
        return fact_rows(records.text(key, "facts").unwrap_or_default());
    }
    let rows = records.rows(key).into_iter();
    rows.map(|(_, cells)| cells.iter().cloned().collect()).collect()
}

/// Returns a part's facts as rows of fact and value.
pub fn fact_rows(facts: &str) -> Vec<BTreeMap<String, String>> {
    let facts: Facts = facts.parse().unwrap_or_default();
    let row = |(name, value): (FactName, String)| {
        [("fact".to_owned(), name.word().to_owned()), ("value".to_owned(), value)].into()
    };
    facts.rows().map(row).collect()
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
    people::check(tx.who.role(), kind.permission())?;
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
    if let Expected::Version(seen) = entry.expected {
        check_version(tx, kind, (&entry.key, seen), &before)?;
    }
    let of_key = if new { BTreeMap::new() } else { kind.of_key(&entry.key) };
    let cell = |column: &str| match (of_key.get(column), entry.fields.get(column)) {
        (Some(text), _) | (None, Some(text)) => text.clone(),
        (None, None) => before.text(&entry.key, column).unwrap_or_default().to_owned(),
    };
    let rows = entry.rows.clone().or_else(|| match kind {
        RecordKind::Part => None,
        _ => Some(rows(kind, &before, &entry.key)),
    });
    let key = take_entry(tx, kind, new, cell, rows.as_ref())?;
    let after = stored(tx.conn, kind, &key)?;
    let compared = Comparison::of(&before, &after, std::slice::from_ref(&key));
    changes::note(tx, kind.file(), false, &compared.changed)?;
    let new = !before.has(&key);
    let named = kind.named(&key);
    let words = match compared.changed.first() {
        None => format!("{named} is as it was: nothing differed"),
        Some(_) if new => format!("{named} is made"),
        Some(it) => {
            let fields: Vec<&str> = it.fields.iter().map(|it| it.field.as_str()).collect();
            format!("{named} is changed: {}", fields.join(", "))
        }
    };
    Ok(Entered { key, new, words })
}

/// Checks that the record is there, and that nobody has changed it since the change of that number.
fn check_version(
    tx: &mut Tx<'_>,
    kind: RecordKind,
    (key, seen): (&str, i64),
    before: &Records,
) -> Result<(), Error> {
    if !before.has(key) {
        return Err(Error::not_found(kind.words(), key));
    }
    let meanwhile = changes::since(tx.conn, kind.file(), key, seen)?;
    let Some(newest) = meanwhile.first() else { return Ok(()) };
    let who = if newest.person.is_empty() { "the program" } else { newest.person.as_str() };
    let mut fields: Vec<&str> = meanwhile.iter().map(|it| it.field.as_str()).collect();
    fields.sort_unstable();
    fields.dedup();
    let message = format!(
        "{who} has changed {key} since this was loaded ({}): look at both, then save again",
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

/// A record in a list.
#[derive(Debug, Clone)]
pub struct Listed {
    /// Its key.
    pub key: String,
    /// The texts by the headings of the kind's file.
    pub fields: BTreeMap<String, String>,
    /// Its rows, where such a record has some.
    pub rows: Vec<BTreeMap<String, String>>,
}

/// Loads every record of a kind, in order of key.
///
/// # Errors
///
/// [`Error::Database`].
pub fn entries(conn: &mut Conn, kind: RecordKind) -> Result<Vec<Listed>, Error> {
    let records = Records::of(kind.file(), &export(conn, kind.file())?);
    let listed = |key: &str| Listed {
        key: key.to_owned(),
        fields: fields(kind, &records, key),
        rows: rows(kind, &records, key),
    };
    Ok(records.keys().map(listed).collect())
}

/// Takes away a record of a kind that nothing but pages and papers refers to; returns what was done,
/// in words.
///
/// # Errors
///
/// [`Error::Conflict`] `catalog.changed` where somebody has changed the record since `version`, and
/// `catalog.in_use` for an air chart that the card of a kit still takes; [`Error::NotFound`].
pub fn remove(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    kind: RecordKind,
    record: &str,
    version: i64,
) -> Result<String, Error> {
    people::check(tx.who.role(), kind.permission())?;
    once(tx, key, "catalog.remove", &(kind.file().as_str(), record), |tx| {
        let before = stored(tx.conn, kind, record)?;
        check_version(tx, kind, (record, version), &before)?;
        drop_record(tx, kind, record)?;
        let after = stored(tx.conn, kind, record)?;
        changes::note(tx, kind.file(), false, &[changes::gone(&before, &after, record)])?;
        Ok(format!("{} is taken out", kind.named(record)))
    })
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
    /// Part numbers, with what they are.
    pub numbers: Vec<(String, String)>,
    /// What parts, options and their values are called that the glossary may say otherwise.
    pub texts: Vec<String>,
}

/// Loads what a form proposes.
///
/// # Errors
///
/// [`Error::Database`].
pub fn proposals(conn: &mut Conn) -> Result<Proposals, Error> {
    let rows = catalog::variants(conn)?;
    let number = |it: &VariantRow| (it.part_number.clone(), words::part(&it.part, &it.variant));
    let numbers = rows.iter().map(number).collect();
    let mut texts: BTreeSet<String> = rows.iter().map(|it| it.part.clone()).collect();
    let parts = texts.iter().cloned().collect();
    texts.extend(rows.into_iter().map(|it| it.variant).filter(|it| !it.is_empty()));
    for bom in kits::all_boms(conn)? {
        texts.insert(bom.name);
        texts.extend(bom.options.into_iter().flat_map(|it| [vec![it.name], it.values].concat()));
    }
    let suppliers = catalog::suppliers(conn)?.into_iter().map(|it| (it.code, it.name));
    let bins = catalog::bins(conn)?.into_iter().map(|it| (it.code, it.zone));
    let (suppliers, bins) = (suppliers.collect(), bins.collect());
    Ok(Proposals { suppliers, bins, parts, numbers, texts: texts.into_iter().collect() })
}
