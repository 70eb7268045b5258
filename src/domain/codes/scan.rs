use crate::domain::gs1::{
    Carrier, ElementError, Gs1Error, Gtin, expand_upc_e, parse_bracketed, parse_elements,
    parse_link, shown, split_symbology,
};

use crate::units::Quantity;

use super::label::{article, looks_like_elements};
use super::{
    BinCode, CartonNumber, KitNumber, Label, NumberError, PartNumber, RunNumber, envelope,
    identifier,
};

/// The most characters of a plain label, and of one that carries several values.
const PLAIN: usize = 80;
const CARRIER: usize = 1000;

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
    /// The label of another maker, in the form of a standard.
    Label(Box<Label>),
    /// A label of ours that says which print of it it is.
    Printed(Box<Printed>),
    /// What may be another maker's label, and may as well be a number typed by hand.
    Perhaps(Box<Label>, String),
    /// None of these by its form: perhaps a lot or serial number typed by hand.
    Other(String),
}

/// What a label of ours says that is counted when it is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// What it names: a lot, a serial number or a kit.
    pub of: Scan,
    /// Which print of it, from 1.
    pub number: u32,
    /// The whole text, should it be a maker's own that only looks like ours.
    pub text: String,
}

impl Scan {
    /// Returns how many pieces the label states to be in what it is on.
    pub fn stated(&self) -> Option<Quantity> {
        match self {
            Self::Label(label) | Self::Perhaps(label, _) => label.count.filter(|it| it.is_some()),
            _ => None,
        }
    }
}

/// Why a text can't be read as a scan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ScanError {
    /// There is nothing in it.
    #[error("nothing was scanned: scan again")]
    Empty,
    /// It holds a control character, as a damaged or foreign label may.
    #[error(
        "the scan holds a control character, {character} at character {at}, and is no label of a \
         kind known here: scan again, or type the number on the label"
    )]
    Control {
        /// The character by name.
        character: String,
        /// Where it stands, counted from 1.
        at: usize,
    },
    /// It is longer than any code of its kind.
    #[error(
        "the scan has {length} characters, and no label here has more than {most}: scan one label"
    )]
    Long {
        /// How many characters it has.
        length: usize,
        /// How many it may have.
        most: usize,
    },
    /// It looks like one of our numbers, and its check character says that it is not.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// An article number that is wrong.
    #[error(transparent)]
    Article(#[from] Gs1Error),
    /// GS1 elements, or a link with them, that are wrong.
    #[error("this GS1 label can't be read: {0}")]
    Elements(#[from] ElementError),
    /// A field of a label with data identifiers is wrong.
    #[error("this label can't be read: at character {at}: {message}")]
    Field {
        /// Where it stands, counted from 1.
        at: usize,
        /// What is wrong, and what would be right.
        message: String,
    },
}

impl ScanError {
    /// Returns the error's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Empty => "scan.empty",
            Self::Control { .. } => "scan.control",
            Self::Long { .. } => "scan.long",
            Self::Number(_) => "scan.number",
            Self::Article(_) => "scan.article",
            Self::Elements(fault) => fault.code,
            Self::Field { .. } => "scan.field",
        }
    }
}

/// Reads what a scanner sends, with its symbology identifier or without; `year` is the current
/// one, for the century of dates.
///
/// `<GS>`, `<RS>` and `<EOT>` stand for those control characters, for scanners and hands that
/// can't send them.
///
/// # Errors
///
/// [`ScanError`], which says where in the text and what would be right: a number of ours whose
/// check character is wrong (so that a slip of a typing hand is caught before anything is looked
/// up), a damaged GS1 symbol, a message that is cut off.
///
/// # Source
///
/// Symbology identifiers: ISO/IEC 15424. GS1 elements and links: GS1 General Specifications.
/// Envelopes: ISO/IEC 15434. Data identifiers: ISO/IEC 15418 (ANSI MH10.8.2).
///
/// ```
/// use kitwright::domain::codes::{Scan, read_scan};
/// assert_eq!(read_scan("]C01TL2611-03", 2026), Ok(Scan::Lot("L2611-03".to_owned())));
/// assert!(read_scan("MT108Q", 2026).is_err());
/// let Ok(Scan::Label(label)) = read_scan("(01)09520123456788(10)7731", 2026) else { panic!() };
/// assert_eq!(label.lot.as_deref(), Some("7731"));
/// ```
pub fn read_scan(text: &str, year: i32) -> Result<Scan, ScanError> {
    let (symbology, text) = split_symbology(text.trim());
    let text = controls(text);
    if text.is_empty() {
        return Err(ScanError::Empty);
    }
    check_length(&text, CARRIER)?;
    if text.starts_with(envelope::START) {
        return envelope::read(&text, year).map(label);
    }
    match symbology.map(|it| it.carrier) {
        Some(Carrier::Elements) => return elements(&text, year),
        Some(Carrier::Article) => return of_article(&text),
        Some(Carrier::Plain) | None => {}
    }
    if is_link(&text) {
        let read = parse_link(&text, year)?;
        return Ok(label(Label::of_elements(&read, year)));
    }
    if text.starts_with('(') && text.contains(')') {
        let read = parse_bracketed(&text, year)?;
        crate::domain::gs1::check_pairs(&read)?;
        return Ok(label(Label::of_elements(&read, year)));
    }
    if symbology.is_none() && looks_like_elements(&text) {
        return elements(&text, year);
    }
    plain(&text)
}

fn label(it: Label) -> Scan {
    Scan::Label(Box::new(it))
}

/// Puts control characters where their names stand.
fn controls(text: &str) -> String {
    let named = [("<GS>", "\u{1d}"), ("<RS>", "\u{1e}"), ("<EOT>", "\u{4}")];
    named.iter().fold(text.to_owned(), |text, (name, it)| text.replace(name, it))
}

fn check_length(text: &str, most: usize) -> Result<(), ScanError> {
    let length = text.chars().count();
    if most < length { Err(ScanError::Long { length, most }) } else { Ok(()) }
}

fn is_link(text: &str) -> bool {
    let start = text.get(..8).unwrap_or_default().to_ascii_lowercase();
    start.starts_with("http://") || start == "https://"
}

fn elements(text: &str, year: i32) -> Result<Scan, ScanError> {
    let read = parse_elements(text, year)?;
    crate::domain::gs1::check_pairs(&read)?;
    Ok(label(Label::of_elements(&read, year)))
}

fn check_printable(text: &str) -> Result<(), ScanError> {
    match text.chars().enumerate().find(|(_, it)| it.is_control()) {
        Some((at, it)) => Err(ScanError::Control { character: shown(&it.to_string()), at: at + 1 }),
        None => Ok(()),
    }
}

/// Reads the digits of an EAN, UPC or ITF symbol.
fn of_article(text: &str) -> Result<Scan, ScanError> {
    check_printable(text)?;
    let long = expand_upc_e(text).filter(|_| text.len() == 8 && text.parse::<Gtin>().is_err());
    let gtin: Gtin = long.as_deref().unwrap_or(text).parse()?;
    Ok(label(Label::of_gtin(&gtin)))
}

/// Reads a text without any envelope or identifier of GS1: numbers of ours first.
fn plain(text: &str) -> Result<Scan, ScanError> {
    check_printable(text)?;
    check_length(text, PLAIN)?;
    if let Some(printed) = printed(text)? {
        return Ok(printed);
    }
    if let Some(lot) = text.strip_prefix("1T").filter(|it| !it.is_empty()) {
        return Ok(Scan::Lot(lot.to_owned()));
    }
    if let Some(number) = numbered(text)? {
        return Ok(number);
    }
    if let Some(serial) = text.strip_prefix('S').filter(|it| !it.is_empty()) {
        return Ok(Scan::Serial(serial.to_owned()));
    }
    if let Some(gtin) = article(text) {
        return Ok(Scan::Perhaps(Box::new(Label::of_gtin(&gtin)), text.to_owned()));
    }
    Ok(match identifier::read(text, 1) {
        Ok(field) if !field.title.is_empty() => {
            let mut label = Label::default();
            label.add(&field);
            Scan::Perhaps(Box::new(label), text.to_owned())
        }
        _ => Scan::Other(text.to_owned()),
    })
}

/// Returns what stands before the number of a print, and that number.
fn split_print(text: &str) -> Option<(&str, u32)> {
    let (label, number) = text.rsplit_once("+Z")?;
    let is_number = number.bytes().all(|it| it.is_ascii_digit()) && !number.starts_with('0');
    Some((label, number.parse().ok().filter(|_| is_number)?))
}

/// Returns a text without the number of a print behind it, for a box to search in that a label may
/// be scanned into.
///
/// ```
/// use kitwright::domain::codes::without_print;
/// assert_eq!(without_print("KT004127C+Z2"), "KT004127C");
/// assert_eq!(without_print("Zoë+Zed"), "Zoë+Zed");
/// ```
pub fn without_print(text: &str) -> &str {
    split_print(text).map_or(text, |(label, _)| label)
}

/// Reads a label of ours with the number of its print behind it, or nothing where it has none.
///
/// # Source
///
/// ISO/IEC 15418 (ANSI MH10.8.2): data identifier Z, mutually defined; fields of one symbol are
/// joined by "+" (from memory, unconfirmed).
fn printed(text: &str) -> Result<Option<Scan>, ScanError> {
    let Some((label, number)) = split_print(text) else { return Ok(None) };
    Ok(match plain(label)? {
        of @ (Scan::Lot(_) | Scan::Serial(_) | Scan::Kit(_)) => {
            let text = text.to_owned();
            Some(Scan::Printed(Box::new(Printed { of, number, text })))
        }
        _ => None,
    })
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
        let read = match read_scan(text, 2026) {
            Ok(Scan::Label(label)) => format!("label: {}", label.words()),
            Ok(Scan::Perhaps(label, text)) => format!("perhaps: {}, or {text}", label.words()),
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
    fn reads_which_print_of_our_label_it_is() {
        let check = |text: &str, expected: Option<(&str, u32)>| {
            let read = match read_scan(text, 2026) {
                Ok(Scan::Printed(it)) => Some((format!("{:?}", it.of), it.number)),
                _ => None,
            };
            assert_eq!(read, expected.map(|(of, number)| (of.to_owned(), number)), "{text}");
        };
        check("SF26-004417+Z2", Some((r#"Serial("F26-004417")"#, 2)));
        check("1T26-117+Z11", Some((r#"Lot("26-117")"#, 11)));
        check("]d1KT004127C+Z1", Some((r#"Kit(KitNumber("KT004127C"))"#, 1)));
        for text in ["SF26+Z", "SF26+Z0", "SF26+Z01", "SF26+Z-1", "SF26+Z99999999999", "MT108R+Z1"]
        {
            check(text, None);
        }
        assert!(read_scan("KT004127D+Z1", 2026).is_err(), "a wrong check character stays wrong");
    }

    #[test]
    fn never_takes_a_letter_for_a_digit() {
        check("FR101O", r#"Part(PartNumber("FR101O"))"#);
        check(
            "FR1010",
            "'FR1010' has a wrong character: the last one does not match the others, so read the label again",
        );
        check(
            "]C101O9520123456788",
            "this GS1 label can't be read: at character 3: (01) GTIN: 'O' may not stand here: take digits 0 to 9",
        );
    }

    #[test]
    fn reads_another_makers_label_whatever_its_standard() {
        check(
            "]d202095201234567883724\u{1d}107731",
            "label: CONTENT 09520123456788, COUNT 24, BATCH/LOT 7731",
        );
        check(
            "0209520123456788107731<GS>3724",
            "label: CONTENT 09520123456788, BATCH/LOT 7731, COUNT 24",
        );
        check("(01) 09520123456788 (10) 7731", "label: GTIN 09520123456788, BATCH/LOT 7731");
        check(
            "https://example.com/01/09520123456788/10/7731",
            "label: GTIN 09520123456788, BATCH/LOT 7731",
        );
        check("]E09520123456788", "label: GTIN-13 9520123456788");
        check("]I139520123456789", "label: GTIN-14 39520123456789");
        check(
            "]d1[)>\u{1e}06\u{1d}1PFK-20-BLK\u{1d}Q24\u{1d}1T7731\u{1d}14D20281231\u{1e}\u{4}",
            "label: Supplier's item FK-20-BLK, Quantity 24, Supplier's lot 7731, Expiry 20281231",
        );
        check(
            "[)>\u{1e}05\u{1d}0109520123456788107731\u{1e}\u{4}",
            "label: GTIN 09520123456788, BATCH/LOT 7731",
        );
        check("9520123456788", "perhaps: GTIN-13 9520123456788, or 9520123456788");
        check("1PFK-20", "perhaps: Supplier's item FK-20, or 1PFK-20");
        check("Q24", "perhaps: Quantity 24, or Q24");
    }

    #[test]
    fn a_control_character_is_named_and_not_sent_on() {
        for text in ["]E09520123456\t780", "[)>\u{1e}06\u{1d}Q2\t\u{1e}\u{4}", "L26\u{7}11"] {
            let fault = read_scan(text, 2026).unwrap_err().to_string();
            assert!(!fault.contains(char::is_control) && fault.contains("<U+00"), "{fault}");
        }
    }

    #[test]
    fn says_where_a_damaged_label_is_wrong() {
        check(
            "]E09520123456780",
            "'9520123456780' ends in 0, and its other digits ask for 8: read the GTIN again",
        );
        check(
            "[)>\u{1e}06\u{1d}1PFK-20\u{1d}Q24",
            "this label can't be read: at character 19: the message does not end with <RS><EOT>: it is cut off, scan again",
        );
        check(
            "[)>\u{1e}06\u{1d}1PFK-20\u{1d}Qmany\u{1e}\u{4}",
            "this label can't be read: at character 16: Q (Quantity): 'many' is no whole number of pieces",
        );
        check(
            "[)>\u{1e}12\u{1d}PIDX\u{1e}\u{4}",
            "this label can't be read: at character 5: format '12' is not read here: 05 (GS1) and 06 (data identifiers) are",
        );
        check(
            "L26\u{7}11",
            "the scan holds a control character, <U+0007> at character 4, and is no label of a kind known here: scan again, or type the number on the label",
        );
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused_without_a_panic(text in "\\PC{0,100}") {
            let _ = read_scan(&text, 2026);
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
