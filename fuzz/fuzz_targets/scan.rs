//! Whatever a scanner sends is read or refused; what is read as one of our numbers has the right
//! check character.
#![no_main]

use kitwright::domain::codes::{Scan, has_valid_check, read_scan};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let number = match read_scan(text) {
        Ok(Scan::Part(it)) => it.to_string(),
        Ok(Scan::Bin(it)) => it.to_string(),
        Ok(Scan::Kit(it)) => it.to_string(),
        Ok(Scan::Carton(it)) => it.to_string(),
        Ok(Scan::Lot(_) | Scan::Serial(_) | Scan::Other(_)) | Err(_) => return,
    };
    assert!(has_valid_check(&number.replace('-', "")));
});
