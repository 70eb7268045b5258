use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use crate::error::Error;
use crate::exchange::Kind;
use crate::ops::advices::{self, AdviceView};
use crate::ops::events::{self, PAGE, Since};
use crate::ops::{exchange, ubl};
use crate::store::{Database, Who};

use super::{Books, file_error};

#[derive(Debug, Args)]
pub(super) struct Import {
    /// suppliers, bins, parts, kits, stock, orders or purchase-orders, as CSV; despatch-advice, as
    /// UBL 2.1
    kind: Incoming,
    /// The file
    file: PathBuf,
    /// Only say what would be imported, or what is wrong
    #[arg(long)]
    dry_run: bool,
    #[command(flatten)]
    books: Books,
}

/// What can come in.
#[derive(Debug, Clone, Copy)]
enum Incoming {
    File(Kind),
    Advice,
}

impl std::str::FromStr for Incoming {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match word {
            "despatch-advice" => Ok(Self::Advice),
            word => match word.parse::<Kind>() {
                Ok(kind) => Ok(Self::File(kind)),
                Err(fault) => Err(format!("{fault}, despatch-advice")),
            },
        }
    }
}

/// What can go out.
#[derive(Debug, Clone, Copy)]
enum Outgoing {
    File(Kind),
    Events,
    Order,
    Advice,
}

impl std::str::FromStr for Outgoing {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        match word {
            "events" => Ok(Self::Events),
            "ubl-order" => Ok(Self::Order),
            "despatch-advice" => Ok(Self::Advice),
            word => match word.parse::<Kind>() {
                Ok(kind) => Ok(Self::File(kind)),
                Err(fault) => Err(format!("{fault}, events, ubl-order, despatch-advice")),
            },
        }
    }
}

#[derive(Debug, Args)]
pub(super) struct Export {
    /// suppliers, bins, parts, kits, stock, orders or purchase-orders, as CSV; events, as EPCIS 2.0;
    /// ubl-order or despatch-advice, as UBL 2.1
    kind: Outgoing,
    /// The purchase order of a ubl-order, the kit of a despatch-advice; events of one kit alone
    number: Option<String>,
    /// Events after that cursor, or from a time with its zone on; the cursor to go on from is
    /// written to standard error
    #[arg(long, default_value = "0.0")]
    since: Since,
    /// Events of at most so many movements
    #[arg(long, default_value_t = PAGE)]
    limit: i64,
    /// The address of the shop, which is part of the names of its things
    #[arg(long, env = "KITWRIGHT_PUBLIC_URL", default_value = "http://127.0.0.1:8377")]
    public_url: String,
    #[command(flatten)]
    books: Books,
}

/// Imports a file whole, or tells every fault.
pub(super) fn import(it: &Import) -> Result<ExitCode, Error> {
    let bytes = std::fs::read(&it.file).map_err(|fault| file_error(&it.file, &fault))?;
    let books = it.books.open()?;
    let words = match it.kind {
        Incoming::File(kind) => {
            let take = |tx: &mut crate::store::Tx<'_>| exchange::import(tx, kind, &bytes);
            let taken = match it.dry_run {
                true => books.rehearse(Who::Program, take)?,
                false => books.write(Who::Program, take)?,
            };
            taken.words
        }
        Incoming::Advice => {
            let take = |tx: &mut crate::store::Tx<'_>| advices::take(tx, &bytes);
            let taken = match it.dry_run {
                true => books.rehearse(Who::Program, take)?,
                false => books.write(Who::Program, take)?,
            };
            advice_words(&taken)
        }
    };
    match it.dry_run {
        true => println!("{words}; nothing was written: this was a dry run"),
        false => println!("{words}"),
    }
    Ok(ExitCode::SUCCESS)
}

/// Returns what an advice announces, line by line, and what came of it last.
fn advice_words(it: &AdviceView) -> String {
    let mut words = String::new();
    for line in &it.lines {
        let lot = if line.lot.is_empty() { String::new() } else { format!(", lot {}", line.lot) };
        let unit = if line.unit.is_empty() { String::new() } else { format!(", in {}", line.unit) };
        let (order, number) = (&line.order, line.line);
        let text = format!("{order} line {number}: {} × {}", line.quantity, line.part_number);
        words.push_str(&format!("  {text}{lot}{unit}\n"));
    }
    for note in &it.notes {
        words.push_str(&format!("  note: {note}\n"));
    }
    words + &it.words
}

/// Writes what was asked for to standard output.
pub(super) fn export(it: &Export) -> Result<ExitCode, Error> {
    let books = it.books.open()?;
    let address = it.public_url.trim_end_matches('/');
    if let (Outgoing::File(kind), Some(number)) = (it.kind, &it.number) {
        let words = format!("all {kind} are written: leave {number} out");
        return Err(Error::invalid("cli.number", words));
    }
    let text = match it.kind {
        Outgoing::File(kind) => books.read(|conn| exchange::export(conn, kind))?,
        Outgoing::Events => events_text(&books, it, address)?,
        Outgoing::Order => {
            let number = numbered(it, "purchase order, such as PO-26-156")?;
            books.read(|conn| ubl::order(conn, number))?
        }
        Outgoing::Advice => {
            let number = numbered(it, "kit, such as KT0001D")?;
            books.read(|conn| ubl::despatch_advice(conn, number))?
        }
    };
    print!("{text}");
    Ok(ExitCode::SUCCESS)
}

fn numbered<'a>(it: &'a Export, of: &str) -> Result<&'a str, Error> {
    let missing = || Error::invalid("cli.number", format!("name the {of}, after the kind"));
    it.number.as_deref().ok_or_else(missing)
}

fn events_text(books: &Database, it: &Export, address: &str) -> Result<String, Error> {
    books.write(Who::Program, events::prepare)?;
    let now = books.now();
    let text = books.read(|conn| match &it.number {
        Some(kit) => events::document(events::of_kit(conn, kit, address)?, now),
        None => {
            let page = events::page(conn, it.since, it.limit, address)?;
            eprintln!("go on with --since {}", page.next);
            events::document(page.told, now)
        }
    })?;
    Ok(text + "\n")
}
