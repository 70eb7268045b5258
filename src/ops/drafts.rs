//! Bills of materials as the shop changes them: a draft, edited row by row, looked at, released.

mod change;
mod preview;
mod release;

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::domain::kits::{Bom, revision};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::kits::{RowFault, Sheet, key as key_of};
use crate::exchange::{Fault, Kind};
use crate::store::{Conn, Tx, catalog, kits};

use super::changes::{self, ChangeView, Comparison};
use super::exchange::kits as files;
use super::once::{RequestKey, once};
use super::people;

pub use change::Change;
use change::apply;
pub use preview::{PreviewLine, PreviewView, preview};
pub(super) use release::comes_together;
pub use release::{Impact, PromisedKit, impact, release};

/// A bill in a list, with how its revisions stand.
#[derive(Debug, Clone)]
pub struct BillView {
    /// Its code.
    pub code: String,
    /// Its name, by the revision in force or the newest.
    pub name: String,
    /// The part number that it makes; empty where it makes none.
    pub makes: String,
    /// The revision in force; empty where there is none.
    pub in_force: String,
    /// Its drafts.
    pub drafts: Vec<String>,
}

/// Loads the bills with their drafts, by code.
///
/// # Errors
///
/// [`Error::Database`].
pub fn list(conn: &mut Conn, today: NaiveDate) -> Result<Vec<BillView>, Error> {
    let all = kits::all_boms(conn)?;
    let codes: BTreeSet<&str> = all.iter().map(|it| it.code.as_str()).collect();
    let view = |code: &str| {
        let of_code = || all.iter().filter(|it| it.code == code);
        let holds = revision::in_force(of_code(), today).map(|it| it.bom);
        let shown = holds.or_else(|| of_code().next_back());
        let drafts = of_code().filter(|it| it.valid_from.is_none());
        BillView {
            code: code.to_owned(),
            name: shown.map(|it| it.name.clone()).unwrap_or_default(),
            makes: shown
                .and_then(|it| it.makes.as_ref())
                .map(ToString::to_string)
                .unwrap_or_default(),
            in_force: holds.map(|it| it.revision.clone()).unwrap_or_default(),
            drafts: drafts.map(|it| it.revision.clone()).collect(),
        }
    };
    Ok(codes.into_iter().map(view).collect())
}

/// A draft with all that its page shows.
#[derive(Debug, Clone)]
pub struct DraftView {
    /// The bill's code.
    pub code: String,
    /// The draft's revision.
    pub revision: String,
    /// The bill's name.
    pub name: String,
    /// The part number that it makes; empty where it makes none.
    pub makes: String,
    /// The revision in force; empty where there is none.
    pub in_force: String,
    /// Whether it is released, so that only its words in other languages can be changed.
    pub released: bool,
    /// Its rows.
    pub sheet: Sheet,
    /// What is wrong as yet, each with its row.
    pub faults: Vec<RowFault>,
    /// The number of its newest change, which a form sends back.
    pub version: i64,
    /// Who changed what, the newest first.
    pub changes: Vec<ChangeView>,
}

impl DraftView {
    /// Returns what is wrong with a row.
    pub fn faults_of(&self, row: &str) -> Vec<&RowFault> {
        self.faults.iter().filter(|it| it.row == row).collect()
    }
}

/// Loads a draft.
///
/// # Errors
///
/// [`Error::NotFound`] where there is no such revision, [`Error::Conflict`] `draft.released` where it
/// is no draft any more.
pub fn view(conn: &mut Conn, code: &str, name: &str, today: NaiveDate) -> Result<DraftView, Error> {
    let all = kits::all_boms(conn)?;
    let bom = draft(&all, code, name)?;
    viewed(conn, &all, bom, today)
}

/// Loads a revision, released or not, for a row that holds words in another language.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn view_words(
    conn: &mut Conn,
    code: &str,
    name: &str,
    today: NaiveDate,
) -> Result<DraftView, Error> {
    let all = kits::all_boms(conn)?;
    let bom = any(&all, code, name)?;
    viewed(conn, &all, bom, today)
}

fn viewed(conn: &mut Conn, all: &[Bom], bom: &Bom, today: NaiveDate) -> Result<DraftView, Error> {
    let code = &bom.code;
    let sheet = Sheet::of(bom);
    let holds = revision::in_force(all.iter().filter(|it| it.code == *code), today);
    let changes = changes::since(conn, Kind::Kits, &key_of(bom), 0)?;
    Ok(DraftView {
        code: bom.code.clone(),
        revision: bom.revision.clone(),
        name: bom.name.clone(),
        makes: bom.makes.as_ref().map(ToString::to_string).unwrap_or_default(),
        in_force: holds.map(|it| it.bom.revision.clone()).unwrap_or_default(),
        released: bom.valid_from.is_some(),
        faults: faults(conn, &sheet, &codes(all))?,
        sheet,
        version: changes::version(&changes),
        changes,
    })
}

fn codes(all: &[Bom]) -> BTreeSet<String> {
    all.iter().map(|it| it.code.clone()).collect()
}

fn any<'a>(all: &'a [Bom], code: &str, name: &str) -> Result<&'a Bom, Error> {
    let found = revision::find(all, code, name);
    found.ok_or_else(|| Error::not_found("revision", format!("{code} {name}")))
}

fn draft<'a>(all: &'a [Bom], code: &str, name: &str) -> Result<&'a Bom, Error> {
    let bom = any(all, code, name)?;
    match bom.valid_from {
        None => Ok(bom),
        Some(day) => Err(Error::conflict(
            "draft.released",
            format!(
                "revision {name} of {code} is released and holds from {day}: change the bill by a new draft"
            ),
        )),
    }
}

/// Returns all that is wrong with a draft's rows: by themselves, and among the shop's other bills.
fn faults(
    conn: &mut Conn,
    sheet: &Sheet,
    codes: &BTreeSet<String>,
) -> Result<Vec<RowFault>, Error> {
    let read = sheet.read(codes);
    let mut faults = read.faults;
    if let Some(record) = read.record {
        let more = files::judge(conn, std::slice::from_ref(&record))?;
        faults.extend(more.into_iter().map(|it| sheet.row_fault(it)));
    }
    Ok(faults)
}

/// Begins a draft of a bill as a copy of the revision in force, or of the newest; returns its
/// revision. Where none is named, it is the one after the last.
///
/// # Errors
///
/// [`Error::NotFound`]; [`Error::Conflict`] `draft.taken`; [`Error::Invalid`] `draft.revision`.
pub fn begin(tx: &mut Tx<'_>, key: &RequestKey, code: &str, name: &str) -> Result<String, Error> {
    people::check(tx.who.role(), Permission::EditCatalogue)?;
    once(tx, key, "draft.begin", &(code, name), |tx| {
        let all = kits::all_boms(tx.conn)?;
        let of_code = || all.iter().filter(|it| it.code == code);
        let from = revision::in_force(of_code(), tx.today()).map(|it| it.bom);
        let from = from.or_else(|| of_code().next_back());
        let from = from.ok_or_else(|| Error::not_found("kit", code))?;
        let name = match name.trim() {
            "" => next_revision(of_code().map(|it| it.revision.as_str())),
            name => name.to_owned(),
        };
        check_name(&name)?;
        if revision::find(&all, code, &name).is_some() {
            let message = format!("{code} has a revision {name} already: name the draft otherwise");
            return Err(Error::conflict("draft.taken", message));
        }
        store(tx, &all, &Sheet::of(from).as_draft(&name))?;
        Ok(name)
    })
}

/// Begins the draft of a bill that is new; returns its revision.
///
/// # Errors
///
/// [`Error::Conflict`] `draft.taken` where there is a bill of that code; [`Error::Entry`].
pub fn begin_new(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    code: &str,
    name: &str,
    makes: &str,
) -> Result<String, Error> {
    people::check(tx.who.role(), Permission::EditCatalogue)?;
    once(tx, key, "draft.begin_new", &(code, name, makes), |tx| {
        check_name(code)?;
        let all = kits::all_boms(tx.conn)?;
        if all.iter().any(|it| it.code == code) {
            let message =
                format!("there is a bill {code} already: change that, or take another code");
            return Err(Error::conflict("draft.taken", message));
        }
        store(tx, &all, &Sheet::named(code, "A", name, makes))?;
        Ok("A".to_owned())
    })
}

fn check_name(name: &str) -> Result<(), Error> {
    let plain =
        !name.is_empty() && name.chars().count() <= 40 && !name.chars().any(char::is_control);
    if plain && name.trim() == name {
        return Ok(());
    }
    let message = "code or revision: write 1 to 40 characters, such as C";
    Err(Error::invalid("draft.revision", message))
}

/// Returns the revision after the last of those that are single capitals.
fn next_revision<'a>(used: impl Iterator<Item = &'a str> + Clone) -> String {
    let letter = |it: &str| it.chars().next().filter(|_| it.chars().count() == 1);
    let last = used.clone().filter_map(letter).filter(char::is_ascii_uppercase).max();
    let next = ('A'..='Z').find(|it| last.is_none_or(|last| last < *it)).map(String::from);
    let numbered = (1_u32..).map(|it| format!("Z{it}"));
    next.into_iter()
        .chain(numbered)
        .find(|it| !used.clone().any(|used| used == it))
        .unwrap_or_default()
}

/// Changes a draft, which may be incomplete as yet; returns what was done, in words. Of a released
/// revision only the words in other languages can be changed: they reach the kits promised before.
///
/// # Errors
///
/// [`Error::Entry`] with each field of the row that can't be read; [`Error::Conflict`]
/// `draft.changed` where somebody else has changed the row since `version`, `draft.released`;
/// [`Error::NotFound`].
pub fn edit(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    (code, name): (&str, &str),
    version: i64,
    change: &Change,
) -> Result<String, Error> {
    people::check(tx.who.role(), Permission::EditCatalogue)?;
    once(tx, key, "draft.edit", &(code, name, change), |tx| {
        let all = kits::all_boms(tx.conn)?;
        let bom = match change.is_words() {
            true => any(&all, code, name)?,
            false => draft(&all, code, name)?,
        };
        if !change.is_new() {
            unchanged(tx.conn, bom, version, change.row())?;
        }
        let mut sheet = Sheet::of(bom);
        let (row, words) = apply(&mut sheet, change)?;
        check_row(&sheet, &codes(&all), row.as_deref())?;
        match bom.valid_from {
            None => store(tx, &all, &sheet)?,
            Some(_) => release::put(tx, bom, &sheet)?,
        }
        Ok(words)
    })
}

/// Checks that nobody has changed the row since; or the draft, where no row is named.
fn unchanged(conn: &mut Conn, bom: &Bom, version: i64, row: Option<&str>) -> Result<(), Error> {
    let of_row = |it: &&ChangeView| {
        row.is_none_or(|row| it.field == row || it.field.starts_with(&format!("{row} ")))
    };
    let since = changes::since(conn, Kind::Kits, &key_of(bom), version)?;
    let meanwhile: Vec<&ChangeView> = since.iter().filter(of_row).collect();
    let Some(newest) = meanwhile.first() else { return Ok(()) };
    let who = if newest.person.is_empty() { "the program" } else { newest.person.as_str() };
    let said = |it: &&ChangeView| format!("{} from “{}” to “{}”", it.field, it.from, it.to);
    let changes: Vec<String> = meanwhile.iter().take(5).map(said).collect();
    let message = format!(
        "{who} has changed this since it was loaded: {}. Look at it, then save again",
        changes.join("; ")
    );
    Err(Error::conflict("draft.changed", message))
}

/// Checks that every row can be read, if not yet that all of them agree.
fn check_row(sheet: &Sheet, codes: &BTreeSet<String>, row: Option<&str>) -> Result<(), Error> {
    let read = sheet.read(codes);
    let whole = read.record.as_ref().map(|it| Sheet::of(&it.value.bom));
    let torn: Vec<&str> = match &whole {
        Some(whole) => sheet.missing_in(whole).collect(),
        None => vec!["kit"],
    };
    if torn.is_empty() {
        return Ok(());
    }
    let mine = |it: &RowFault| torn.contains(&it.row.as_str());
    let faults = read.faults.into_iter().filter(mine).map(|it| {
        // A fault of another row is named with that row, since this form does not show it.
        let here = row.is_none_or(|row| row == it.row);
        let column = if here { it.column } else { format!("{} {}", it.row, it.column) };
        Fault { line: 1, column, message: it.message }
    });
    Err(Error::Entry(faults.collect()))
}

/// Writes a draft, and what changed in it into the history.
fn store(tx: &mut Tx<'_>, all: &[Bom], sheet: &Sheet) -> Result<(), Error> {
    let read = sheet.read(&codes(all));
    let Some(record) = read.record else {
        let fault = |it: RowFault| Fault { line: 1, column: it.column, message: it.message };
        return Err(Error::Entry(read.faults.into_iter().map(fault).collect()));
    };
    let bom = &record.value.bom;
    let before: Vec<&Bom> = revision::find(all, &bom.code, &bom.revision).into_iter().collect();
    let compared = Comparison::of_bills(&before, &[bom]);
    files::put(tx.conn, std::slice::from_ref(&record))?;
    changes::note(tx, Kind::Kits, false, &compared.changed)
}

/// Takes a draft away.
///
/// # Errors
///
/// [`Error::NotFound`]; [`Error::Conflict`] `draft.changed`, `draft.released`.
pub fn discard(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    (code, name): (&str, &str),
    version: i64,
) -> Result<String, Error> {
    people::check(tx.who.role(), Permission::EditCatalogue)?;
    once(tx, key, "draft.discard", &(code, name), |tx| {
        let all = kits::all_boms(tx.conn)?;
        let bom = draft(&all, code, name)?;
        unchanged(tx.conn, bom, version, None)?;
        kits::drop_draft(tx.conn, bom)?;
        Ok(format!("the draft {name} of {code} is discarded"))
    })
}

/// Loads what a line's form proposes as its item: part numbers with their names, base parts, and the
/// codes of kits.
///
/// # Errors
///
/// [`Error::Database`].
pub fn items(conn: &mut Conn) -> Result<Vec<(String, String)>, Error> {
    let mut items: Vec<(String, String)> = Vec::new();
    let mut parts: BTreeMap<String, usize> = BTreeMap::new();
    for row in catalog::variants(conn)? {
        let count = parts.entry(row.part.clone()).or_default();
        *count = count.saturating_add(1);
        items.push((row.part_number.clone(), super::words::part(&row.part, &row.variant)));
    }
    let several = parts.into_iter().filter(|it| 1 < it.1);
    items.extend(
        several.map(|(part, count)| (part, format!("one of {count}, as the line chooses"))),
    );
    let bills = kits::all_boms(conn)?;
    let codes: BTreeMap<String, String> =
        bills.into_iter().filter(|it| it.makes.is_none()).map(|it| (it.code, it.name)).collect();
    items.extend(codes.into_iter().map(|(code, name)| (code, format!("assembly: {name}"))));
    Ok(items)
}
