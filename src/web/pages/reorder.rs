//! The buying desk: what to order, and how much.

pub(super) mod numbers;
pub(super) mod runway;
pub(super) mod short;
pub(super) mod spend;
pub(super) mod table;
pub(super) mod wall;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use chrono::Days;

use super::words::money;
use super::{Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::reorder::{Desk, OrderPart, PutOff, SuggestionView};
use crate::store::Who;
use crate::web::page::PageError;

/// The page at `/reorder`.
#[derive(Debug, Template)]
#[template(path = "reorder/desk.html")]
pub struct DeskPage {
    /// The page around it.
    pub frame: Frame,
    /// What to order, by supplier.
    pub suppliers: Vec<SupplierRows>,
    /// What is to be made in the house.
    pub made: Vec<SuggestionView>,
    /// What was put off.
    pub put_off: Vec<SuggestionView>,
    /// What can't be judged.
    pub faults: Vec<String>,
    /// The day that a put-off proposes.
    pub next_week: String,
}

/// What one supplier could be asked for.
#[derive(Debug)]
pub struct SupplierRows {
    /// The supplier's code.
    pub code: String,
    /// The supplier's name.
    pub name: String,
    /// What all of it costs, in words.
    pub total: String,
    /// What the supplier's terms say of the whole order.
    pub notes: Vec<String>,
    /// The parts.
    pub parts: Vec<DeskRow>,
}

/// A part that should be ordered, with the fields of its row.
#[derive(Debug)]
pub struct DeskRow {
    /// What is suggested.
    pub it: SuggestionView,
    /// What it costs, in words.
    pub cost: String,
    /// When it falls to its reorder point, in words.
    pub when: String,
    /// Pieces to order: those suggested, or what was typed before the form was refused.
    pub quantity: String,
    /// The reason typed.
    pub reason: String,
    /// Whether its tick is set.
    pub ticked: bool,
}

#[get("/reorder")]
pub(super) async fn get_desk(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let frame = visit.frame(Task::Reorder).await?;
    Ok(visit.show(&desk_page(&visit, frame, None).await?))
}

/// Returns the desk, with what was typed where a form was refused.
async fn desk_page(visit: &Visit, frame: Frame, form: Option<&Fields>) -> Result<DeskPage, Error> {
    let today = visit.app.now().date();
    let desk = visit.app.read(move |conn| ops::reorder::desk(conn, today)).await?;
    let Desk { suppliers, made, put_off, faults } = desk;
    let suppliers = suppliers.into_iter().map(|it| SupplierRows {
        code: it.code,
        name: it.name,
        total: money(it.total_cents),
        notes: it.notes,
        parts: it.parts.into_iter().map(|it| row(it, form)).collect(),
    });
    let next_week = today.checked_add_days(Days::new(7)).unwrap_or(today).to_string();
    Ok(DeskPage { frame, suppliers: suppliers.collect(), made, put_off, faults, next_week })
}

fn row(it: SuggestionView, form: Option<&Fields>) -> DeskRow {
    let typed = |name: &str| form.map(|form| form.text(&format!("{name}-{}", it.part_number)));
    DeskRow {
        quantity: typed("quantity").map_or_else(|| it.quantity.to_string(), str::to_owned),
        reason: typed("reason").unwrap_or_default().to_owned(),
        ticked: match form {
            Some(form) => form.all("part").any(|part| part == it.part_number),
            None => it.quantity.is_some(),
        },
        cost: money(it.cost_cents),
        when: when(&it),
        it,
    }
}

/// Returns when a part falls to its reorder point, in words.
fn when(it: &SuggestionView) -> String {
    match it.days_left {
        left if 1 < left => format!("in {left} days"),
        1 => "tomorrow".to_owned(),
        _ => "now".to_owned(),
    }
}

#[post("/reorder")]
pub(super) async fn post_order(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Buy, &form)?;
    match ordered(&visit, who, &form).await {
        Ok(words) => visit.go("/reorder", Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            let frame = visit.answered(Task::Reorder, Some(answer)).await?;
            Ok(visit.show_refused(&desk_page(&visit, frame, Some(&form)).await?))
        }
    }
}

async fn ordered(visit: &Visit, who: Who, form: &Fields) -> Result<String, Error> {
    let key = form.key()?;
    let parts: Vec<OrderPart> = form
        .all("part")
        .map(|part| {
            let quantity = form.pieces(&format!("quantity-{part}"), part)?;
            let reason = form.text(&format!("reason-{part}")).to_owned();
            Ok(OrderPart { part_number: part.to_owned(), quantity, reason })
        })
        .collect::<Result<_, Error>>()?;
    let made = visit.app.write(who, move |tx| ops::reorder::order(tx, &key, &parts)).await?;
    Ok(format!("put on {}: approve and send each to its supplier", made.numbers.join(", ")))
}

#[post("/reorder/put-off")]
pub(super) async fn post_put_off(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Buy, &form)?;
    let done = put_off(&visit, who, &form).await;
    visit.go("/reorder", done)
}

async fn put_off(visit: &Visit, who: Who, form: &Fields) -> Result<String, Error> {
    let key = form.key()?;
    let until = form.read("until", "until")?.ok_or_else(|| {
        Error::invalid("reorder.until", "until: write the day on which it is to be looked at again")
    })?;
    let putting = PutOff {
        part_number: form.text("part").to_owned(),
        until,
        reason: form.text("reason").to_owned(),
    };
    let done = visit.app.write(who, move |tx| ops::reorder::put_off(tx, &key, &putting)).await?;
    Ok(done.words)
}
