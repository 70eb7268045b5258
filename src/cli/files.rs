use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use crate::error::Error;
use crate::exchange::Kind;
use crate::ops::exchange;
use crate::store::Who;

use super::{Books, file_error};

#[derive(Debug, Args)]
pub(super) struct Import {
    /// suppliers, bins, parts, kits, stock, orders or purchase-orders
    kind: Kind,
    /// The CSV file
    file: PathBuf,
    /// Only say what would be imported, or what is wrong
    #[arg(long)]
    dry_run: bool,
    #[command(flatten)]
    books: Books,
}

#[derive(Debug, Args)]
pub(super) struct Export {
    /// suppliers, bins, parts, kits, stock, orders or purchase-orders
    kind: Kind,
    #[command(flatten)]
    books: Books,
}

/// Imports a file whole, or tells every fault.
pub(super) fn import(it: &Import) -> Result<ExitCode, Error> {
    let bytes = std::fs::read(&it.file).map_err(|fault| file_error(&it.file, &fault))?;
    let books = it.books.open()?;
    let take = |tx: &mut crate::store::Tx<'_>| exchange::import(tx, it.kind, &bytes);
    if it.dry_run {
        let would = books.rehearse(Who::Program, take)?;
        println!("{}; nothing was written: this was a dry run", would.words);
    } else {
        println!("{}", books.write(Who::Program, take)?.words);
    }
    Ok(ExitCode::SUCCESS)
}

/// Writes all records of a kind to standard output.
pub(super) fn export(it: &Export) -> Result<ExitCode, Error> {
    let text = it.books.open()?.read(|conn| exchange::export(conn, it.kind))?;
    print!("{text}");
    Ok(ExitCode::SUCCESS)
}
