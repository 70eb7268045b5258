//! Measures durable writes a second, each phase over the same books in the same run: one raw SQLite
//! writer that commits one by one; the same row through the group commit; scans of pickers through
//! `ops`, one after the other and together; and the same scans over HTTP on 127.0.0.1.
//!
//! `commits [SECONDS]` for each phase, 3 where it is left out. Prints rates, ratios and how long a
//! scan took.
#![expect(clippy::expect_used, clippy::indexing_slicing, reason = "a measurement that fails stops")]

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Barrier};
use std::time::{Duration, Instant};

use actix_web::rt::System;
use diesel::connection::SimpleConnection;
use kitwright::clock::Clock;
use kitwright::demo;
use kitwright::domain::people::Role;
use kitwright::ops::RequestKey;
use kitwright::ops::picking::{self, PickScan};
use kitwright::store::{Conn, Database, DatabaseUrl, Tx, Who};
use kitwright::web::{App, Settings, serve};
use serde_json::{Value, json};

#[path = "../tests/wire.rs"]
mod wire;

use wire::Device;

const DEVICES: usize = 32;
const ROW: &str = "INSERT INTO settings (name, value) VALUES (hex(randomblob(16)), 'x')";

/// What one phase came to.
struct Rate {
    per_second: f64,
    /// How long each took, shortest first.
    took: Vec<Duration>,
}

fn main() {
    let seconds = std::env::args().nth(1).and_then(|it| it.parse().ok()).unwrap_or(3);
    let bench = Bench::new(Duration::from_secs(seconds));
    let raw = bench.raw();
    say("one raw SQLite writer, one row a commit", &raw, &raw);
    for writers in [1, 8, DEVICES] {
        say(&format!("the same row, {writers} writers grouped"), &bench.rows(writers), &raw);
    }
    let one = bench.scans(DEVICES, false);
    say(&format!("scans, {DEVICES} devices, a commit each"), &one, &raw);
    let grouped = bench.scans(DEVICES, true);
    say(&format!("scans, {DEVICES} devices, grouped"), &grouped, &raw);
    println!("{:<46} {:>9.2}", "grouped over a commit each", grouped.per_second / one.per_second);
    say("scans over HTTP, 1 device", &bench.http(1), &raw);
    say(&format!("scans over HTTP, {DEVICES} devices"), &bench.http(DEVICES), &raw);
}

fn say(what: &str, rate: &Rate, raw: &Rate) {
    let at = |share: usize| {
        let last = rate.took.len().saturating_sub(1);
        rate.took.get(last * share / 100).map_or(0.0, |it| it.as_secs_f64() * 1e3)
    };
    println!(
        "{what:<46} {:>9.0}/s, {:>5.2} × raw; p50 {:.2} ms, p99 {:.2} ms, most {:.2} ms",
        rate.per_second,
        rate.per_second / raw.per_second,
        at(50),
        at(99),
        at(100),
    );
}

struct Bench {
    folder: PathBuf,
    time: Duration,
    token: String,
    copies: AtomicUsize,
}

impl Drop for Bench {
    fn drop(&mut self) {
        // What can't be removed is the system's to clear.
        drop(std::fs::remove_dir_all(&self.folder));
    }
}

impl Bench {
    fn new(time: Duration) -> Self {
        let folder = std::env::temp_dir().join(format!("kitwright-commits-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a folder");
        let books = open(&folder.join("template"));
        let people = demo::load(&books).expect("the demo shop loads");
        let token = people.iter().find(|it| it.login == "owner").expect("an owner");
        let token = token.token.as_str().to_owned();
        Self { folder, time, token, copies: AtomicUsize::new(0) }
    }

    /// Opens a fresh copy of the shop.
    fn shop(&self, name: &str) -> Arc<Database> {
        // A copy under an old name would find the log that the last one left beside it.
        let nth = self.copies.fetch_add(1, Ordering::Relaxed);
        let file = self.folder.join(format!("{name}-{nth}"));
        std::fs::copy(self.folder.join("template"), &file).expect("a copy");
        Arc::new(open(&file))
    }

    fn raw(&self) -> Rate {
        let url = DatabaseUrl::Sqlite(self.folder.join("raw").display().to_string());
        drop(Database::open(&url, Clock::System).expect("it opens"));
        let mut conn = url.connect().expect("it opens");
        run(vec![move || conn.batch_execute(ROW).is_ok()], self.time)
    }

    fn rows(&self, writers: usize) -> Rate {
        let books = self.shop("rows");
        let write = |books: Arc<Database>| {
            move || books.write(Who::Program, |tx| Ok(tx.conn.batch_execute(ROW)?)).is_ok()
        };
        run((0..writers).map(|_| write(Arc::clone(&books))).collect(), self.time)
    }

    fn scans(&self, devices: usize, grouped: bool) -> Rate {
        let books = self.shop("scans");
        let who = books.read(owner).expect("an owner");
        let walk = |(number, scans): (String, Vec<Value>)| {
            let (books, mut scans) = (Arc::clone(&books), scans.into_iter());
            move || {
                let Some(scan) = scans.next() else { return false };
                let (key, scan) = (RequestKey::fresh(), pick_scan(&scan));
                let work = |tx: &mut Tx<'_>| picking::scan(tx, &key, &number, &scan);
                let done =
                    if grouped { books.write(who, work) } else { books.write_long(who, work) };
                done.is_ok()
            }
        };
        run(walks(&books, who, devices).into_iter().map(walk).collect(), self.time)
    }

    fn http(&self, devices: usize) -> Rate {
        let books = self.shop("http");
        let who = books.read(owner).expect("an owner");
        let walks = walks(&books, who, devices);
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let address = listener.local_addr().expect("a port").to_string();
        let settings = Settings { public_url: format!("http://{address}") };
        let app = App::new(books, settings);
        let (sender, receiver) = std::sync::mpsc::channel();
        let service = std::thread::spawn(move || {
            System::new().block_on(async {
                let server = serve(app, listener, 2).expect("it serves");
                sender.send(server.handle()).expect("it is waited for");
                server.await.expect("it ends well");
            });
        });
        let handle = receiver.recv().expect("it serves");
        let walk = |(number, scans): (String, Vec<Value>)| {
            let mut device = Device::new(&address, &self.token);
            let mut scans = scans.into_iter();
            move || {
                let Some(mut scan) = scans.next() else { return false };
                scan["request_key"] = json!(RequestKey::fresh().as_str());
                let path = format!("/api/pick-lists/{number}/scans");
                let (status, answer) = device.send("POST", &path, &scan).expect("an answer");
                assert_eq!(status, 200, "{answer}");
                true
            }
        };
        let rate = run(walks.into_iter().map(walk).collect(), self.time);
        drop(handle.stop(false));
        service.join().expect("the service ends well");
        rate
    }
}

fn open(file: &Path) -> Database {
    let url = DatabaseUrl::Sqlite(file.display().to_string());
    Database::open(&url, Clock::System).expect("the books open")
}

fn owner(conn: &mut Conn) -> Result<Who, kitwright::error::Error> {
    let users = kitwright::store::people::users(conn)?;
    let owner = users.iter().find(|it| it.login == "owner").expect("an owner");
    Ok(Who::Person(owner.id, Role::Owner))
}

/// Makes a pick list for each device, over kits of its own; returns its scans.
fn walks(books: &Database, who: Who, devices: usize) -> Vec<(String, Vec<Value>)> {
    let kits = books.read(picking::pickable).expect("kits");
    let each = kits.len() / devices;
    let lists = kits.chunks(each.max(1)).take(devices).map(|kits| {
        let kits: Vec<String> = kits.iter().map(|it| it.kit.clone()).collect();
        let make = |tx: &mut Tx<'_>| picking::make_list(tx, &RequestKey::fresh(), &kits);
        books.write(who, make).expect("a list").number
    });
    let lists: Vec<String> = lists.collect();
    let scans = lists.into_iter().map(|number| {
        let view = books.read(|conn| picking::list(conn, &number)).expect("a list");
        let scans = wire::walk(&serde_json::to_value(view).expect("JSON"));
        (number, scans)
    });
    scans.collect()
}

fn pick_scan(scan: &Value) -> PickScan {
    serde_json::from_value(scan.clone()).expect("a scan")
}

/// Runs each of the workers on a thread of its own until the time is over or one has nothing left.
fn run<W: FnMut() -> bool + Send>(workers: Vec<W>, time: Duration) -> Rate {
    let begin = Barrier::new(workers.len() + 1);
    let (mut took, elapsed) = std::thread::scope(|scope| {
        let threads = workers.into_iter().map(|mut work| {
            let begin = &begin;
            scope.spawn(move || {
                let mut took = Vec::new();
                begin.wait();
                let end = Instant::now() + time;
                loop {
                    let start = Instant::now();
                    if end <= start || !work() {
                        return took;
                    }
                    took.push(start.elapsed());
                }
            })
        });
        let threads: Vec<_> = threads.collect();
        begin.wait();
        let start = Instant::now();
        let took: Vec<Vec<Duration>> =
            threads.into_iter().map(|it| it.join().expect("it ends")).collect();
        (took.concat(), start.elapsed())
    });
    took.sort_unstable();
    let count = u32::try_from(took.len()).expect("fewer than 4 thousand million");
    Rate { per_second: f64::from(count) / elapsed.as_secs_f64(), took }
}
