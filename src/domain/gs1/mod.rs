//! GS1 numbers: article numbers (GTIN) and logistic unit numbers (SSCC), with their check digit.

mod check_digit;
mod gtin;
mod sscc;

pub use check_digit::{Gs1Error, check_digit};
pub use gtin::Gtin;
pub use sscc::Sscc;
