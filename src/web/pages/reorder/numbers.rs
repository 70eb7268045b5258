//! What suggestions rest on: a part's own numbers, the classes, and the weeks to come.

use actix_web::{HttpResponse, get, web};
use askama::Template;

use crate::domain::people::Permission;
use crate::ops;
use crate::ops::reorder::{ClassesView, PartNumbers, RankedView, Release, Releases};
use crate::web::page::PageError;
use crate::web::pages::words::money;
use crate::web::pages::{Frame, Task, Visit};

/// The page at `/reorder/parts/{number}`.
#[derive(Debug, Template)]
#[template(path = "reorder/part.html")]
pub struct PartNumbersPage {
    /// The page around it.
    pub frame: Frame,
    /// The numbers.
    pub it: PartNumbers,
}

#[get("/reorder/parts/{part_number}")]
pub(in crate::web::pages) async fn get_part(
    visit: Visit,
    part_number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let today = visit.app.now().date();
    let number = part_number.into_inner();
    let it = visit.app.read(move |conn| ops::reorder::part(conn, today, &number)).await?;
    let frame = visit.frame(Task::Reorder).await?;
    Ok(visit.show(&PartNumbersPage { frame, it }))
}

/// The page at `/reorder/classes`.
#[derive(Debug, Template)]
#[template(path = "reorder/classes.html")]
pub struct ClassesPage {
    /// The page around it.
    pub frame: Frame,
    /// The classes: their letters, how many parts, what a year is worth.
    pub classes: Vec<(String, usize, String)>,
    /// The parts.
    pub parts: Vec<RankedRow>,
    /// What can't be judged.
    pub faults: Vec<String>,
}

/// A part with its class, in words.
#[derive(Debug)]
pub struct RankedRow {
    /// The part.
    pub it: RankedView,
    /// What a year of it is worth.
    pub yearly: String,
    /// The share of all that it and those before it make up, in percent.
    pub up_to: String,
}

#[get("/reorder/classes")]
pub(in crate::web::pages) async fn get_classes(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let today = visit.app.now().date();
    let view = visit.app.read(move |conn| ops::reorder::classes(conn, today)).await?;
    let frame = visit.frame(Task::Reorder).await?;
    let ClassesView { classes, parts, faults } = view;
    let classes = classes.into_iter().map(|it| (it.class, it.parts, money(it.yearly_cents)));
    let row = |it: RankedView| RankedRow {
        yearly: money(it.yearly_cents),
        up_to: format!("{}.{} %", it.up_to_per_mille / 10, it.up_to_per_mille % 10),
        it,
    };
    let parts = parts.into_iter().map(row).collect();
    Ok(visit.show(&ClassesPage { frame, classes: classes.collect(), parts, faults }))
}

/// The page at `/reorder/releases`.
#[derive(Debug, Template)]
#[template(path = "reorder/releases.html")]
pub struct ReleasesPage {
    /// The page around it.
    pub frame: Frame,
    /// What is made here, by week.
    pub made: Vec<Week>,
    /// What is bought, by week.
    pub bought: Vec<Week>,
    /// What can't be planned.
    pub faults: Vec<String>,
}

/// What is to be begun in one week.
#[derive(Debug)]
pub struct Week {
    /// Its Monday.
    pub monday: String,
    /// What is to be begun.
    pub rows: Vec<Release>,
}

#[get("/reorder/releases")]
pub(in crate::web::pages) async fn get_releases(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let view = visit.app.read(move |conn| ops::reorder::releases(conn, today)).await?;
    let frame = visit.frame(Task::Reorder).await?;
    let Releases { made, bought, faults } = view;
    let page = ReleasesPage { frame, made: weeks(made), bought: weeks(bought), faults };
    Ok(visit.show(&page))
}

fn weeks(releases: Vec<Release>) -> Vec<Week> {
    let mut weeks: Vec<Week> = Vec::new();
    for it in releases {
        let monday = it.week.to_string();
        match weeks.last_mut().filter(|week| week.monday == monday) {
            Some(week) => week.rows.push(it),
            None => weeks.push(Week { monday, rows: vec![it] }),
        }
    }
    weeks
}
