//! What happened to a kit, and the same in the words of open standards.

use actix_web::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION};
use actix_web::{HttpResponse, get, web};
use askama::Template;

use super::words::Moment;
use super::{Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::exchange::epcis::Told;
use crate::ops;
use crate::web::api::events::{JSON_LD, xml};
use crate::web::page::PageError;

/// The page at `/kits/{kit}/events`.
#[derive(Debug, Template)]
#[template(path = "events/kit.html")]
pub struct KitEventsPage {
    /// The page around it.
    pub frame: Frame,
    /// The kit's number.
    pub kit: String,
    /// The order's number.
    pub order: String,
    /// Who it is for.
    pub rider: String,
    /// What is built.
    pub build: String,
    /// Whether it has left, so that there is a despatch advice.
    pub has_left: bool,
    /// What happened, in order.
    pub events: Vec<EventRow>,
}

/// One thing that happened.
#[derive(Debug)]
pub struct EventRow {
    /// When.
    pub at: Moment,
    /// What happened.
    pub what: String,
    /// The goods, in words.
    pub goods: Vec<String>,
    /// Where.
    pub place: String,
    /// What others are told: the kind of event and its step.
    pub told: String,
}

impl From<Told> for EventRow {
    fn from(it: Told) -> Self {
        Self {
            at: Moment(it.at),
            what: it.what.to_owned(),
            told: format!("{}, {}", it.event.kind(), it.event.step()),
            goods: it.goods,
            place: it.place,
        }
    }
}

/// Returns what happened with each run of like things told as one: forty picks are one walk.
fn rows(told: Vec<Told>) -> Vec<EventRow> {
    let mut rows: Vec<EventRow> = Vec::new();
    for it in told.into_iter().map(EventRow::from) {
        match rows.last_mut().filter(|last| (&last.what, &last.told) == (&it.what, &it.told)) {
            Some(last) if it.what == "picked" => {
                last.goods.extend(it.goods);
                if last.place != it.place {
                    last.place = "several bins".to_owned();
                }
            }
            _ => rows.push(it),
        }
    }
    rows
}

#[get("/kits/{kit}/events")]
pub(super) async fn get_kit(
    visit: Visit,
    kit: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let address = visit.app.settings().public_url.clone();
    let (view, told) = visit
        .app
        .read(move |conn| {
            Ok((ops::packing::bench(conn, &kit)?, ops::events::of_kit(conn, &kit, &address)?))
        })
        .await?;
    let page = KitEventsPage {
        frame: visit.frame(Task::Orders).await?,
        has_left: view.despatched_at.is_some(),
        kit: view.kit,
        order: view.order,
        rider: view.customer,
        build: view.build,
        events: rows(told),
    };
    Ok(visit.show(&page))
}

#[get("/kits/{kit}/events.jsonld")]
pub(super) async fn get_document(
    visit: Visit,
    kit: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let name = format!("attachment; filename=\"{kit}-events.jsonld\"");
    let (now, address) = (visit.app.now(), visit.app.settings().public_url.clone());
    let told = move |conn: &mut _| {
        let told = ops::events::of_kit(conn, &kit, &address)?;
        ops::events::document(told, now)
    };
    let text = visit.app.read(told).await?;
    Ok(HttpResponse::Ok()
        .content_type(JSON_LD)
        .insert_header((CACHE_CONTROL, "no-store"))
        .insert_header((CONTENT_DISPOSITION, name))
        .body(text))
}

#[get("/kits/{kit}/despatch-advice.xml")]
pub(super) async fn get_advice(
    visit: Visit,
    kit: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let name = format!("{kit}-despatch-advice.xml");
    let text = visit.app.read(move |conn| ops::ubl::despatch_advice(conn, &kit)).await?;
    Ok(xml(&name, text))
}

#[get("/goods-in/{number}/order.xml")]
pub(super) async fn get_order(
    visit: Visit,
    number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let name = format!("{number}.xml");
    let text = visit.app.read(move |conn| ops::ubl::order(conn, &number)).await?;
    Ok(xml(&name, text))
}
