//! How long one level of netting takes for 100,000 orders of 60 lines, against SQLite and, where
//! Python has them, numpy and scipy, over the same lines in the same run: `cargo bench --bench netting`.
//!
//! `KITWRIGHT_TOOLS` names the Python environment with both; without it their rows are left out.
#![expect(clippy::expect_used, reason = "a measurement that fails stops")]

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::BigInt;
use kitwright::domain::netting::{add_up, lacking};

const ORDERS: u32 = 100_000;
const LINES: u32 = 60;
const PARTS: u32 = 600;

/// What one row of the table measures: its name, the best of its runs, and what all parts lack.
type Measured = (&'static str, f64, i64);

fn main() {
    let mut rows = vec![ours(), sqlite()];
    rows.extend(python());
    println!("{ORDERS} orders of {LINES} lines over {PARTS} parts, one level, best run");
    for (name, milliseconds, short) in &rows {
        println!("{name:<10} {milliseconds:>9.1} ms   {short} pieces lacking");
    }
    let first = rows.first().map(|it| it.2);
    assert!(rows.iter().all(|it| Some(it.2) == first), "the answers differ");
}

/// A line's part and pieces, scattered by Knuth's multiplicative hash; all rows compute the same.
fn line(at: u32) -> (u32, u32) {
    (at.wrapping_mul(2_654_435_761) % PARTS, 1 + at % 4)
}

fn best(runs: usize, mut run: impl FnMut() -> i64) -> (f64, i64) {
    let mut best = (f64::INFINITY, 0);
    for _ in 0..runs {
        let start = Instant::now();
        let short = run();
        best = ((1000.0 * start.elapsed().as_secs_f64()).min(best.0), short);
    }
    best
}

fn ours() -> Measured {
    let (parts, quantities): (Vec<u32>, Vec<u32>) = (0..ORDERS * LINES).map(line).unzip();
    let supply: Vec<i64> = (0..i64::from(PARTS)).map(|part| 20_000 + part * 10).collect();
    let (milliseconds, short) = best(20, || {
        let mut sums = vec![0; supply.len()];
        add_up(&parts, &quantities, &mut sums).expect("known parts");
        lacking(&sums, &supply).iter().sum()
    });
    ("kitwright", milliseconds, short)
}

#[derive(QueryableByName)]
struct Short {
    #[diesel(sql_type = BigInt)]
    short: i64,
}

fn sqlite() -> Measured {
    let mut conn = SqliteConnection::establish(":memory:").expect("a database in memory");
    let fill = format!(
        "CREATE TABLE lines (part INTEGER NOT NULL, quantity INTEGER NOT NULL);
         CREATE TABLE parts (part INTEGER PRIMARY KEY, supply INTEGER NOT NULL);
         WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < {})
         INSERT INTO lines SELECT (i * 2654435761 % 4294967296) % {PARTS}, 1 + i % 4 FROM n;
         WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < {PARTS})
         INSERT INTO parts SELECT i, 20000 + i * 10 FROM n;",
        ORDERS * LINES
    );
    conn.batch_execute(&fill).expect("the lines are written");
    let query = "SELECT SUM(MAX(wanted - supply, 0)) AS short FROM parts JOIN \
                 (SELECT part, SUM(quantity) AS wanted FROM lines GROUP BY part) USING (part)";
    let (milliseconds, short) = best(3, || {
        let row: Short = diesel::sql_query(query).get_result(&mut conn).expect("a sum");
        row.short
    });
    ("SQLite", milliseconds, short)
}

/// Runs both Python rows; none where Python does not have what they need.
fn python() -> Vec<Measured> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let tools = std::env::var_os("KITWRIGHT_TOOLS")
        .map_or_else(|| root.join(".tools/venv"), std::path::PathBuf::from);
    let size = [ORDERS * LINES, PARTS].map(|it| it.to_string());
    let script = root.join("benches/netting.py");
    let output = Command::new(tools.join("bin/python")).arg(script).args(size).output();
    let output = output.ok().filter(|it| it.status.success());
    let text = output.and_then(|it| String::from_utf8(it.stdout).ok()).unwrap_or_default();
    let row = |line: &str| {
        let mut words = line.split(' ');
        let name = match words.next()? {
            "numpy" => "numpy",
            _ => "scipy",
        };
        Some((name, words.next()?.parse().ok()?, words.next()?.parse().ok()?))
    };
    text.lines().filter_map(row).collect()
}
