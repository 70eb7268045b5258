//! A stretch of the shop's life, lived through the same operations that people use: orders come in,
//! their parts are bought in lots and serial numbers and moved between bins, bags are made, kits
//! picked, packed, sealed and handed over. Nothing is left over, so it can be told any number of
//! times one after the other.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use kitwright::demo;
use kitwright::domain::people::Role;
use kitwright::error::Error;
use kitwright::exchange::Kind;
use kitwright::ops::bench::{self, NewRun};
use kitwright::ops::orders::{self, KitView};
use kitwright::ops::packing::{self, PackScan};
use kitwright::ops::picking::{self, PickScan, StopView};
use kitwright::ops::receiving::{self, Count};
use kitwright::ops::reorder::{self, SuggestionView};
use kitwright::ops::shortages::{self, Cause};
use kitwright::ops::stock::{Correction, correct};
use kitwright::ops::{RequestKey, exchange, people as people_ops};
use kitwright::store::stock::HeldRow;
use kitwright::store::{Database, Tx, Who, catalog, people, stock};
use kitwright::units::Quantity;

/// How many of the shop's orders are lived through; some turn out not to fit and are cancelled.
const ORDERS: usize = 8;

/// People with a login, as of the invented shop; the password is `demo-` and the login.
pub const PEOPLE: [(&str, &str, Role); 4] = [
    ("owner", "Ilka Trevanion", Role::Owner),
    ("warehouse", "Bram Okonjo-Vale", Role::Warehouse),
    ("receiver", "Sunniva Karatay", Role::Receiver),
    ("buyer", "Teodor Lindqvale", Role::Buyer),
];

/// What an operation is given, and what it answers.
type Done<T = ()> = Result<T, Error>;

fn key() -> RequestKey {
    RequestKey::fresh()
}

/// Fills empty books with the shop's people and catalogue, and nothing that moves.
pub fn found(books: &Database) -> Done<Who> {
    let today = books.now().date();
    books.write_long(Who::Program, |tx| {
        for kind in Kind::ALL {
            if !matches!(kind, Kind::Stock | Kind::Orders | Kind::PurchaseOrders) {
                demo::import(tx, kind, today)?;
            }
        }
        for (login, name, role) in PEOPLE {
            people_ops::add_user(tx, login, name, role, &format!("demo-{login}"))?;
        }
        Ok(())
    })?;
    owner(books)
}

/// Returns the owner of filled books.
pub fn owner(books: &Database) -> Done<Who> {
    let users = books.read(|conn| Ok(people::users(conn)?))?;
    let owner = users.iter().find(|it| it.login == "owner");
    owner.map_or(Err(Error::SignedOut), |it| Ok(Who::Person(it.id, Role::Owner)))
}

/// Lives through it.
pub fn live(books: &Database, who: Who) -> Done {
    books.write_long(who, |tx| {
        take_orders(tx)?;
        buy(tx)?;
        make_bags(tx)?;
        let kits: Vec<String> = picking::pickable(tx.conn)?.into_iter().map(|it| it.kit).collect();
        let list = picking::make_list(tx, &key(), &kits)?.number;
        for stop in picking::list(tx.conn, &list)?.stops {
            pick(tx, &list, &stop)?;
        }
        for kit in kits {
            pack(tx, &kit)?;
            packing::hand_over(tx, &key(), &kit)?;
        }
        Ok(())
    })
}

/// Takes orders for one kit each, and cancels those whose parts don't fit each other.
fn take_orders(tx: &mut Tx<'_>) -> Done {
    let (heading, lines) = demo::file(Kind::Orders).split_once('\n').unwrap_or_default();
    let today = tx.today();
    let rider = |line: &&str| line.contains(",rider,") && line.contains(",TARVET,1,");
    let lines = lines.lines().filter(rider).take(ORDERS);
    let mut text = format!("{heading}\n");
    for (nth, line) in (1..).zip(lines) {
        let rest = line.splitn(4, ',').last().unwrap_or_default();
        text += &format!("H{nth:04},{today},{today},{rest}\n");
    }
    exchange::import(tx, Kind::Orders, text.as_bytes())?;
    for order in orders::open(tx.conn, today)? {
        let misfit = |it: &KitView| it.fit.misfits().next().is_some();
        if order.kits.iter().any(misfit) {
            orders::cancel(tx, &key(), &order.number)?;
        }
    }
    Ok(())
}

/// Buys just what the orders need, has it delivered, and moves each lot to another bin and back.
fn buy(tx: &mut Tx<'_>) -> Done {
    let today = tx.today();
    let mut by_supplier: BTreeMap<String, Vec<SuggestionView>> = BTreeMap::new();
    for supplier in reorder::desk(tx.conn, today)?.suppliers {
        let needed = supplier.parts.into_iter().filter(|it| it.needed.is_some());
        by_supplier.entry(supplier.code).or_default().extend(needed);
    }
    by_supplier.retain(|_, parts| !parts.is_empty());
    let mut text =
        "purchase_order,supplier,ordered_on,due_on,part_number,quantity,unit_price\n".to_owned();
    for (supplier, parts) in &by_supplier {
        for it in parts {
            let (part, pieces) = (&it.part_number, it.needed);
            text += &format!("HP-{supplier},{supplier},{today},{today},{part},{pieces},1\n");
        }
    }
    exchange::import(tx, Kind::PurchaseOrders, text.as_bytes())?;
    for supplier in by_supplier.keys() {
        let number = format!("HP-{supplier}");
        for line in receiving::detail(tx.conn, &number)?.lines {
            let part = &line.part_number;
            let serials = match line.tracking.as_str() {
                "serial" => (1..=line.open.pieces()).map(|nth| format!("H{part}{nth}")).collect(),
                _ => Vec::new(),
            };
            let lot = if line.tracking == "lot" { format!("H{part}") } else { String::new() };
            let count = Count {
                line: line.line,
                good: line.open,
                lot: lot.clone(),
                serials,
                ..Count::default()
            };
            receiving::receive(tx, &key(), &number, &count)?;
            if !lot.is_empty() {
                there_and_back(tx, part, &lot, &line.bin, line.open)?;
            }
        }
    }
    Ok(())
}

fn there_and_back(tx: &mut Tx<'_>, part: &str, lot: &str, bin: &str, pieces: Quantity) -> Done {
    let bins = catalog::bins(tx.conn)?;
    let other = bins.iter().find(|it| it.kind == "bin" && it.code != bin);
    let other = other.map(|it| it.code.as_str()).unwrap_or_default();
    for (from, to) in [(bin, other), (other, bin)] {
        let moved = Correction {
            part_number: part.to_owned(),
            from: from.to_owned(),
            to: to.to_owned(),
            quantity: pieces,
            lot: lot.to_owned(),
            serial: String::new(),
            reason: "the bin was in the way".to_owned(),
        };
        correct(tx, &key(), &moved)?;
    }
    Ok(())
}

/// Makes what the kits need of the house's own making, the inner parts first.
fn make_bags(tx: &mut Tx<'_>) -> Done {
    loop {
        let alerts = shortages::list(tx.conn, tx.today())?;
        let can = |it: &&shortages::Alert| {
            it.cause == Cause::NotInStock
                && it.make_now.as_ref().is_some_and(|it| it.possible.is_some())
        };
        let Some(next) = alerts.iter().find(can) else { return Ok(()) };
        let pieces = next.make_now.as_ref().map(|it| it.possible.min(it.short)).unwrap_or_default();
        let plan = bench::plan(tx.conn, &next.part_number, pieces, tx.today())?;
        let serials = match &plan.serials_of {
            Some(part) => free_serials(tx, part, pieces)?,
            None => Vec::new(),
        };
        let part_number = next.part_number.clone();
        bench::make(tx, &key(), &NewRun { part_number, pieces, serials, ..NewRun::default() })?;
    }
}

fn free_serials(tx: &mut Tx<'_>, part: &str, pieces: Quantity) -> Done<Vec<String>> {
    let codes = held(tx, part)?.into_iter().filter_map(|it| it.serial_code);
    Ok(codes.take(usize::try_from(pieces.pieces()).unwrap_or_default()).collect())
}

fn held(tx: &mut Tx<'_>, part: &str) -> Done<Vec<HeldRow>> {
    let row = catalog::variant(tx.conn, part)?.ok_or_else(|| Error::SignedOut)?;
    Ok(stock::held(tx.conn, row.id)?)
}

fn pick(tx: &mut Tx<'_>, list: &str, stop: &StopView) -> Done {
    let mut serials = match stop.tracking.as_str() {
        "serial" => {
            let held = held(tx, &stop.part_number)?.into_iter();
            held.filter(|it| it.place_code == stop.bin).filter_map(|it| it.serial_code).collect()
        }
        _ => Vec::new(),
    };
    for take in &stop.takes {
        let numbered = stop.tracking == "serial";
        let times = if numbered { take.quantity.pieces() } else { 1 };
        for _ in 0..times {
            let code = match (&stop.lot, serials.pop()) {
                (_, Some(serial)) => format!("S{serial}"),
                (Some(lot), None) => format!("1T{lot}"),
                (None, None) => stop.part_number.clone(),
            };
            let (take, bin) = (Some(take.take), Some(stop.bin.clone()));
            let answer =
                picking::scan(tx, &key(), list, &PickScan { code, take, bin, quantity: None })?;
            assert_eq!(answer.code, "pick.taken", "{}", answer.words);
        }
    }
    Ok(())
}

fn pack(tx: &mut Tx<'_>, kit: &str) -> Done {
    for carton in packing::bench(tx.conn, kit)?.cartons {
        for line in &carton.lines {
            let here = held(tx, &line.part_number)?.into_iter().filter(|it| it.place_code == kit);
            for it in here {
                let code = match (it.lot_code, it.serial_code) {
                    (Some(lot), _) => format!("1T{lot}"),
                    (None, Some(serial)) => format!("S{serial}"),
                    (None, None) => line.part_number.clone(),
                };
                // A part may be on two lines of a kit, one in each of two cartons.
                let quantity = Some(it.quantity.min(line.quantity));
                let scan = PackScan { code, carton: Some(carton.position), quantity };
                let answer = packing::scan(tx, &key(), kit, &scan)?;
                assert_eq!(answer.code, "pack.packed", "{}", answer.words);
            }
        }
        packing::seal(tx, &key(), kit, carton.position)?;
    }
    Ok(())
}

/// Returns the day on which the first of it happened, so many days before `today`.
pub fn begins(today: NaiveDate) -> NaiveDate {
    today - chrono::TimeDelta::days(super::fill::DAYS)
}
