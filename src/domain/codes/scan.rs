use super::{BinCode, CartonNumber, KitNumber, NumberError, PartNumber, RunNumber};

/// What a scanned or typed text says, before anyone has looked it up.
///
/// Nothing is guessed: the letter O is never read as a zero, nor I as a one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Scan {
    /// A part number.
    Part(PartNumber),
    /// A bin.
    Bin(BinCode),
    /// A kit.
    Kit(KitNumber),
    /// A carton.
    Carton(CartonNumber),
    /// A lot, marked by data identifier 1T, or a run number, which is the lot of what the run made.
    Lot(String),
    /// A serial number, marked by data identifier S.
    Serial(String),
    /// None of these by its form: perhaps a lot or serial number typed by hand.
    Other(String),
}

/// Why a text can't be read as a scan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ScanError {
    /// There is nothing in it.
    #[error("nothing was scanned: scan again")]
    Empty,
    /// It holds a control character, as a damaged or foreign label may.
    #[error("the scan holds a control character: scan again, or type the number on the label")]
    Control,
    /// It is longer than any code of ours.
    #[error("the scan has {length} characters, and no label here has more than 80: scan one label")]
    Long {
        /// How many characters it has.
        length: usize,
    },
    /// It looks like one of our numbers, and its check character says that it is not.
    #[error(transparent)]
    Number(#[from] NumberError),
}

/// Reads what a scanner sends, with its symbology identifier or without.
///
/// # Errors
///
/// [`ScanError::Number`] when the text has the shape of one of our numbers and its check character
/// is wrong, so that a slip of a typing hand is caught before anything is looked up.
///
/// # Source
///
/// Symbology identifiers: ISO/IEC 15424, "]C0" for Code 128, "]Q1" and "]d1" for QR and Data
/// Matrix. Data identifiers: ISO/IEC 15418 (ANSI MH10.8.2), 1T traceability (lot) number and S
/// serial number given by the supplier.
///
/// ```
/// use kitwright::domain::codes::{Scan, read_scan};
/// assert_eq!(read_scan("]C01TL2611-03"), Ok(Scan::Lot("L2611-03".to_owned())));
/// assert!(read_scan("MT108Q").is_err());
/// ```
pub fn read_scan(text: &str) -> Result<Scan, ScanError> {
    let text = without_symbology(text.trim());
    if text.is_empty() {
        return Err(ScanError::Empty);
    }
    if text.chars().any(char::is_control) {
        return Err(ScanError::Control);
    }
    let length = text.chars().count();
    if 80 < length {
        return Err(ScanError::Long { length });
    }
    if let Some(lot) = text.strip_prefix("1T").filter(|it| !it.is_empty()) {
        return Ok(Scan::Lot(lot.to_owned()));
    }
    if let Some(number) = numbered(text)? {
        return Ok(number);
    }
    Ok(match text.strip_prefix('S').filter(|it| !it.is_empty()) {
        Some(serial) => Scan::Serial(serial.to_owned()),
        None => Scan::Other(text.to_owned()),
    })
}

/// Drops the three characters with which a scanner may name the kind of symbol it read.
fn without_symbology(text: &str) -> &str {
    let mut rest = text.chars();
    match (rest.next(), rest.next(), rest.next()) {
        (Some(']'), Some(kind), Some(modifier))
            if kind.is_ascii_alphabetic() && modifier.is_ascii_alphanumeric() =>
        {
            rest.as_str()
        }
        _ => text,
    }
}

/// Reads one kind of our numbers.
type Reader = fn(&str) -> Result<Scan, NumberError>;

/// Reads one of our checked numbers, or nothing where the text has another shape.
fn numbered(text: &str) -> Result<Option<Scan>, NumberError> {
    let readers: [Reader; 5] = [
        |text| text.parse().map(Scan::Kit),
        |text| text.parse().map(Scan::Carton),
        |text| text.parse().map(Scan::Bin),
        |text| text.parse().map(Scan::Part),
        |text| text.parse().map(|it: RunNumber| Scan::Lot(it.to_string())),
    ];
    for read in readers {
        match read(text) {
            Ok(scan) => return Ok(Some(scan)),
            Err(NumberError::Shape { .. }) => {}
            Err(fault @ NumberError::Check { .. }) => return Err(fault),
        }
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn check(text: &str, expected: &str) {
        let read = match read_scan(text) {
            Ok(scan) => format!("{scan:?}"),
            Err(fault) => fault.to_string(),
        };
        assert_eq!(read, expected);
    }

    #[test]
    fn tells_our_numbers_apart() {
        check(" mt108r ", r#"Part(PartNumber("MT108R"))"#);
        check("]C0KT004127C", r#"Kit(KitNumber("KT004127C"))"#);
        check("1TL2611-03", r#"Lot("L2611-03")"#);
        check("SSW26-M-0417", r#"Serial("SW26-M-0417")"#);
        check("L2611-03", r#"Other("L2611-03")"#);
        check("", "nothing was scanned: scan again");
    }

    #[test]
    fn never_takes_a_letter_for_a_digit() {
        check("FR101O", r#"Part(PartNumber("FR101O"))"#);
        check(
            "FR1010",
            "'FR1010' has a wrong character: the last one does not match the others, so read the label again",
        );
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,100}") {
            let _ = read_scan(&text);
        }

        #[test]
        fn one_wrong_character_never_passes(count in 1..1_000_000_u32, place in 0..9_usize, new in 0..36_usize) {
            let number = KitNumber::nth(count).unwrap().to_string();
            let mut typed: Vec<char> = number.chars().collect();
            let new = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ".chars().nth(new).unwrap();
            prop_assume!(typed[place] != new);
            typed[place] = new;
            let typed: String = typed.into_iter().collect();
            prop_assert!(typed.parse::<KitNumber>().is_err());
        }
    }
}
