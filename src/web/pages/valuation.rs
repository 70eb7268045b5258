//! What the stock is worth, and what became of it in a month.

use actix_web::http::header::CONTENT_DISPOSITION;
use actix_web::{HttpResponse, get, web};
use askama::Template;
use serde::Deserialize;

use super::purchasing::amount;
use super::{Choice, Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::domain::valuation::{Kind, Method};
use crate::ops::valuation::{self, StockValueView, ValueLineView};
use crate::web::api::valuation::method_of;
use crate::web::page::{self, PageError};

/// The page at `/stock-value`.
#[derive(Debug, Template)]
#[template(path = "valuation/month.html")]
pub struct StockValuePage {
    /// The page around it.
    pub frame: Frame,
    /// The month, as it is typed.
    pub month: String,
    /// The methods to choose from.
    pub methods: Vec<Choice>,
    /// The method's word.
    pub method: String,
    /// The currency.
    pub currency: String,
    /// Whether everything ties.
    pub ties: bool,
    /// What ties it to the ledger, in sentences.
    pub checks: Vec<String>,
    /// What became of all together: what, pieces, value.
    pub total: Vec<(String, String, String)>,
    /// By part.
    pub lines: Vec<ValueRow>,
}

/// What became of a part.
#[derive(Debug)]
pub struct ValueRow {
    /// The part's number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// The opening value.
    pub opening: String,
    /// What came: received, with landed cost.
    pub bought: String,
    /// Made, less used up.
    pub made: String,
    /// Shipped, scrap, counts and variance, in words; those that are none left out.
    pub other: String,
    /// The closing value.
    pub closing: String,
    /// Pieces at the end.
    pub pieces: i64,
    /// Pieces by the ledger.
    pub ledger: i64,
}

#[derive(Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    month: String,
    #[serde(default)]
    method: String,
}

async fn report(visit: &Visit, asked: &Asked) -> Result<StockValueView, PageError> {
    visit.may(Permission::Buy)?;
    let (method, today) = (method_of(&asked.method)?, visit.app.now().date());
    let month = asked.month.clone();
    Ok(visit.app.read(move |conn| valuation::report(conn, method, (&month, today))).await?)
}

#[get("/stock-value")]
pub(super) async fn get_month(
    visit: Visit,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    let view = report(&visit, &asked).await?;
    let choice = |it: Method| {
        let choice = Choice::new(it.as_str(), it.words());
        if it.as_str() == view.method { choice.chosen() } else { choice }
    };
    let page = StockValuePage {
        frame: visit.frame(Task::Purchasing).await?,
        month: view.first_day.format("%Y-%m").to_string(),
        methods: Method::ALL.map(choice).to_vec(),
        checks: view.checks(),
        total: total(&view.total),
        lines: view.lines.iter().map(row).collect(),
        ties: view.ties,
        currency: view.currency,
        method: view.method,
    };
    Ok(visit.show(&page))
}

fn total(it: &ValueLineView) -> Vec<(String, String, String)> {
    let told =
        |what: &str, pieces: i64, cents: i64| (what.to_owned(), pieces.to_string(), amount(cents));
    let mut rows = vec![told("opening", it.opening_pieces, it.opening_cents)];
    let changes = it.changes_pieces.iter().zip(&it.changes_cents);
    rows.extend(
        Kind::ALL
            .iter()
            .zip(changes)
            .map(|(kind, (pieces, cents))| told(kind.words(), *pieces, *cents)),
    );
    rows.push(told("closing", it.closing_pieces, it.closing_cents));
    rows
}

fn row(it: &ValueLineView) -> ValueRow {
    let others = [Kind::Shipped, Kind::Scrap, Kind::Counted, Kind::Variance];
    let told = |kind: &Kind| {
        let cents = it.change(*kind);
        (cents != 0).then(|| format!("{} {}", kind.words(), amount(cents)))
    };
    ValueRow {
        part_number: it.part_number.clone(),
        part: it.part.clone(),
        opening: amount(it.opening_cents),
        bought: amount(it.change(Kind::Received) + it.change(Kind::Landed)),
        made: amount(it.change(Kind::Made) + it.change(Kind::Used)),
        other: others.iter().filter_map(told).collect::<Vec<_>>().join("; "),
        closing: amount(it.closing_cents),
        pieces: it.closing_pieces,
        ledger: it.ledger_pieces,
    }
}

#[get("/stock-value.csv")]
pub(super) async fn get_file(
    visit: Visit,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    let view = report(&visit, &asked).await?;
    let name =
        format!("attachment; filename=\"stock-value-{}.csv\"", view.first_day.format("%Y-%m"));
    Ok(HttpResponse::Ok()
        .content_type("text/csv; charset=utf-8")
        .insert_header((CONTENT_DISPOSITION, name))
        .body(format!("\u{feff}{}", valuation::file(&view))))
}

#[get("/stock-value.pdf")]
pub(super) async fn get_paper(
    visit: Visit,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    let view = report(&visit, &asked).await?;
    let bytes = valuation::paper(&view, visit.app.now().date())?;
    Ok(page::pdf("stock-value.pdf", bytes))
}
