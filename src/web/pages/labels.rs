//! Labels to print.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::{Choice, Fields, Frame, Task, Visit, refusal};
use crate::domain::labels::LabelKind;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
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
    /// Roll or sheets.
    pub papers: Vec<Choice>,
    /// Labels side by side on a sheet.
    pub columns: String,
    /// Labels one below the other on a sheet.
    pub rows: String,
    /// The first label of the first sheet that is still free.
    pub start: String,
}

impl LabelsPage {
    fn new(frame: Frame, form: &Fields) -> Self {
        let chosen = |name: &str, otherwise: &str| match form.text(name) {
            "" => otherwise.to_owned(),
            text => text.to_owned(),
        };
        let (kind, paper) = (chosen("kind", "part"), chosen("paper", "roll"));
        let choice = |value: &str, words: &str, now: &str| {
            let choice = Choice::new(value, words);
            if value == now { choice.chosen() } else { choice }
        };
        Self {
            frame,
            kinds: LabelKind::ALL
                .iter()
                .map(|it| choice(it.word(), kind_words(*it), &kind))
                .collect(),
            of: form.text("of").to_owned(),
            copies: chosen("copies", "1"),
            papers: vec![
                choice("roll", "Roll, a label a page", &paper),
                choice("a4", "A4 sheets of labels", &paper),
            ],
            columns: chosen("columns", "3"),
            rows: chosen("rows", "7"),
            start: chosen("start", "1"),
        }
    }
}

const fn kind_words(kind: LabelKind) -> &'static str {
    match kind {
        LabelKind::Part => "Part: part numbers",
        LabelKind::Bin => "Bin: bin codes",
        LabelKind::Lot => "Lot: part number/lot",
        LabelKind::Serial => "Serial: part number/serial",
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
    Ok(visit.show(&LabelsPage::new(frame, &asked)))
}

#[post("/labels")]
pub(super) async fn post_print(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may_post(Permission::PrintLabels, &form)?;
    match printed(&visit, &form).await {
        Ok(bytes) => Ok(page::pdf("labels.pdf", bytes)),
        Err(error) => {
            let answer = refusal(error)?;
            let frame = visit.answered(Task::Labels, Some(answer)).await?;
            Ok(visit.show_refused(&LabelsPage::new(frame, &form)))
        }
    }
}

async fn printed(visit: &Visit, form: &Fields) -> Result<Vec<u8>, Error> {
    let kind: LabelKind = form.read("kind", "kind")?.unwrap_or(LabelKind::Part);
    let lines = form.text("of").lines().map(str::trim).filter(|it| !it.is_empty());
    let of: Vec<String> = lines.map(str::to_owned).collect();
    let copies = form.read("copies", "copies")?.unwrap_or(1);
    let media = match form.text("paper") {
        "a4" => Media::A4 {
            columns: form.read("columns", "columns")?.unwrap_or(1),
            rows: form.read("rows", "rows")?.unwrap_or(1),
            start: form.read("start", "first free label")?.unwrap_or(1),
        },
        _ => Media::Roll,
    };
    visit.app.read(move |conn| ops::labels::labels(conn, kind, &of, copies, media)).await
}
