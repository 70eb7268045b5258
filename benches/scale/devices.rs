//! Devices that scan at the same time, each with a token and a connection of its own, over one pick
//! list each; beside them one raw SQLite writer that commits one by one on the same disk.

use std::path::Path;
use std::sync::Barrier;
use std::time::{Duration, Instant};

use diesel::connection::SimpleConnection;
use kitwright::clock::Clock;
use kitwright::demo;
use kitwright::exchange::Kind;
use kitwright::ops::people::make_token;
use kitwright::ops::{RequestKey, exchange, picking};
use kitwright::store::{Database, DatabaseUrl, Tx, Who};
use serde_json::{Value, json};

use super::history;
use super::service::Service;

#[path = "../../tests/wire.rs"]
mod wire;

use wire::Device;

/// How many devices scan at the same time, one go after the other, and how long each waits between
/// its scans: not at all, which no hand does, and as long as a quick hand does at least.
const GOES: [(usize, u64); 4] = [(1, 0), (8, 0), (32, 0), (32, 250)];
const TIME: Duration = Duration::from_secs(3);
const ROW: &str = "INSERT INTO settings (name, value) VALUES (hex(randomblob(16)), 'x')";

/// A device with the scans of its walk.
struct Walk {
    device: Device,
    path: String,
    scans: Vec<Value>,
}

/// Measures them all and prints what they came to.
pub fn all(service: &Service, folder: &Path, file: &Path) {
    let raw = raw(&folder.join("raw.sqlite"));
    println!("one raw SQLite writer, one row a commit: {raw:.0}/s");
    let url = DatabaseUrl::Sqlite(file.display().to_string());
    let books = Database::open(&url, Clock::System).expect("the books");
    let who = history::owner(&books).expect("an owner");
    more_work(&books, who);
    let mut kits: Vec<String> =
        books.read(picking::pickable).expect("kits").into_iter().map(|it| it.kit).collect();
    for (devices, pause) in GOES {
        let each = (kits.len() / 3 / devices).clamp(1, 8);
        let rest = kits.split_off((each * devices).min(kits.len()));
        let walks: Vec<Walk> =
            kits.chunks(each).map(|kits| walk(&books, who, service, kits)).collect();
        assert_eq!(walks.len(), devices, "kits are left for each device");
        kits = rest;
        let mut took = run(walks, Duration::from_millis(pause));
        took.sort_unstable();
        let at = |share: usize| {
            let nth = (took.len() * share / 100).min(took.len().saturating_sub(1));
            took.get(nth).map_or(0.0, |it| it.as_secs_f64() * 1e3)
        };
        let rate = f64::from(u32::try_from(took.len()).expect("a count")) / TIME.as_secs_f64();
        println!(
            "scans over HTTP, {devices} devices, {pause} ms between: {rate:.0}/s, {:.2} of raw; p50 {:.2} ms, p99 {:.2} ms, most {:.2} ms",
            rate / raw,
            at(50),
            at(99),
            at(100),
        );
    }
}

fn raw(file: &Path) -> f64 {
    drop(std::fs::remove_file(file));
    let url = DatabaseUrl::Sqlite(file.display().to_string());
    drop(Database::open(&url, Clock::System).expect("it opens"));
    let mut conn = url.connect().expect("it opens");
    let (start, mut count) = (Instant::now(), 0_u32);
    while start.elapsed() < TIME {
        conn.batch_execute(ROW).expect("it commits");
        count += 1;
    }
    f64::from(count) / start.elapsed().as_secs_f64()
}

/// Brings in more orders and stock than the shop has by itself, so that no device runs dry.
fn more_work(books: &Database, who: Who) {
    let (heading, stock) = demo::file(Kind::Stock).split_once('\n').unwrap_or_default();
    let mut text = format!("{heading}\n");
    for line in stock.lines().filter(|it| it.ends_with(',')) {
        let mut fields: Vec<&str> = line.split(',').collect();
        let quantity = "5000";
        if let Some(field) = fields.get_mut(2) {
            *field = quantity;
        }
        text += &format!("{}\n", fields.join(","));
    }
    let import = |kind: Kind, text: &str| {
        books
            .write_long(who, |tx| exchange::import(tx, kind, text.as_bytes()))
            .expect("it is taken");
    };
    import(Kind::Stock, &text);
    let (heading, orders) = demo::file(Kind::Orders).split_once('\n').unwrap_or_default();
    let mut text = format!("{heading}\n");
    for nth in 0..6 {
        for line in orders.lines() {
            text += &format!("MORE{nth}-{line}\n");
        }
    }
    import(Kind::Orders, &text);
}

/// Makes a pick list over kits for a device with a token of its own.
fn walk(books: &Database, who: Who, service: &Service, kits: &[String]) -> Walk {
    let make = |tx: &mut Tx<'_>| picking::make_list(tx, &RequestKey::fresh(), kits);
    let number = books.write(who, make).expect("a list").number;
    let token = books.write(Who::Program, |tx| make_token(tx, "warehouse", &number));
    let view = books.read(|conn| picking::list(conn, &number)).expect("a list");
    Walk {
        device: Device::new(&service.address, token.expect("a token").as_str()),
        path: format!("/api/pick-lists/{number}/scans"),
        scans: wire::walk(&serde_json::to_value(view).expect("JSON")),
    }
}

/// Returns how long each scan took of devices that scan together.
fn run(walks: Vec<Walk>, pause: Duration) -> Vec<Duration> {
    let begin = Barrier::new(walks.len());
    std::thread::scope(|scope| {
        let count = u32::try_from(walks.len()).expect("a few");
        let threads = (0..).zip(walks).map(|(nth, walk)| {
            let (begin, late) = (&begin, pause * nth / count);
            scope.spawn(move || scan(walk, begin, (late, pause)))
        });
        let threads: Vec<_> = threads.collect();
        threads.into_iter().flat_map(|it| it.join().expect("it ends")).collect()
    })
}

fn scan(mut walk: Walk, begin: &Barrier, (late, pause): (Duration, Duration)) -> Vec<Duration> {
    let mut took = Vec::new();
    begin.wait();
    std::thread::sleep(late);
    let end = Instant::now() + TIME;
    for mut scan in walk.scans {
        let start = Instant::now();
        if end <= start {
            return took;
        }
        if let Some(fields) = scan.as_object_mut() {
            fields.insert("request_key".to_owned(), json!(RequestKey::fresh().as_str()));
        }
        let (status, answer) = walk.device.send("POST", &walk.path, &scan).expect("an answer");
        assert_eq!(status, 200, "{answer}");
        took.push(start.elapsed());
        std::thread::sleep(pause);
    }
    panic!("a device had nothing left to scan: the figures would be wrong");
}
