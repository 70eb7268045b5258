use std::fmt;
use std::str::FromStr;

use super::CatalogError;
use crate::units::Length;

/// The outside of the box that holds one piece; written as whole or decimal mm, "980x190x480".
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct BoxSize {
    /// The first measure as stated, usually the longest.
    pub length: Length,
    /// The second measure.
    pub width: Length,
    /// The third measure.
    pub height: Length,
}

impl BoxSize {
    /// Returns the room that it takes, in whole mm³, rounded up.
    pub fn volume_mm3(&self) -> i64 {
        let sides = [self.length, self.width, self.height];
        let cubic: i128 = sides.into_iter().map(|it| i128::from(it.micrometres())).product();
        i64::try_from((cubic + 999_999_999).div_euclid(1_000_000_000)).unwrap_or(i64::MAX)
    }
}

impl fmt::Display for BoxSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bare = |it: Length| it.to_string().trim_end_matches(" mm").to_owned();
        write!(f, "{}x{}x{}", bare(self.length), bare(self.width), bare(self.height))
    }
}

impl FromStr for BoxSize {
    type Err = CatalogError;

    fn from_str(text: &str) -> Result<Self, CatalogError> {
        let fault = || CatalogError::BoxSize { text: text.to_owned() };
        let measures: Vec<Length> = text
            .split('x')
            .map(Length::parse_millimetres)
            .collect::<Result<_, _>>()
            .map_err(|_| fault())?;
        match *measures.as_slice() {
            [length, width, height] if !measures.contains(&Length::ZERO) => {
                Ok(Self { length, width, height })
            }
            _ => Err(fault()),
        }
    }
}
