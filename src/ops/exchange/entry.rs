//! One record as a form states it, by the same rules as a file of such records.

use std::collections::BTreeMap;

use crate::domain::fit::{Facts, FitError};
use crate::domain::messages::Language;
use crate::error::Error;
use crate::exchange::{self, At, EntryRow, Fault, Read, substitutions as rule_files};
use crate::store::{
    Conn, Tx, card as card_store, catalog, demand as demand_store, reorder, substitution,
};

use super::{RecordKind, card, demand, records, substitutions};

/// The rows of an entry, each with its texts by column.
pub(in crate::ops) type Rows = Vec<BTreeMap<String, String>>;

/// Takes one record whose columns hold what `cell` returns, by the same rules as a file's; returns
/// its key. Where it is to be new, one of that key must not be there.
pub(in crate::ops) fn take_entry(
    tx: &mut Tx<'_>,
    kind: RecordKind,
    new: bool,
    cell: impl Fn(&str) -> String,
    rows: Option<&Rows>,
) -> Result<String, Error> {
    let there = if new { keys(tx.conn, kind)? } else { Vec::new() };
    let keys = match kind {
        RecordKind::Supplier => {
            let mut read = exchange::suppliers::read_entry(cell);
            must_be_new(kind, &mut read, |it| it.code.clone(), &there);
            records::suppliers(tx, read)
        }
        RecordKind::Bin => {
            let mut read = exchange::bins::read_entry(cell);
            must_be_new(kind, &mut read, |it| it.code.to_string(), &there);
            records::bins(tx, read)
        }
        RecordKind::Part => {
            let (facts, faults) = rows.map(facts).unzip();
            let mut read = exchange::parts::read_entry(|column| match (column, &facts) {
                ("facts", Some(facts)) => facts.to_string(),
                (column, _) => cell(column),
            });
            read.1.extend(faults.unwrap_or_default());
            must_be_new(kind, &mut read, |it| it.part_number.to_string(), &there);
            records::parts(tx, read)
        }
        RecordKind::AirChart => {
            let rows = filled(kind, cell, rows, &exchange::air_charts::ROW);
            let mut read = exchange::air_charts::read_entry(&rows);
            must_be_new(kind, &mut read, |it| it.code.clone(), &there);
            card::air_charts(tx, read)
        }
        RecordKind::Word => {
            let rows = filled(kind, cell, rows, &["words"]);
            let mut read = exchange::glossary::read_entry(&rows);
            must_be_new(kind, &mut read, |it| it.text.clone(), &there);
            words(tx, read)
        }
        RecordKind::Rule => {
            let mut read = exchange::substitutions::read_entry(cell);
            let key = |it: &crate::domain::substitution::Rule| {
                rule_files::key(it.from.as_str(), it.to.as_str())
            };
            must_be_new(kind, &mut read, key, &there);
            substitutions::rules(tx, read)
        }
        RecordKind::Policy => {
            let mut read = exchange::policies::read_entry(cell);
            must_be_new(kind, &mut read, |it| it.scope.to_string(), &there);
            demand::policies(tx, read)
        }
        RecordKind::PlannedMonth => {
            let mut read = exchange::plan::read_entry(cell);
            must_be_new(kind, &mut read, exchange::plan::key, &there);
            demand::plan(tx, read)
        }
    };
    match keys {
        Ok(keys) => Ok(keys.into_iter().next().unwrap_or_default()),
        Err(Error::Faults(faults)) => Err(Error::Entry(faults)),
        Err(error) => Err(error),
    }
}

/// Loads the keys of a kind's records.
fn keys(conn: &mut Conn, kind: RecordKind) -> Result<Vec<String>, Error> {
    Ok(match kind {
        RecordKind::Supplier => catalog::supplier_ids(conn)?.into_keys().collect(),
        RecordKind::Bin => catalog::bins(conn)?.into_iter().map(|it| it.code).collect(),
        RecordKind::Part => catalog::variants(conn)?.into_iter().map(|it| it.part_number).collect(),
        RecordKind::AirChart => card_store::charts(conn)?.into_iter().map(|it| it.code).collect(),
        RecordKind::Word => {
            card_store::glossary_entries(conn)?.into_iter().map(|it| it.text).collect()
        }
        RecordKind::Rule => {
            let rules = substitution::rules(conn)?.into_iter();
            rules.map(|it| rule_files::key(it.from.as_str(), it.to.as_str())).collect()
        }
        RecordKind::Policy => {
            reorder::policies(conn)?.into_iter().map(|it| it.scope.to_string()).collect()
        }
        RecordKind::PlannedMonth => {
            demand_store::plan(conn)?.iter().map(exchange::plan::key).collect()
        }
    })
}

fn must_be_new<T>(
    kind: RecordKind,
    read: &mut Read<T>,
    key: impl Fn(&T) -> String,
    there: &[String],
) {
    for it in &read.0 {
        let key = key(&it.value);
        if there.contains(&key) {
            let column = kind.columns().first().copied().unwrap_or_default().to_owned();
            let message =
                format!("there is {} {key} already: take another, or edit it", kind.words());
            read.1.push(Fault { line: it.line, column, message });
        }
    }
}

/// Returns the facts of a form's rows, and what is wrong in them at its row and column. A row without
/// a value states nothing.
fn facts(rows: &Rows) -> (Facts, Vec<Fault>) {
    let text = |row: &BTreeMap<String, String>, column: &str| {
        row.get(column).map(|it| it.trim().to_owned()).unwrap_or_default()
    };
    let stated: Vec<(u64, (String, String))> = (1_u64..)
        .zip(rows)
        .map(|(number, row)| (number, (text(row, "fact"), text(row, "value"))))
        .filter(|it| !it.1.1.is_empty())
        .collect();
    let named: Vec<(String, String)> = stated.iter().map(|it| it.1.clone()).collect();
    let (facts, faults) = Facts::from_rows(&named);
    let fault = |(place, fault): (usize, FitError)| {
        let line = stated.get(place).map_or(1, |it| it.0);
        let (column, message) = match &fault {
            FitError::FactName { found } if found.is_empty() => {
                ("fact", "choose what this value states".to_owned())
            }
            FitError::FactName { .. } | FitError::FactTwice { .. } => ("fact", fault.to_string()),
            _ => ("value", fault.to_string()),
        };
        Fault { line, column: column.to_owned(), message }
    };
    (facts, faults.into_iter().map(fault).collect())
}

/// Returns the rows in which one of `columns` is filled, with what all rows share; the first where
/// none is, so that what is missing is told there.
fn filled(
    kind: RecordKind,
    cell: impl Fn(&str) -> String,
    rows: Option<&Rows>,
    columns: &[&str],
) -> Vec<EntryRow> {
    let head: BTreeMap<String, String> =
        kind.columns().iter().map(|it| ((*it).to_owned(), cell(it))).collect();
    let has = |row: &BTreeMap<String, String>| {
        columns.iter().any(|it| row.get(*it).is_some_and(|it| !it.trim().is_empty()))
    };
    let whole = |row: &BTreeMap<String, String>| {
        head.iter().chain(row).map(|it| (it.0.clone(), it.1.clone())).collect()
    };
    let numbered: Vec<EntryRow> = (1..)
        .zip(rows.into_iter().flatten())
        .filter(|it| has(it.1))
        .map(|(number, row)| (number, whole(row)))
        .collect();
    if !numbered.is_empty() {
        return numbered;
    }
    let first = rows.and_then(|it| it.first()).cloned().unwrap_or_default();
    vec![(1, whole(&first))]
}

/// Takes what one text is called; a language without words loses those that it had.
fn words(
    tx: &mut Tx<'_>,
    read: Read<exchange::glossary::GlossaryRecord>,
) -> Result<Vec<String>, Error> {
    let said: Vec<Language> = read.0.iter().map(|it| it.value.language).collect();
    let text = read.0.first().map(|it: &At<_>| it.value.text.clone()).unwrap_or_default();
    let keys = card::glossary(tx, read)?;
    for language in Language::ALL.into_iter().filter(|it| !said.contains(it)) {
        card_store::drop_words(tx.conn, &text, language)?;
    }
    Ok(keys)
}
