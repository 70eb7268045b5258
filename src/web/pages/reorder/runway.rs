//! How long the stock of a part lasts.

use actix_web::{HttpResponse, get, web};
use askama::Template;

use super::table::{Cell, Table, part_words};
use crate::domain::people::Permission;
use crate::domain::pictures::{RunwayPicture, runway};
use crate::ops;
use crate::ops::reorder::RunwayView;
use crate::web::drawing::picture;
use crate::web::page::PageError;
use crate::web::pages::entries::encoded;
use crate::web::pages::{Frame, Task, Visit};

/// The page at `/reorder/parts/{number}/runway`.
#[derive(Debug, Template)]
#[template(path = "reorder/runway.html")]
pub struct RunwayPage {
    /// The page around it.
    pub frame: Frame,
    /// The numbers.
    pub it: RunwayView,
    /// The picture.
    pub picture: String,
    /// The weeks below it.
    pub weeks: Table,
    /// Whether the person may see the desk.
    pub may_buy: bool,
}

#[get("/reorder/parts/{part_number}/runway")]
pub(in crate::web::pages) async fn get_runway(
    visit: Visit,
    part_number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    let it = load(&visit, part_number.into_inner()).await?;
    let frame = visit.frame(Task::Reorder).await?;
    let part = part_words(&it.suggestion.part, &it.suggestion.variant);
    let drawn = runway(&RunwayPicture {
        part: &part,
        runway: &it.runway,
        arrivals: &it.coming,
        reorder_point: it.suggestion.reorder_point,
        busiest: it.busiest_days,
    });
    let (weeks, may_buy) = (table(&it), visit.can(Permission::Buy));
    Ok(visit.show(&RunwayPage { frame, picture: picture(&drawn), weeks, may_buy, it }))
}

#[get("/reorder/parts/{part_number}/runway.csv")]
pub(in crate::web::pages) async fn get_file(
    visit: Visit,
    part_number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    let it = load(&visit, part_number.into_inner()).await?;
    Ok(table(&it).to_file(&format!("runway-{}", it.suggestion.part_number)))
}

async fn load(visit: &Visit, number: String) -> Result<RunwayView, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    Ok(visit.app.read(move |conn| ops::reorder::runway(conn, today, &number)).await?)
}

fn table(it: &RunwayView) -> Table {
    let file = format!("/reorder/parts/{}/runway.csv", encoded(&it.suggestion.part_number));
    let heads = [
        "Week of",
        "#Arrives",
        "#Wanted",
        "#Promised",
        "#Expires",
        "#At its end",
        "#Lacking",
        "#At the worst",
        "#At the best",
    ];
    let mut table = Table::new("Stock by week", file, &heads);
    for week in &it.weeks {
        let pieces = |pieces: i64| Cell::new(pieces.max(0).to_string());
        let some = |it: crate::units::Quantity| {
            Cell::new(if it.is_some() { it.to_string() } else { String::new() })
        };
        table.rows.push(vec![
            Cell::new(week.monday.to_string()),
            some(week.arrived),
            some(week.wanted),
            some(week.promised),
            some(week.expired),
            pieces(week.level),
            some(week.short),
            pieces(week.low),
            pieces(week.high),
        ]);
    }
    table
}
