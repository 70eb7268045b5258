use hmac::{Hmac, KeyInit, Mac};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use sha2::Sha256;

use crate::domain::gs1::{build_link, element};

/// What may stand in a URI as it is (RFC 3986, unreserved characters).
const ESCAPED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~');

/// A year for reading dates; none of the identifiers built here holds one.
const ANY_YEAR: i32 = 2026;

/// How the shop's things are named to others.
///
/// With a GS1 company prefix or location number, GS1 Digital Link URIs name cartons by SSCC (00),
/// parts by component/part identifier (8010), their numeric serial numbers (8011), and places by
/// location number with extension (414, 254). Whatever GS1 has no identifier for, such as a lot of
/// a component, is named by a URI of the shop's own address: `/id/part/SK1074/lot/TF-2647`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Names {
    /// The shop's address, without a slash at the end.
    pub address: String,
    /// The shop's GS1 company prefix.
    pub prefix: Option<String>,
    /// The shop's global location number.
    pub location_number: Option<String>,
    /// The shop's key, from which event identifiers are made.
    pub key: [u8; 32],
}

/// A carton, as others know it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Carton {
    /// Its number.
    pub number: String,
    /// The number that it travels under, where it has one.
    pub sscc: Option<String>,
}

impl Names {
    /// Returns a URI of the shop's own: its address, `/id`, and the words after it.
    fn own(&self, words: &[&str]) -> String {
        let mut uri = format!("{}/id", self.address);
        for word in words {
            uri.push('/');
            uri.extend(utf8_percent_encode(word, ESCAPED));
        }
        uri
    }

    /// Returns the Digital Link of identifiers; `None` where a value is none of GS1's.
    fn link(elements: &[(&str, &str)]) -> Option<String> {
        let read: Result<Vec<_>, _> =
            elements.iter().map(|(ai, value)| element(ai, value, ANY_YEAR)).collect();
        build_link(&read.ok()?, None).ok()
    }

    /// Returns the number of a part as GS1 writes it: company prefix and part number.
    fn component(&self, part_number: &str) -> Option<String> {
        self.prefix.as_ref().map(|prefix| format!("{prefix}{part_number}"))
    }

    /// Returns the class of all pieces of a part number.
    pub fn class(&self, part_number: &str) -> String {
        let linked = self.component(part_number).and_then(|it| Self::link(&[("8010", &it)]));
        linked.unwrap_or_else(|| self.own(&["part", part_number]))
    }

    /// Returns the class of all pieces of one lot.
    pub fn lot(&self, part_number: &str, lot: &str) -> String {
        self.own(&["part", part_number, "lot", lot])
    }

    /// Returns the piece of that serial number.
    pub fn serial(&self, part_number: &str, serial: &str) -> String {
        let linked = self
            .component(part_number)
            .and_then(|it| Self::link(&[("8010", &it), ("8011", serial)]));
        linked.unwrap_or_else(|| self.own(&["part", part_number, "serial", serial]))
    }

    /// Returns a carton.
    pub fn carton(&self, carton: &Carton) -> String {
        let linked = carton.sscc.as_deref().and_then(|it| Self::link(&[("00", it)]));
        linked.unwrap_or_else(|| self.own(&["carton", &carton.number]))
    }

    /// Returns the house as a whole.
    pub fn site(&self) -> String {
        let linked = self.location_number.as_deref().and_then(|it| Self::link(&[("414", it)]));
        linked.unwrap_or_else(|| self.own(&["site"]))
    }

    /// Returns a place within the house.
    pub fn place(&self, code: &str) -> String {
        let linked = self
            .location_number
            .as_deref()
            .and_then(|it| Self::link(&[("414", it), ("254", code)]));
        linked.unwrap_or_else(|| self.own(&["place", code]))
    }

    /// Returns a document of the shop or a party that it deals with, by kind and number.
    pub fn of(&self, kind: &str, number: &str) -> String {
        self.own(&[kind, number])
    }

    /// Returns the identifier of the event that `seed` stands for: the same for the same seed in
    /// the same shop, and another in any other shop.
    ///
    /// # Source
    ///
    /// RFC 9562, section 5.8: a UUID of version 8, of which all other bits are the maker's own.
    pub fn event_id(&self, seed: &str) -> String {
        let mut bits = [0_u8; 16];
        if let Ok(mut hash) = Hmac::<Sha256>::new_from_slice(&self.key) {
            hash.update(b"epcis event\n");
            hash.update(seed.as_bytes());
            for (bit, byte) in bits.iter_mut().zip(hash.finalize().into_bytes()) {
                *bit = byte;
            }
        }
        let number = u128::from_be_bytes(bits);
        let number = number & !(0xf << 76) | 8 << 76;
        let number = number & !(0b11 << 62) | 0b10 << 62;
        let hex = format!("{number:032x}");
        let part = |from: usize, to: usize| hex.get(from..to).unwrap_or_default();
        let parts = [part(0, 8), part(8, 12), part(12, 16), part(16, 20), part(20, 32)];
        format!("urn:uuid:{}", parts.join("-"))
    }
}
