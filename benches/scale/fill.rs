//! Fills books with as many movements as asked for: lives through a stretch of the shop's life, and
//! writes it down again and again, each time with its own orders, kits, cartons, runs and serial
//! numbers. Bought lots serve many times over, as a delivery of bolts does. Beside it stand part
//! numbers that only come in and lie there.

use std::path::Path;
use std::time::{Duration, Instant};

use chrono::{NaiveDateTime, TimeDelta};
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_types::BigInt;
use kitwright::clock::Clock;
use kitwright::demo;
use kitwright::domain::codes::{BinCode, CartonNumber, KitNumber, PartNumber, RunNumber};
use kitwright::exchange::Kind;
use kitwright::store::{Conn, Database, DatabaseUrl};

use super::history;

/// The days over which the history is spread.
pub const DAYS: i64 = 1_000;
/// One part number for so many movements, up to the most that there are.
const MOVEMENTS_A_PART: i64 = 50;
const MOST_PARTS: i64 = 100_000;
/// How often each of those parts moved.
const MOVES_OF_A_PART: i64 = 5;
/// How many times over a bought lot serves.
const LOT_SERVES: i64 = 100;

/// What a shop was filled with.
pub struct Filled {
    /// Movements in all.
    pub movements: i64,
    /// Part numbers in all.
    pub parts: i64,
    /// Kits in all.
    pub kits: i64,
    /// How long it took.
    pub took: Duration,
}

#[derive(QueryableByName)]
struct Number {
    #[diesel(sql_type = BigInt)]
    number: i64,
}

fn number(conn: &mut Conn, query: &str) -> i64 {
    let row: Number = diesel::sql_query(format!("SELECT COALESCE(({query}), 0) AS number"))
        .get_result(conn)
        .expect("a number");
    row.number
}

fn run(conn: &mut Conn, statement: &str) {
    conn.batch_execute(statement).unwrap_or_else(|fault| panic!("{fault}: {statement}"));
}

/// Fills a new file with a shop that has about so many movements behind it.
pub fn fill(file: &Path, movements: i64) -> Filled {
    let start = Instant::now();
    let url = DatabaseUrl::Sqlite(file.display().to_string());
    let now = Clock::System.now();
    let past = history::begins(now.date()).and_time(now.time());
    let books = Database::open(&url, Clock::Fixed(past)).expect("new books");
    let who = history::found(&books).expect("people and a catalogue");
    let mut conn = url.connect().expect("the same books");
    let before = marks(&mut conn);
    history::live(&books, who).expect("a stretch of the shop's life");
    drop(books);
    let parts = (movements / MOVEMENTS_A_PART).min(MOST_PARTS);
    let once = number(&mut conn, "SELECT COUNT(*) FROM movements");
    let times = ((movements - parts * MOVES_OF_A_PART) / once - 1).max(0);
    run(&mut conn, BULK);
    again(&mut conn, &before, times);
    lying_parts(&mut conn, parts, past);
    run(&mut conn, BALANCES);
    run(&mut conn, "COMMIT; PRAGMA journal_mode = WAL; PRAGMA foreign_keys = ON");
    let books = Database::open(&url, Clock::System).expect("the filled books");
    let who = history::owner(&books).expect("an owner");
    let today = books.now().date();
    for kind in [Kind::Stock, Kind::Orders, Kind::PurchaseOrders] {
        books.write_long(who, |tx| demo::import(tx, kind, today)).expect("the shop's own work");
    }
    Filled {
        movements: number(&mut conn, "SELECT COUNT(*) FROM movements"),
        parts: number(&mut conn, "SELECT COUNT(*) FROM variants"),
        kits: number(&mut conn, "SELECT COUNT(*) FROM kits"),
        took: start.elapsed(),
    }
}

/// The file is thrown away where this fails, so nothing waits for the disk.
const BULK: &str = "PRAGMA foreign_keys = OFF; PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF;
    PRAGMA cache_size = -2000000; PRAGMA temp_store = MEMORY; BEGIN IMMEDIATE";

/// Every balance, from nothing but the movements.
const BALANCES: &str = "DELETE FROM balances;
    INSERT INTO balances (variant_id, lot_id, serial_id, place_id, outside, quantity)
    SELECT s.variant_id, s.lot_id, s.serial_id, s.place_id, p.outside, SUM(s.quantity) FROM (
        SELECT variant_id, lot_id, serial_id, to_id AS place_id, quantity FROM movements
        UNION ALL SELECT variant_id, lot_id, serial_id, from_id, -quantity FROM movements
    ) s JOIN places p ON p.id = s.place_id
    GROUP BY s.variant_id, s.lot_id, s.serial_id, s.place_id";

/// The tables of the history, each after those that it refers to.
const TABLES: [&str; 19] = [
    "orders",
    "places",
    "kits",
    "kit_options",
    "kit_lines",
    "kit_line_changes",
    "cartons",
    "pick_lists",
    "pick_list_kits",
    "lots",
    "serials",
    "purchase_orders",
    "purchase_order_lines",
    "receipts",
    "movements",
    "bench_runs",
    "bench_moves",
    "carton_seals",
    "request_keys",
];

/// Returns the last row number of each of the tables.
fn marks(conn: &mut Conn) -> Vec<(&'static str, i64)> {
    let mark =
        |table: &'static str| (table, number(conn, &format!("SELECT MAX(rowid) FROM {table}")));
    TABLES.map(mark).to_vec()
}

/// Writes the history that came after `before` down so many times more.
fn again(conn: &mut Conn, before: &[(&'static str, i64)], times: i64) {
    run(conn, "CREATE TEMP TABLE again (n INTEGER PRIMARY KEY);
        CREATE TEMP TABLE numbers (kind TEXT, n INTEGER, text TEXT, PRIMARY KEY (kind, n)) WITHOUT ROWID");
    run(
        conn,
        &format!(
            "WITH RECURSIVE count (n) AS (SELECT 1 WHERE 0 < {times} UNION ALL
        SELECT n + 1 FROM count WHERE n < {times}) INSERT INTO again SELECT n FROM count"
        ),
    );
    let mut rows = std::collections::BTreeMap::new();
    for (table, mark) in before {
        run(conn, &format!("CREATE TEMP TABLE once_{table} AS SELECT rowid AS here, *, rowid - {mark} AS nth
            FROM {table} WHERE {mark} < rowid; CREATE INDEX temp.once_{table}_here ON once_{table} (here)"));
        let count = number(conn, &format!("SELECT MAX(rowid) - {mark} FROM {table}"));
        rows.insert(*table, count.max(0));
    }
    let of = |table: &str| rows.get(table).copied().unwrap_or_default();
    checked_numbers(conn, "kit", (times + 1) * of("kits"), |n| {
        Some(KitNumber::nth(n)?.to_string())
    });
    checked_numbers(conn, "carton", (times + 1) * of("cartons"), |n| {
        Some(CartonNumber::nth(n)?.to_string())
    });
    checked_numbers(conn, "run", (times + 1) * of("bench_runs"), |n| {
        Some(RunNumber::nth(n)?.to_string())
    });
    for statement in statements(&of, times) {
        run(conn, &statement);
    }
    run(conn, &format!("UPDATE counters SET last = last * ({times} + 1)"));
}

fn checked_numbers(conn: &mut Conn, kind: &str, count: i64, nth: impl Fn(u32) -> Option<String>) {
    let all: Vec<u32> = (1..=u32::try_from(count).expect("a count")).collect();
    for some in all.chunks(1_000) {
        let row = |n: &u32| format!("('{kind}', {n}, '{}')", nth(*n).expect("a number is left"));
        let rows: Vec<String> = some.iter().map(row).collect();
        run(conn, &format!("INSERT INTO numbers VALUES {}", rows.join(",")));
    }
}

/// Returns the statements that write the history down again: each names the columns that differ from
/// time to time, and keeps the others as they were.
fn statements(of: &impl Fn(&str) -> i64, times: i64) -> Vec<String> {
    // A row's number, or that of one that it names, as of the n-th time.
    let id = |column: &str, table: &str| format!("o.{column} + b.n * {}", of(table));
    let hour = (DAYS * 24 * 60) / (times + 1).max(1);
    let at = |column: &str| format!("datetime(o.{column}, '+' || (b.n * {hour}) || ' minutes')");
    let day = |column: &str| format!("date(o.{column}, '+' || (b.n * {hour} / 1440) || ' days')");
    let numbered = |kind: &str, table: &str, nth: &str| {
        let rows = of(table);
        format!("(SELECT text FROM numbers WHERE kind = '{kind}' AND n = b.n * {rows} + {nth})")
    };
    let key = |column: &str| format!("printf('h%06d-%s', b.n, o.{column})");
    let text = |column: &str| format!("o.{column} || '-' || b.n");
    // A bought lot is the same for many times; a run's own lot is not.
    let made = "SELECT lot_id FROM once_bench_runs WHERE lot_id IS NOT NULL";
    let first = format!("(b.n - b.n % {LOT_SERVES})");
    let lot = |column: &str| {
        let lots = of("lots");
        format!(
            "CASE WHEN o.{column} IN ({made}) THEN o.{column} + b.n * {lots}
            ELSE o.{column} + {first} * {lots} END"
        )
    };
    let kits = of("kits");
    let place = |column: &str| {
        let inside = "SELECT here FROM once_places WHERE kind IN ('tote', 'carton')";
        format!(
            "CASE WHEN o.{column} IN ({inside}) THEN o.{column} + b.n * {} ELSE o.{column} END",
            of("places")
        )
    };
    let kit_nth = "(SELECT nth FROM once_kits WHERE number = o.code)";
    let carton_nth = "(SELECT nth FROM once_cartons WHERE number = o.code)";
    let place_code = format!(
        "CASE o.kind WHEN 'tote' THEN {} ELSE {} END",
        numbered("kit", "kits", kit_nth),
        numbered("carton", "cartons", carton_nth)
    );
    let run_nth = "(SELECT nth FROM once_bench_runs WHERE lot_id = o.here)";
    let lot_code =
        format!("COALESCE({}, {})", numbered("run", "bench_runs", run_nth), text("code"));
    // What a movement for a kit says names the kit.
    let of_kit = "(SELECT k.number FROM once_kits k JOIN once_kit_lines l ON l.kit_id = k.here WHERE l.here = o.kit_line_id)";
    let of_kit_nth = "(SELECT k.nth FROM once_kits k JOIN once_kit_lines l ON l.kit_id = k.here WHERE l.here = o.kit_line_id)";
    let document = format!(
        "CASE WHEN o.kit_line_id IS NULL THEN o.document ELSE
        replace(o.document, {of_kit}, {}) END",
        numbered("kit", "kits", of_kit_nth)
    );
    let all = |table: &str, changed: &[(&str, String)]| insert(table, "", changed);
    vec![
        all(
            "orders",
            &[
                ("id", id("id", "orders")),
                ("number", text("number")),
                ("placed_on", day("placed_on")),
                ("promised_on", day("promised_on")),
            ],
        ),
        insert(
            "places",
            "o.kind IN ('tote', 'carton')",
            &[("id", id("id", "places")), ("code", place_code)],
        ),
        all(
            "kits",
            &[
                ("id", id("id", "kits")),
                ("number", numbered("kit", "kits", "o.nth")),
                ("order_id", id("order_id", "orders")),
                ("tote_id", id("tote_id", "places")),
                ("despatched_at", at("despatched_at")),
            ],
        ),
        all("kit_options", &[("id", id("id", "kit_options")), ("kit_id", id("kit_id", "kits"))]),
        all("kit_lines", &[("id", id("id", "kit_lines")), ("kit_id", id("kit_id", "kits"))]),
        all(
            "kit_line_changes",
            &[("id", id("id", "kit_line_changes")), ("kit_id", id("kit_id", "kits"))],
        ),
        all(
            "cartons",
            &[
                ("id", id("id", "cartons")),
                ("kit_id", id("kit_id", "kits")),
                ("number", numbered("carton", "cartons", "o.nth")),
                ("place_id", id("place_id", "places")),
                ("sealed_at", at("sealed_at")),
            ],
        ),
        all(
            "carton_seals",
            &[
                ("id", id("id", "carton_seals")),
                ("carton_id", id("carton_id", "cartons")),
                ("after_movement", id("after_movement", "movements")),
                ("sealed_at", at("sealed_at")),
            ],
        ),
        all(
            "pick_lists",
            &[
                ("id", id("id", "pick_lists")),
                ("number", format!("printf('PL%05d', o.nth + b.n * {})", of("pick_lists"))),
                ("created_at", at("created_at")),
            ],
        ),
        all(
            "pick_list_kits",
            &[
                ("id", id("id", "pick_list_kits")),
                ("pick_list_id", id("pick_list_id", "pick_lists")),
                ("kit_id", format!("o.kit_id + b.n * {kits}")),
            ],
        ),
        insert(
            "lots",
            &format!("o.here IN ({made}) OR b.n % {LOT_SERVES} = 0"),
            &[("id", id("id", "lots")), ("code", lot_code)],
        ),
        all("serials", &[("id", id("id", "serials")), ("code", text("code"))]),
        all("request_keys", &[("key", key("key")), ("created_at", at("created_at"))]),
        all(
            "purchase_orders",
            &[
                ("id", id("id", "purchase_orders")),
                ("number", text("number")),
                ("ordered_on", day("ordered_on")),
                ("due_on", day("due_on")),
            ],
        ),
        all(
            "purchase_order_lines",
            &[
                ("id", id("id", "purchase_order_lines")),
                ("purchase_order_id", id("purchase_order_id", "purchase_orders")),
            ],
        ),
        all(
            "receipts",
            &[
                ("id", id("id", "receipts")),
                ("purchase_order_line_id", id("purchase_order_line_id", "purchase_order_lines")),
                ("received_at", at("received_at")),
                ("request_key", key("request_key")),
            ],
        ),
        all(
            "movements",
            &[
                ("id", id("id", "movements")),
                ("lot_id", lot("lot_id")),
                ("serial_id", id("serial_id", "serials")),
                ("from_id", place("from_id")),
                ("to_id", place("to_id")),
                ("at", at("at")),
                ("document", document),
                ("kit_line_id", id("kit_line_id", "kit_lines")),
                ("request_key", key("request_key")),
            ],
        ),
        all(
            "bench_runs",
            &[
                ("id", id("id", "bench_runs")),
                ("number", numbered("run", "bench_runs", "o.nth")),
                ("lot_id", lot("lot_id")),
                ("made_at", at("made_at")),
                ("request_key", key("request_key")),
            ],
        ),
        all(
            "bench_moves",
            &[
                ("id", id("id", "bench_moves")),
                ("run_id", id("run_id", "bench_runs")),
                ("movement_id", id("movement_id", "movements")),
                ("piece_serial_id", id("piece_serial_id", "serials")),
            ],
        ),
    ]
}

/// Returns the statement that writes a table's part of the history down again.
fn insert(table: &str, only: &str, changed: &[(&str, String)]) -> String {
    let only = if only.is_empty() { "TRUE" } else { only };
    let columns = columns(table);
    let value = |column: &&str| {
        let changed = changed.iter().find(|it| it.0 == *column);
        changed.map_or_else(|| format!("o.{column}"), |it| it.1.clone())
    };
    let values: Vec<String> = columns.iter().map(value).collect();
    assert!(changed.iter().all(|it| columns.contains(&it.0)), "{table} has other columns");
    format!(
        "INSERT INTO {table} ({}) SELECT {} FROM again b CROSS JOIN once_{table} o WHERE {only}",
        columns.join(", "),
        values.join(", ")
    )
}

/// Returns the columns of a table of the history.
fn columns(table: &str) -> Vec<&'static str> {
    let all = match table {
        "orders" => "id number placed_on promised_on customer channel email address country",
        "places" => "id code kind zone walk_order outside",
        "kits" => {
            "id number order_id line_no piece_no bom_id bom_revision state tote_id despatched_at bills_on"
        }
        "kit_options" => "id kit_id name value",
        "kit_lines" => {
            "id kit_id number step variant_id quantity carton picked packed short short_reason short_by"
        }
        "kit_line_changes" => {
            "id kit_id line_number quantity from_variant_id to_variant_id reason consent said_by said_on user_id changed_at"
        }
        "cartons" => "id kit_id position number place_id sealed_at sealed_by",
        "carton_seals" => "id carton_id after_movement sscc sealed_at user_id",
        "pick_lists" => "id number created_at user_id",
        "pick_list_kits" => "id pick_list_id kit_id slot",
        "lots" => "id variant_id code use_by",
        "serials" => "id variant_id code",
        "request_keys" => "key action body_hash answer user_id created_at",
        "purchase_orders" => "id number supplier_id ordered_on due_on note",
        "purchase_order_lines" => {
            "id purchase_order_id line_no variant_id quantity received unit_price_cents closed currency wanted_on"
        }
        "receipts" => {
            "id purchase_order_line_id received_at user_id delivery_note quantity damaged difference note request_key"
        }
        "movements" => {
            "id variant_id lot_id serial_id quantity from_id to_id at user_id document kit_line_id reverses_id request_key"
        }
        "bench_runs" => {
            "id number bom_id bom_revision variant_id pieces lot_id made_at user_id request_key"
        }
        "bench_moves" => "id run_id movement_id role piece_serial_id",
        _ => panic!("the history has no {table}"),
    };
    all.split(' ').collect()
}

/// Writes part numbers that came in once and of which now and then a piece was thrown away.
fn lying_parts(conn: &mut Conn, count: i64, at: NaiveDateTime) {
    run(conn, "CREATE TEMP TABLE lying (n INTEGER PRIMARY KEY, part_number TEXT, bin TEXT)");
    let letters = || ('A'..='Z').rev();
    let families = letters().flat_map(|a| letters().map(move |b| format!("{a}{b}")));
    let numbers = families.flat_map(|it| (1..1_000).filter_map(move |n| PartNumber::nth(&it, n)));
    let bins = letters().flat_map(|zone| {
        (0..100).flat_map(move |bay| (0..10).filter_map(move |level| BinCode::at(zone, bay, level)))
    });
    let bins: Vec<String> = bins.map(|it| it.to_string()).collect();
    let rows = (1..=count).zip(numbers).map(|(n, number)| {
        let bin = usize::try_from(n).ok().and_then(|n| bins.get(n / 5 % bins.len()));
        format!("({n}, '{number}', '{}')", bin.expect("a bin"))
    });
    for some in rows.collect::<Vec<_>>().chunks(1_000) {
        run(conn, &format!("INSERT INTO lying VALUES {}", some.join(",")));
    }
    let at = at + TimeDelta::days(DAYS / 2);
    let parts = number(conn, "SELECT MAX(id) FROM parts");
    let variants = number(conn, "SELECT MAX(id) FROM variants");
    let places = number(conn, "SELECT MAX(id) FROM places");
    let orders = number(conn, "SELECT MAX(id) FROM purchase_orders");
    let lines = number(conn, "SELECT MAX(id) FROM purchase_order_lines");
    run(conn, &format!("
        INSERT INTO places (code, kind, zone, walk_order, outside)
            SELECT DISTINCT bin, 'bin', 'far store', 5000, FALSE FROM lying WHERE bin NOT IN (SELECT code FROM places);
        INSERT OR IGNORE INTO places (code, kind, zone, walk_order, outside) VALUES ('scrap', 'scrap', '', 0, TRUE);
        INSERT INTO parts (id, name) SELECT DISTINCT {parts} + 1 + n / 5, printf('Lying part %06d', n / 5) FROM lying;
        INSERT INTO variants (id, part_id, part_number, variant, specification, attributes, mass_mg, mass_sd_mg,
            box, tracking, class, supplier_id, supplier_item, unit_cost_cents, pack, minimum_order, reorder_point,
            order_quantity, bin_id, facts, facts_source)
        SELECT {variants} + n, {parts} + 1 + n / 5, part_number, printf('%d mm', 10 + n % 5), 'steel, zinc plated',
            printf('length=%d', 10 + n % 5), 5000, 100, '', 'none', 'R', (SELECT MIN(id) FROM suppliers),
            printf('L-%06d', n), 12, 10, 10, CASE n % 500 WHEN 0 THEN 200 ELSE 10 END, 100,
            (SELECT id FROM places WHERE code = bin), '', '' FROM lying;
        INSERT INTO purchase_orders (id, number, supplier_id, ordered_on, due_on, note)
        SELECT DISTINCT {orders} + 1 + n / 50, printf('LP-%05d', n / 50), (SELECT MIN(id) FROM suppliers),
            date('{at}', '-30 days'), date('{at}'), '' FROM lying;
        INSERT INTO purchase_order_lines (id, purchase_order_id, line_no, variant_id, quantity, received,
            unit_price_cents, closed, currency, wanted_on)
        SELECT {lines} + n, {orders} + 1 + n / 50, 1 + n % 50, {variants} + n, 100, 100, 12, FALSE, '', NULL FROM lying;
        INSERT INTO request_keys (key, action, body_hash, answer, user_id, created_at)
        SELECT printf('l%06d-%d', n, m), CASE m WHEN 1 THEN 'receiving.receive' ELSE 'stock.correct' END, '', '{{}}',
            (SELECT MIN(id) FROM users), datetime('{at}') FROM lying, (SELECT 1 AS m UNION SELECT 2 UNION SELECT 3 UNION SELECT 4 UNION SELECT 5);
        INSERT INTO receipts (purchase_order_line_id, received_at, user_id, delivery_note, quantity, damaged, difference, note, request_key)
        SELECT {lines} + n, datetime('{at}'), (SELECT MIN(id) FROM users), 'DN', 100, 0, 'as ordered', '', printf('l%06d-1', n) FROM lying;
        INSERT INTO movements (variant_id, quantity, from_id, to_id, at, user_id, document, request_key)
        SELECT {variants} + n, CASE m WHEN 1 THEN 100 ELSE 1 END,
            CASE m WHEN 1 THEN (SELECT id FROM places WHERE code = 'supplier') ELSE (SELECT id FROM places WHERE code = bin) END,
            CASE m WHEN 1 THEN (SELECT id FROM places WHERE code = bin) ELSE (SELECT id FROM places WHERE code = 'scrap') END,
            datetime('{at}'), (SELECT MIN(id) FROM users),
            CASE m WHEN 1 THEN printf('purchase order LP-%05d', n / 50) ELSE 'bent' END, printf('l%06d-%d', n, m)
        FROM (SELECT 1 AS m UNION SELECT 2 UNION SELECT 3 UNION SELECT 4 UNION SELECT 5), lying;
    "));
    assert!(places < number(conn, "SELECT MAX(id) FROM places") || count < 5, "bins were made");
}
