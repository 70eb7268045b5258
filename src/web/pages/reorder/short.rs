//! What will be lacking, by part and week.

use actix_web::{HttpResponse, get};
use askama::Template;

use super::table::{Cell, Table, part_words};
use crate::domain::people::Permission;
use crate::domain::pictures::{Cell as Square, Grid, GridRow, Tone, grid};
use crate::ops;
use crate::ops::reorder::{ShortPart, Shortages};
use crate::web::drawing::picture;
use crate::web::page::PageError;
use crate::web::pages::entries::encoded;
use crate::web::pages::{Frame, Task, Visit};

/// The page at `/reorder/shortages`.
#[derive(Debug, Template)]
#[template(path = "reorder/shortages.html")]
pub struct ShortagesPage {
    /// The page around it.
    pub frame: Frame,
    /// The picture; empty where nothing will be lacking.
    pub picture: String,
    /// How many parts the picture shows, and of how many.
    pub shown: (usize, usize),
    /// How many parts no order of today brings in time.
    pub too_late: usize,
    /// The parts.
    pub parts: Table,
    /// What can't be judged.
    pub faults: Vec<String>,
}

/// The most parts that the picture shows; the table has them all.
const MOST_SHOWN: usize = 30;

#[get("/reorder/shortages")]
pub(in crate::web::pages) async fn get_shortages(visit: Visit) -> Result<HttpResponse, PageError> {
    let it = load(&visit).await?;
    let frame = visit.frame(Task::Reorder).await?;
    let drawn = if it.parts.is_empty() { String::new() } else { picture(&grid(&map(&it))) };
    let too_late = it.parts.iter().filter(|it| is_too_late(it)).count();
    let shown = (it.parts.len().min(MOST_SHOWN), it.parts.len());
    let parts = table(&it, false);
    Ok(visit.show(&ShortagesPage {
        frame,
        picture: drawn,
        shown,
        too_late,
        parts,
        faults: it.faults,
    }))
}

#[get("/reorder/shortages.csv")]
pub(in crate::web::pages) async fn get_file(visit: Visit) -> Result<HttpResponse, PageError> {
    Ok(table(&load(&visit).await?, true).to_file("shortages-by-week"))
}

async fn load(visit: &Visit) -> Result<Shortages, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    Ok(visit.app.read(move |conn| ops::reorder::shortages(conn, today)).await?)
}

/// Returns whether pieces lack before an order of today would come.
fn is_too_late(it: &ShortPart) -> bool {
    it.short_on < it.order_comes_on
}

fn map(it: &Shortages) -> Grid {
    let row = |part: &ShortPart| {
        let square = |at: usize| match part.short_in(at).is_some() {
            false => Square { text: String::new(), tone: Tone::None },
            true => Square {
                text: part.class.clone(),
                tone: if at < part.too_late_weeks { Tone::Dark } else { Tone::Pale },
            },
        };
        let most = part.weeks.iter().max().copied().unwrap_or_default();
        GridRow {
            label: part_words(&part.part, &part.variant),
            cells: (0..it.weeks.len()).map(square).collect(),
            total: most.to_string(),
        }
    };
    let columns = it
        .weeks
        .iter()
        .map(|it| (it.monday.format("%-d").to_string(), it.monday.format("%b").to_string()));
    let late = it.parts.iter().filter(|it| is_too_late(it)).count();
    Grid {
        alt: format!(
            "{} parts will be lacking within half a year if nothing more is ordered, {late} of them \
             before an order of today would come; the table below names them",
            it.parts.len()
        ),
        columns: columns.collect(),
        total: "lacking".to_owned(),
        rows: it.parts.iter().take(MOST_SHOWN).map(row).collect(),
        totals: (
            "Parts lacking, of all".to_owned(),
            it.weeks.iter().map(|it| it.parts.to_string()).collect(),
        ),
        cell: 26,
    }
}

/// Returns the parts as a table; with every week in a column of its own for a file.
fn table(it: &Shortages, by_week: bool) -> Table {
    let file = "/reorder/shortages.csv".to_owned();
    let heads = [
        "Part number",
        "Part",
        "Class",
        "Supplier",
        "Lacks from",
        "Would come on",
        "#Kits waiting",
        "#In 4 weeks",
        "#In 13 weeks",
        "#In 26 weeks",
    ];
    let mut table = Table::new("Parts that will be lacking", file, &heads);
    if by_week {
        table.heads.truncate(7);
        let weeks = it.weeks.iter().map(|it| format!("#{}", it.monday)).collect::<Vec<_>>();
        let weeks: Vec<&str> = weeks.iter().map(String::as_str).collect();
        table.heads.extend(Table::new("", String::new(), &weeks).heads);
    }
    for part in &it.parts {
        let number = encoded(&part.part_number);
        let late = if is_too_late(part) { ": too late" } else { "" };
        let mut row = vec![
            Cell::to(&part.part_number, format!("/reorder/parts/{number}/runway")),
            Cell::new(part_words(&part.part, &part.variant)),
            Cell::new(&part.class),
            Cell::new(&part.supplier),
            Cell::new(part.short_on.to_string()),
            Cell::new(format!("{}{late}", part.order_comes_on)),
            Cell::new(part.kits_waiting.to_string()),
        ];
        if by_week {
            row.extend(part.weeks.iter().map(|it| Cell::new(it.to_string())));
        } else {
            row.extend([3, 12, 25].map(|at| Cell::new(part.short_in(at).to_string())));
        }
        table.rows.push(row);
    }
    table
}
