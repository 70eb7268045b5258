//! Skarnholt Works, an invented shop: its files are taken in by the importers that every shop uses.

mod dates;
mod purchasing;

pub use purchasing::show_states;

use chrono::NaiveDate;

use crate::domain::people::Role;
use crate::error::Error;
use crate::exchange::Kind;
use crate::ops::people::{Secret, add_user, make_token};
use crate::ops::{exchange, labels, shop, verification};
use crate::store::{Database, Tx, Who, people};

/// A person of the invented shop.
pub struct DemoPerson {
    /// The name typed to log in.
    pub login: &'static str,
    /// The password, which is no secret.
    pub password: &'static str,
    /// A token for the API.
    pub token: Secret,
}

/// A company prefix of the range that GS1 keeps for demonstrations.
const COMPANY_PREFIX: &str = "9521234";
/// A location number of that prefix.
const LOCATION_NUMBER: &str = "9521234000013";

const PEOPLE: [(&str, &str, &str, Role); 4] = [
    ("owner", "demo-owner", "Ilka Trevanion", Role::Owner),
    ("warehouse", "demo-warehouse", "Bram Okonjo-Vale", Role::Warehouse),
    ("receiver", "demo-receiver", "Sunniva Karatay", Role::Receiver),
    ("buyer", "demo-buyer", "Teodor Lindqvale", Role::Buyer),
];

/// Returns the text of the shop's own file of that kind.
pub fn file(kind: Kind) -> &'static str {
    match kind {
        Kind::Suppliers => include_str!("suppliers.csv"),
        Kind::Bins => include_str!("bins.csv"),
        Kind::Parts => include_str!("parts.csv"),
        Kind::Kits => include_str!("kits.csv"),
        Kind::Glossary => include_str!("glossary.csv"),
        Kind::AirCharts => include_str!("air_charts.csv"),
        Kind::Substitutions => include_str!("substitutions.csv"),
        Kind::Policies => include_str!("policies.csv"),
        Kind::Plan => include_str!("plan.csv"),
        Kind::DemandHistory => include_str!("demand_history.csv"),
        Kind::Stock => include_str!("stock.csv"),
        Kind::Orders => include_str!("orders.csv"),
        Kind::PurchaseOrders => include_str!("purchase_orders.csv"),
    }
}

/// Fills empty books with the shop: its people, catalogue, stock and open orders, with dates moved
/// so that the shop's day is today.
///
/// # Errors
///
/// [`Error::Conflict`] when the books are not empty.
pub fn load(books: &Database) -> Result<Vec<DemoPerson>, Error> {
    if !books.read(|conn| Ok(people::users(conn)?))?.is_empty() {
        return Err(Error::conflict(
            "demo.not_empty",
            "these books hold a shop already: start the demo on a new folder",
        ));
    }
    let today = books.now().date();
    books.write(Who::Program, |tx| {
        verification::ensure_link_key(tx)?;
        let address = "Skarnveien 7; 9990 Skarnholt";
        shop::set_details(tx, Some("Skarnholt Works"), Some(address), Some("USD"))?;
        labels::set_company_prefix(tx, COMPANY_PREFIX)?;
        labels::set_location_number(tx, LOCATION_NUMBER)?;
        for kind in Kind::ALL {
            import(tx, kind, today)?;
        }
        PEOPLE.into_iter().map(|it| person(tx, it)).collect()
    })
}

/// Takes in the shop's own file of that kind, with dates moved so that the shop's day is `today`.
///
/// # Errors
///
/// [`Error::Faults`] where the books lack what the file names.
pub fn import(tx: &mut Tx<'_>, kind: Kind, today: NaiveDate) -> Result<(), Error> {
    let text = dates::moved(kind, file(kind), today)?;
    exchange::import(tx, kind, text.as_bytes()).map(drop)
}

fn person(
    tx: &mut Tx<'_>,
    (login, password, name, role): (&'static str, &'static str, &'static str, Role),
) -> Result<DemoPerson, Error> {
    add_user(tx, login, name, role, password)?;
    let token = make_token(tx, login, "demo")?;
    Ok(DemoPerson { login, password, token })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use chrono::NaiveDate;

    use super::file;
    use crate::domain::catalog::{PartRecord, Variant};
    use crate::domain::codes::PartNumber;
    use crate::domain::demand::{Habit, HistoryRecord, Month, Plans, Used, invent};
    use crate::domain::kits::revision;
    use crate::exchange::{self, Kind};

    /// Returns how a part is used beside the bikes: as [`crate::ops::reorder`] invents it.
    fn habit(part: &PartRecord) -> Habit {
        let is_lot = part.tracking.as_str() == "lot";
        crate::ops::reorder::habit(
            part.supplier.is_some(),
            part.class.letter(),
            part.unit_cost,
            is_lot,
        )
    }

    #[test]
    fn the_history_is_what_its_seed_says() {
        let bytes = |kind| file(kind).as_bytes();
        let parts = exchange::parts::read(bytes(Kind::Parts)).unwrap();
        let parts: BTreeMap<PartNumber, PartRecord> =
            parts.into_iter().map(|it| (it.value.part_number.clone(), it.value)).collect();
        let boms = exchange::kits::read(bytes(Kind::Kits)).unwrap();
        let boms: Vec<_> = boms.into_iter().map(|it| it.value.bom).collect();
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let boms = revision::on_day(&boms, day("2026-11-25"));
        let boms = boms.into_iter().map(|(code, bom)| (code, bom.clone())).collect();
        let plan = exchange::plan::read(bytes(Kind::Plan)).unwrap();
        let plans = Plans::of(plan.into_iter().map(|it| it.value).collect());
        let variants: Vec<Variant> = parts
            .values()
            .map(|it| Variant {
                part_number: it.part_number.clone(),
                part: it.part.clone(),
                attributes: it.attributes.clone(),
            })
            .collect();
        let span = (day("2023-11-01"), day("2026-11-01"));
        let of = |part: &PartNumber| parts.get(part).map(habit).unwrap_or_default();
        let used = invent(&plans, (&boms, &variants), span, of, 20_261_125).unwrap();
        let mut months: BTreeMap<(PartNumber, Month), Used> = BTreeMap::new();
        for (part, days) in used {
            for (day, used) in days {
                let sum = months.entry((part.clone(), Month::of(day))).or_default();
                *sum = sum.plus(used);
            }
        }
        let record = |((part_number, month), used)| HistoryRecord { part_number, month, used };
        let records: Vec<HistoryRecord> = months.into_iter().map(record).collect();
        let text = exchange::demand_history::write(&records);
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/demo/demand_history.csv");
        if std::env::var_os("KITWRIGHT_INVENT").is_some() {
            std::fs::write(path, &text).unwrap();
        }
        assert!(
            std::fs::read_to_string(path).unwrap() == text,
            "the plan, the parts or the bills have changed: run this test with KITWRIGHT_INVENT=1"
        );
    }
}
