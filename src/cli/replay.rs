use std::process::ExitCode;

use clap::Args;

use crate::domain::statistics::whole_down;
use crate::error::Error;
use crate::ops::reorder::{SeasonView, Sums, invented, past};
use crate::units::Money;

use super::Books;

#[derive(Debug, Args)]
pub(super) struct Replay {
    /// Replay a season that is invented from a seed, by the shop's own plan, in place of the last
    /// whole season of the books, May to April
    #[arg(long)]
    invented: bool,
    /// The seed of what is invented: the season, and how long each order takes
    #[arg(long, default_value_t = 1)]
    seed: u64,
    #[command(flatten)]
    books: Books,
}

/// Prints what the desk's policies would have come to over a season, beside a fixed minimum and
/// maximum and beside somebody who knew it.
pub(super) fn run(it: &Replay) -> Result<ExitCode, Error> {
    let books = it.books.open()?;
    let today = books.now().date();
    let view = books.read(|conn| match it.invented {
        true => invented(conn, today, it.seed),
        false => past(conn, today, it.seed),
    })?;
    tell(&view);
    Ok(ExitCode::SUCCESS)
}

fn tell(view: &SeasonView) {
    for fault in &view.faults {
        eprintln!("left out: {fault}");
    }
    println!("{} to {}", view.from, view.until);
    println!(
        "{:<6}{:>7}{:>9}  {:<10}{:>13}{:>15}{:>14}{:>14}{:>8}",
        "class",
        "parts",
        "wanted",
        "bought by",
        "parts short",
        "days out",
        "pieces short",
        "stock",
        "orders"
    );
    for row in &view.rows {
        let ways = [("desk", &row.desk), ("min/max", &row.fixed), ("known", &row.known)];
        for (at, (way, sums)) in ways.into_iter().enumerate() {
            let head = match at {
                0 => format!("{:<6}{:>7}{:>9}", row.class, row.parts, row.wanted),
                _ => format!("{:<22}", ""),
            };
            println!("{head}  {way:<10}{}", figures(sums));
        }
    }
    println!(
        "desk: the shop's policies. min/max: set once from the year's average day. known: every day \
         known before. Stock: its value on an average day. Days out: days on which a part was short, \
         over all parts."
    );
}

fn figures(sums: &Sums) -> String {
    let stock = whole_down(sums.stock_cents).map_or(0, |cents| cents / 100 * 100);
    format!(
        "{:>13}{:>15}{:>14}{:>14}{:>8}",
        sums.parts_short,
        sums.days_short,
        sums.short,
        Money::from_cents(stock).to_string(),
        sums.orders
    )
}
