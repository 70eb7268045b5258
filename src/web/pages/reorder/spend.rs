//! What was spent, and what lies dead.

use actix_web::{HttpResponse, get, web};
use askama::Template;
use chrono::{Days, NaiveDate};

use super::table::{Cell, Table, part_words};
use crate::domain::people::Permission;
use crate::domain::pictures::{Bar, Bars, Cell as Square, Grid, GridRow, Tone, bars, grid};
use crate::error::Error;
use crate::ops;
use crate::ops::reorder::{DeadPart, DeadStock, Spend, SupplierSpend};
use crate::web::drawing::picture;
use crate::web::page::PageError;
use crate::web::pages::entries::encoded;
use crate::web::pages::words::money;
use crate::web::pages::{Fields, Frame, Task, Visit};

/// The page at `/reorder/spend`.
#[derive(Debug, Template)]
#[template(path = "reorder/spend.html")]
pub struct SpendPage {
    /// The page around it.
    pub frame: Frame,
    /// What was spent, as a picture; empty where nothing was.
    pub spent: String,
    /// The same as a table.
    pub suppliers: Table,
    /// What is left out.
    pub notes: Vec<String>,
    /// The day since which stock is dead.
    pub since: NaiveDate,
    /// Dead stock, as a picture; empty where there is none.
    pub dead: String,
    /// What dead stock comes to, in words.
    pub dead_words: String,
    /// The same as a table.
    pub parts: Table,
}

/// Days without use after which stock is dead, where no day is named.
const USUAL_DAYS: u64 = 180;
/// The most parts that the picture shows; the table has them all.
const MOST_SHOWN: usize = 20;

#[get("/reorder/spend")]
pub(in crate::web::pages) async fn get_spend(
    visit: Visit,
    query: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let (spend, dead) = (load(&visit).await?, load_dead(&visit, &query).await?);
    let frame = visit.frame(Task::Reorder).await?;
    let spent = match spend.total_cents.iter().any(|it| *it != 0) {
        true => picture(&grid(&map(&spend))),
        false => String::new(),
    };
    let page = SpendPage {
        frame,
        spent,
        suppliers: suppliers(&spend),
        notes: spend.notes,
        since: dead.since,
        dead_words: format!(
            "{} of the {} in bins is dead, {} of it beyond a year's use",
            money(dead.total_cents),
            money(dead.stock_cents),
            money(dead.beyond_cents)
        ),
        parts: parts(&dead),
        dead: if dead.parts.is_empty() { String::new() } else { picture(&bars(&pile(&dead))) },
    };
    Ok(visit.show(&page))
}

#[get("/reorder/spend.csv")]
pub(in crate::web::pages) async fn get_file(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    Ok(suppliers(&load(&visit).await?).to_file("spend"))
}

#[get("/reorder/dead-stock.csv")]
pub(in crate::web::pages) async fn get_dead_file(
    visit: Visit,
    query: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    Ok(parts(&load_dead(&visit, &query).await?).to_file("dead-stock"))
}

async fn load(visit: &Visit) -> Result<Spend, Error> {
    let today = visit.app.now().date();
    visit.app.read(move |conn| ops::reorder::spend(conn, today)).await
}

async fn load_dead(visit: &Visit, query: &Fields) -> Result<DeadStock, Error> {
    let today = visit.app.now().date();
    let usual = today.checked_sub_days(Days::new(USUAL_DAYS)).unwrap_or(today);
    let since = query.read("since", "since")?.unwrap_or(usual);
    visit.app.read(move |conn| ops::reorder::dead_stock(conn, today, since)).await
}

/// Returns whole units of money, for a picture where cents have no room.
fn whole(cents: i64) -> String {
    if cents == 0 { String::new() } else { format!("{}", (cents + 50).div_euclid(100)) }
}

fn map(it: &Spend) -> Grid {
    let most =
        it.suppliers.iter().flat_map(|it| &it.month_cents).max().copied().unwrap_or_default();
    let square = |cents: &i64| {
        let tone = match cents {
            0 => Tone::None,
            cents if *cents < most / 4 => Tone::Pale,
            cents if *cents < most / 2 => Tone::Hatched,
            _ => Tone::Dark,
        };
        Square { text: whole(*cents), tone }
    };
    let row = |it: &SupplierSpend| GridRow {
        label: it.name.clone(),
        cells: it.month_cents.iter().map(square).collect(),
        total: whole(it.total_cents),
    };
    let column = |month: &String| {
        let (year, number) = month.split_once('-').unwrap_or((month, ""));
        (number.to_owned(), year.to_owned())
    };
    let named: Vec<String> = it
        .suppliers
        .iter()
        .take(3)
        .map(|it| format!("{} {}", it.name, money(it.total_cents)))
        .collect();
    Grid {
        alt: format!("Spend by supplier and month, the dearest: {}", named.join(", ")),
        columns: it.months.iter().map(column).collect(),
        total: "in all".to_owned(),
        rows: it.suppliers.iter().filter(|it| it.total_cents != 0).map(row).collect(),
        totals: ("All suppliers".to_owned(), it.total_cents.iter().map(|it| whole(*it)).collect()),
        cell: 58,
    }
}

fn suppliers(it: &Spend) -> Table {
    let months: Vec<String> = it.months.iter().map(|it| format!("#{it}")).collect();
    let mut heads = vec!["Supplier"];
    heads.extend(months.iter().map(String::as_str));
    heads.extend(["#In all", "#Still to come"]);
    let mut table =
        Table::new("Spend by supplier and month", "/reorder/spend.csv".to_owned(), &heads);
    for supplier in &it.suppliers {
        let mut row = vec![Cell::new(&supplier.name)];
        row.extend(supplier.month_cents.iter().map(|it| Cell::new(money(*it))));
        row.extend([supplier.total_cents, supplier.to_come_cents].map(|it| Cell::new(money(it))));
        table.rows.push(row);
    }
    table
}

fn pile(it: &DeadStock) -> Bars {
    let bar = |part: &DeadPart| Bar {
        label: part_words(&part.part, &part.variant),
        value: part.value_cents,
        hatched: part.beyond_cents,
        words: money(part.value_cents),
    };
    let named: Vec<String> = it
        .parts
        .iter()
        .take(3)
        .map(|it| format!("{} {}", part_words(&it.part, &it.variant), money(it.value_cents)))
        .collect();
    Bars {
        alt: format!("Dead stock by value, the dearest: {}", named.join(", ")),
        rows: it.parts.iter().take(MOST_SHOWN).map(bar).collect(),
    }
}

fn parts(it: &DeadStock) -> Table {
    let heads = [
        "Part number",
        "Part",
        "Bin",
        "Last used",
        "#In bins",
        "#A year uses",
        "#Worth",
        "#Beyond a year",
        "#Worth of that",
    ];
    let file = format!("/reorder/dead-stock.csv?since={}", it.since);
    let mut table = Table::new("Dead stock", file, &heads);
    for part in &it.parts {
        table.rows.push(vec![
            Cell::to(&part.part_number, format!("/parts/{}", encoded(&part.part_number))),
            Cell::new(part_words(&part.part, &part.variant)),
            Cell::new(&part.bin),
            Cell::new(part.last_used.clone().unwrap_or_else(|| "never".to_owned())),
            Cell::new(part.on_hand.to_string()),
            Cell::new(part.a_year.to_string()),
            Cell::new(money(part.value_cents)),
            Cell::new(part.beyond.to_string()),
            Cell::new(money(part.beyond_cents)),
        ]);
    }
    table
}
