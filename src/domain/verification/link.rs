use chrono::NaiveDate;
use data_encoding::BASE32_NOPAD;
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;

use crate::domain::codes::KitNumber;

/// The secret with which links are signed: 32 random bytes.
#[derive(Clone)]
pub struct LinkKey([u8; 32]);

/// A link that opens one kit's box page without an account until a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoxLink {
    /// The kit.
    pub kit: KitNumber,
    /// The last day on which it opens.
    pub expires_on: NaiveDate,
}

/// Why a link does not open. Says no more than a stranger may know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum LinkError {
    /// It was not made here, or a character is wrong.
    #[error("this link is not complete or not right: scan the code on the packing list again")]
    Wrong,
    /// Its day has passed.
    #[error("this link has expired: ask the shop for a new one")]
    Expired,
}

impl LinkKey {
    /// Returns the key made of those bytes.
    pub const fn new(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    fn mac(&self, link: &BoxLink) -> Option<Hmac<Sha256>> {
        let mut mac = <Hmac<Sha256> as KeyInit>::new_from_slice(&self.0).ok()?;
        mac.update(format!("box\n{}\n{}", link.kit, link.expires_on).as_bytes());
        Some(mac)
    }

    /// Returns the link's path: kit number, last day, and 128 bits of its HMAC-SHA-256.
    pub fn path(&self, link: &BoxLink) -> Option<String> {
        let tag = self.mac(link)?.finalize().into_bytes();
        let tag = BASE32_NOPAD.encode(tag.get(..16)?);
        Some(format!("/box/{}/{}/{tag}", link.kit, link.expires_on.format("%Y%m%d")))
    }

    /// Returns the link that a path's three parts name.
    ///
    /// # Errors
    ///
    /// [`LinkError::Wrong`] unless every character is right (compared in constant time), and
    /// [`LinkError::Expired`] after its last day.
    pub fn open(
        &self,
        kit: &str,
        expires_on: &str,
        tag: &str,
        today: NaiveDate,
    ) -> Result<BoxLink, LinkError> {
        let kit = kit.parse().map_err(|_| LinkError::Wrong)?;
        let expires_on =
            NaiveDate::parse_from_str(expires_on, "%Y%m%d").map_err(|_| LinkError::Wrong)?;
        let tag = BASE32_NOPAD.decode(tag.as_bytes()).map_err(|_| LinkError::Wrong)?;
        let link = BoxLink { kit, expires_on };
        let mac = self.mac(&link).ok_or(LinkError::Wrong)?;
        if tag.len() != 16 || mac.verify_truncated_left(&tag).is_err() {
            return Err(LinkError::Wrong);
        }
        if expires_on < today { Err(LinkError::Expired) } else { Ok(link) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn opens_as_made_until_its_day_and_not_with_any_character_changed() {
        let key = LinkKey::new([7; 32]);
        let link = BoxLink {
            kit: "KT004127C".parse().unwrap(),
            expires_on: "2027-11-25".parse().unwrap(),
        };
        let path = key.path(&link).unwrap();
        let open = |path: &str, today: &str| {
            let parts: Vec<&str> = path.split('/').collect();
            key.open(parts[2], parts[3], parts[4], today.parse().unwrap())
        };
        assert_eq!(open(&path, "2027-11-25"), Ok(link));
        assert_eq!(open(&path, "2027-11-26"), Err(LinkError::Expired));
        for (at, old) in path.char_indices().skip(5).filter(|(_, it)| *it != '/') {
            let new = if old == 'A' { 'B' } else { 'A' };
            let mut wrong: String = path.chars().take(at).collect();
            wrong.push(new);
            wrong.extend(path.chars().skip(at + 1));
            assert_eq!(open(&wrong, "2026-11-25"), Err(LinkError::Wrong), "{wrong}");
        }
    }

    #[test]
    fn another_shops_key_opens_nothing() {
        let link = BoxLink {
            kit: "KT004127C".parse().unwrap(),
            expires_on: "2027-11-25".parse().unwrap(),
        };
        let path = LinkKey::new([7; 32]).path(&link).unwrap();
        let parts: Vec<&str> = path.split('/').collect();
        let today = "2026-11-25".parse().unwrap();
        let opened = LinkKey::new([8; 32]).open(parts[2], parts[3], parts[4], today);
        assert_eq!(opened, Err(LinkError::Wrong));
    }
}
