//! Labels to print.

pub mod layouts;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::printers::print_on::{PrintersAt, print};
use super::words::Moment;
use super::{Choice, Fields, Frame, Task, Visit, refusal};
use crate::domain::codes::without_print;
use crate::domain::labels::{LabelKind, Sheet};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::labels::{LookedAt, PrintJob, PrintView};
use crate::ops::printing::Document;
use crate::paper::Media;
use crate::web::page::{self, PageError};

/// The page at `/labels`.
#[derive(Debug, Template)]
#[template(path = "labels/form.html")]
pub struct LabelsPage {
    /// The page around it.
    pub frame: Frame,
    /// The kinds of label.
    pub kinds: Vec<Choice>,
    /// What to label, one number or code a line.
    pub of: String,
    /// How many of each.
    pub copies: String,
    /// A remark.
    pub note: String,
    /// Roll or sheets.
    pub papers: Vec<Choice>,
    /// Labels side by side on a sheet.
    pub columns: String,
    /// Labels one below the other on a sheet.
    pub rows: String,
    /// A sheet of another form, as TOML.
    pub sheet: String,
    /// The first label of the first sheet that is still free.
    pub start: String,
    /// The printers that take labels.
    pub takers: Vec<Choice>,
    /// The first labels as they would come, once they were asked for.
    pub look: Option<LookedAt>,
}

impl LabelsPage {
    fn new(frame: Frame, form: &Fields, printers: &PrintersAt, look: Option<LookedAt>) -> Self {
        let chosen = |name: &str, otherwise: &str| match form.text(name) {
            "" => otherwise.to_owned(),
            text => text.to_owned(),
        };
        let (kind, paper) = (chosen("kind", "part"), chosen("paper", "roll"));
        let choice = |value: &str, words: &str, now: &str| {
            let choice = Choice::new(value, words);
            if value == now { choice.chosen() } else { choice }
        };
        let built_in = Sheet::BUILT_IN
            .into_iter()
            .filter_map(|(word, _)| Sheet::built_in(word).map(|it| choice(word, &it.name, &paper)));
        let mut papers = vec![choice("roll", "Roll, a label a page", &paper)];
        papers.extend(built_in);
        papers.push(choice("grid", "A4, a grid of my own", &paper));
        let takers = printers.for_labels().into_iter();
        let takers =
            takers.map(|it| choice(&it.number.to_string(), &it.name, form.text("printer")));
        papers.push(choice("described", "A sheet described below", &paper));
        Self {
            frame,
            kinds: LabelKind::ALL
                .iter()
                .map(|it| choice(it.word(), kind_words(*it), &kind))
                .collect(),
            of: form.text("of").to_owned(),
            copies: chosen("copies", "1"),
            note: form.text("note").to_owned(),
            papers,
            columns: chosen("columns", "3"),
            rows: chosen("rows", "7"),
            sheet: form.text("sheet").to_owned(),
            start: chosen("start", "1"),
            takers: takers.collect(),
            look,
        }
    }
}

const fn kind_words(kind: LabelKind) -> &'static str {
    match kind {
        LabelKind::Part => "Part: part numbers",
        LabelKind::Bin => "Bin: bin codes",
        LabelKind::TwoBin => "Two-bin cards: part numbers",
        LabelKind::Lot => "Lot: part number/lot",
        LabelKind::Serial => "Serial: part number/serial",
        LabelKind::Quarantine => "Quarantine: part number or part number/lot",
        LabelKind::Bag => "Bag: part number/run",
        LabelKind::Kit => "Kit: kit numbers",
        LabelKind::Carton => "Carton: carton numbers",
    }
}

#[get("/labels")]
pub(super) async fn get_form(
    visit: Visit,
    asked: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::PrintLabels)?;
    let frame = visit.frame(Task::Labels).await?;
    let printers = PrintersAt::of(&visit, String::new()).await?;
    Ok(visit.show(&LabelsPage::new(frame, &asked, &printers, None)))
}

#[post("/labels")]
pub(super) async fn post_print(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::PrintLabels, &form)?;
    let printers = PrintersAt::of(&visit, String::new()).await?;
    if form.text("do") == "print"
        && let Ok(job) = job(&form)
    {
        let document = Document::Labels(job);
        return print(&visit, who, &form, document, ("/labels", "/labels")).await;
    }
    let is_look = form.text("do") == "look";
    let done = match job(&form) {
        Err(error) => Err(error),
        Ok(job) if is_look => {
            let look = visit.app.rehearse(who, move |tx| ops::labels::look_at(tx, &job)).await;
            look.map(|it| (Vec::new(), Some(it)))
        }
        Ok(job) => {
            let key = form.key()?;
            let bytes =
                visit.app.write_long(who, move |tx| ops::labels::print(tx, &key, &job)).await;
            bytes.map(|it| (it, None))
        }
    };
    match done {
        Ok((bytes, None)) => Ok(page::pdf("labels.pdf", bytes)),
        Ok((_, look)) => {
            let frame = visit.answered(Task::Labels, None).await?;
            Ok(visit.show(&LabelsPage::new(frame, &form, &printers, look)))
        }
        Err(error) => {
            let answer = refusal(error)?;
            let frame = visit.answered(Task::Labels, Some(answer)).await?;
            Ok(visit.show_refused(&LabelsPage::new(frame, &form, &printers, None)))
        }
    }
}

fn job(form: &Fields) -> Result<PrintJob, Error> {
    let kind: LabelKind = form.read("kind", "kind")?.unwrap_or(LabelKind::Part);
    let lines = form.text("of").lines().map(str::trim).filter(|it| !it.is_empty());
    let ids: Vec<String> = lines.map(str::to_owned).collect();
    let copies = form.read("copies", "copies")?.unwrap_or(1);
    let start = form.read("start", "first free label")?.unwrap_or(1);
    let sheet = match form.text("paper") {
        "" | "roll" => None,
        "grid" => Some(Sheet::a4(
            form.read("columns", "columns")?.unwrap_or(1),
            form.read("rows", "rows")?.unwrap_or(1),
        )),
        "described" => Some(ops::labels::sheet(form.text("sheet"))?),
        word => Some(ops::labels::sheet(word)?),
    };
    let media = sheet.map_or(Media::Roll, |sheet| Media::Sheet { sheet, start });
    Ok(PrintJob { kind, ids, copies, note: form.text("note").to_owned(), media })
}

/// One print on the page of prints.
#[derive(Debug, Clone)]
pub struct PrintLine {
    /// The kind of label and what it names.
    pub what: String,
    /// What to ask for, to see its other prints.
    pub identity: String,
    /// Which print of it.
    pub number: String,
    /// How many labels it was.
    pub labels: i64,
    /// When and by whom.
    pub when: String,
    /// Whether a later print has taken its place.
    pub void: bool,
}

impl From<PrintView> for PrintLine {
    fn from(it: PrintView) -> Self {
        let by = it.by.unwrap_or_else(|| "the command line".to_owned());
        Self {
            what: format!("{} {}", it.kind, it.identity),
            number: if it.number == 1 { "first".to_owned() } else { format!("copy {}", it.number) },
            identity: it.identity,
            labels: it.labels,
            when: format!("{}, {by}", Moment(it.at)),
            void: !it.valid,
        }
    }
}

/// The page at `/labels/prints`.
#[derive(Debug, Template)]
#[template(path = "labels/prints.html")]
pub struct PrintsPage {
    /// The page around it.
    pub frame: Frame,
    /// What was asked for; the last prints of the shop where it is empty.
    pub q: String,
    /// The prints.
    pub prints: Vec<PrintLine>,
}

#[get("/labels/prints")]
pub(super) async fn get_prints(
    visit: Visit,
    asked: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::PrintLabels)?;
    let q = without_print(asked.text("q")).to_owned();
    let identity = q.clone();
    let found = visit.app.read(move |conn| match identity.as_str() {
        "" => ops::labels::last_prints(conn),
        identity => ops::labels::prints(conn, None, identity),
    });
    let prints = found.await?.into_iter().map(PrintLine::from).collect();
    let frame = visit.frame(Task::Labels).await?;
    Ok(visit.show(&PrintsPage { frame, q, prints }))
}
