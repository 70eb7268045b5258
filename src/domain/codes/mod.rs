//! Codes as the shop meets them: numbers of its own, how they are formed, checked and told apart,
//! and other makers' labels.

mod check_char;
mod envelope;
mod identifier;
mod label;
mod number;
mod scan;

pub use check_char::{check_char, has_valid_check};
pub use label::{Label, Said};
pub use number::{BinCode, CartonNumber, KitNumber, NumberError, PartNumber, RunNumber};
pub use scan::{Printed, Scan, ScanError, read_scan, without_print};
