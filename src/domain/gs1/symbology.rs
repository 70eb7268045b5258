/// What the data behind a symbology identifier are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carrier {
    /// GS1 elements: FNC1 stood first in the symbol.
    Elements,
    /// The digits of an article number.
    Article,
    /// Any text.
    Plain,
}

/// A symbology identifier of ISO/IEC 15424, such as `]C1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Symbology {
    /// The letter and digit after the bracket.
    pub code: (char, char),
    /// What its data are.
    pub carrier: Carrier,
    /// The symbology by name; empty where it is none that this shop meets.
    pub name: &'static str,
    /// Whether GS1 carries data in it.
    pub of_gs1: bool,
}

/// Splits off the symbology identifier with which a scanner may name the symbol that it read.
///
/// # Source
///
/// ISO/IEC 15424:2008; GS1 General Specifications, section 5.1, figure of symbology identifiers.
///
/// ```
/// use kitwright::domain::gs1::{Carrier, split_symbology};
/// let (symbology, data) = split_symbology("]C10109520123456788");
/// assert_eq!(symbology.map(|it| it.carrier), Some(Carrier::Elements));
/// assert_eq!(data, "0109520123456788");
/// ```
pub fn split_symbology(text: &str) -> (Option<Symbology>, &str) {
    let mut rest = text.chars();
    match (rest.next(), rest.next(), rest.next()) {
        (Some(']'), Some(letter), Some(modifier))
            if letter.is_ascii_alphabetic() && modifier.is_ascii_alphanumeric() =>
        {
            (Some(symbology(letter, modifier)), rest.as_str())
        }
        _ => (None, text),
    }
}

fn symbology(letter: char, modifier: char) -> Symbology {
    use Carrier::{Article, Elements, Plain};
    let (carrier, name, of_gs1) = match (letter, modifier) {
        ('C', '1') => (Elements, "GS1-128", true),
        ('C', _) => (Plain, "Code 128", false),
        ('e', '0') => (Elements, "GS1 DataBar or GS1 Composite", true),
        ('d', '2') => (Elements, "GS1 DataMatrix", true),
        ('d', '1') => (Plain, "Data Matrix", true),
        ('d', _) => (Plain, "Data Matrix", false),
        ('Q', '3') => (Elements, "GS1 QR Code", true),
        ('Q', '1') => (Plain, "QR Code", true),
        ('Q', _) => (Plain, "QR Code", false),
        ('J', '1') => (Elements, "GS1 DotCode", true),
        ('J', '0') => (Plain, "DotCode", true),
        ('E', '0' | '3') => (Article, "EAN-13, UPC-A or UPC-E", true),
        ('E', '4') => (Article, "EAN-8", true),
        ('E', _) => (Plain, "EAN/UPC add-on", false),
        ('I', '1') => (Article, "ITF-14", true),
        ('I', _) => (Plain, "Interleaved 2 of 5", false),
        ('A', _) => (Plain, "Code 39", false),
        ('G', _) => (Plain, "Code 93", false),
        ('L', _) => (Plain, "PDF417", false),
        ('z', _) => (Plain, "Aztec Code", false),
        _ => (Plain, "", false),
    };
    Symbology { code: (letter, modifier), carrier, name, of_gs1 }
}
