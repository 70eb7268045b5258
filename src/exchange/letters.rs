//! Who has a piece of a lot or serial number, as CSV for letters.

use chrono::NaiveDate;

use super::csv::Text;
use crate::units::Quantity;

/// The columns, in order.
const COLUMNS: [&str; 16] = [
    "order",
    "kit",
    "carton",
    "state",
    "handed_over_on",
    "customer",
    "channel",
    "email",
    "address",
    "country",
    "part_number",
    "part",
    "lot_or_serial",
    "pieces",
    "certain",
    "made_in",
];

/// One kit that has pieces, or may have.
#[derive(Debug, Clone)]
pub struct Letter<'a> {
    /// The order.
    pub order: &'a str,
    /// The kit.
    pub kit: &'a str,
    /// The carton.
    pub carton: &'a str,
    /// Where the kit stands.
    pub state: &'a str,
    /// The day on which it was handed over.
    pub handed_over_on: Option<NaiveDate>,
    /// Who ordered.
    pub customer: &'a str,
    /// Rider or dealer.
    pub channel: &'a str,
    /// Their address for letters.
    pub email: &'a str,
    /// Where it went.
    pub address: &'a str,
    /// The country.
    pub country: &'a str,
    /// The part number in the kit.
    pub part_number: &'a str,
    /// It in words.
    pub part: &'a str,
    /// Its lot or serial number.
    pub code: &'a str,
    /// How many pieces of what was looked for.
    pub pieces: Quantity,
    /// Whether they are there for certain.
    pub certain: bool,
    /// The runs that they went through, with spaces between.
    pub through: String,
}

/// Returns the file, one row for each.
pub fn write(rows: &[Letter<'_>]) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in rows {
        text.row([
            it.order.to_owned(),
            it.kit.to_owned(),
            it.carton.to_owned(),
            it.state.to_owned(),
            it.handed_over_on.map(|day| day.to_string()).unwrap_or_default(),
            it.customer.to_owned(),
            it.channel.to_owned(),
            it.email.to_owned(),
            it.address.to_owned(),
            it.country.to_owned(),
            it.part_number.to_owned(),
            it.part.to_owned(),
            it.code.to_owned(),
            it.pieces.to_string(),
            if it.certain { "yes" } else { "perhaps" }.to_owned(),
            it.through.clone(),
        ]);
    }
    text.finish()
}
