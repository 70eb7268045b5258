//! The crash campaign of a shop on PostgreSQL: the server's processes are killed under running
//! scans, while the service stays and connects anew.
//!
//! Two kills by default, as CI runs it. The long form:
//!
//! ```text
//! KITWRIGHT_KILLS=100 cargo test --release --features postgres --test crash -- --nocapture postgres::
//! ```
//!
//! The cluster is this test's own, in a folder of its own, and waits for the disk at each commit.

mod cluster;

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use rand::RngExt;

use crate::journal::Entry;
use crate::program::Program;
use crate::{Campaign, Task, folder, told};
use cluster::{Cluster, Kill};

/// How long the service may take to answer well again after the server is there.
const BACK_WITHIN: Duration = Duration::from_secs(60);

#[test]
fn what_was_acknowledged_is_there_once_after_each_kill_of_the_server() {
    let kills = told("KITWRIGHT_KILLS").unwrap_or(2);
    let seed = told("KITWRIGHT_SEED").unwrap_or_else(|| rand::rng().random());
    println!("seed {seed}, {kills} kills of the server");
    let mut cluster = Cluster::start();
    let mut campaign = Campaign::at(folder("kitwright-crash-postgres"), cluster.address(), seed);
    let program = Program::start(&campaign.address, &campaign.log);
    let (mut whole, mut longest) = (0, Duration::ZERO);
    for kill in 1..=kills {
        let how = if kill % 2 == 1 { Kill::All } else { Kill::One };
        whole += u64::from(how == Kill::All);
        longest = longest.max(campaign.outlive(&program, &mut cluster, how));
        campaign.settle(&program);
        campaign.prove();
        if kill % 10 == 0 || kill == kills {
            println!(
                "{kill} kills, {whole} of the whole server: {}; back within {} ms at most",
                campaign.journal.words(),
                longest.as_millis()
            );
        }
    }
    campaign.check();
    let moved = campaign.journal.moved();
    assert!(0 < moved, "the campaign moved nothing, so it proved nothing");
}

impl Campaign {
    /// Works with the service, kills the server in the midst of it, and starts it again; returns how
    /// long the service took after that until it answered well.
    fn outlive(&mut self, program: &Program, cluster: &mut Cluster, how: Kill) -> Duration {
        let is_over = AtomicBool::new(false);
        let before = Duration::from_millis(self.dice.random_range(1..600));
        let after = Duration::from_millis(self.dice.random_range(50..400));
        let (sender, answers) = std::sync::mpsc::channel();
        let (which, pickers) = (self.dice.random(), self.pickers(&program.address));
        let mut took = Duration::ZERO;
        let done: Vec<(Task, Vec<Entry>)> = std::thread::scope(|scope| {
            let threads = pickers.into_iter().map(|it| {
                let (sender, is_over) = (sender.clone(), &is_over);
                scope.spawn(move || it.work_on(&sender, || is_over.load(Ordering::Relaxed)))
            });
            let threads: Vec<_> = threads.collect();
            answers.recv_timeout(BACK_WITHIN).expect("something is acknowledged before the kill");
            std::thread::sleep(before);
            cluster.kill(how, which);
            cluster.revive();
            let began = Instant::now();
            while answers.try_recv().is_ok() {}
            answers.recv_timeout(BACK_WITHIN).expect("the service answers again");
            took = began.elapsed();
            std::thread::sleep(after);
            is_over.store(true, Ordering::Relaxed);
            threads.into_iter().map(|it| it.join().expect("a device ends well")).collect()
        });
        for (task, entries) in done {
            self.tasks.push(task);
            entries.into_iter().for_each(|it| self.journal.note(it));
        }
        took
    }
}
