//! Files from elsewhere, and files to take elsewhere.

use actix_multipart::form::bytes::Bytes;
use actix_multipart::form::text::Text;
use actix_multipart::form::{MultipartForm, MultipartFormConfig};
use actix_web::{HttpResponse, get, post};
use askama::Template;

use super::{Answer, Choice, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::{Fault, Kind};
use crate::ops;
use crate::ops::changes::Comparison;
use crate::ops::exchange::Imported;
use crate::web::page::PageError;

/// The most bytes of a file: some fifty thousand lines.
const MOST_BYTES: usize = 8 * 1024 * 1024;

/// The page at `/import`.
#[derive(Debug, Template)]
#[template(path = "import/form.html")]
pub struct ImportPage {
    /// The page around it.
    pub frame: Frame,
    /// The kinds of file that can be read.
    pub kinds: Vec<Choice>,
    /// What the last file said, once one was sent.
    pub report: Option<ImportReport>,
}

/// What a file said.
#[derive(Debug)]
pub struct ImportReport {
    /// The file's name.
    pub file: String,
    /// The kind it was read as, in words.
    pub kind: String,
    /// What was done, or would be, in a sentence.
    pub words: String,
    /// Its faults; any fault keeps the whole file out.
    pub faults: Vec<ImportFault>,
    /// What it changes, for kinds whose records are changed by files.
    pub changes: Option<ImportChanges>,
}

/// What a file changes, or has changed.
#[derive(Debug)]
pub struct ImportChanges {
    /// Whether it has been done.
    pub done: bool,
    /// The records that are new or changed; the first of them where they are many.
    pub records: Vec<ChangedRecord>,
    /// How many more there are.
    pub more: usize,
    /// How many records are just so already.
    pub unchanged: u64,
    /// The records that the shop has and the file lacks, in words; empty where there are none.
    pub absent: String,
}

/// A record that is new or changed.
#[derive(Debug)]
pub struct ChangedRecord {
    /// Its key.
    pub key: String,
    /// Whether it is new.
    pub new: bool,
    /// Its fields before and after.
    pub fields: Vec<ops::changes::FieldView>,
}

/// How many changed records a page shows.
const MOST_SHOWN: usize = 300;

fn import_changes(it: Comparison, done: bool) -> ImportChanges {
    let record = |it: ops::changes::RecordChange| ChangedRecord {
        key: it.key,
        new: it.new,
        fields: it.fields,
    };
    let (count, names) = (it.absent.len(), it.absent.iter().take(20).cloned().collect::<Vec<_>>());
    let absent = match count {
        0 => String::new(),
        1 => format!("1 record that the file lacks stays as it is: {}.", names.join(", ")),
        _ => {
            let more = if names.len() < count { " and others" } else { "" };
            format!(
                "{count} records that the file lacks stay as they are: {}{more}.",
                names.join(", ")
            )
        }
    };
    ImportChanges {
        done,
        more: it.changed.len().saturating_sub(MOST_SHOWN),
        records: it.changed.into_iter().take(MOST_SHOWN).map(record).collect(),
        unchanged: it.unchanged,
        absent,
    }
}

/// One fault of a file.
#[derive(Debug)]
pub struct ImportFault {
    /// The line, counted from 1 with the heading.
    pub line: u64,
    /// The column's heading; empty where the whole line is at fault.
    pub column: String,
    /// What is wrong, and how to mend it.
    pub message: String,
}

impl From<Fault> for ImportFault {
    fn from(fault: Fault) -> Self {
        Self { line: fault.line, column: fault.column, message: fault.message }
    }
}

#[derive(MultipartForm)]
pub(super) struct Upload {
    csrf: Text<String>,
    kind: Text<String>,
    #[multipart(rename = "do")]
    action: Text<String>,
    #[multipart(limit = "8 MiB")]
    file: Bytes,
}

/// Returns how much of a form with a file is read.
pub(super) fn limits() -> MultipartFormConfig {
    MultipartFormConfig::default().total_limit(MOST_BYTES + 4096).memory_limit(MOST_BYTES + 4096)
}

#[get("/import")]
pub(super) async fn get_form(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManageOrders)?;
    let frame = visit.frame(Task::Import).await?;
    Ok(visit.show(&ImportPage { frame, kinds: kinds(""), report: None }))
}

fn kinds(chosen: &str) -> Vec<Choice> {
    let choice = |it: Kind| {
        let choice = Choice::new(it.as_str(), kind_words(it));
        if it.as_str() == chosen { choice.chosen() } else { choice }
    };
    Kind::ALL.into_iter().map(choice).collect()
}

const fn kind_words(kind: Kind) -> &'static str {
    match kind {
        Kind::Suppliers => "Suppliers",
        Kind::Bins => "Bins",
        Kind::Parts => "Parts",
        Kind::Glossary => "Words in other languages",
        Kind::AirCharts => "Air charts",
        Kind::Substitutions => "Substitutions",
        Kind::Policies => "Policies",
        Kind::Plan => "Plan",
        Kind::DemandHistory => "Demand history",
        Kind::Kits => "Kits and steps",
        Kind::Stock => "Stock",
        Kind::Orders => "Orders",
        Kind::PurchaseOrders => "Purchase orders",
    }
}

#[post("/import")]
pub(super) async fn post_import(
    visit: Visit,
    upload: MultipartForm<Upload>,
) -> Result<HttpResponse, PageError> {
    let who = visit.visitor.may_post(Permission::ManageOrders, &upload.csrf)?;
    let upload = upload.into_inner();
    let kind: Kind = upload
        .kind
        .parse()
        .map_err(|fault| Error::invalid("import.kind", format!("kind: {fault}")))?;
    let bytes = upload.file.data;
    let check_only = upload.action.as_str() == "check";
    let work = move |tx: &mut crate::store::Tx<'_>| ops::exchange::import(tx, kind, &bytes);
    let mut taken = match check_only {
        true => visit.app.rehearse(who, work).await,
        false => visit.app.write_long(who, work).await,
    };
    let changes = taken.as_mut().ok().and_then(|it| it.changes.take());
    let (answer, words, faults) = said(taken, check_only)?;
    let frame = visit.answered(Task::Import, Some(answer)).await?;
    let report = ImportReport {
        file: upload.file.file_name.unwrap_or_else(|| "the file".to_owned()),
        kind: kind_words(kind).to_lowercase(),
        words,
        faults,
        changes: changes.map(|it| import_changes(it, !check_only)),
    };
    let refused = !report.faults.is_empty();
    let page = ImportPage { frame, kinds: kinds(kind.as_str()), report: Some(report) };
    Ok(if refused { visit.show_refused(&page) } else { visit.show(&page) })
}

type Said = (Answer, String, Vec<ImportFault>);

fn said(taken: Result<Imported, Error>, check_only: bool) -> Result<Said, Error> {
    match taken {
        Ok(done) if check_only => {
            let words = format!("Nothing was changed. Imported, it would say: {}.", done.words);
            Ok((Answer::done("the file has no fault"), words, Vec::new()))
        }
        Ok(done) => {
            let words = "The books hold it now.".to_owned();
            Ok((Answer::done(done.words), words, Vec::new()))
        }
        Err(Error::Faults(faults)) => {
            let words = "Mend these in the file and send it again.".to_owned();
            let rows = faults.iter().cloned().map(ImportFault::from).collect();
            Ok((refusal(Error::Faults(faults))?, words, rows))
        }
        Err(error) => Ok((refusal(error)?, "Nothing was changed.".to_owned(), Vec::new())),
    }
}
