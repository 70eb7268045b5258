use std::fmt;
use std::str::FromStr;

use super::Gs1Error;
use super::check_digit::{check_digit, checked_digits};

/// Extension digit, company prefix and serial reference together, without the check digit.
const BODY: usize = 17;

/// The number of a logistic unit (a carton, a pallet), 18 digits; the check digit is right.
///
/// ```
/// use kitwright::domain::gs1::Sscc;
/// let sscc = Sscc::build(0, "9521234", 4127)?;
/// assert_eq!(sscc.as_str(), "095212340000041276");
/// assert_eq!("095212340000041276".parse(), Ok(sscc));
/// # Ok::<(), kitwright::domain::gs1::Gs1Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sscc(String);

impl Sscc {
    /// Returns the 18 digits.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Returns the number of the logistic unit with that serial reference.
    ///
    /// # Errors
    ///
    /// [`Gs1Error`] for an extension above 9, a prefix that has not 4 to 12 digits, or a serial
    /// that does not fit the digits left.
    ///
    /// # Source
    ///
    /// GS1 General Specifications, section 3.2, AI (00).
    pub fn build(extension: u32, prefix: &str, serial: u64) -> Result<Self, Gs1Error> {
        let wrong_prefix = || Gs1Error::Prefix(prefix.to_owned());
        if 9 < extension {
            return Err(Gs1Error::Extension(extension));
        }
        if !(4..=12).contains(&prefix.len()) || !prefix.bytes().all(|it| it.is_ascii_digit()) {
            return Err(wrong_prefix());
        }
        let room = (BODY - 1).saturating_sub(prefix.len());
        let body = format!("{extension}{prefix}{serial:0room$}");
        if body.len() != BODY {
            return Err(Gs1Error::Serial { serial, room });
        }
        let check = check_digit(&body).ok_or_else(wrong_prefix)?;
        Ok(Self(format!("{body}{check}")))
    }
}

impl fmt::Display for Sscc {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl FromStr for Sscc {
    type Err = Gs1Error;

    fn from_str(text: &str) -> Result<Self, Gs1Error> {
        checked_digits(text, "SSCC", &[18], "18").map(Self)
    }
}
