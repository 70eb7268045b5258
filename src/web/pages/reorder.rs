//! What to order, and how much.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::words::money;
use super::{Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::reorder::{OrderPart, ReorderView};
use crate::store::Who;
use crate::units::Quantity;
use crate::web::page::PageError;

/// The page at `/reorder`.
#[derive(Debug, Template)]
#[template(path = "reorder/list.html")]
pub struct ReorderPage {
    /// The page around it.
    pub frame: Frame,
    /// Parts at or below their reorder point, by supplier.
    pub suppliers: Vec<SupplierNeeds>,
}

/// What one supplier could be asked for.
#[derive(Debug)]
pub struct SupplierNeeds {
    /// The supplier's name; empty for parts that are made in the house, which no order brings.
    pub supplier: String,
    /// What all of it costs by the catalogue, in cents.
    pub cost_cents: i64,
    /// The parts.
    pub parts: Vec<ReorderRow>,
}

impl SupplierNeeds {
    /// Returns what all of it costs, in words.
    pub fn cost(&self) -> String {
        money(self.cost_cents)
    }
}

/// A part at or below its reorder point.
#[derive(Debug)]
pub struct ReorderRow {
    /// The part's number, which the tick sends.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Pieces in the house.
    pub on_hand: Quantity,
    /// Pieces that open orders need.
    pub needed: Quantity,
    /// Pieces ordered and not yet here.
    pub on_order: Quantity,
    /// The reorder point.
    pub point: Quantity,
    /// Pieces to order: those suggested, or what was typed before the form was refused.
    pub quantity: String,
    /// Whether its tick is set.
    pub ticked: bool,
    /// Why that many, in a sentence.
    pub because: String,
}

#[get("/reorder")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let today = visit.app.now().date();
    let needs = visit.app.read(move |conn| ops::reorder::list(conn, today)).await?;
    let frame = visit.frame(Task::Reorder).await?;
    Ok(visit.show(&ReorderPage { frame, suppliers: by_supplier(needs, None) }))
}

/// Returns the needs by supplier, with what was typed where the form was refused.
fn by_supplier(needs: Vec<ReorderView>, form: Option<&Fields>) -> Vec<SupplierNeeds> {
    let mut suppliers: Vec<SupplierNeeds> = Vec::new();
    for it in needs {
        let (supplier, cost) = (it.supplier.clone(), it.cost_cents);
        let row = row(it, form);
        match suppliers.last_mut().filter(|it| it.supplier == supplier) {
            Some(last) => {
                last.cost_cents = last.cost_cents.saturating_add(cost);
                last.parts.push(row);
            }
            None => suppliers.push(SupplierNeeds { supplier, cost_cents: cost, parts: vec![row] }),
        }
    }
    suppliers.sort_by_key(|it| it.supplier.is_empty());
    suppliers
}

fn row(it: ReorderView, form: Option<&Fields>) -> ReorderRow {
    let field = format!("quantity-{}", it.part_number);
    ReorderRow {
        quantity: form.map_or_else(|| it.quantity.to_string(), |form| form.text(&field).to_owned()),
        ticked: form.is_none_or(|form| form.all("part").any(|part| part == it.part_number)),
        part_number: it.part_number,
        name: it.part,
        variant: it.variant,
        on_hand: it.on_hand,
        needed: it.needed,
        on_order: it.on_order,
        point: it.reorder_point,
        because: it.because,
    }
}

#[post("/reorder")]
pub(super) async fn post_order(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Buy, &form)?;
    match ordered(&visit, who, &form).await {
        Ok(words) => visit.go("/goods-in", Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            let today = visit.app.now().date();
            let needs = visit.app.read(move |conn| ops::reorder::list(conn, today)).await?;
            let frame = visit.answered(Task::Reorder, Some(answer)).await?;
            let suppliers = by_supplier(needs, Some(&form));
            Ok(visit.show_refused(&ReorderPage { frame, suppliers }))
        }
    }
}

async fn ordered(visit: &Visit, who: Who, form: &Fields) -> Result<String, Error> {
    let key = form.key()?;
    let parts: Vec<OrderPart> = form
        .all("part")
        .map(|part| {
            let quantity = form.pieces(&format!("quantity-{part}"), part)?;
            Ok(OrderPart { part_number: part.to_owned(), quantity })
        })
        .collect::<Result<_, Error>>()?;
    let made = visit.app.write(who, move |tx| ops::reorder::order(tx, &key, &parts)).await?;
    Ok(format!("made {}: send each to its supplier", made.numbers.join(", ")))
}
