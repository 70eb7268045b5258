//! Whatever stands in a despatch advice is read or refused with its faults, and whatever is read
//! announces whole pieces in lines that have a number.
#![no_main]

use kitwright::exchange::ubl::read_advice;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    match read_advice(bytes) {
        Ok(advice) => {
            assert!(!advice.number.is_empty());
            assert!(advice.lines.iter().all(|it| it.quantity.is_some() && !it.line.is_empty()));
        }
        Err(faults) => assert!(!faults.is_empty()),
    }
});
