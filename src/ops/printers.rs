//! The shop's printers: which there are, and what each is for.

use std::collections::BTreeMap;
use std::future::Future;

use serde::Serialize;

use crate::domain::ids::PrinterId;
use crate::domain::printing::{PaperKind, PrinterMedia, PrinterUri};
use crate::error::Error;
use crate::printer::{self, Abilities, Certificate, FaultKind, PrinterStage, Target};
use crate::store::printing::{self as store, PrinterFields, PrinterRow};
use crate::store::{Conn, Tx};

use super::once::{RequestKey, once};

/// A printer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PrinterView {
    /// Its number.
    pub number: i64,
    /// Its name in the shop.
    pub name: String,
    /// Its address.
    pub uri: String,
    /// What it is loaded with: a4, letter, or width x height of a label in mm.
    pub media: String,
    /// The SHA-256 digest of the certificate that it must show, where its address is encrypted.
    pub certificate: Option<String>,
    /// The labels and papers that it takes.
    pub papers: Vec<String>,
    /// Those of them for which it is named first.
    pub first_for: Vec<String>,
    /// Whether it is in use no more.
    pub retired: bool,
}

/// What is entered of a printer.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct PrinterEntry {
    /// Its name in the shop.
    pub name: String,
    /// Its address.
    pub uri: String,
    /// What it is loaded with: a4, letter, or width x height of a label in mm.
    pub media: String,
    /// The SHA-256 digest of the certificate that it must show; empty where there is none.
    pub certificate: String,
    /// The labels and papers that it takes.
    pub papers: Vec<String>,
    /// Those of them for which it is named first.
    pub first_for: Vec<String>,
    /// Whether it is in use no more.
    pub retired: bool,
}

fn view(row: PrinterRow, papers: &[(PrinterId, String, bool)]) -> PrinterView {
    let own = papers.iter().filter(|it| it.0 == row.id);
    PrinterView {
        number: row.id.into(),
        name: row.name,
        uri: row.uri,
        media: row.media,
        certificate: row.certificate,
        papers: own.clone().map(|it| it.1.clone()).collect(),
        first_for: own.filter(|it| it.2).map(|it| it.1.clone()).collect(),
        retired: row.retired,
    }
}

/// Returns every printer, those in use first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn printers(conn: &mut Conn) -> Result<Vec<PrinterView>, Error> {
    let papers = store::papers(conn)?;
    Ok(store::printers(conn)?.into_iter().map(|it| view(it, &papers)).collect())
}

/// Returns a printer.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn printer(conn: &mut Conn, id: PrinterId) -> Result<PrinterView, Error> {
    let papers = store::papers(conn)?;
    Ok(view(row(conn, id)?, &papers))
}

fn row(conn: &mut Conn, id: PrinterId) -> Result<PrinterRow, Error> {
    store::printer(conn, id)?.ok_or_else(|| Error::not_found("printer", id.to_string()))
}

/// A printer that may be chosen for a paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrinterChoice {
    /// Its number.
    pub number: i64,
    /// Its name in the shop.
    pub name: String,
}

/// Returns the printers in use for each paper, by its word, the one named first at the head.
///
/// # Errors
///
/// [`Error::Database`].
pub fn choices(conn: &mut Conn) -> Result<BTreeMap<String, Vec<PrinterChoice>>, Error> {
    let mut all: BTreeMap<String, Vec<PrinterChoice>> = BTreeMap::new();
    for (paper, id, name) in store::choices(conn)? {
        all.entry(paper).or_default().push(PrinterChoice { number: id.into(), name });
    }
    Ok(all)
}

/// What was entered, once it has proved to be right.
struct Checked {
    uri: PrinterUri,
    media: PrinterMedia,
    certificate: Option<Certificate>,
    papers: Vec<(PaperKind, bool)>,
}

fn check(it: &PrinterEntry) -> Result<Checked, Error> {
    let fault =
        |field: &str, what: String| Error::invalid("printers.entry", format!("{field}: {what}"));
    let named = it.name.trim();
    if named.is_empty() || 60 < named.chars().count() {
        return Err(fault("name", "give it a name of at most 60 characters".to_owned()));
    }
    let uri: PrinterUri = it
        .uri
        .parse()
        .map_err(|fault| Error::invalid("printers.address", format!("address: {fault}")))?;
    let media = it.media.parse().map_err(|it: crate::domain::printing::PrinterMediaError| {
        fault("loaded with", it.to_string())
    })?;
    let certificate = match it.certificate.trim() {
        "" => None,
        text if uri.is_encrypted() => {
            Some(text.parse::<Certificate>().map_err(|it| fault("certificate", it))?)
        }
        _ => return Err(fault("certificate", "only an ipps:// address has one".to_owned())),
    };
    let mut papers = Vec::new();
    for paper in PaperKind::all() {
        let has = |list: &[String]| list.iter().any(|it| it == paper.word());
        match (has(&it.papers), has(&it.first_for)) {
            (true, first) => papers.push((paper, first)),
            (false, true) => {
                let what = format!("the {} must be among what it takes", paper.words());
                return Err(fault("named first for", what));
            }
            (false, false) => {}
        }
    }
    for word in it.papers.iter().chain(&it.first_for) {
        word.parse::<PaperKind>().map_err(|it| fault("takes", it))?;
    }
    if papers.is_empty() {
        return Err(fault("takes", "tick at least one label or paper".to_owned()));
    }
    Ok(Checked { uri, media, certificate, papers })
}

/// Writes a printer, anew where `id` names one, and returns its number.
///
/// # Errors
///
/// [`Error::Invalid`] for what is entered wrong, [`Error::Conflict`] for a name that another one
/// has.
pub fn save(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    id: Option<PrinterId>,
    it: &PrinterEntry,
) -> Result<i64, Error> {
    once(tx, key, "printers.save", &(id.map(i64::from), it), |tx| {
        let checked = check(it)?;
        if let Some(id) = id {
            row(tx.conn, id)?;
        }
        let name = it.name.trim();
        let all = store::printers(tx.conn)?;
        if all.iter().any(|row| row.name == name && Some(row.id) != id) {
            let message = format!("there is a printer '{name}' already: choose another name");
            return Err(Error::conflict("printers.name_taken", message));
        }
        let (uri, media) = (checked.uri.to_string(), checked.media.to_string());
        let certificate = checked.certificate.map(|it| it.hex());
        let fields = PrinterFields {
            name,
            uri: &uri,
            media: &media,
            certificate: certificate.as_deref(),
            retired: it.retired,
        };
        let by = (tx.now, tx.who.user());
        let id = match id {
            Some(id) => {
                store::put(tx.conn, id, &fields, by)?;
                id
            }
            None => store::add(tx.conn, &fields, by)?,
        };
        // A printer that is in use no more is named first for nothing.
        let papers: Vec<(&str, bool)> = checked
            .papers
            .iter()
            .map(|(it, first)| (it.word(), *first && !fields.retired))
            .collect();
        store::put_papers(tx.conn, id, &papers)?;
        Ok(id.into())
    })
}

/// What a printer answered when it was tried, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct TriedView {
    /// Whether it can be printed on now.
    pub ready: bool,
    /// What it said, or why it could not be asked, a sentence each.
    pub words: Vec<String>,
    /// The SHA-256 digest of the certificate that it shows, where that is to be confirmed.
    pub certificate: Option<String>,
}

/// Returns what is told of asking that printer how it stands; nothing is printed. It takes no
/// longer than the printer may take to answer: 15 seconds.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn try_it(
    conn: &mut Conn,
    id: PrinterId,
) -> Result<impl Future<Output = TriedView> + Send + use<>, Error> {
    let row = row(conn, id)?;
    let target = target(&row.uri, row.certificate.as_deref())?;
    let media: PrinterMedia = stored(row.media.parse())?;
    Ok(async move {
        match printer::abilities(&target).await {
            Ok(it) => answered(&it, media),
            Err(fault) => {
                let certificate = match &fault.kind {
                    FaultKind::Untrusted(it) => Some(it.to_string()),
                    _ => None,
                };
                TriedView { ready: false, words: vec![fault.words], certificate }
            }
        }
    })
}

/// Returns the printer at an address as it is stored.
pub(super) fn target(uri: &str, certificate: Option<&str>) -> Result<Target, Error> {
    let certificate = certificate.map(|it| stored(it.parse())).transpose()?;
    Ok(Target { uri: stored(uri.parse())?, certificate })
}

pub(super) fn stored<T, E: std::fmt::Display>(read: Result<T, E>) -> Result<T, Error> {
    read.map_err(|fault| Error::Internal(format!("what is stored can't be read: {fault}")))
}

fn answered(it: &Abilities, media: PrinterMedia) -> TriedView {
    let mut words = Vec::new();
    if !it.model.is_empty() {
        words.push(format!("it is a {}", it.model));
    }
    words.push(format!("it {}", stage_words(it)));
    words.push(if it.accepts { "it takes jobs" } else { "it takes no jobs" }.to_owned());
    words.push(match it.takes_pdf {
        true => "it takes PDF".to_owned(),
        false => {
            "it takes no PDF: print on it through a print server that turns PDF into what it takes"
                .to_owned()
        }
    });
    if !it.takes_unscaled {
        words.push("it can't be told to print at 100 %: turn scaling off in its own settings, or bar codes come out too small".to_owned());
    }
    let names = it.media.iter().map(String::as_str);
    words.push(match media.named_by(names) {
        Some(name) => format!("it has {} ({name})", media.words()),
        None => format!(
            "it does not name {}, so it prints on whatever it is loaded with",
            media.words()
        ),
    });
    if !it.takes_in_two {
        words.push("it takes a job only whole: where a connection breaks off, it may not be able to tell whether it printed".to_owned());
    }
    let ready = it.accepts && it.takes_pdf && it.stage != PrinterStage::Stopped;
    TriedView { ready, words, certificate: None }
}

/// Returns how a printer stands, to follow its name, with its reasons.
pub(super) fn stage_words(it: &Abilities) -> String {
    let stage = match it.stage {
        PrinterStage::Idle => "waits for a job",
        PrinterStage::Printing => "is printing",
        PrinterStage::Stopped => "has stopped",
        PrinterStage::Unknown => "does not say how it stands",
    };
    with_reasons(stage, &it.reasons, &it.message)
}

/// Returns words with the printer's keywords and its own words after them.
pub(super) fn with_reasons(words: &str, reasons: &[String], message: &str) -> String {
    let reasons: Vec<String> = reasons.iter().map(|it| reason_words(it)).collect();
    let because = match reasons.as_slice() {
        [] => String::new(),
        all => format!(": {}", all.join(", ")),
    };
    let said = match message {
        "" => String::new(),
        message => format!(" (“{message}”)"),
    };
    format!("{words}{because}{said}")
}

/// Returns a printer's keyword in words; one that is not known without its hyphens.
fn reason_words(keyword: &str) -> String {
    let (keyword, end) = match keyword {
        it if it.ends_with("-error") => (it.trim_end_matches("-error"), ""),
        it if it.ends_with("-warning") => (it.trim_end_matches("-warning"), " (still prints)"),
        it => (it.trim_end_matches("-report"), ""),
    };
    let words = match keyword {
        "media-empty" => "no paper or labels",
        "media-needed" => "other paper is wanted",
        "media-low" => "paper or labels run out soon",
        "media-jam" => "paper jam",
        "cover-open" | "door-open" => "a cover is open",
        "input-tray-missing" => "the tray is missing",
        "output-area-full" => "the output tray is full",
        "marker-supply-empty" | "toner-empty" => "no toner, ink or ribbon",
        "marker-supply-low" | "toner-low" => "toner, ink or ribbon runs out soon",
        "paused" => "somebody has paused it",
        "offline" | "shutdown" | "connecting-to-device" => "the device itself does not answer",
        "spool-area-full" => "its memory is full",
        "job-printing" => "printing",
        "job-completed-successfully" => "done",
        "job-incoming" => "still coming in",
        "printer-stopped" => "the printer has stopped",
        other => return format!("{}{end}", other.replace('-', " ")),
    };
    format!("{words}{end}")
}
