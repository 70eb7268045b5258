//! The command line: one file for each group of verbs.

mod backup;
mod books;
mod calc;
mod demo;
mod files;
mod mail;
mod print;
mod replay;
mod serve;
mod trace;
#[cfg(feature = "postgres")]
mod transfer;
mod user;

use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};

use crate::clock::Clock;
use crate::error::Error;
use crate::store::{Database, DatabaseUrl};

/// Kits of a ski bike, from the order to the verified box: parts and lots, picking, packing,
/// labels, goods-in and reordering.
#[derive(Debug, Parser)]
#[command(name = "kitwright", version, arg_required_else_help = true)]
struct Cli {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// Serve an invented shop from a throwaway database, with a log-in for each role
    Demo(demo::Demo),
    /// Serve a shop
    Serve(Box<serve::Serve>),
    /// Take in a CSV file or a supplier's despatch advice: all of it, or nothing and every fault
    Import(files::Import),
    /// Write all records of a kind as CSV, events as EPCIS, or a document as UBL
    Export(files::Export),
    /// Print labels and papers as PDF
    Print(Box<print::Print>),
    /// Prove the books from the movements alone; exit with 1 and name the row where they fail
    Check(books::Check),
    /// Say where the pieces of lots, serial numbers or runs are, and in which kits
    Trace(trace::Trace),
    /// Say what the shop's policies would have come to over a season, beside two other ways to buy
    Replay(replay::Replay),
    /// Copy the books into a new file while they are in use, and prove the copy
    Backup(backup::Backup),
    /// Make a new shop of a backup
    Restore(backup::Restore),
    /// Carry a shop over from SQLite to an empty PostgreSQL database, and prove both equal
    #[cfg(feature = "postgres")]
    Move(transfer::Move),
    /// Add, list or disable people
    User(user::User),
    /// Compute on JSON lines: the functions that the service uses, without a database
    Calc(calc::Calc),
}

/// Where the books are.
#[derive(Debug, Clone, Args)]
struct Books {
    /// sqlite:FILE, or postgres://HOST/NAME in a build with that feature
    #[arg(long, env = "KITWRIGHT_DATABASE", default_value = "sqlite:kitwright.sqlite")]
    database: DatabaseUrl,
}

impl Books {
    fn open(&self) -> Result<Database, Error> {
        Database::open(&self.database, Clock::System)
    }
}

/// Runs the program; returns its exit code: 0 done, 1 refused or not proved, 2 asked wrongly.
#[must_use]
pub fn run() -> ExitCode {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_max_level(tracing::Level::INFO)
        .with_target(false)
        .with_ansi(std::io::IsTerminal::is_terminal(&std::io::stderr()))
        .init();
    let done = match Cli::parse().verb {
        Verb::Demo(it) => demo::run(&it),
        Verb::Serve(it) => serve::run(&it),
        Verb::Import(it) => files::import(&it),
        Verb::Export(it) => files::export(&it),
        Verb::Print(it) => print::run(&it),
        Verb::Check(it) => books::check(&it),
        Verb::Trace(it) => trace::trace(&it),
        Verb::Replay(it) => replay::run(&it),
        Verb::Backup(it) => backup::make(&it),
        Verb::Restore(it) => backup::restore(&it),
        #[cfg(feature = "postgres")]
        Verb::Move(it) => transfer::run(&it),
        Verb::User(it) => user::run(&it),
        Verb::Calc(it) => calc::run(&it),
    };
    match done {
        Ok(code) => code,
        Err(error) => {
            tell(&error);
            ExitCode::FAILURE
        }
    }
}

/// Writes an error for the person at the terminal: what is wrong, then each fault on its line.
fn tell(error: &Error) {
    eprintln!("kitwright: {error}");
    if let Error::Faults(faults) = error {
        for fault in faults {
            eprintln!("  {fault}");
        }
    }
    if let Some(cause) = error.hidden_cause() {
        eprintln!("  cause: {cause}");
    }
}

/// Returns the error of a file that can't be read or written.
fn file_error(path: &std::path::Path, fault: &std::io::Error) -> Error {
    Error::invalid("cli.file", format!("{}: {fault}", path.display()))
}
