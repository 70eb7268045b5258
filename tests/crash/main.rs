//! The crash campaign: devices scan at the real program, which is killed in the midst of it; after
//! each start all that it ever acknowledged is there once, nothing is half done, and the books prove.
//!
//! Five kills by default. The long form, which prints how it goes:
//!
//! ```text
//! KITWRIGHT_KILLS=500 cargo test --release --test crash -- --nocapture
//! ```
//!
//! `KITWRIGHT_CRASH_DATABASE=postgres://…` takes another, empty database than a fresh file of SQLite's.
//! `KITWRIGHT_SEED=…` asks the same of the shop again; when a kill strikes is up to the machine.
//! A kill takes the process and leaves the system its memory: that a commit waits for the disk is
//! tested by `synchronous = FULL`, not here.
#![expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a helper of a test fails the test by stopping it"
)]

mod journal;
#[cfg(feature = "postgres")]
mod postgres;
mod program;
#[path = "../wire.rs"]
mod wire;

use std::fs::File;
use std::path::PathBuf;
use std::sync::mpsc;
use std::time::Duration;

use kitwright::clock::Clock;
use kitwright::demo;
use kitwright::domain::people::Role;
use kitwright::ops::picking;
use kitwright::ops::{RequestKey, audit};
use kitwright::store::{Database, DatabaseUrl, Tx, Who, people};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use serde_json::{Value, json};

use journal::{Entry, Journal};
use program::Program;
use wire::Device;

const DEVICES: usize = 6;

/// A number told by the environment.
fn told(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|it| it.parse().expect("a number"))
}

#[test]
fn what_was_acknowledged_is_there_once_after_each_kill() {
    let kills = told("KITWRIGHT_KILLS").unwrap_or(5);
    let seed = told("KITWRIGHT_SEED").unwrap_or_else(|| rand::rng().random());
    println!("seed {seed}, {kills} kills");
    let mut campaign = Campaign::new(seed);
    for kill in 1..=kills {
        campaign.live_and_die();
        if kill % 25 == 0 || kill == kills {
            println!("{kill} kills: {}", campaign.journal.words());
        }
    }
    let last = Program::start(&campaign.address, &campaign.log);
    campaign.settle(&last);
    campaign.prove();
    drop(last);
    campaign.check();
    let moved = campaign.journal.moved();
    assert!(0 < moved, "the campaign moved nothing, so it proved nothing");
}

/// Returns a folder of this run's own.
fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("{name}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

struct Campaign {
    folder: PathBuf,
    /// The database's address: nothing else here knows which one it is.
    address: String,
    token: String,
    log: File,
    tasks: Vec<Task>,
    journal: Journal,
    before: i64,
    dice: StdRng,
}

impl Drop for Campaign {
    fn drop(&mut self) {
        if !std::thread::panicking() {
            // What can't be removed is the system's to clear.
            drop(std::fs::remove_dir_all(&self.folder));
        }
    }
}

impl Campaign {
    /// Returns a campaign over the demo shop in the database that the environment names, or in a
    /// fresh file of SQLite's.
    fn new(seed: u64) -> Self {
        let folder = folder("kitwright-crash");
        let file = || format!("sqlite:{}", folder.join("shop.sqlite").display());
        let address = std::env::var("KITWRIGHT_CRASH_DATABASE").unwrap_or_else(|_| file());
        Self::at(folder, address, seed)
    }

    /// Returns a campaign over the demo shop, each device with a pick list over a kit of its own.
    fn at(folder: PathBuf, address: String, seed: u64) -> Self {
        let url: DatabaseUrl = address.parse().expect("an address");
        let books = Database::open(&url, Clock::System).expect("the books open");
        let people = demo::load(&books).expect("the demo shop loads");
        let owner = people.iter().find(|it| it.login == "owner").expect("an owner");
        let token = owner.token.as_str().to_owned();
        let user = books.read(|conn| Ok(people::user_by_login(conn, "owner")?));
        let who = Who::Person(user.expect("it reads").expect("an owner").id, Role::Owner);
        let kits = books.read(picking::pickable).expect("kits");
        let tasks = kits.iter().take(DEVICES).map(|it| {
            let kits = [it.kit.clone()];
            let make = |tx: &mut Tx<'_>| picking::make_list(tx, &RequestKey::fresh(), &kits);
            let list = books.write(who, make).expect("a list").number;
            Task { list, kit: it.kit.clone(), scans: Vec::new() }
        });
        let tasks = tasks.collect();
        let log = File::create(folder.join("service.log")).expect("a log");
        let before = journal::movements(&url);
        let dice = StdRng::seed_from_u64(seed);
        Self { folder, address, token, log, tasks, journal: Journal::default(), before, dice }
    }

    fn url(&self) -> DatabaseUrl {
        self.address.parse().expect("an address")
    }

    /// Starts the program, proves what it finds, works with it, and kills it.
    fn live_and_die(&mut self) {
        if self.dice.random_range(0..8) == 0 {
            let early = Duration::from_millis(self.dice.random_range(0..60));
            Program::kill_at_start(&self.address, &self.log, early);
        }
        let mut program = Program::start(&self.address, &self.log);
        self.settle(&program);
        self.prove();
        let life = Duration::from_millis(self.dice.random_range(1..600));
        let pickers = self.pickers(&program.address);
        let (sender, answers) = mpsc::channel();
        let done: Vec<(Task, Vec<Entry>)> = std::thread::scope(|scope| {
            let threads = pickers.into_iter().map(|it| {
                let sender = sender.clone();
                scope.spawn(move || it.work(&sender))
            });
            let threads: Vec<_> = threads.collect();
            // Most lives begin to count with the first answer, so that something was acknowledged.
            if self.dice.random_range(0..5) != 0 {
                let _ = answers.recv_timeout(Duration::from_secs(20));
            }
            std::thread::sleep(life);
            program.kill();
            threads.into_iter().map(|it| it.join().expect("a device ends well")).collect()
        });
        for (task, entries) in done {
            self.tasks.push(task);
            entries.into_iter().for_each(|it| self.journal.note(it));
        }
    }

    /// Returns the devices at a service, each with the task where it left off.
    fn pickers(&mut self, address: &str) -> Vec<Picker> {
        let tasks = std::mem::take(&mut self.tasks).into_iter();
        let pickers = tasks.map(|task| {
            let device = Device::new(address, &self.token);
            Picker { device, task, dice: StdRng::seed_from_u64(self.dice.random()) }
        });
        pickers.collect()
    }

    /// Sends each request that got no answer again, under its own key, as a device does.
    fn settle(&mut self, program: &Program) {
        self.journal.none_half(&self.url());
        let mut device = Device::new(&program.address, &self.token);
        for entry in self.journal.unanswered() {
            entry.send(&mut device).expect("the program answers");
        }
    }

    /// Proves the books, and that they hold what was acknowledged and nothing else.
    fn prove(&self) {
        let books = Database::open(&self.url(), Clock::System).expect("the books open");
        for proof in books.read(audit::check).expect("the proof runs") {
            assert_eq!(proof.findings, Vec::<String>::new(), "{}", proof.what);
        }
        self.journal.agrees(&self.url(), self.before);
    }

    /// Proves the books by the program's own command.
    fn check(&self) {
        let said = Program::run(&["check", "--database", &self.address]);
        assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stdout));
    }
}

/// What one picker has to do: a list, the kit on it, and the scans still to come, the next one last.
struct Task {
    list: String,
    kit: String,
    scans: Vec<Value>,
}

/// A device whose picker walks a list again and again, and counts bins in between.
struct Picker {
    device: Device,
    task: Task,
    dice: StdRng,
}

impl Picker {
    /// Works until the program answers no more; returns what is left to do and all that was asked.
    fn work(mut self, answered: &mpsc::Sender<()>) -> (Task, Vec<Entry>) {
        let mut done: Vec<Entry> = Vec::new();
        while let Ok(mut entry) = self.next(&done) {
            let sent = entry.send(&mut self.device);
            if entry.is_out_of_date() {
                self.task.scans.clear();
            }
            done.push(entry);
            if sent.is_err() {
                break;
            }
            // Only the first answer is waited for.
            let _ = answered.send(());
        }
        (self.task, done)
    }

    /// Works until that is over, sending again whatever gets no good answer; returns what is left to
    /// do and all that was asked.
    #[cfg(feature = "postgres")]
    fn work_on(
        mut self,
        answered: &mpsc::Sender<()>,
        is_over: impl Fn() -> bool,
    ) -> (Task, Vec<Entry>) {
        let mut done: Vec<Entry> = Vec::new();
        while !is_over() {
            let Ok(mut entry) = self.next(&done) else { continue };
            entry.insist(&mut self.device, &is_over);
            if entry.is_out_of_date() {
                self.task.scans.clear();
            }
            if entry.is_answered() {
                let _ = answered.send(());
            }
            done.push(entry);
        }
        (self.task, done)
    }

    fn next(&mut self, done: &[Entry]) -> std::io::Result<Entry> {
        let luck = self.dice.random_range(0..100);
        if let (0..5, Some(last)) = (luck, done.last()) {
            return Ok(last.again());
        }
        if luck < 9 {
            return Ok(self.count());
        }
        let path = format!("/api/pick-lists/{}", self.task.list);
        if self.task.scans.is_empty() {
            let (_, view) = self.device.send("GET", &path, &Value::Null)?;
            self.task.scans = wire::walk(&view);
            self.task.scans.reverse();
        }
        match self.task.scans.pop() {
            Some(scan) => Ok(Entry::new(&format!("{path}/scans"), scan)),
            None => self.put_back(),
        }
    }

    /// A count of a bin of boxes found some more, or some less.
    fn count(&mut self) -> Entry {
        let mut places = ["P-04-1Q", "count difference"];
        if self.dice.random() {
            places.reverse();
        }
        let quantity: i64 = self.dice.random_range(1..4);
        let correction = json!({
            "part_number": "PK101H", "from": places[0], "to": places[1], "quantity": quantity,
            "reason": "counted",
        });
        Entry::new("/api/stock/corrections", correction)
    }

    /// All that the kit asks for has been picked: a line of it goes back, to be picked again.
    fn put_back(&mut self) -> std::io::Result<Entry> {
        let (_, kit) =
            self.device.send("GET", &format!("/api/kits/{}", self.task.kit), &Value::Null)?;
        let cartons = kit["cartons"].as_array().into_iter().flatten();
        let lines: Vec<&Value> = cartons
            .flat_map(|it| it["lines"].as_array().into_iter().flatten())
            .filter(|it| it["picked"].as_i64() > Some(0))
            .collect();
        let line = if lines.is_empty() {
            Value::from(1)
        } else {
            lines[self.dice.random_range(0..lines.len())]["line"].clone()
        };
        Ok(Entry::new(&format!("/api/kits/{}/put-back", self.task.kit), json!({ "line": line })))
    }
}
