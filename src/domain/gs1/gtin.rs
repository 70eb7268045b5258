use std::fmt;
use std::str::FromStr;

use super::Gs1Error;
use super::check_digit::{check_digit, checked_digits};

const KIND: &str = "GTIN";

/// The number of a trade item, with 8, 12, 13 or 14 digits; the check digit is right.
///
/// ```
/// use kitwright::domain::gs1::Gtin;
/// let gtin: Gtin = "9520123456788".parse()?;
/// assert_eq!(gtin.to_14(), "09520123456788");
/// assert_eq!(gtin.packed(3)?.to_string(), "39520123456789");
/// # Ok::<(), kitwright::domain::gs1::Gs1Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Gtin(String);

impl Gtin {
    /// Returns the digits as they were given.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Returns the number filled up with zeros in front to 14 digits, as files and symbols want it.
    pub fn to_14(&self) -> String {
        format!("{:0>14}", self.0)
    }

    /// Returns the number of a pack of this item: the indicator, then the item, then a new check.
    ///
    /// # Errors
    ///
    /// [`Gs1Error::Indicator`] outside 1 to 9.
    ///
    /// # Source
    ///
    /// GS1 General Specifications, section 2.1.6, groupings of identical trade items.
    pub fn packed(&self, indicator: u32) -> Result<Self, Gs1Error> {
        let fault = || Gs1Error::Indicator(indicator);
        if !(1..=9).contains(&indicator) {
            return Err(fault());
        }
        let item: String = self.to_14().chars().skip(1).take(12).collect();
        let body = format!("{indicator}{item}");
        let check = check_digit(&body).ok_or_else(fault)?;
        Ok(Self(format!("{body}{check}")))
    }
}

impl fmt::Display for Gtin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl FromStr for Gtin {
    type Err = Gs1Error;

    fn from_str(text: &str) -> Result<Self, Gs1Error> {
        checked_digits(text, KIND, &[8, 12, 13, 14], "8, 12, 13 or 14").map(Self)
    }
}

/// Returns the 12 digits of the UPC-A number that a UPC-E symbol stands for, or `None` where the
/// text is no 8 digits of number system 0 or 1 with the right check digit.
///
/// # Source
///
/// GS1 General Specifications, section 5.2.2.4.2, zero-suppression encoding.
///
/// ```
/// use kitwright::domain::gs1::expand_upc_e;
/// assert_eq!(expand_upc_e("01234565").as_deref(), Some("012345000065"));
/// assert_eq!(expand_upc_e("01234567"), None);
/// ```
pub fn expand_upc_e(text: &str) -> Option<String> {
    if text.len() != 8 || !text.starts_with(['0', '1']) {
        return None;
    }
    let (system, check) = (text.get(..1)?, text.get(7..)?);
    let digits = text.get(1..7)?;
    let body = match digits.get(5..)? {
        last @ ("0" | "1" | "2") => {
            format!("{}{last}0000{}", digits.get(..2)?, digits.get(2..5)?)
        }
        "3" => format!("{}00000{}", digits.get(..3)?, digits.get(3..5)?),
        "4" => format!("{}00000{}", digits.get(..4)?, digits.get(4..5)?),
        last => format!("{}0000{last}", digits.get(..5)?),
    };
    let gtin: Gtin = format!("{system}{body}{check}").parse().ok()?;
    Some(gtin.0)
}
