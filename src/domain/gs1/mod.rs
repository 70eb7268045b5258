//! GS1 numbers and carriers: article and logistic unit numbers with their check digit, element
//! strings with every application identifier, Digital Links, and what their values say.

mod ai;
mod ai_lines;
mod check;
mod check_digit;
mod date;
mod element;
mod gtin;
mod link;
mod lists;
mod sscc;
mod symbology;
mod value;

pub use ai::{Ai, Charset, Component, ai, table};
pub use check::{Check, check_pair};
pub use check_digit::{Gs1Error, check_digit};
pub use date::{DateFlaw, full_year, of_eight as date_of_eight, of_six as date_of_six};
pub use element::{
    Element, ElementError, GS, bracketed, check_needs, check_pairs, element, element_string,
    parse_bracketed, parse_elements, shown,
};
pub use gtin::{Gtin, expand_upc_e};
pub use link::{build_link, parse_link};
pub use sscc::Sscc;
pub use symbology::{Carrier, Symbology, split_symbology};
pub use value::{Meaning, meaning};
