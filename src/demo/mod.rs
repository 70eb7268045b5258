//! Skarnholt Works, an invented shop: its files are taken in by the importers that every shop uses.

mod dates;

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
