//! Backups at set times, of which the newest few are kept.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use chrono::{Duration, NaiveDateTime};

use crate::error::Error;
use crate::store::DatabaseUrl;

use super::{Backup, backup};

/// When backups are made, where, and how many are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The folder, which holds nothing else of that name.
    pub folder: PathBuf,
    /// How long after one backup the next is made.
    pub every: Duration,
    /// How many of the newest are kept.
    pub keep: usize,
}

/// What became of the last backup that was due.
#[derive(Debug, Default)]
pub struct Watch(Mutex<Option<String>>);

impl Watch {
    /// Returns why the last backup failed, in words; nothing when it was made.
    pub fn trouble(&self) -> Option<String> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Notes what became of a backup.
    pub fn note(&self, trouble: Option<String>) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = trouble;
    }
}

const FORM: &str = "kitwright-%Y%m%dT%H%M%SZ.sqlite";

/// Makes the backup that is due, if one is, and then takes away those past the count that is kept;
/// returns it.
///
/// # Errors
///
/// As [`backup`], and [`Error::Conflict`] when the folder can't be read or cleared. None is taken
/// away unless a new one was made.
pub fn tend(books: &DatabaseUrl, plan: &Plan, now: NaiveDateTime) -> Result<Option<Backup>, Error> {
    let failed = |fault: std::io::Error| {
        let words = format!("{}: {fault}", plan.folder.display());
        Error::conflict("backup.folder", words)
    };
    std::fs::create_dir_all(&plan.folder).map_err(failed)?;
    let newest = made(&plan.folder).map_err(failed)?.last().map(|it| it.0);
    // One of a later time than now is of a clock that was wrong.
    if newest.is_some_and(|it| it <= now && now < it + plan.every) {
        return Ok(None);
    }
    let file = plan.folder.join(now.format(FORM).to_string());
    let done = backup(books, &file)?;
    let all = made(&plan.folder).map_err(failed)?;
    let past = all.len().saturating_sub(plan.keep.max(1));
    for (_, old) in all.iter().take(past).filter(|it| it.1 != file) {
        std::fs::remove_file(old).map_err(failed)?;
    }
    Ok(Some(done))
}

/// Returns the backups of a folder with their times, oldest first. Nothing else in it is touched.
fn made(folder: &Path) -> std::io::Result<Vec<(NaiveDateTime, PathBuf)>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().map(|it| it.to_string_lossy().into_owned());
        let time = name.and_then(|it| NaiveDateTime::parse_from_str(&it, FORM).ok());
        found.extend(time.map(|time| (time, path)));
    }
    found.sort();
    Ok(found)
}
