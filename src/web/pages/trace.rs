//! From a lot or serial number to every kit and person that has a piece of it.

use actix_web::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION};
use actix_web::{HttpResponse, get, web};
use askama::Template;
use chrono::Datelike;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use serde::Deserialize;

use super::words::{Day, count_of};
use super::{Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::trace::{self, HolderView, InHouseView, Search, TraceView};
use crate::web::page::PageError;

/// The page at `/trace`.
#[derive(Debug, Template)]
#[template(path = "parts/trace.html")]
pub struct TracePage {
    /// The page around it.
    pub frame: Frame,
    /// The codes that were looked for, one on a line.
    pub codes: String,
    /// The part number that they are of; empty for any.
    pub part_number: String,
    /// Why nothing was looked for; empty where something was, or nothing was asked.
    pub refused: String,
    /// What was found, once something was asked.
    pub found: Option<Traced>,
}

/// What was found.
#[derive(Debug)]
pub struct Traced {
    /// All of it.
    pub view: TraceView,
    /// The kits.
    pub kits: Vec<HolderRow>,
    /// Where the file for letters is; empty for whom it is not.
    pub letters: String,
    /// Whether something is not known for certain.
    pub perhaps: bool,
}

/// A kit with pieces of what was looked for.
#[derive(Debug)]
pub struct HolderRow {
    /// It.
    pub it: HolderView,
    /// When it was handed over.
    pub handed_over: Option<Day>,
}

/// What to look for.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    codes: String,
    #[serde(default)]
    part: String,
}

/// Returns how many pieces of what was looked for a row holds, in words.
fn pieces_words(pieces: crate::units::Quantity, certain: bool) -> String {
    if certain { pieces.to_string() } else { format!("up to {pieces}") }
}

impl HolderRow {
    /// Returns how many pieces, in words.
    pub fn pieces(&self) -> String {
        pieces_words(self.it.pieces, self.it.certain)
    }
}

impl TracePage {
    /// Returns how many pieces lie at a place, in words.
    pub fn pieces(&self, row: &InHouseView) -> String {
        pieces_words(row.pieces, row.certain)
    }
}

impl Traced {
    /// Returns what was looked for and how many kits have it, in one sentence.
    pub fn sentence(&self) -> String {
        let kits: std::collections::BTreeSet<&str> =
            self.view.kits.iter().map(|it| it.kit.as_str()).collect();
        let came_in = self.view.came_in;
        if kits.is_empty() {
            return format!("{came_in} came in; no kit has any");
        }
        let have = if kits.len() == 1 { "has" } else { "have" };
        let may = if self.perhaps { " or may have" } else { "" };
        format!(
            "{came_in} came in; {} {have}{may} some",
            count_of(&kits.into_iter().collect::<Vec<_>>(), "kit", "kits")
        )
    }
}

#[get("/trace")]
pub(super) async fn get_trace(
    visit: Visit,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let search = Search::of_lines(&asked.codes, &asked.part);
    let (mut found, mut refused) = (None, String::new());
    if !search.codes.is_empty() {
        let year = visit.app.now().year();
        match visit.app.read(move |conn| trace::trace(conn, &search, year)).await {
            Ok(view) => found = Some(traced(&visit, view, &asked)),
            Err(Error::Invalid { message, .. }) => refused = message,
            Err(fault) => return Err(fault.into()),
        }
    }
    Ok(visit.show(&TracePage {
        frame: visit.frame(Task::Parts).await?,
        codes: asked.codes.clone(),
        part_number: asked.part.trim().to_owned(),
        refused,
        found,
    }))
}

fn traced(visit: &Visit, view: TraceView, asked: &Asked) -> Traced {
    let coded = |text: &str| utf8_percent_encode(text, NON_ALPHANUMERIC).to_string();
    let letters = match visit.may(Permission::ManageOrders) {
        Ok(_) => {
            format!("/trace/letters.csv?codes={}&part={}", coded(&asked.codes), coded(&asked.part))
        }
        Err(_) => String::new(),
    };
    let kits = view
        .kits
        .iter()
        .map(|it| HolderRow { it: it.clone(), handed_over: it.handed_over_on.map(Day) })
        .collect();
    let perhaps =
        view.kits.iter().any(|it| !it.certain) || view.in_house.iter().any(|it| !it.certain);
    Traced { kits, letters, perhaps, view }
}

#[get("/trace/letters.csv")]
pub(super) async fn get_letters(
    visit: Visit,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManageOrders)?;
    let search = Search::of_lines(&asked.codes, &asked.part);
    let year = visit.app.now().year();
    let text = visit.app.read(move |conn| trace::letters(conn, &search, year)).await?;
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8")
        .insert_header((CACHE_CONTROL, "no-store"))
        .insert_header((CONTENT_DISPOSITION, "attachment; filename=\"letters.csv\""))
        // The mark tells a spreadsheet that the file is UTF-8; reading drops it.
        .body(format!("\u{feff}{text}")))
}
