//! Many pickers after the last piece. `KITWRIGHT_TRIES=100000` makes it a long one.

use std::sync::Barrier;
use std::sync::atomic::{AtomicI64, Ordering};

use kitwright::clock::Clock;
use kitwright::domain::stock::StockError;
use kitwright::error::Error;
use kitwright::ops::stock::{Correction, correct};
use kitwright::ops::{RequestKey, audit, catalog};
use kitwright::store::{Database, Who};
use kitwright::units::Quantity;

use crate::support::app::demo_books;

const PART: &str = "PK101H";
const BIN: &str = "P-04-1Q";
const PICKERS: i64 = 16;

fn pieces(quantity: i64, from: &str, to: &str) -> Correction {
    Correction {
        part_number: PART.to_owned(),
        from: from.to_owned(),
        to: to.to_owned(),
        quantity: Quantity::new(quantity),
        lot: String::new(),
        serial: String::new(),
        reason: "a race".to_owned(),
    }
}

fn in_bin(shop: &Database) -> i64 {
    let part = shop.read(|conn| catalog::detail(conn, PART)).unwrap();
    let held = part.balances.iter().filter(|it| it.place == BIN);
    held.map(|it| it.quantity.pieces()).sum()
}

/// Tries to take a piece; returns whether there was one.
fn take(shop: &Database) -> bool {
    let (key, asked) = (RequestKey::fresh(), pieces(1, BIN, "scrap"));
    match shop.write(Who::Program, |tx| correct(tx, &key, &asked)) {
        Ok(posted) => {
            let again = shop.write(Who::Program, |tx| correct(tx, &key, &asked)).unwrap();
            assert_eq!(again.movement, posted.movement, "the same request is done once");
            true
        }
        Err(Error::Stock(StockError::NotEnough { .. })) => false,
        Err(fault) => panic!("{fault}: {:?}", fault.hidden_cause()),
    }
}

fn bring(shop: &Database) {
    let (key, asked) = (RequestKey::fresh(), pieces(1, "count difference", BIN));
    let posted = shop.write(Who::Program, |tx| correct(tx, &key, &asked));
    posted.unwrap_or_else(|fault| panic!("{fault}: {:?}", fault.hidden_cause()));
}

/// Two instances on the same books, half of the pickers at each. What lies in the bin is soon
/// taken; then a piece comes now and again, and all are after it.
#[test]
fn many_pickers_never_take_the_last_piece_twice() {
    let tries = std::env::var("KITWRIGHT_TRIES").map_or(640, |it| it.parse().expect("a number"));
    let books = demo_books();
    let shops = [0, 1].map(|_| Database::open(&books.url(), Clock::System).unwrap());
    let all_but_three = pieces(in_bin(&shops[0]) - 3, BIN, "scrap");
    let key = RequestKey::fresh();
    shops[0].write(Who::Program, |tx| correct(tx, &key, &all_but_three)).unwrap();
    let start = in_bin(&shops[0]);
    let (taken, brought, ready) =
        (AtomicI64::new(0), AtomicI64::new(0), Barrier::new(PICKERS.try_into().unwrap()));
    let began = std::time::Instant::now();
    std::thread::scope(|scope| {
        for picker in 0..PICKERS {
            let (shop, taken, brought, ready) =
                (&shops[usize::from(picker % 2 == 1)], &taken, &brought, &ready);
            scope.spawn(move || {
                ready.wait();
                for nth in 0..tries / PICKERS {
                    taken.fetch_add(i64::from(take(shop)), Ordering::SeqCst);
                    if (nth + picker) % 40 == 0 {
                        bring(shop);
                        brought.fetch_add(1, Ordering::SeqCst);
                    }
                }
            });
        }
    });
    let (taken, brought) = (taken.into_inner(), brought.into_inner());
    println!("{tries} tries in {:.1?}: {brought} pieces came, {taken} were taken", began.elapsed());
    assert_eq!(in_bin(&shops[1]), start + brought - taken);
    assert!(start < taken && taken <= start + brought);
    for proof in shops[0].read(audit::check).unwrap() {
        assert_eq!(proof.findings, Vec::<String>::new(), "{}", proof.what);
    }
}
