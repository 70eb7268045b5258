//! How long stock lasts, what will be lacking, cards of empty bins, spend and dead stock.

use insta::assert_snapshot;
use kitwright::domain::people::Role::{Buyer, Owner, Receiver, Warehouse};
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

fn number(value: &Value) -> i64 {
    value.as_i64().unwrap_or_else(|| panic!("no number: {value}"))
}

#[actix_web::test]
async fn a_runway_starts_with_the_books_and_its_shortages_are_those_of_the_shop() {
    let app = TestApp::start();
    let runway = app.look("/api/reorder/parts/CO102I/runway").await;
    let weeks = rows(&runway["weeks"]);
    assert_eq!(weeks.len(), 26);
    // The invented shop: 60 capsules with 31 January as their last day, 5.6 a day: fine; and 200
    // that keep.
    let sum = |field: &str| weeks.iter().map(|it| number(&it[field])).sum::<i64>();
    assert_eq!(sum("expired"), 0, "{runway}");
    // 8 more lie in bags that nothing asks for.
    let there = number(&runway["suggestion"]["on_hand"]);
    assert_eq!(there, 268);
    assert_eq!(number(&weeks[25]["level"]), there + sum("arrived") - sum("wanted"));
    for week in weeks {
        assert!(number(&week["low"]) <= number(&week["level"]), "{week}");
        assert!(number(&week["level"]) <= number(&week["high"]), "{week}");
    }
    assert_eq!(text(&runway["busiest"]), "2026-12", "253 bikes, the most of the year");
    // A lot that nobody can use up expires as a cliff of what is left.
    let stock =
        "part_number,bin,quantity,lot,use_by,serial\nCO102I,B-05-3K,5000,LONG,2027-01-31,\n";
    assert_eq!(app.import("stock", stock).await.0, 200);
    let runway = app.look("/api/reorder/parts/CO102I/runway").await;
    let cliff = rows(&runway["weeks"]).iter().find(|it| number(&it["expired"]) != 0).unwrap();
    assert_eq!(text(&cliff["monday"]), "2027-01-25", "the week that ends with 31 January");
    assert!(4_000 < number(&cliff["expired"]), "{cliff}");

    let short = app.look("/api/reorder/shortages").await;
    let parts = rows(&short["parts"]);
    let days: Vec<String> = parts.iter().map(|it| text(&it["short_on"])).collect();
    assert!(days.is_sorted() && !days.is_empty(), "{days:?}");
    for (at, week) in rows(&short["weeks"]).iter().enumerate() {
        let lacking = parts.iter().map(|it| number(&it["weeks"][at]));
        assert_eq!(number(&week["pieces"]), lacking.clone().sum::<i64>(), "{week}");
        let parts = lacking.filter(|it| 0 < *it).count();
        assert_eq!(number(&week["parts"]), i64::try_from(parts).unwrap(), "{week}");
    }
    // What a part's own runway says is what the list says of it.
    let first = &parts[0];
    let path = format!("/api/reorder/parts/{}/runway", text(&first["part_number"]));
    let own = app.look(&path).await;
    let own: Vec<i64> = rows(&own["weeks"]).iter().map(|it| number(&it["short"])).collect();
    let listed: Vec<i64> = rows(&first["weeks"]).iter().map(number).collect();
    assert_eq!(own, listed);
    // Head badges: two kits wait for one each today, and 300 are due on a purchase order.
    let badges = find(&short["parts"], "part_number", "FR110M");
    assert_eq!(number(&badges["kits_waiting"]), 2);
    let (status, fault) = app.get(Warehouse, "/api/reorder/parts/XX999/runway").await;
    assert_eq!((status, text(&fault["code"]).as_str()), (404, "not_found"));
}

/// Scans a card and returns the answer in one line.
async fn card(app: &TestApp, scan: &str) -> String {
    let (status, body) = app.act(Buyer, "/api/reorder/cards", json!({ "scan": scan })).await;
    match status {
        201 => format!("{}: {}", text(&body["code"]), text(&body["words"])),
        _ => format!("{status} {}: {}", text(&body["code"]), text(&body["title"])),
    }
}

async fn on_order(app: &TestApp, part: &str) -> i64 {
    let wall = app.look("/api/reorder/wall").await;
    number(&find(&wall["bins"], "part_number", part)["on_order"])
}

#[actix_web::test]
async fn an_empty_bin_scanned_twice_in_a_minute_makes_one_order_not_two() {
    let app = TestApp::start();
    let before = on_order(&app, "SK1074").await;
    // Two hands at two devices at the same moment, each with a key of its own.
    let (one, other) = tokio::join!(card(&app, "SK1074"), card(&app, "H-04-4Z"));
    let mut codes = [&one, &other].map(|it| it.split(':').next().unwrap_or_default().to_owned());
    codes.sort();
    assert_eq!(codes, ["card.again", "card.ordered"], "{one}\n{other}");
    assert_eq!(on_order(&app, "SK1074").await, before + 2_500);
    assert_snapshot!(card(&app.later(1), "SK1074").await, @"card.again: Ski bolt M6x1.0 (x14) was scanned 1 minute ago by Teodor Lindqvale: its 2500 stand on PO00001, line 1, and nothing more was ordered");
    assert_snapshot!(card(&app.later(14), " sk1074").await, @"card.again: Ski bolt M6x1.0 (x14) was scanned 14 minutes ago by Teodor Lindqvale: its 2500 stand on PO00001, line 1, and nothing more was ordered");
    assert_eq!(on_order(&app, "SK1074").await, before + 2_500);
    // Later it is the other bin's card, and says what is on order besides.
    assert_snapshot!(card(&app.later(15), "SK1074").await, @"card.ordered: 2500 × Ski bolt M6x1.0 (x14) (SK1074) put on PO00001, line 1, for Trennick Fasteners, beside 4500 on order before");
    // Another part of the same supplier stands on the same draft; its bin says the same as its card.
    assert_snapshot!(card(&app, "H-01-1I").await, @"card.ordered: 1400 × Pinch bolt M6x1.0x25 (MT108R) put on PO00001, line 2, for Trennick Fasteners");

    assert_snapshot!(card(&app, "").await, @"422 card.scan: nothing was scanned: scan again");
    assert_snapshot!(card(&app, "MT108Q").await, @"422 card.scan: 'MT108Q' has a wrong character: the last one does not match the others, so read the label again");
    assert_snapshot!(card(&app, "FK104J").await, @"422 card.made_here: FK104J is made here: make it at the bench, no order brings it");
    assert_snapshot!(card(&app, "TF-2643-518").await, @"422 card.not_a_card: 'TF-2643-518' is no card: scan the card of the empty bin, or the bin");
    assert_snapshot!(card(&app, "nobody's").await, @"404 not_found: there is no card or bin 'nobody's': check the number");
    let (status, fault) =
        app.act(Warehouse, "/api/reorder/cards", json!({ "scan": "SK1074" })).await;
    assert_eq!((status, text(&fault["code"]).as_str()), (403, "people.forbidden"));
    let wall = app.look("/api/reorder/wall").await;
    assert_eq!(rows(&wall["scans"]).len(), 3, "{}", wall["scans"]);
}

#[actix_web::test]
async fn a_wall_tells_of_a_bin_before_its_second_half_is_used_and_spend_adds_up() {
    let app = TestApp::start();
    let wall = app.look("/api/reorder/wall").await;
    assert_eq!(text(&wall["zone"]), "fastener wall");
    for bin in rows(&wall["bins"]) {
        let told = bin["tell_on"].as_str().is_some_and(|it| it <= "2026-11-25");
        assert_eq!(bin["alert"], told, "{bin}");
        assert!(number(&bin["second"]) <= number(&bin["full"]), "{bin}");
        if told {
            let start = format!("{}, ", text(&bin["bin"]));
            assert!(rows(&wall["alerts"]).iter().any(|it| text(it).starts_with(&start)), "{bin}");
        }
    }
    let bolt = find(&wall["bins"], "part_number", "MT108R");
    assert_eq!(number(&bolt["first"]) + number(&bolt["second"]), 1_436, "as the books say");
    let (status, fault) = app.get(Owner, "/api/reorder/wall?zone=cellar").await;
    assert_eq!((status, text(&fault["code"]).as_str()), (404, "not_found"));

    // 60 cartons of PO-26-162 come in, and count at the order's price until they are booked back.
    let spent = async |code: &str| {
        let spend = app.get(Buyer, "/api/reorder/spend").await.1;
        let months: i64 = rows(&spend["total_cents"]).iter().map(number).sum();
        let of: Vec<&Value> =
            rows(&spend["suppliers"]).iter().filter(|it| text(&it["code"]) == code).collect();
        let of = of
            .first()
            .map_or((0, 0), |it| (number(&it["total_cents"]), number(&it["to_come_cents"])));
        (months, of)
    };
    let order = app.look("/api/purchase-orders/PO-26-162").await;
    let (code, price) =
        (text(&order["supplier_code"]), number(&order["lines"][0]["unit_price_cents"]));
    let before = spent(&code).await;
    let count = json!({ "line": 1, "good": 60, "damaged": 5, "note": "wet" });
    assert_eq!(app.act(Receiver, "/api/purchase-orders/PO-26-162/counts", count).await.0, 201);
    let after = spent(&code).await;
    assert_eq!(after, (before.0 + 60 * price, (before.1.0 + 60 * price, before.1.1 - 65 * price)));
    let part = text(&order["lines"][0]["part_number"]);
    let history = app.look(&format!("/api/parts/{part}")).await;
    let good = rows(&history["movements"]).iter().find(|it| it["quantity"] == 60).unwrap();
    let back = json!({ "movement": good["movement"] });
    assert_eq!(app.act(Owner, "/api/stock/reversals", back).await.0, 201);
    assert_eq!(spent(&code).await.0, before.0);

    // Dead is what nothing was used of, and what outlasts a year.
    let dead = app.get(Buyer, "/api/reorder/dead-stock?since=2024-01-01").await.1;
    let all = rows(&dead["parts"]);
    let worth: i64 = all.iter().map(|it| number(&it["value_cents"])).sum();
    assert_eq!(number(&dead["total_cents"]), worth);
    for it in all {
        assert!(it["last_used"].as_str().is_none_or(|month| month < "2024-01"), "{it}");
        assert!(number(&it["a_year"]) <= number(&it["on_hand"]), "{it}");
        assert!(number(&it["beyond_cents"]) <= number(&it["value_cents"]), "{it}");
    }
    let part = "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,tracking,class,supplier,supplier_item,unit_cost,pack,minimum_order,reorder_point,order_quantity,bin,facts,facts_source\n\
        MT112Z,Pinch bolt of yore,,,,7.9,0.05,80x60x30,none,C,TF,10756-99,0.20,200,1000,0,0,H-05-6R,,\n";
    assert_eq!(app.import("parts", part).await.0, 200);
    let stock = "part_number,bin,quantity,lot,use_by,serial\nMT112Z,H-05-6R,700,,,\n";
    assert_eq!(app.import("stock", stock).await.0, 200);
    let dead = app.get(Buyer, "/api/reorder/dead-stock").await.1;
    let yore = find(&dead["parts"], "part_number", "MT112Z");
    assert_eq!((number(&yore["value_cents"]), number(&yore["beyond"])), (14_000, 700), "{yore}");
    assert!(yore["last_used"].is_null());
    // Two parts at home in one bin: only a card tells which is meant; this one's says no number.
    assert_snapshot!(card(&app, "H-05-6R").await, @"422 card.several: bin H-05-6R is the home of several parts, MT112Z and SP107X among them: scan the card");
    assert_snapshot!(card(&app, "MT112Z").await, @"422 card.no_quantity: MT112Z: neither its usual order nor its policy says how many its card orders: set one");
}

#[actix_web::test]
async fn who_is_told_of_alerts_gets_one_letter_for_each_time_that_a_bin_needs_an_order() {
    use kitwright::domain::outbox::Channel;
    use kitwright::ops::outbox::{self, MailServerEntry};
    use kitwright::ops::reorder::{is_any_bin_to_tell, tell_of_bins};
    use kitwright::store::Who;
    let app = TestApp::start();
    let (books, today) = (app.books(), "2026-11-25".parse().unwrap());
    let due = || books.read(|conn| is_any_bin_to_tell(conn, today)).unwrap();
    assert!(!due(), "nobody is told of anything");
    let server = MailServerEntry {
        server: Some("mail.skarnholt.example:25".into()),
        security: Some("none".into()),
        from: Some("stores@skarnholt.example".into()),
        ..MailServerEntry::default()
    };
    books.write(Who::Program, |tx| outbox::set_mail_server(tx, &server)).unwrap();
    let key = "tell-the-buyer".parse().unwrap();
    let told = |tx: &mut kitwright::store::Tx<'_>| {
        outbox::add_receiver(tx, &key, Channel::Mail, "buyer@skarnholt.example")
    };
    books.write(Who::Program, told).unwrap();
    // One bin is nearly empty and nothing is on order: it must be told of, once.
    let count = json!({ "part_number": "SH108R", "quantity": 351, "from": "H-02-48",
        "to": "count difference", "lot": "TF-2642-114", "serial": "", "reason": "counted" });
    let (status, body) = app.act(Owner, "/api/stock/corrections", count).await;
    assert_eq!(status, 201, "{body}");
    let wall = app.look("/api/reorder/wall").await;
    assert_eq!(find(&wall["bins"], "part_number", "SH108R")["alert"], true);
    assert!(due());
    let first = books.write(Who::Program, tell_of_bins).unwrap();
    assert!(first.contains(&"SH108R".to_owned()), "{first:?}");
    assert!(!due());
    assert_eq!(books.write(Who::Program, tell_of_bins).unwrap(), Vec::<String>::new());
    let letters = books.read(outbox::messages).unwrap();
    assert_eq!(letters.len(), 1, "{letters:?}");
    assert_eq!(letters[0].address, "buyer@skarnholt.example");
    assert!(letters[0].subject.contains("an order today"), "{}", letters[0].subject);
}
