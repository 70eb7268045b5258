//! What German or French lacks of the bills in use, each with the form that mends it.

use actix_web::{HttpResponse, get};
use askama::Template;

use super::entries::encoded;
use super::words::Word;
use super::{Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::domain::translations::{MissingRow, MissingText, RowOf};
use crate::ops;
use crate::web::page::PageError;

/// The page at `/glossary/missing`.
#[derive(Debug, Template)]
#[template(path = "parts/missing.html")]
pub struct MissingPage {
    /// The page around it.
    pub frame: Frame,
    /// How many are missing.
    pub count: usize,
    /// What the glossary lacks.
    pub texts: Vec<TextRow>,
    /// What bills lack.
    pub bills: Vec<BillRows>,
    /// Whether the person may mend it.
    pub may_edit: bool,
}

/// A text that the glossary lacks words for.
#[derive(Debug)]
pub struct TextRow {
    /// The text.
    pub text: String,
    /// Where it is said.
    pub said_as: Word,
    /// The languages.
    pub languages: String,
    /// Its form.
    pub href: String,
}

/// The steps and joints of a revision that lack words.
#[derive(Debug)]
pub struct BillRows {
    /// The bill and its revision.
    pub title: String,
    /// How the revision stands.
    pub stands: Word,
    /// The rows.
    pub rows: Vec<BillRow>,
}

/// A step or joint that lacks words in a language.
#[derive(Debug)]
pub struct BillRow {
    /// Which step or joint.
    pub of: String,
    /// What it is called.
    pub title: String,
    /// The language.
    pub language: Word,
    /// What is missing.
    pub lacks: String,
    /// Its form.
    pub href: String,
}

fn text_row((it, entered): (MissingText, bool)) -> TextRow {
    let names: Vec<Word> = it.languages.iter().map(|it| it.english_name()).collect();
    TextRow {
        href: match entered {
            true => format!("/glossary/{}/edit", encoded(&it.text)),
            false => format!("/glossary/new?text={}", encoded(&it.text)),
        },
        said_as: it.said_as,
        languages: names.join(", "),
        text: it.text,
    }
}

fn bill_row(bill: &str, it: MissingRow) -> BillRow {
    let (of, record) = match it.of {
        RowOf::Step => ("Step", "words"),
        RowOf::Joint => ("Joint", "joint-words"),
    };
    let has_some = it.of == RowOf::Step && !it.lacks.contains(&"title");
    let wanted = match has_some {
        true => format!("row={}", encoded(&format!("{record} {} {}", it.number, it.language))),
        false => format!("record={record}&number={}&language={}", it.number, it.language),
    };
    BillRow {
        of: format!("{of} {}", it.number),
        title: it.title,
        language: it.language.english_name(),
        lacks: it.lacks.join(", "),
        href: format!("{bill}/row?{wanted}"),
    }
}

#[get("/glossary/missing")]
pub(super) async fn get_missing(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let view = visit.app.read(move |conn| ops::translations::missing(conn, today)).await?;
    let count = view.count();
    let bills = view.bills.into_iter().map(|(code, revision, stands, rows)| {
        let href = super::drafts::href_of(&code, &revision);
        BillRows {
            title: format!("{code} {revision}"),
            stands: stands.words(),
            rows: rows.into_iter().map(|it| bill_row(&href, it)).collect(),
        }
    });
    let page = MissingPage {
        count,
        texts: view.texts.into_iter().map(text_row).collect(),
        bills: bills.collect(),
        may_edit: visit.can(Permission::EditCatalogue),
        frame: visit.frame(Task::Parts).await?,
    };
    Ok(visit.show(&page))
}
