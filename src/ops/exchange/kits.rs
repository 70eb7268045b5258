//! Bills of materials: each revision is taken as a row of its own, and none changes under a kit
//! that was promised it.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::domain::kits::{Bom, explode_to_parts, revision};
use crate::error::Error;
use crate::exchange::kits::KitRecord;
use crate::exchange::{self, At, Fault};
use crate::ops::kits::promises;
use crate::store::{Conn, Tx, bench, kits};

use super::reference::Known;
use super::refuse;

/// Takes a file's revisions, and returns the keys that tell them apart in a comparison of files.
pub(in crate::ops) fn import(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<Vec<String>, Error> {
    let stored = kits::all_boms(tx.conn)?;
    let codes = stored.iter().map(|it| it.code.clone()).collect();
    let (mut records, mut faults) = exchange::kits::read_all(bytes, &codes);
    date(&mut records, &stored, tx.today(), &mut faults);
    faults.extend(judge(tx.conn, &records)?);
    refuse(faults)?;
    put(tx.conn, &records)?;
    Ok(records.iter().map(|it| exchange::kits::key(&it.value.bom)).collect())
}

/// Returns what is wrong with bills as they would stand among those of the shop.
pub(in crate::ops) fn judge(
    conn: &mut Conn,
    records: &[At<KitRecord>],
) -> Result<Vec<Fault>, Error> {
    let mut faults = Vec::new();
    let (stored, known) = (kits::all_boms(conn)?, Known::load(conn)?);
    let after = after(&stored, records);
    for it in records {
        known.bom(it, &mut faults);
        // A draft will be released with the newest bills that there are.
        let day = it.value.bom.valid_from.unwrap_or(NaiveDate::MAX);
        let bills = revision::with_top(&after, &it.value.bom, day);
        known.tools(it, &bills, &mut faults);
        beside_others(it, &after, &mut faults);
    }
    rings(records, &after, &mut faults);
    for it in revision::broken(&stored, &after, &promises(conn)?) {
        let changed = |at: &&At<KitRecord>| {
            at.value.bom.code == it.code && Some(&at.value.bom.revision) == it.now.as_ref()
        };
        let of_code = |at: &&At<KitRecord>| at.value.bom.code == it.code;
        let at = records.iter().find(changed).or_else(|| records.iter().find(of_code));
        let column = if it.now.as_ref() == Some(&it.was) { "revision" } else { "valid_from" };
        faults.push(fault(at.map_or(1, |it| it.line), column, it.words()));
    }
    runs_kept(records, &stored, &bench::runs_by_bill(conn)?, &mut faults);
    Ok(faults)
}

/// Writes bills, but for those that are just so already.
pub(in crate::ops) fn put(conn: &mut Conn, records: &[At<KitRecord>]) -> Result<(), Error> {
    let (stored, known) = (kits::all_boms(conn)?, Known::load(conn)?);
    for it in records {
        let bom = &it.value.bom;
        if revision::find(&stored, &bom.code, &bom.revision) != Some(bom) {
            let made = bom.makes.as_ref().and_then(|it| known.variants.get(it.as_str()));
            kits::put_bom(conn, bom, made.map(|it| it.id))?;
        }
    }
    Ok(())
}

fn fault(line: u64, column: &str, message: String) -> Fault {
    Fault { line, column: column.to_owned(), message }
}

/// Dates revisions of which the file does not say when they hold: a known one keeps its day, and
/// the only one of a new code holds from today.
fn date(records: &mut [At<KitRecord>], stored: &[Bom], today: NaiveDate, faults: &mut Vec<Fault>) {
    let codes: Vec<String> = records.iter().map(|it| it.value.bom.code.clone()).collect();
    for At { line, value } in records.iter_mut().filter(|it| !it.value.dated) {
        let bom = &mut value.bom;
        let alone = codes.iter().filter(|it| **it == bom.code).count() == 1
            && stored.iter().all(|it| it.code != bom.code);
        if let Some(known) = revision::find(stored, &bom.code, &bom.revision) {
            bom.valid_from = known.valid_from;
        } else if alone {
            bom.valid_from = Some(today);
        } else {
            let message = format!(
                "revision {} of {} is new: write the day from which it holds, or draft",
                bom.revision, bom.code
            );
            faults.push(fault(*line, "valid_from", message));
        }
    }
}

/// Returns all revisions as they would be once the file is taken.
fn after(stored: &[Bom], records: &[At<KitRecord>]) -> Vec<Bom> {
    let in_file: BTreeSet<(&str, &str)> = records
        .iter()
        .map(|it| (it.value.bom.code.as_str(), it.value.bom.revision.as_str()))
        .collect();
    let kept = stored.iter().filter(|it| !in_file.contains(&(&it.code, &it.revision)));
    kept.chain(records.iter().map(|it| &it.value.bom)).cloned().collect()
}

/// Notes revisions that would change though the bench has made pieces by them.
fn runs_kept(
    records: &[At<KitRecord>],
    stored: &[Bom],
    runs: &[(String, String, i64)],
    faults: &mut Vec<Fault>,
) {
    for At { line, value } in records {
        let bom = &value.bom;
        let old = revision::find(stored, &bom.code, &bom.revision);
        let changed = |it: &&Bom| !revision::same_content(it, bom) || bom.valid_from.is_none();
        let Some(old) = old.filter(changed) else { continue };
        let of_old = |it: &&(String, String, i64)| it.0 == old.code && it.1 == old.revision;
        if let Some((code, name, count)) = runs.iter().find(of_old) {
            let message = format!(
                "revision {name} of {code} is what {count} run{} of the bench made: give the \
                 changed bill a revision of its own and a date from which it holds",
                if *count == 1 { "" } else { "s" }
            );
            faults.push(fault(*line, "revision", message));
        }
    }
}

/// Notes where a bill gets in the way of another revision of its code, or of another bill.
fn beside_others(record: &At<KitRecord>, after: &[Bom], faults: &mut Vec<Fault>) {
    let bom = &record.value.bom;
    let others = || after.iter().filter(|it| it.code == bom.code && it.revision != bom.revision);
    if let Some(other) =
        others().find(|it| bom.valid_from.is_some() && it.valid_from == bom.valid_from)
    {
        let message = format!(
            "revision {} of {} holds from the same day: give one of the two another",
            other.revision, bom.code
        );
        faults.push(fault(record.line, "valid_from", message));
    }
    if others().any(|it| it.makes != bom.makes) {
        let message = format!(
            "each revision of {} makes the same part number: give what makes another one a code of \
             its own",
            bom.code
        );
        faults.push(fault(record.line, "part", message));
    }
    let Some(number) = &bom.makes else { return };
    let rival = |it: &&Bom| it.code != bom.code && it.makes.as_ref() == Some(number);
    if let Some(other) = after.iter().find(rival) {
        let message =
            format!("kit {} makes {number} already: a part number has one bill", other.code);
        faults.push(fault(record.line, "part", message));
    }
}

/// Notes bills of the file that call for themselves, with any revisions that are used together.
fn rings(records: &[At<KitRecord>], after: &[Bom], faults: &mut Vec<Fault>) {
    for bills in revision::moments(after) {
        for At { line, value } in records {
            if bills.get(&value.bom.code) != Some(&value.bom) {
                continue;
            }
            let ring = revision::ring(&bills, &value.bom.code);
            let number = value.bom.makes.as_ref();
            let open = || number.and_then(|it| explode_to_parts(&bills, it).err());
            if let Some(error) = ring.or_else(open) {
                faults.push(fault(*line, "part", error.to_string()));
            }
        }
    }
}
