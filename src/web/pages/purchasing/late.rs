//! What is late, promised late or not confirmed.

use actix_web::{HttpResponse, get};
use askama::Template;

use crate::domain::people::Permission;
use crate::ops;
use crate::ops::purchasing::LateView;
use crate::units::Quantity;
use crate::web::page::PageError;
use crate::web::pages::words::Day;
use crate::web::pages::{Frame, Task, Visit};

/// The page at `/purchasing/late`.
#[derive(Debug, Template)]
#[template(path = "purchasing/late.html")]
pub struct LatePage {
    /// The page around it.
    pub frame: Frame,
    /// By order, the latest first.
    pub orders: Vec<LateOrder>,
}

/// An order with what is wrong with its lines.
#[derive(Debug)]
pub struct LateOrder {
    /// Its number.
    pub number: String,
    /// The supplier's name.
    pub supplier: String,
    /// Its lines.
    pub lines: Vec<LateLine>,
    /// When the supplier was asked, in words.
    pub chased: String,
    /// Whether they were asked today.
    pub asked_today: bool,
}

/// A line that does not come as it should.
#[derive(Debug)]
pub struct LateLine {
    /// Its number.
    pub line: i64,
    /// The part's number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// Pieces still to come.
    pub open: Quantity,
    /// The day expected.
    pub expected: Day,
    /// The day promised, in words.
    pub promised: String,
    /// What is wrong.
    pub words: String,
    /// Who waits for it, in words.
    pub waiting: String,
}

#[get("/purchasing/late")]
pub(crate) async fn get_late(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let today = visit.app.now().date();
    let views = visit.app.read(move |conn| ops::purchasing::late(conn, today)).await?;
    let mut orders: Vec<LateOrder> = Vec::new();
    for it in views {
        let line = late_line(&it);
        match orders.iter_mut().find(|order| order.number == it.order) {
            Some(order) => order.lines.push(line),
            None => orders.push(LateOrder {
                asked_today: it.chased_on.contains(&today),
                chased: chased(&it),
                number: it.order,
                supplier: it.supplier,
                lines: vec![line],
            }),
        }
    }
    let frame = visit.frame(Task::Purchasing).await?;
    Ok(visit.show(&LatePage { frame, orders }))
}

fn late_line(it: &LateView) -> LateLine {
    LateLine {
        line: it.line,
        part_number: it.part_number.clone(),
        part: it.part.clone(),
        open: it.open,
        expected: Day(it.expected_on),
        promised: it.promised_on.map_or_else(|| "–".to_owned(), |it| Day(it).to_string()),
        words: it.words.clone(),
        waiting: it.waiting.join("; "),
    }
}

fn chased(it: &LateView) -> String {
    let days: Vec<String> = it.chased_on.iter().map(|it| Day(*it).to_string()).collect();
    if days.is_empty() { String::new() } else { format!("asked on {}", days.join(", ")) }
}
