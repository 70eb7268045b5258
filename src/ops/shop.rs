//! What papers say of the shop itself.

use crate::error::Error;
use crate::store::{Conn, Tx, people};

/// The settings that hold them.
const NAME: &str = "shop name";
const ADDRESS: &str = "shop address";
const CURRENCY: &str = "currency";

/// The shop, as papers name it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shop {
    /// Its name.
    pub name: String,
    /// Where goods are delivered, the lines parted by semicolons; empty where nobody has said.
    pub address: String,
    /// The currency of all prices that state none, in the capitals of ISO 4217; empty where nobody
    /// has said.
    pub currency: String,
}

/// Loads what papers say of the shop.
///
/// # Errors
///
/// [`Error::Database`].
pub fn details(conn: &mut Conn) -> Result<Shop, Error> {
    Ok(Shop {
        name: super::labels::shop_name(conn)?,
        address: people::setting(conn, ADDRESS)?.unwrap_or_default(),
        currency: people::setting(conn, CURRENCY)?.unwrap_or_default(),
    })
}

/// Keeps what papers say of the shop; what is `None` stays as it is.
///
/// # Errors
///
/// [`Error::Invalid`] for what is no currency, and for an empty name.
pub fn set_details(
    tx: &mut Tx<'_>,
    name: Option<&str>,
    address: Option<&str>,
    currency: Option<&str>,
) -> Result<(), Error> {
    let wrong = |words: String| Err(Error::invalid("shop.details", words));
    if name.is_some_and(|it| it.trim().is_empty()) {
        return wrong("the shop's name is empty: write it".to_owned());
    }
    let is_currency = |it: &str| it.len() == 3 && it.bytes().all(|it| it.is_ascii_uppercase());
    if let Some(it) = currency.filter(|it| !is_currency(it)) {
        return wrong(format!("'{it}' is not a currency: write its three capitals, such as EUR"));
    }
    for (setting, value) in [(NAME, name), (ADDRESS, address), (CURRENCY, currency)] {
        if let Some(value) = value {
            people::put_setting(tx.conn, setting, value.trim())?;
        }
    }
    Ok(())
}

/// Returns the lines of an address that is kept with semicolons between them.
pub fn lines(address: &str) -> impl Iterator<Item = String> + '_ {
    address.split(';').map(str::trim).filter(|it| !it.is_empty()).map(str::to_owned)
}
