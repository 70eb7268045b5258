//! Whatever stands in a file is read or refused with its faults; what is read is written so that
//! it reads back the same.
#![no_main]

use kitwright::exchange::{At, bins, kits, orders, parts, purchase_orders, stock, suppliers};
use libfuzzer_sys::fuzz_target;

fn values<T>(records: Vec<At<T>>) -> Vec<T> {
    records.into_iter().map(|it| it.value).collect()
}

macro_rules! there_and_back {
    ($($kind:ident),*) => {$(
        |bytes: &[u8]| {
            let Ok(read) = $kind::read(bytes).map(values) else { return };
            let text = $kind::write(&read);
            let again = $kind::read(text.as_bytes()).map(values).expect("what is written reads");
            assert_eq!(text, $kind::write(&again));
        }
    ),*};
}

fuzz_target!(|bytes: &[u8]| {
    let Some((kind, bytes)) = bytes.split_first() else { return };
    let readers: [fn(&[u8]); 6] =
        [there_and_back!(suppliers), there_and_back!(bins), there_and_back!(parts),
         there_and_back!(stock), there_and_back!(orders), there_and_back!(purchase_orders)];
    match readers.get(usize::from(*kind) % 7) {
        Some(reader) => reader(bytes),
        None => {
            // A bill of materials is written from the bill, not from the record around it.
            let Ok(read) = kits::read(bytes) else { return };
            let text = kits::write(read.iter().map(|it| &it.value.bom));
            assert!(kits::read(text.as_bytes()).is_ok());
        }
    }
});
