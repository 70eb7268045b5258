use std::path::PathBuf;
use std::process::ExitCode;

use chrono::Datelike;
use clap::Args;

use crate::error::Error;
use crate::ops::trace::{self, Search, TraceView};

use super::{Books, file_error};

#[derive(Debug, Args)]
pub(super) struct Trace {
    /// Lots, serial numbers or runs as they are printed or scanned
    #[arg(required = true)]
    codes: Vec<String>,
    /// The part number that they are of, where another part may have the same code
    #[arg(long, default_value = "")]
    part: String,
    /// A CSV file to write, with who has pieces or may have, for letters
    #[arg(long)]
    letters: Option<PathBuf>,
    #[command(flatten)]
    books: Books,
}

/// Says where the pieces are; the code is 1 when a code is not known.
pub(super) fn trace(it: &Trace) -> Result<ExitCode, Error> {
    let search = Search { codes: it.codes.clone(), part_number: it.part.clone() };
    let books = it.books.open()?;
    let year = books.now().year();
    let view = books.read(|conn| trace::trace(conn, &search, year))?;
    tell(&view);
    if let Some(file) = &it.letters {
        std::fs::write(file, trace::letters_of(&view)).map_err(|fault| file_error(file, &fault))?;
    }
    Ok(if view.unknown.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn tell(view: &TraceView) {
    for it in &view.items {
        println!(
            "{} {} of {} {}: {} came in",
            it.kind, it.code, it.part_number, it.part, it.came_in
        );
    }
    for code in &view.unknown {
        println!("not known: {code}");
    }
    println!("{} pieces:", view.came_in);
    for it in &view.fates {
        println!("  {:>7} {}", it.pieces.to_string(), it.fate);
    }
    for it in &view.kits {
        let stands = match it.handed_over_on {
            Some(day) => format!("handed over {day}"),
            None => it.state.clone(),
        };
        let up_to = if it.certain { "" } else { "up to " };
        println!(
            "kit {} order {} {}: {up_to}{} in {} {}, {stands} {}",
            it.kit, it.order, it.customer, it.pieces, it.part_number, it.code, it.carton
        );
    }
    for it in &view.in_house {
        let up_to = if it.certain { "" } else { "up to " };
        println!(
            "{} {}: {up_to}{} in {} {}",
            it.kind, it.place, it.pieces, it.part_number, it.code
        );
    }
}
