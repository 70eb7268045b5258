use std::collections::BTreeSet;

use chrono::NaiveDateTime;
use serde::Serialize;

use super::facts::{Facts, facts_of};
use super::layouts::layout;
use super::unprintable;
use crate::domain::gs1::{Sscc, element};
use crate::domain::labels::{Counting, LabelKind, Layout, Sheet, warnings};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::paper::{self, Media, PaperError, label_marks, label_svg, text_width};
use crate::store::{Conn, Tx, labels as store, people};

/// The most labels of one print, so that a slip of the hand does not fill the memory.
const MOST_LABELS: usize = 20_000;
/// The setting that holds the GS1 company prefix, and the series of its serial references.
pub(in crate::ops) const PREFIX: &str = "company prefix";
const SERIES: &str = "sscc";
/// The setting that holds the shop's global location number.
pub(in crate::ops) const LOCATION: &str = "location number";
/// How many labels a look shows.
const LOOKED_AT: usize = 6;

/// Labels to be printed.
#[derive(Debug, Clone)]
pub struct PrintJob {
    /// The kind.
    pub kind: LabelKind,
    /// What to label: part numbers, bin codes, kit or carton numbers; for lot, serial and bag
    /// labels the part number, a slash, and the lot, serial or run number; for quarantine labels
    /// either.
    pub ids: Vec<String>,
    /// How many of each.
    pub copies: u32,
    /// A remark, for layouts that have room for one.
    pub note: String,
    /// What they are printed on.
    pub media: Media,
}

impl PrintJob {
    /// Returns how many copies there are, once the job has proved to be of a size that prints.
    fn copies(&self) -> Result<usize, Error> {
        if self.ids.is_empty() || self.copies == 0 || 500 < self.copies {
            return Err(Error::invalid(
                "labels.none",
                "name at least one thing to label, and from 1 to 500 copies of each",
            ));
        }
        let copies = usize::try_from(self.copies).unwrap_or(usize::MAX);
        let all = self.ids.len().saturating_mul(copies);
        if MOST_LABELS < all {
            return Err(Error::invalid(
                "labels.too_many",
                format!("{all} labels in one print: print {MOST_LABELS} at most"),
            ));
        }
        Ok(copies)
    }
}

/// Records the print and returns its labels as a PDF: one for each id, as many copies of each.
///
/// Labels that name one piece, lot, bag run, kit or carton get a print number, and from the second
/// on say "copy 2". A carton gets its SSCC, once the shop has a company prefix, and keeps it. The
/// same key prints the same again and counts nothing.
///
/// # Errors
///
/// [`Error::NotFound`] for what is not there, [`Error::Invalid`] when a text does not fit: then
/// nothing is recorded.
pub fn print(tx: &mut Tx<'_>, key: &RequestKey, job: &PrintJob) -> Result<Vec<u8>, Error> {
    let copies = job.copies()?;
    let asked = format!("{job:?}");
    let first = once(tx, key, "print labels", &asked, |tx| record_all(tx, job, copies))?;
    drawn(tx, job, copies, &first)
}

/// Counts the print as [`print`] does and returns its labels as a PDF, within a request that is
/// done once in any case.
///
/// # Errors
///
/// As [`print`].
pub(in crate::ops) fn print_within(tx: &mut Tx<'_>, job: &PrintJob) -> Result<Vec<u8>, Error> {
    let copies = job.copies()?;
    let first = record_all(tx, job, copies)?;
    drawn(tx, job, copies, &first)
}

/// Returns width and height in µm of the pages that a print comes to.
pub(in crate::ops) fn page_size(conn: &mut Conn, job: &PrintJob) -> Result<(i64, i64), Error> {
    match &job.media {
        Media::Roll => layout(conn, job.kind).map(|it| (it.width_um, it.height_um)),
        Media::Sheet { sheet, .. } => Ok((sheet.width_um, sheet.height_um)),
    }
}

fn record_all(tx: &mut Tx<'_>, job: &PrintJob, copies: usize) -> Result<Vec<i64>, Error> {
    job.ids.iter().map(|id| record(tx, job.kind, id.trim(), copies)).collect()
}

fn drawn(tx: &mut Tx<'_>, job: &PrintJob, copies: usize, first: &[i64]) -> Result<Vec<u8>, Error> {
    let facts = all_facts(tx, job, copies, first)?;
    let layout = layout(tx.conn, job.kind)?;
    paper::labels(&layout, &facts, &job.media).map_err(|fault| told(job, &layout, &facts, fault))
}

/// Names the label at fault, where one of many is.
fn told(job: &PrintJob, layout: &Layout, facts: &[Facts], fault: PaperError) -> Error {
    let labels_each = facts.len() / job.ids.len().max(1);
    let is_of_label = matches!(fault, PaperError::Label(_));
    if !is_of_label || job.ids.len() < 2 {
        return unprintable(fault);
    }
    let at = facts.iter().position(|it| label_marks(layout, it).is_err()).unwrap_or(0);
    let id = job.ids.get(at / labels_each.max(1)).map_or("", String::as_str);
    Error::invalid("paper.unprintable", format!("label of {id}: {fault}"))
}

/// Counts a print of one thing and returns the number of its first label; 0 where none is counted.
fn record(tx: &mut Tx<'_>, kind: LabelKind, id: &str, copies: usize) -> Result<i64, Error> {
    let copies = i64::try_from(copies).unwrap_or(i64::MAX);
    let (prints, labels) = match kind.counting() {
        Counting::None => return Ok(0),
        Counting::EachPrint => (1, copies),
        Counting::EachLabel => (copies, 1),
    };
    let first = store::last_print(tx.conn, kind.word(), id)? + 1;
    let by = (tx.now, tx.who.user());
    for number in first..first.saturating_add(prints) {
        store::add_print(tx.conn, kind.word(), id, number, labels, by)?;
    }
    Ok(first)
}

fn all_facts(
    tx: &mut Tx<'_>,
    job: &PrintJob,
    copies: usize,
    first: &[i64],
) -> Result<Vec<Facts>, Error> {
    let today = tx.today();
    let mut all = Vec::new();
    for (id, first) in job.ids.iter().zip(first) {
        let id = id.trim();
        let mut facts = facts_of(tx.conn, job.kind, id, today)?;
        let sscc = if job.kind == LabelKind::Carton { sscc_of(tx, id)? } else { None };
        for it in &mut facts {
            it.insert("note", job.note.clone());
            if let Some((sscc, spaced)) = &sscc {
                it.insert("sscc", sscc.clone());
                it.insert("sscc_spaced", spaced.clone());
                it.insert("sscc_title", "SSCC".to_owned());
            }
        }
        for nth in (0..copies).map(|it| i64::try_from(it).unwrap_or(0)) {
            let number = match job.kind.counting() {
                Counting::EachLabel => first + nth,
                Counting::EachPrint | Counting::None => *first,
            };
            for it in &facts {
                let mut it = it.clone();
                if job.kind.counting() != Counting::None {
                    it.insert("print", number.to_string());
                }
                if 1 < number {
                    it.insert("copy", format!("copy {number}"));
                }
                all.push(it);
            }
        }
    }
    Ok(all)
}

/// Returns the SSCC of a carton, plain and in its parts; `None` while the shop has no prefix.
pub(in crate::ops) fn sscc_of(
    tx: &mut Tx<'_>,
    number: &str,
) -> Result<Option<(String, String)>, Error> {
    let prefix = people::setting(tx.conn, PREFIX)?;
    let carton = store::carton_id(tx.conn, number)?
        .ok_or_else(|| Error::not_found("carton", number.to_owned()))?;
    let kept = store::sscc(tx.conn, carton)?;
    let sscc = match (kept, &prefix) {
        (Some(kept), _) => kept,
        (None, None) => return Ok(None),
        (None, Some(prefix)) => {
            let serial = people::next_number(tx.conn, SERIES)?;
            let sscc = Sscc::build(0, prefix, u64::try_from(serial).unwrap_or(0));
            let sscc = sscc.map_err(|fault| Error::invalid("labels.sscc", fault.to_string()))?;
            store::keep_sscc(tx.conn, carton, sscc.as_str())?;
            sscc.as_str().to_owned()
        }
    };
    let spaced = spaced(&sscc, prefix.as_deref().unwrap_or_default());
    Ok(Some((sscc, spaced)))
}

/// Returns extension digit, company prefix, serial reference and check digit with blanks between;
/// an SSCC of another prefix stays whole.
fn spaced(sscc: &str, prefix: &str) -> String {
    let parts = sscc.split_at_checked(1).and_then(|(extension, rest)| {
        let rest = rest.strip_prefix(prefix).filter(|_| !prefix.is_empty())?;
        let (serial, check) = rest.split_at_checked(rest.len().checked_sub(1)?)?;
        Some(format!("{extension} {prefix} {serial} {check}"))
    });
    parts.unwrap_or_else(|| sscc.to_owned())
}

/// Sets the shop's GS1 company prefix, from which its cartons get their SSCC.
///
/// # Errors
///
/// [`Error::Invalid`] for what is no prefix.
pub fn set_company_prefix(tx: &mut Tx<'_>, prefix: &str) -> Result<(), Error> {
    Sscc::build(0, prefix, 0)
        .map_err(|fault| Error::invalid("labels.prefix", format!("company prefix: {fault}")))?;
    Ok(people::put_setting(tx.conn, PREFIX, prefix)?)
}

/// Sets the shop's global location number, by which others know where things happened.
///
/// # Errors
///
/// [`Error::Invalid`] for what is none.
pub fn set_location_number(tx: &mut Tx<'_>, number: &str) -> Result<(), Error> {
    let year = chrono::Datelike::year(&tx.today());
    element("414", number, year)
        .map_err(|fault| Error::invalid("labels.gln", format!("location number: {fault}")))?;
    Ok(people::put_setting(tx.conn, LOCATION, number)?)
}

/// Returns the sheet of that word, or the one that a TOML text describes.
///
/// # Errors
///
/// [`Error::Invalid`] with the line at fault.
pub fn sheet(text: &str) -> Result<Sheet, Error> {
    if let Some(sheet) = Sheet::built_in(text.trim()) {
        return Ok(sheet);
    }
    text.parse().map_err(|fault| Error::invalid("labels.sheet", format!("sheet: {fault}")))
}

/// The first labels of a print as pictures, and what falls short of the rules of GS1.
#[derive(Debug, Clone)]
pub struct LookedAt {
    /// Each as SVG.
    pub pictures: Vec<String>,
    /// How many labels there would be.
    pub labels: usize,
    /// Rules that the labels fall short of, each once.
    pub warnings: Vec<String>,
}

/// Returns the first labels of a print as pictures, as they would come now.
///
/// It counts the print and gives out numbers as [`print`] does: rehearse it, so that nothing is
/// kept.
///
/// # Errors
///
/// As [`print`].
pub fn look_at(tx: &mut Tx<'_>, job: &PrintJob) -> Result<LookedAt, Error> {
    let copies = job.copies()?;
    let first = record_all(tx, job, copies)?;
    let facts = all_facts(tx, job, copies, &first)?;
    let layout = layout(tx.conn, job.kind)?;
    paper::labels(&layout, &facts, &job.media)
        .map_err(|fault| told(job, &layout, &facts, fault))?;
    let (mut pictures, mut said) = (Vec::new(), Vec::new());
    for it in facts.iter().take(LOOKED_AT) {
        let marks = label_marks(&layout, it).map_err(|fault| unprintable(fault.into()))?;
        pictures.push(label_svg(&layout, &marks));
        let found = warnings(&layout, it, &text_width).map_err(|it| unprintable(it.into()))?;
        said.extend(found.iter().map(ToString::to_string));
    }
    said.dedup();
    Ok(LookedAt { pictures, labels: facts.len(), warnings: said })
}

/// One print of a label.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PrintView {
    /// The kind of label.
    pub kind: String,
    /// What it names: a carton or kit number, or part number, slash, and lot, serial or run.
    pub identity: String,
    /// Which print of it, from 1; labels of later ones say "copy" and this number.
    pub number: i64,
    /// How many labels it was.
    pub labels: i64,
    /// When.
    pub at: NaiveDateTime,
    /// Who printed it.
    pub by: Option<String>,
    /// Whether this is the last one: an earlier label of a piece, kit or carton is void.
    pub valid: bool,
}

/// Returns prints, of which the last ones come first, and which of them are void.
fn views(rows: Vec<store::PrintRow>) -> Vec<PrintView> {
    let mut seen = BTreeSet::new();
    let view = |it: store::PrintRow| {
        let is_last = seen.insert((it.kind.clone(), it.identity.clone()));
        let counting = it.kind.parse().map_or(Counting::None, LabelKind::counting);
        PrintView {
            kind: it.kind,
            identity: it.identity,
            number: it.number,
            labels: it.labels,
            at: it.at,
            by: it.by,
            valid: is_last || counting != Counting::EachLabel,
        }
    };
    rows.into_iter().map(view).collect()
}

/// Returns the prints of an identity, the last one of each kind first; only that one is valid
/// where two labels alike would be a mistake.
///
/// # Errors
///
/// [`Error::Database`].
pub fn prints(
    conn: &mut Conn,
    kind: Option<LabelKind>,
    identity: &str,
) -> Result<Vec<PrintView>, Error> {
    Ok(views(store::prints(conn, kind.map(LabelKind::word), identity)?))
}

/// Returns the last prints of the shop.
///
/// # Errors
///
/// [`Error::Database`].
pub fn last_prints(conn: &mut Conn) -> Result<Vec<PrintView>, Error> {
    Ok(views(store::last_prints(conn, 50)?))
}
