//! Backups by hand, and those that the service makes by itself.

use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Duration;

use clap::Args;

use crate::clock::Clock;
use crate::error::Error;
use crate::ops::backup::{self, Plan, Watch};
use crate::store::DatabaseUrl;

use super::Books;

#[derive(Debug, Args)]
pub(super) struct Backup {
    /// The file to write, which must be new
    file: PathBuf,
    #[command(flatten)]
    books: Books,
}

#[derive(Debug, Args)]
pub(super) struct Restore {
    /// The backup to read
    file: PathBuf,
    /// The shop to make of it, which must be new
    #[command(flatten)]
    books: Books,
}

/// Makes a backup and proves it; the shop may be served meanwhile.
pub(super) fn make(it: &Backup) -> Result<ExitCode, Error> {
    // Opening books that are not there would make an empty shop.
    if let Some(shop) = it.books.database.file().filter(|it| !it.exists()) {
        return Err(Error::not_found("shop", shop.display().to_string()));
    }
    let made = backup::backup(&it.books.database, &it.file)?;
    println!("{}: {} bytes, proved", made.file.display(), made.bytes);
    Ok(ExitCode::SUCCESS)
}

/// Makes a shop of a backup.
pub(super) fn restore(it: &Restore) -> Result<ExitCode, Error> {
    backup::restore(&it.file, &it.books.database)?;
    println!("restored and proved; everything since that backup is to be entered again");
    Ok(ExitCode::SUCCESS)
}

/// What `serve` is told of backups.
#[derive(Debug, Clone, Args)]
pub(super) struct Schedule {
    /// Make backups in this folder, best on another disk; none where it is left out
    #[arg(long, env = "KITWRIGHT_BACKUP_TO", value_name = "FOLDER")]
    backup_to: Option<PathBuf>,
    /// How many hours after a backup the next is made
    #[arg(long, env = "KITWRIGHT_BACKUP_EVERY", value_name = "HOURS", default_value_t = 24,
        value_parser = clap::value_parser!(u16).range(1..))]
    backup_every: u16,
    /// How many of the newest backups are kept
    #[arg(long, env = "KITWRIGHT_BACKUP_KEEP", value_name = "COUNT", default_value_t = 14,
        value_parser = clap::value_parser!(u16).range(1..))]
    backup_keep: u16,
}

/// How often the service looks whether a backup is due, and tries again one that failed.
const LOOK: Duration = Duration::from_secs(60);

/// Begins to make backups as told; returns what tells of one that failed.
pub(super) fn begin(it: &Schedule, books: &DatabaseUrl) -> Result<Arc<Watch>, Error> {
    let watch = Arc::new(Watch::default());
    let Some(folder) = it.backup_to.clone() else { return Ok(watch) };
    if books.is_remote() {
        return Err(Error::invalid(
            "backup.remote",
            "--backup-to: PostgreSQL's books are copied by pg_dump: leave it out, and see kitwright backup",
        ));
    }
    let every = chrono::Duration::hours(i64::from(it.backup_every));
    let plan = Plan { folder, every, keep: usize::from(it.backup_keep) };
    let (books, told) = (books.clone(), Arc::clone(&watch));
    std::thread::spawn(move || {
        loop {
            look(&books, &plan, &told);
            std::thread::sleep(LOOK);
        }
    });
    Ok(watch)
}

fn look(books: &DatabaseUrl, plan: &Plan, watch: &Watch) {
    match backup::tend(books, plan, Clock::System.now()) {
        Ok(None) => {}
        Ok(Some(made)) => {
            tracing::info!(file = %made.file.display(), bytes = made.bytes, "a backup was made");
            watch.note(None);
        }
        Err(error) => {
            let cause = error.hidden_cause().unwrap_or_default();
            tracing::error!(code = error.code(), cause, "{error}");
            watch.note(Some(error.to_string()));
        }
    }
}
