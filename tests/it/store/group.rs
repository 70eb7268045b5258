//! Group commit: writes that wait together share one commit, and none of them spoils another.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::Barrier;
use std::time::Duration;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::BigInt;
use kitwright::clock::Clock;
use kitwright::error::{DiskFault, Error};
use kitwright::ops::audit;
use kitwright::store::people::next_number;
use kitwright::store::{Conn, Database, DatabaseUrl, Who};

use crate::support::folder::Folder;

const WRITERS: usize = 32;

fn shop(folder: &Folder) -> Database {
    let file = folder.path().join("shop.sqlite").display().to_string();
    Database::open(&DatabaseUrl::Sqlite(file), Clock::System).expect("the books open")
}

/// Counts one on in a series of the shop's; returns the number.
fn count(books: &Database) -> Result<i64, Error> {
    books.write(Who::Program, |tx| Ok(next_number(tx.conn, "test")?))
}

#[derive(QueryableByName)]
struct Last {
    #[diesel(sql_type = BigInt)]
    last: i64,
}

/// Loads the last number of the series.
fn last(conn: &mut Conn) -> Result<i64, Error> {
    let row: Last = sql_query("SELECT last FROM counters WHERE name = 'test'").get_result(conn)?;
    Ok(row.last)
}

/// Runs `work` once for each writer while the first of all holds the turn until the others wait for
/// it; returns what each answered, an error for a panic.
fn together<T: Send>(
    books: &Database,
    work: impl Fn(usize) -> Result<T, Error> + Sync,
) -> Vec<Result<T, Error>> {
    let begun = Barrier::new(WRITERS + 1);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            books.write(Who::Program, |_| {
                begun.wait();
                std::thread::sleep(Duration::from_millis(100));
                Ok(())
            })
        });
        let writers = (0..WRITERS).map(|nth| {
            let (begun, work) = (&begun, &work);
            scope.spawn(move || {
                begun.wait();
                let done = catch_unwind(AssertUnwindSafe(|| work(nth)));
                done.unwrap_or_else(|_| Err(Error::Internal("it panicked".to_owned())))
            })
        });
        let writers: Vec<_> = writers.collect();
        writers.into_iter().map(|it| it.join().expect("it answers")).collect()
    })
}

#[test]
fn a_refused_write_and_a_panic_spoil_no_other_of_their_group() {
    let folder = Folder::new("group");
    let books = shop(&folder);
    let answers = together(&books, |nth| {
        books.write(Who::Program, |tx| {
            let number = next_number(tx.conn, "test")?;
            match nth % 4 {
                1 => Err(Error::invalid("test.refused", "no")),
                2 => resume_unwind(Box::new("this write is at fault")),
                _ => Ok(number),
            }
        })
    });
    let mut numbers: Vec<i64> = Vec::new();
    for (nth, answer) in answers.into_iter().enumerate() {
        match (nth % 4, answer) {
            (1, Err(Error::Invalid { .. })) | (2, Err(Error::Internal(_))) => {}
            (0 | 3, Ok(number)) => numbers.push(number),
            (_, other) => panic!("write {nth} answered {other:?}"),
        }
    }
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=16).collect::<Vec<i64>>(), "what was refused took no number");
    assert_eq!(count(&books).expect("it goes on"), 17);
}

#[test]
fn writes_that_wait_share_a_commit_and_nobody_sees_it_before() {
    let folder = Folder::new("group");
    let books = shop(&folder);
    count(&books).expect("the series begins");
    let shared = together(&books, |_| {
        books.write(Who::Program, |tx| {
            let number = next_number(tx.conn, "test")?;
            Ok(number - books.read(last)?)
        })
    });
    let most = shared.into_iter().map(|it| it.expect("it is written")).max();
    assert!(Some(1) < most, "no write found another's in its transaction: {most:?}");
    assert_eq!(books.read(last).expect("a number"), 33);
}

#[test]
fn a_commit_that_fails_answers_each_write_of_the_group_and_leaves_nothing() {
    let folder = Folder::new("group");
    let books = shop(&folder);
    count(&books).expect("the series begins");
    // Put off to the commit, a row without its parent fails that commit and no statement before it.
    let answers = together(&books, |_| {
        books.write(Who::Program, |tx| {
            let orphan = "PRAGMA defer_foreign_keys = ON;
                INSERT INTO lots (variant_id, code) VALUES (987654, 'ORPHAN' || hex(randomblob(8)))";
            tx.conn.batch_execute(orphan)?;
            Ok(next_number(tx.conn, "test")?)
        })
    });
    for answer in answers {
        assert!(
            matches!(answer, Err(Error::Disk { fault: DiskFault::Failed, .. })),
            "it stands: {answer:?}"
        );
    }
    assert_eq!(books.read(last).expect("a number"), 1);
    assert_eq!(count(&books).expect("it goes on"), 2);
}

#[test]
fn a_full_disk_is_told_to_each_write_that_it_stops_and_loses_nothing() {
    let folder = Folder::new("group");
    let books = shop(&folder);
    count(&books).expect("the series begins");
    let answers = together(&books, |nth| {
        books.write(Who::Program, |tx| {
            if nth == 0 {
                tx.conn.batch_execute("PRAGMA max_page_count = 1")?;
            }
            let filler = format!(
                "INSERT INTO settings (name, value) VALUES ('filler {nth}', hex(zeroblob(10000)))"
            );
            tx.conn.batch_execute(&filler)?;
            Ok(next_number(tx.conn, "test")?)
        })
    });
    let stand: Vec<i64> = answers
        .iter()
        .filter_map(|answer| match answer {
            Ok(number) => Some(*number),
            Err(Error::Disk { fault: DiskFault::Full, .. }) => None,
            other => panic!("the disk was full, and it answered {other:?}"),
        })
        .collect();
    assert!(stand.len() < WRITERS, "nothing was stopped");
    let most = stand.iter().max().copied().unwrap_or(1);
    assert_eq!(books.read(last).expect("a number"), most, "what was told stands, and no more");
    let findings = books.read(audit::check).expect("the proof runs");
    assert!(findings.iter().all(|it| it.findings.is_empty()));
}

#[test]
fn a_commit_waits_for_the_disk() {
    let folder = Folder::new("group");
    let books = shop(&folder);
    // FULL is 2: the log is synchronised at each commit, so that a power cut takes nothing back.
    let setting = books.write(Who::Program, |tx| {
        let row: Last =
            sql_query("SELECT CAST(synchronous AS BIGINT) AS last FROM pragma_synchronous")
                .get_result(tx.conn)?;
        Ok(row.last)
    });
    assert_eq!(setting.expect("it reads"), 2);
}
