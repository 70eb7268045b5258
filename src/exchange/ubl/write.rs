use std::io;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

use super::COMMON;

/// A text holds a character that no XML document can carry.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{element}: '{}' holds U+{:04X}, which XML can't carry: take it out of that text",
    shown(text), u32::from(*character)
)]
pub struct Forbidden {
    /// The element that the text belongs in.
    pub element: String,
    /// The text.
    pub text: String,
    /// The character.
    pub character: char,
}

fn shown(text: &str) -> String {
    text.chars().map(|it| if is_xml(it) { it } else { '\u{fffd}' }).take(60).collect()
}

/// Returns whether XML 1.0 may hold a character (production 2, `Char`).
pub(super) const fn is_xml(it: char) -> bool {
    matches!(it,
        '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..='\u{10ffff}')
}

/// Who sends or gets something.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Party {
    /// The name.
    pub name: String,
    /// The global location number, where one is known.
    pub location_number: Option<String>,
    /// The number or code that the other side knows them by.
    pub account: String,
    /// The address, in one line.
    pub address: String,
    /// The country, in two letters.
    pub country: String,
    /// The address for letters; empty where none is known.
    pub email: String,
}

/// What a line is about.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Goods {
    /// The name.
    pub name: String,
    /// Our part number.
    pub part_number: String,
    /// The other side's own number; empty where none is known.
    pub their_item: String,
    /// The GTIN, where exactly one is known.
    pub gtin: Option<String>,
    /// The lot; empty where there is none.
    pub lot: String,
    /// The lot's last day of use.
    pub use_by: Option<chrono::NaiveDate>,
    /// Serial numbers.
    pub serials: Vec<String>,
}

/// A document being written.
pub(super) struct Xml {
    writer: Writer<Vec<u8>>,
    fault: Option<Forbidden>,
}

impl Xml {
    /// Returns a document with its root opened.
    pub(super) fn begin(root: &'static str) -> io::Result<Self> {
        let mut xml = Self { writer: Writer::new_with_indent(Vec::new(), b' ', 2), fault: None };
        xml.writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        let mut start = BytesStart::new(root);
        let own = format!("{COMMON}{root}-2");
        let aggregates = format!("{COMMON}CommonAggregateComponents-2");
        let basics = format!("{COMMON}CommonBasicComponents-2");
        start.push_attribute(("xmlns", own.as_str()));
        start.push_attribute(("xmlns:cac", aggregates.as_str()));
        start.push_attribute(("xmlns:cbc", basics.as_str()));
        xml.writer.write_event(Event::Start(start))?;
        xml.leaf("UBLVersionID", "2.1")?;
        Ok(xml)
    }

    /// Writes an element with what `inside` writes into it.
    pub(super) fn part(
        &mut self,
        name: &str,
        inside: impl FnOnce(&mut Self) -> io::Result<()>,
    ) -> io::Result<()> {
        let name = format!("cac:{name}");
        self.writer.write_event(Event::Start(BytesStart::new(name.as_str())))?;
        inside(self)?;
        self.writer.write_event(Event::End(BytesEnd::new(name.as_str())))
    }

    /// Writes a text.
    pub(super) fn leaf(&mut self, name: &str, text: &str) -> io::Result<()> {
        self.marked(name, text, None)
    }

    /// Writes a text where there is one.
    pub(super) fn leaf_if(&mut self, name: &str, text: &str) -> io::Result<()> {
        if text.is_empty() { Ok(()) } else { self.leaf(name, text) }
    }

    /// Writes a text with one attribute.
    pub(super) fn marked(
        &mut self,
        name: &str,
        text: &str,
        attribute: Option<(&str, &str)>,
    ) -> io::Result<()> {
        if let Some(character) = text.chars().find(|it| !is_xml(*it)) {
            let (element, text) = (name.to_owned(), text.to_owned());
            self.fault.get_or_insert(Forbidden { element, text, character });
        }
        let name = format!("cbc:{name}");
        let mut start = BytesStart::new(name.as_str());
        if let Some(attribute) = attribute {
            start.push_attribute(attribute);
        }
        self.writer.write_event(Event::Start(start))?;
        self.writer.write_event(Event::Text(BytesText::new(text)))?;
        self.writer.write_event(Event::End(BytesEnd::new(name.as_str())))
    }

    /// Writes a number of pieces: `H87` is the piece of UN/ECE Recommendation 20.
    pub(super) fn pieces(&mut self, name: &str, pieces: crate::units::Quantity) -> io::Result<()> {
        self.marked(name, &pieces.to_string(), Some(("unitCode", "H87")))
    }

    /// Writes a party.
    pub(super) fn party(&mut self, it: &Party) -> io::Result<()> {
        self.part("Party", |xml| {
            if let Some(number) = &it.location_number {
                xml.marked("EndpointID", number, Some(("schemeID", "0088")))?;
                xml.part("PartyIdentification", |xml| {
                    xml.marked("ID", number, Some(("schemeID", "0088")))
                })?;
            }
            xml.part("PartyName", |xml| xml.leaf("Name", &it.name))?;
            if !it.address.is_empty() || !it.country.is_empty() {
                xml.part("PostalAddress", |xml| {
                    if !it.address.is_empty() {
                        xml.part("AddressLine", |xml| xml.leaf("Line", &it.address))?;
                    }
                    let code = it.country.len() == 2;
                    let name = if code { "IdentificationCode" } else { "Name" };
                    match it.country.is_empty() {
                        true => Ok(()),
                        false => xml.part("Country", |xml| xml.leaf(name, &it.country)),
                    }
                })?;
            }
            match it.email.is_empty() {
                true => Ok(()),
                false => xml.part("Contact", |xml| xml.leaf("ElectronicMail", &it.email)),
            }
        })
    }

    /// Writes an item, by the numbers that either side knows it by.
    pub(super) fn item(&mut self, it: &Goods, we_buy: bool) -> io::Result<()> {
        let (ours, theirs) = match we_buy {
            true => ("BuyersItemIdentification", "SellersItemIdentification"),
            false => ("SellersItemIdentification", "BuyersItemIdentification"),
        };
        let mut numbers = [(ours, it.part_number.as_str()), (theirs, it.their_item.as_str())];
        numbers.sort_unstable();
        self.part("Item", |xml| {
            xml.leaf("Name", &it.name)?;
            for (name, number) in numbers.iter().filter(|it| !it.1.is_empty()) {
                xml.part(name, |xml| xml.leaf("ID", number))?;
            }
            if let Some(gtin) = &it.gtin {
                xml.part("StandardItemIdentification", |xml| {
                    xml.marked("ID", gtin, Some(("schemeID", "0160")))
                })?;
            }
            for serial in &it.serials {
                xml.part("ItemInstance", |xml| xml.leaf("SerialID", serial))?;
            }
            if it.lot.is_empty() {
                return Ok(());
            }
            xml.part("ItemInstance", |xml| {
                xml.part("LotIdentification", |xml| {
                    xml.leaf("LotNumberID", &it.lot)?;
                    match it.use_by {
                        Some(day) => xml.leaf("ExpiryDate", &day.to_string()),
                        None => Ok(()),
                    }
                })
            })
        })
    }

    /// Returns the document, closed.
    pub(super) fn end(mut self, root: &'static str) -> io::Result<Result<String, Forbidden>> {
        self.writer.write_event(Event::End(BytesEnd::new(root)))?;
        let text = String::from_utf8(self.writer.into_inner()).map_err(io::Error::other)?;
        Ok(match self.fault {
            Some(fault) => Err(fault),
            None => Ok(text + "\n"),
        })
    }
}

/// Returns what a writer wrote, which goes to memory and so never fails by itself.
pub(super) fn done(written: io::Result<Result<String, Forbidden>>) -> Result<String, Forbidden> {
    written.unwrap_or_else(|_| Ok(String::new()))
}
