//! A wall of two-bin parts: how full each bin is, and the scan of an empty one's card.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::table::{Cell, Table, part_words};
use crate::domain::people::Permission;
use crate::domain::pictures::gauge;
use crate::ops;
use crate::ops::reorder::{AGAIN_MINUTES, CardScanView, Wall, WallBin, ZoneChoice};
use crate::web::drawing::picture;
use crate::web::page::{self, PageError};
use crate::web::pages::entries::encoded;
use crate::web::pages::words::Moment;
use crate::web::pages::{Answer, Fields, Frame, Task, Visit, refusal};

/// The page at `/reorder/wall`.
#[derive(Debug, Template)]
#[template(path = "reorder/wall.html")]
pub struct WallPage {
    /// The page around it.
    pub frame: Frame,
    /// The zone shown.
    pub zone: String,
    /// The zones that can be shown.
    pub zones: Vec<ZoneChoice>,
    /// What must be told today.
    pub alerts: Vec<String>,
    /// The bins with their gauges.
    pub bins: Vec<(WallBin, String)>,
    /// The same as a table.
    pub table: Table,
    /// What cards ordered, with when.
    pub scans: Vec<(Moment, CardScanView)>,
    /// Whether the person may order.
    pub may_buy: bool,
    /// Minutes within which a second scan counts as the first.
    pub again: i64,
}

#[get("/reorder/wall")]
pub(in crate::web::pages) async fn get_wall(
    visit: Visit,
    query: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let frame = visit.frame(Task::Reorder).await?;
    Ok(visit.show(&wall_page(&visit, frame, query.text("zone")).await?))
}

#[get("/reorder/wall.csv")]
pub(in crate::web::pages) async fn get_file(
    visit: Visit,
    query: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    Ok(table(&load(&visit, query.text("zone")).await?).to_file("wall"))
}

#[post("/reorder/wall")]
pub(in crate::web::pages) async fn post_scan(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Buy, &form)?;
    let scanned = async {
        let (key, text) = (form.key()?, form.text("scan").to_owned());
        visit.app.write(who, move |tx| ops::reorder::scan_card(tx, &key, &text)).await
    };
    let answer = match scanned.await {
        Ok(order) => Answer::done(order.words),
        Err(error) => refusal(error)?,
    };
    let frame = visit.answered(Task::Reorder, Some(answer)).await?;
    Ok(page::ok(&wall_page(&visit, frame, form.text("zone")).await?))
}

async fn load(visit: &Visit, zone: &str) -> Result<Wall, PageError> {
    let (now, zone) = (visit.app.now(), zone.to_owned());
    Ok(visit.app.read(move |conn| ops::reorder::wall(conn, now, &zone)).await?)
}

async fn wall_page(visit: &Visit, frame: Frame, zone: &str) -> Result<WallPage, PageError> {
    let it = load(visit, zone).await?;
    let table = table(&it);
    let drawn = |it: WallBin| {
        let svg = picture(&gauge(&it.gauge()));
        (it, svg)
    };
    Ok(WallPage {
        frame,
        zone: it.zone,
        zones: it.zones,
        alerts: it.alerts,
        bins: it.bins.into_iter().map(drawn).collect(),
        table,
        scans: it.scans.into_iter().map(|it| (Moment(it.at), it)).collect(),
        may_buy: visit.can(Permission::Buy),
        again: AGAIN_MINUTES,
    })
}

fn table(it: &Wall) -> Table {
    let file = format!("/reorder/wall.csv?zone={}", encoded(&it.zone));
    let heads = [
        "Bin",
        "Part number",
        "Part",
        "#A full bin",
        "#First",
        "#Second",
        "#Card orders",
        "#On order",
        "Below half on",
        "How it stands",
    ];
    let mut table = Table::new("Bins of the wall", file, &heads);
    for bin in &it.bins {
        table.rows.push(vec![
            Cell::new(&bin.bin),
            Cell::to(
                &bin.part_number,
                format!("/reorder/parts/{}/runway", encoded(&bin.part_number)),
            ),
            Cell::new(part_words(&bin.part, &bin.variant)),
            Cell::new(bin.full.to_string()),
            Cell::new(bin.first.to_string()),
            Cell::new(bin.second.to_string()),
            Cell::new(bin.card_orders.to_string()),
            Cell::new(bin.on_order.to_string()),
            Cell::new(bin.half_on.map(|it| it.to_string()).unwrap_or_default()),
            Cell::new(&bin.words),
        ]);
    }
    table
}
