//! The simulation: weeks of shop life from one seed, through the ops that pages and API call, beside
//! an auditor that keeps plain books of its own. Devices send twice, late and wrongly, and the
//! program ends before a commit; after each day both books must say the same.
//!
//! Two short histories by default. Many, and longer ones:
//!
//! ```text
//! KITWRIGHT_HISTORIES=2000 KITWRIGHT_DAYS=15 cargo test --release --test sim -- --nocapture
//! ```
//!
//! Where the books differ, it prints the seed and the shortest history that shows it, deed by deed;
//! `KITWRIGHT_SEED=…` runs that one alone.
#![expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a helper of a test fails the test by stopping it"
)]

mod auditor;
mod deed;
mod history;
mod shop;
mod workload;

use history::Watch;
use rand::RngExt;

/// A number told by the environment.
fn told(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|it| it.parse().expect("a number"))
}

#[test]
fn the_shop_and_the_auditor_keep_the_same_books() {
    let days = told("KITWRIGHT_DAYS").unwrap_or(4);
    let seeds: Vec<u64> = match told("KITWRIGHT_SEED") {
        Some(seed) => vec![seed],
        None => {
            let count = told("KITWRIGHT_HISTORIES").unwrap_or(2);
            (0..count).map(|_| rand::rng().random()).collect()
        }
    };
    let mut deeds = 0;
    for (nth, seed) in (1..).zip(&seeds) {
        println!("history {nth} of {}: seed {seed}, {days} days", seeds.len());
        match history::run(*seed, days, Watch::EachDay) {
            Ok(history) => {
                deeds += history.deeds.len();
                println!("  {}", history.words());
            }
            Err(difference) => shrink(*seed, days, &difference),
        }
    }
    assert!(0 < deeds, "nothing was done, so nothing was proved");
}

/// Finds the shortest beginning of a history that shows a difference, and fails with it: the same
/// seed does the same deeds, so looking after each of them finds the first that is wrong.
fn shrink(seed: u64, days: u64, difference: &str) {
    let why = history::run(seed, days, Watch::EachDeed).err();
    let why = why.as_deref().unwrap_or(difference);
    panic!("seed {seed}, {days} days: {why}");
}

#[test]
fn the_auditor_finds_a_movement_that_nobody_asked_for() {
    let found = history::run_tampered(7).err().expect("the books differ");
    assert!(found.contains("PK101H at P-04-1Q"), "{found}");
    assert!(found.contains("deed 1"), "the history is told: {found}");
}
