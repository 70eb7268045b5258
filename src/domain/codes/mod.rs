//! Numbers of the shop's own: how they are formed, checked and told apart.

mod check_char;
mod number;
mod scan;

pub use check_char::{check_char, has_valid_check};
pub use number::{BinCode, CartonNumber, KitNumber, NumberError, PartNumber, RunNumber};
pub use scan::{Scan, ScanError, read_scan};
