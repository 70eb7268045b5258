//! The forms beside each paper by which a printer of the shop prints it.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, post, web};
use askama::Template;

use crate::domain::ids::PrinterId;
use crate::domain::people::Permission;
use crate::domain::printing::PaperKind;
use crate::error::Error;
use crate::ops::labels::PrintJob;
use crate::ops::printers::{self, PrinterChoice};
use crate::ops::printing::{self, Document, PrintWish};
use crate::paper::Media;
use crate::store::Who;
use crate::web::page::PageError;
use crate::web::pages::sign_in::local;
use crate::web::pages::words::sentence;
use crate::web::pages::{Fields, Frame, Task, Visit};

/// The printers that a page offers for its papers.
#[derive(Debug, Clone, Default)]
pub struct PrintersAt {
    /// For each paper, by its word, the printers that take it, the one named first at the head.
    pub choices: BTreeMap<String, Vec<PrinterChoice>>,
    /// The page's own address, to come back to.
    pub back: String,
}

impl PrintersAt {
    /// Returns the printers that a page offers; none to a person who may not print.
    pub(in crate::web::pages) async fn of(visit: &Visit, back: String) -> Result<Self, Error> {
        if !visit.can(Permission::PrintLabels) {
            return Ok(Self::default());
        }
        Ok(Self { choices: visit.app.read(printers::choices).await?, back })
    }

    /// Returns the printers that take a paper.
    pub fn takers(&self, paper: &str) -> &[PrinterChoice] {
        self.choices.get(paper).map(Vec::as_slice).unwrap_or_default()
    }

    /// Returns the printers that take any label, each once, by name.
    pub fn for_labels(&self) -> Vec<PrinterChoice> {
        let labels = PaperKind::all().filter(|it| it.is_to_size());
        let mut all: Vec<PrinterChoice> =
            labels.flat_map(|it| self.takers(it.word()).to_vec()).collect();
        all.sort_by(|one, other| (&one.name, one.number).cmp(&(&other.name, other.number)));
        all.dedup();
        all
    }
}

/// The page that asks whether the same is to be printed once more.
#[derive(Debug, Template)]
#[template(path = "printers/again.html")]
pub struct AgainPage {
    /// The page around it.
    pub frame: Frame,
    /// What was printed already, where, when and by whom.
    pub words: String,
    /// Where the form is sent.
    pub action: &'static str,
    /// What was asked for, to be sent again.
    pub fields: Vec<(String, String)>,
    /// The page to go back to.
    pub back: String,
}

/// Puts into the queue what a form asks for, and answers it: with the page that it came from, or
/// with the question whether the same is to be printed once more.
pub(in crate::web::pages) async fn print(
    visit: &Visit,
    who: Who,
    form: &Fields,
    document: Document,
    (action, back): (&'static str, &str),
) -> Result<HttpResponse, PageError> {
    let key = form.key()?;
    let printer: Option<i64> = form.read("printer", "printer")?;
    let wish = PrintWish {
        document,
        printer: printer.map(PrinterId::from),
        again: form.ticked("again"),
        public_url: visit.app.settings().public_url.clone(),
    };
    let back = local(back);
    let work = move |tx: &mut crate::store::Tx<'_>| printing::print_on(tx, &key, &wish);
    match visit.app.write(who, work).await {
        Err(Error::Conflict { code: "printing.already", message }) => {
            let own = ["csrf", "request_key", "again"];
            let kept = form.pairs().filter(|(name, _)| !own.contains(name));
            let page = AgainPage {
                frame: visit.answered(Task::Labels, None).await?,
                words: sentence(&message),
                action,
                fields: kept.map(|(name, text)| (name.to_owned(), text.to_owned())).collect(),
                back: back.to_owned(),
            };
            Ok(visit.show(&page))
        }
        done => {
            let said = done
                .map(|it| format!("{} goes to {} as job {}", it.title, it.printer_name, it.number));
            visit.go(back, said)
        }
    }
}

/// Prints what stands on another page: one label, or a paper.
#[post("/print")]
pub(crate) async fn post_print(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::PrintLabels, &form)?;
    let of = form.text("of").to_owned();
    let paper: PaperKind = form.read("paper", "paper")?.ok_or_else(|| {
        Error::invalid("form.field", "paper: name what is to be printed".to_owned())
    })?;
    let document = match paper {
        PaperKind::Label(kind) => Document::Labels(PrintJob {
            kind,
            ids: vec![of],
            copies: 1,
            note: String::new(),
            media: Media::Roll,
        }),
        PaperKind::PackingList => {
            Document::PackingList { kit: of, position: form.read("carton", "carton")?.unwrap_or(1) }
        }
        PaperKind::PickList => Document::PickList(of),
        PaperKind::AssemblyCard => Document::AssemblyCard { kit: of, language: None, rider: None },
        PaperKind::PurchaseOrder => Document::PurchaseOrder(of),
        PaperKind::GoodsReceipt => Document::GoodsReceipt(of),
    };
    print(&visit, who, &form, document, ("/print", form.text("back"))).await
}
