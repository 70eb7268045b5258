//! Every page of the menu and every list of the API, read over HTTP.

use std::fmt::{self, Display, Formatter};
use std::path::Path;
use std::time::Instant;

use actix_web::rt::System;
use diesel::prelude::*;
use diesel::sql_types::Text;
use kitwright::clock::Clock;
use kitwright::ops::people::make_token;
use kitwright::store::{Conn, Database, DatabaseUrl, Who};
use reqwest::Client;

use super::service::Service;

/// Pages and lists that are there in every shop.
const PATHS: [&str; 31] = [
    "/",
    "/orders",
    "/orders?q=gleitwerk",
    "/picking",
    "/packing",
    "/make",
    "/goods-in",
    "/reorder",
    "/parts",
    "/parts?q=bolt",
    "/bills",
    "/labels",
    "/labels/prints",
    "/people",
    "/import",
    "/suppliers",
    "/bins",
    "/printers/queue",
    "/torques",
    "/api/orders",
    "/api/alerts",
    "/api/picking/kits",
    "/api/pick-lists",
    "/api/pick-lists?all=true",
    "/api/parts",
    "/api/parts?q=bolt",
    "/api/purchase-orders",
    "/api/reorder",
    "/api/bench/parts",
    "/api/bench/runs",
    "/api/events",
];

/// How long one read took, in milliseconds.
#[derive(Clone, Copy)]
pub struct Took {
    /// Half of the times it was quicker.
    pub median: f64,
    /// The longest.
    pub most: f64,
    /// Bytes of the answer.
    pub bytes: usize,
}

impl Display for Took {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write!(f, "{:>9.1} ms {:>9.1} ms {:>9} kB", self.median, self.most, self.bytes / 1_000)
    }
}

#[derive(QueryableByName)]
struct Found {
    #[diesel(sql_type = Text)]
    path: String,
}

/// Pages of one order, part, lot: those that have most behind them, by what they are found with.
const FOUND: [&str; 10] = [
    "SELECT '/orders/' || number AS path FROM orders WHERE number LIKE 'H%' ORDER BY id LIMIT 1",
    "SELECT '/orders/' || o.number AS path FROM orders o JOIN kits k ON k.order_id = o.id
        WHERE k.state = 'open' ORDER BY o.promised_on, o.number LIMIT 1",
    "SELECT '/packing/' || number AS path FROM kits WHERE state = 'despatched' ORDER BY id LIMIT 1",
    "SELECT '/goods-in/' || number AS path FROM purchase_orders WHERE number LIKE 'HP%' ORDER BY id LIMIT 1",
    "SELECT '/make/runs/' || number AS path FROM bench_runs ORDER BY id LIMIT 1",
    "SELECT '/make/' || v.part_number AS path FROM bench_runs r JOIN variants v ON v.id = r.variant_id
        ORDER BY r.id LIMIT 1",
    "SELECT '/parts/' || v.part_number AS path FROM once_moved v",
    "SELECT '/trace?codes=' || l.code AS path FROM lots l JOIN movements m ON m.lot_id = l.id
        JOIN bench_moves b ON b.movement_id = m.id WHERE b.role = 'used' ORDER BY l.id LIMIT 1",
    "SELECT '/trace?codes=' || l.code AS path FROM lots l JOIN movements m ON m.lot_id = l.id
        WHERE m.kit_line_id IS NOT NULL AND l.code LIKE 'H%' ORDER BY l.id LIMIT 1",
    "SELECT '/trace?codes=' || code AS path FROM serials ORDER BY id LIMIT 1",
];

/// The part whose pieces moved most among those tracked by lot.
const MOVED: &str = "CREATE TEMP TABLE once_moved AS SELECT v.part_number FROM variants v
    JOIN (SELECT variant_id, COUNT(*) AS moves FROM movements WHERE id < 100000 AND lot_id IS NOT NULL
        GROUP BY variant_id) m ON m.variant_id = v.id ORDER BY m.moves DESC, v.id LIMIT 1";

fn found(conn: &mut Conn) -> Vec<String> {
    diesel::sql_query(MOVED).execute(conn).expect("movements");
    let one = |query: &str| -> Option<String> {
        let row: Option<Found> =
            diesel::sql_query(query).get_result(conn).optional().expect("rows");
        row.map(|it| it.path)
    };
    FOUND.map(one).into_iter().flatten().collect()
}

/// Reads each of them so many times, after once that does not count.
pub fn all(service: &Service, file: &Path, times: usize) -> Vec<(String, Took)> {
    let url = DatabaseUrl::Sqlite(file.display().to_string());
    let books = Database::open(&url, Clock::System).expect("the books");
    let token = books.write(Who::Program, |tx| make_token(tx, "owner", "reads")).expect("a token");
    let mut conn = url.connect().expect("the books");
    let found = found(&mut conn);
    let of_api = |it: &String| Some(format!("/api{}", it.strip_prefix("/trace").map(|_| it)?));
    let paths = PATHS.iter().map(|it| (*it).to_owned());
    let traces: Vec<String> = found.iter().filter_map(of_api).collect();
    let paths: Vec<String> = paths.chain(found).chain(traces).collect();
    System::new().block_on(async {
        let client = Client::builder().cookie_store(true).build().expect("a client");
        let address = format!("http://{}", service.address);
        let signed_in = client
            .post(format!("{address}/sign-in"))
            .header("content-type", "application/x-www-form-urlencoded")
            .body("name=owner&password=demo-owner&next=/people")
            .send()
            .await
            .expect("an answer");
        assert!(signed_in.url().path().ends_with("/people"), "the owner is let in");
        let mut reads = Vec::new();
        for path in paths {
            let took = read(&client, &format!("{address}{path}"), token.as_str(), times).await;
            reads.push((path, took));
        }
        reads
    })
}

async fn read(client: &Client, url: &str, token: &str, times: usize) -> Took {
    let (mut took, mut bytes) = (Vec::new(), 0);
    for _ in 0..=times {
        let start = Instant::now();
        let mut request = client.get(url);
        if url.contains("/api/") {
            request = request.bearer_auth(token);
        }
        let answer = request.send().await.expect("an answer");
        assert_eq!(answer.status(), 200, "{url}");
        bytes = answer.bytes().await.expect("a whole answer").len();
        took.push(start.elapsed().as_secs_f64() * 1e3);
    }
    let mut counted = took.split_off(1);
    counted.sort_by(f64::total_cmp);
    let at = |nth: usize| counted.get(nth).copied().unwrap_or_default();
    Took { median: at(counted.len() / 2), most: at(counted.len().saturating_sub(1)), bytes }
}
