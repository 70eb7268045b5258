//! Copies of the books: made while the shop works, proved before they count, and taken back.

mod plan;

use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};

use crate::error::Error;
use crate::store::{Conn, DatabaseUrl, backup as copies};

use super::audit;

pub use plan::{Plan, Watch, tend};

/// A backup that was made and proved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Backup {
    /// Where it is.
    pub file: PathBuf,
    /// Its size in bytes.
    pub bytes: u64,
}

/// Writes a copy of the books as they stand at one moment, proves it, and only then gives it its
/// name; the shop may work meanwhile.
///
/// # Errors
///
/// [`Error::Conflict`] when the file is there already, or the copy can't be written or does not
/// prove; nothing is left of it then. PostgreSQL's books are copied by its own program, which the
/// error names.
pub fn backup(books: &DatabaseUrl, file: &Path) -> Result<Backup, Error> {
    if books.is_remote() {
        return Err(Error::invalid("backup.remote", REMOTE.replace("FILE", &words(file))));
    }
    if file.exists() {
        let words = format!("{} is there already: name a new file", words(file));
        return Err(Error::conflict("backup.exists", words));
    }
    let part = part_of(file);
    let kept = |()| keep(&part, file).map_err(|fault| unmade(&format!("{}: {fault}", words(file))));
    let made = copy(books, &part).and_then(kept);
    if made.is_err() {
        clear(&part);
    }
    let bytes = made?;
    Ok(Backup { file: file.to_owned(), bytes })
}

const REMOTE: &str = "these books are PostgreSQL's, which copies them itself, while they are in use: \
    pg_dump --format=custom --file=FILE \"$KITWRIGHT_DATABASE\"; take one back into a new, empty \
    database with pg_restore --exit-on-error --dbname=ADDRESS FILE, then run kitwright check";

/// Writes the proved and durable copy under its name for the time being.
fn copy(books: &DatabaseUrl, part: &Path) -> Result<(), Error> {
    clear(part);
    private(part).map_err(|fault| unmade(&format!("{}: {fault}", words(part))))?;
    let cannot = |fault: Error| unmade(&fault.hidden_cause().unwrap_or(fault.to_string()));
    copies::copy(books, part).map_err(cannot)?;
    let findings = match copies::open(part).map_err(cannot)? {
        Some(mut conn) => findings(&mut conn)?,
        None => vec!["it holds no books".to_owned()],
    };
    if findings.is_empty() {
        return Ok(());
    }
    Err(unmade(&format!("the copy does not prove: {}", findings.join("; "))))
}

/// Returns what is wrong with a copy: with the file, and with the books in it.
fn findings(conn: &mut Conn) -> Result<Vec<String>, Error> {
    let mut found = copies::damage(conn)?;
    found.extend(audit::check(conn)?.into_iter().flat_map(|it| it.findings));
    Ok(found)
}

/// Makes a finished file last and gives it its name; returns its size.
fn keep(part: &Path, file: &Path) -> io::Result<u64> {
    let copy = File::open(part)?;
    copy.sync_all()?;
    // A link refuses a name that is taken, where a renaming would write over it.
    fs::hard_link(part, file)?;
    fs::remove_file(part)?;
    sync_folder(file)?;
    Ok(copy.metadata()?.len())
}

fn sync_folder(file: &Path) -> io::Result<()> {
    match file.parent().filter(|it| !it.as_os_str().is_empty()) {
        Some(folder) => File::open(folder)?.sync_all(),
        None => File::open(".")?.sync_all(),
    }
}

/// Makes an empty file that only the service's own user may read: the books hold addresses and the
/// keys of links.
fn private(file: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(file)
}

/// Returns the name that a file has while it is being written.
fn part_of(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(".part");
    PathBuf::from(name)
}

/// Returns the files that the database keeps beside the one that it is told.
fn beside(file: &Path) -> [PathBuf; 3] {
    ["-wal", "-shm", "-journal"].map(|ending| {
        let mut name = file.as_os_str().to_owned();
        name.push(ending);
        PathBuf::from(name)
    })
}

/// Takes an unfinished file away; where there is none, nothing is to be done.
fn clear(part: &Path) {
    drop(fs::remove_file(part));
    beside(part).iter().for_each(|it| drop(fs::remove_file(it)));
}

fn words(file: &Path) -> String {
    file.display().to_string()
}

fn unmade(why: &str) -> Error {
    Error::conflict(
        "backup.failed",
        format!("no backup was made, and the books are as they were: {why}"),
    )
}

/// Makes a shop of a backup: copies it, brings the copy's tables up to date and proves it. The
/// backup stays as it is.
///
/// # Errors
///
/// [`Error::Conflict`] when the shop's file is there already, which is never overwritten, or when
/// the backup can't be read or does not prove.
pub fn restore(backup: &Path, shop: &DatabaseUrl) -> Result<(), Error> {
    let Some(file) = shop.file() else {
        return Err(Error::invalid("backup.remote", REMOTE.replace("FILE", &words(backup))));
    };
    let taken = beside(file).into_iter().chain([file.to_owned()]).find(|it| it.exists());
    if let Some(taken) = taken {
        return Err(Error::conflict(
            "restore.exists",
            format!(
                "{} is there, and a restore writes over no shop: move it away first, or name a new file with --database",
                words(&taken)
            ),
        ));
    }
    let part = part_of(file);
    let kept = |()| keep(&part, file).map_err(|fault| unrestored(file, &fault.to_string()));
    let done = take_back(backup, &part).and_then(kept);
    if done.is_err() {
        clear(&part);
    }
    done.map(drop)
}

fn unrestored(file: &Path, why: &str) -> Error {
    Error::conflict("restore.failed", format!("nothing was restored: {}: {why}", words(file)))
}

fn take_back(backup: &Path, part: &Path) -> Result<(), Error> {
    clear(part);
    let copied = File::open(backup).and_then(|mut from| io::copy(&mut from, &mut private(part)?));
    copied.map_err(|fault| unrestored(backup, &fault.to_string()))?;
    let Some(mut conn) = copies::open(part)? else {
        return Err(unrestored(backup, "this is no backup of a shop"));
    };
    copies::renew(&mut conn)?;
    let findings = findings(&mut conn)?;
    if findings.is_empty() {
        return Ok(());
    }
    Err(unrestored(backup, &format!("it does not prove: {}", findings.join("; "))))
}
