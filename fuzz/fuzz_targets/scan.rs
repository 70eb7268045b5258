//! Whatever a scanner sends is read or refused; what is read as one of our numbers has the right
//! check character, and what is read as GS1 data is read alike once it is written again.
#![no_main]

use kitwright::domain::codes::{Scan, has_valid_check, read_scan};
use kitwright::domain::gs1::{
    bracketed, build_link, check_pairs, element_string, parse_bracketed, parse_elements, parse_link,
};
use libfuzzer_sys::fuzz_target;

const YEAR: i32 = 2026;

fuzz_target!(|text: &str| {
    elements(text);
    let number = match read_scan(text, YEAR) {
        Ok(Scan::Part(it)) => it.to_string(),
        Ok(Scan::Bin(it)) => it.to_string(),
        Ok(Scan::Kit(it)) => it.to_string(),
        Ok(Scan::Carton(it)) => it.to_string(),
        Ok(
            Scan::Lot(_) | Scan::Serial(_) | Scan::Label(_) | Scan::Perhaps(..) | Scan::Other(_),
        ) => return,
        Err(fault) => {
            assert!(!fault.to_string().chars().any(char::is_control));
            return;
        }
    };
    assert!(has_valid_check(&number.replace('-', "")));
});

fn elements(text: &str) {
    let _ = parse_bracketed(text, YEAR);
    let _ = parse_link(text, YEAR);
    let Ok(read) = parse_elements(text, YEAR) else { return };
    assert_eq!(parse_elements(&element_string(&read), YEAR).as_ref(), Ok(&read));
    assert_eq!(parse_bracketed(&bracketed(&read), YEAR).as_ref(), Ok(&read));
    if check_pairs(&read).is_ok()
        && let Ok(uri) = build_link(&read, None)
    {
        let again = parse_link(&uri, YEAR).expect("a link that was built");
        assert_eq!(build_link(&again, None), Ok(uri));
    }
}
