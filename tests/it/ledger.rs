//! The ledger against plain books: whatever is asked of it, both agree on what was done and what
//! each place holds.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use kitwright::clock::Clock;
use kitwright::demo;
use kitwright::exchange::Kind;
use kitwright::ops::reversal::reverse;
use kitwright::ops::stock::{Correction, correct};
use kitwright::ops::{RequestKey, audit, catalog, exchange};
use kitwright::store::{Database, Who};
use kitwright::units::Quantity;
use proptest::prelude::*;

use crate::support::books::{Books, Pattern};

const PART: &str = "MT1112";
const LOT: &str = "L-TEST";
const PLACES: [&str; 4] = ["count difference", "scrap", "H-01-1", "H-02-1"];

/// What a hand may ask for.
#[derive(Debug, Clone)]
enum Ask {
    Move { from: usize, to: usize, quantity: i64 },
    Reverse { back: usize },
    Again { back: usize },
}

fn ask() -> impl Strategy<Value = Ask> {
    let moves = (0..4_usize, 0..4_usize, -1..40_i64);
    prop_oneof![
        6 => moves.prop_map(|(from, to, quantity)| Ask::Move { from, to, quantity }),
        2 => (0..20_usize).prop_map(|back| Ask::Reverse { back }),
        1 => (0..20_usize).prop_map(|back| Ask::Again { back }),
    ]
}

/// Books as a clerk would keep them: pieces by place, and what was moved.
#[derive(Debug, Default)]
struct PlainBooks {
    held: BTreeMap<usize, i64>,
    moved: Vec<(i64, usize, usize, i64, bool)>,
}

impl PlainBooks {
    fn may(&self, from: usize, to: usize, quantity: i64) -> bool {
        let inside = |place: usize| 2 <= place;
        let enough = !inside(from) || quantity <= self.held.get(&from).copied().unwrap_or(0);
        from != to && 0 < quantity && (inside(from) || inside(to)) && enough
    }

    fn note(&mut self, movement: i64, from: usize, to: usize, quantity: i64) {
        *self.held.entry(from).or_default() -= quantity;
        *self.held.entry(to).or_default() += quantity;
        self.moved.push((movement, from, to, quantity, false));
    }
}

/// Books with a catalogue and no stock.
fn catalogue() -> Books {
    static TEMPLATE: OnceLock<Pattern> = OnceLock::new();
    let template = TEMPLATE.get_or_init(|| {
        let empty = Books::new("ledger");
        let books = Database::open(&empty.url(), Clock::System).unwrap();
        for kind in [Kind::Suppliers, Kind::Bins, Kind::Parts] {
            let bytes = demo::file(kind).as_bytes();
            books.write(Who::Program, |tx| exchange::import(tx, kind, bytes)).unwrap();
        }
        drop(books);
        Pattern::of(empty)
    });
    template.copy()
}

fn shop(home: &Books) -> (Database, Vec<String>) {
    let books = Database::open(&home.url(), Clock::System).unwrap();
    let bins = books.read(|conn| exchange::export(conn, Kind::Bins)).unwrap();
    let full = |start: &str| {
        let line = bins.lines().find(|it| it.starts_with(start)).unwrap();
        line.split(',').next().unwrap().to_owned()
    };
    let places = PLACES.map(|it| if it.starts_with("H-") { full(it) } else { it.to_owned() });
    (books, places.to_vec())
}

fn correction(places: &[String], from: usize, to: usize, quantity: i64) -> Correction {
    Correction {
        part_number: PART.to_owned(),
        from: places[from].clone(),
        to: places[to].clone(),
        quantity: Quantity::new(quantity),
        lot: LOT.to_owned(),
        serial: String::new(),
        reason: "a count".to_owned(),
    }
}

fn run(asks: Vec<Ask>) {
    let home = catalogue();
    let (shop, places) = shop(&home);
    let mut books = PlainBooks::default();
    let mut done: Vec<(RequestKey, Correction, i64)> = Vec::new();
    // The lot must be known before it can move from place to place.
    let first = correction(&places, 0, 2, 1);
    let key = RequestKey::fresh();
    let posted = shop.write(Who::Program, |tx| correct(tx, &key, &first)).unwrap();
    books.note(posted.movement, 0, 2, 1);
    done.push((key, first, posted.movement));
    for ask in asks {
        match ask {
            Ask::Move { from, to, quantity } => {
                let key = RequestKey::fresh();
                let asked = correction(&places, from, to, quantity);
                let posted = shop.write(Who::Program, |tx| correct(tx, &key, &asked));
                assert_eq!(posted.is_ok(), books.may(from, to, quantity), "{ask:?}: {posted:?}");
                if let Ok(posted) = posted {
                    books.note(posted.movement, from, to, quantity);
                    done.push((key, asked, posted.movement));
                }
            }
            Ask::Reverse { back } => {
                let at = back % books.moved.len();
                let (movement, from, to, quantity, reversed) = books.moved[at];
                let key = RequestKey::fresh();
                let posted = shop.write(Who::Program, |tx| reverse(tx, &key, movement));
                let may = !reversed && books.may(to, from, quantity);
                assert_eq!(posted.is_ok(), may, "{ask:?}: {posted:?}");
                if let Ok(posted) = posted {
                    books.moved[at].4 = true;
                    books.note(posted.movement, to, from, quantity);
                    books.moved.last_mut().unwrap().4 = true;
                }
            }
            Ask::Again { back } => {
                let (key, asked, movement) = &done[back % done.len()];
                let again = shop.write(Who::Program, |tx| correct(tx, key, asked)).unwrap();
                assert_eq!(again.movement, *movement);
            }
        }
    }
    agree(&shop, &places, &books);
}

fn agree(shop: &Database, places: &[String], books: &PlainBooks) {
    let part = shop.read(|conn| catalog::detail(conn, PART)).unwrap();
    for (place, code) in places.iter().enumerate().skip(2) {
        let held: i64 = part
            .balances
            .iter()
            .filter(|it| it.place == *code)
            .map(|it| it.quantity.pieces())
            .sum();
        assert_eq!(held, books.held.get(&place).copied().unwrap_or(0), "{code}");
    }
    for proof in shop.read(audit::check).unwrap() {
        assert_eq!(proof.findings, Vec::<String>::new(), "{}", proof.what);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]
    #[test]
    fn agrees_with_plain_books(asks in prop::collection::vec(ask(), 1..40)) {
        run(asks);
    }
}
