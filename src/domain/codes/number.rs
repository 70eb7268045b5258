use std::fmt;
use std::str::FromStr;

use super::check_char;

/// Why a text is not one of the shop's own numbers.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NumberError {
    /// The text has another shape than the number.
    #[error("'{text}' is not a {kind}: it should look like {example}")]
    Shape {
        /// The text as it was given.
        text: String,
        /// Which number was wanted.
        kind: &'static str,
        /// A number of that kind.
        example: &'static str,
    },
    /// The shape is right, and the last character does not belong to the others.
    #[error(
        "'{text}' has a wrong character: the last one does not match the others, so read the label again"
    )]
    Check {
        /// The text as it was given.
        text: String,
    },
}

/// Defines a number of ASCII capitals and digits whose last character is its MOD 37,36 check.
macro_rules! checked_number {
    ($(#[$doc:meta])* $name:ident, $kind:literal, $example:literal, $shape:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(String);

        impl $name {
            /// Returns the number as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl FromStr for $name {
            type Err = NumberError;

            /// Reads the number; white space at the ends is dropped and small letters are made
            /// capitals, but no character is ever taken for another.
            fn from_str(text: &str) -> Result<Self, NumberError> {
                let number = text.trim().to_ascii_uppercase();
                if !has_shape(&number, $shape) {
                    let (kind, example) = ($kind, $example);
                    return Err(NumberError::Shape { text: text.to_owned(), kind, example });
                }
                if !is_checked(&number) {
                    return Err(NumberError::Check { text: text.to_owned() });
                }
                Ok(Self(number))
            }
        }
    };
}

checked_number!(
    /// A part number: two letters, three digits and a check character, "MT108R".
    PartNumber, "part number", "MT108R", "AA999*"
);
checked_number!(
    /// A kit number: KT, six digits and a check character, "KT004127C".
    KitNumber, "kit number", "KT004127C", "KT999999*"
);
checked_number!(
    /// A carton number: CN, seven digits and a check character.
    CartonNumber, "carton number", "CN0041271C", "CN9999999*"
);
checked_number!(
    /// A run number: RN, six digits and a check character. It is the lot of what the run made.
    RunNumber, "run number", "RN000012X", "RN999999*"
);
checked_number!(
    /// A bin code: zone letter, bay, level and a check character, "B-03-2U".
    ///
    /// The check is taken over the characters without the hyphens.
    BinCode, "bin code", "B-03-2U", "A-99-9*"
);

/// Returns whether `text` follows `shape`: A a capital, 9 a digit, * either, others themselves.
fn has_shape(text: &str, shape: &str) -> bool {
    text.chars().count() == shape.chars().count()
        && text.chars().zip(shape.chars()).all(|(it, wanted)| match wanted {
            'A' => it.is_ascii_uppercase(),
            '9' => it.is_ascii_digit(),
            '*' => it.is_ascii_uppercase() || it.is_ascii_digit(),
            other => it == other,
        })
}

fn is_checked(number: &str) -> bool {
    super::has_valid_check(&number.replace('-', ""))
}

impl PartNumber {
    /// Returns the part number of that count, from 1 to 999, in a family of two capitals.
    pub fn nth(family: &str, count: u32) -> Option<Self> {
        let body = format!("{family}{count:03}");
        format!("{body}{}", check_char(&body)?).parse().ok().filter(|_| 0 < count && count < 1000)
    }

    /// Returns the two letters that a part number shares with its family.
    pub fn family(&self) -> &str {
        self.0.get(..2).unwrap_or_default()
    }

    /// Returns the first number of a family after all of `used`; where they reach to its end, the
    /// first that is free; nothing where none is.
    pub fn next_in<'a>(family: &str, used: impl Iterator<Item = &'a Self> + Clone) -> Option<Self> {
        let count = |it: &Self| it.0.get(2..5)?.parse::<u32>().ok();
        let taken = used.filter(|it| it.family() == family).filter_map(count);
        let last = taken.clone().max().unwrap_or(100);
        let free = |count: &u32| !taken.clone().any(|it| it == *count);
        let count =
            [last.saturating_add(1)].into_iter().chain(1..1000).find(|it| *it < 1000 && free(it));
        Self::nth(family, count?)
    }
}

impl KitNumber {
    /// Returns the number of the kit with that count, from 1 to 999999.
    pub fn nth(count: u32) -> Option<Self> {
        let body = format!("KT{count:06}");
        Some(Self(format!("{body}{}", check_char(&body)?))).filter(|_| count < 1_000_000)
    }
}

impl CartonNumber {
    /// Returns the number of the carton with that count, from 1 to 9999999.
    pub fn nth(count: u32) -> Option<Self> {
        let body = format!("CN{count:07}");
        Some(Self(format!("{body}{}", check_char(&body)?))).filter(|_| count < 10_000_000)
    }
}

impl RunNumber {
    /// Returns the number of the run with that count, from 1 to 999999.
    pub fn nth(count: u32) -> Option<Self> {
        let body = format!("RN{count:06}");
        Some(Self(format!("{body}{}", check_char(&body)?))).filter(|_| count < 1_000_000)
    }
}

impl BinCode {
    /// Returns the code of the bin in that zone, bay (below 100) and level (below 10).
    pub fn at(zone: char, bay: u32, level: u32) -> Option<Self> {
        let check = check_char(&format!("{zone}{bay:02}{level}"))?;
        format!("{zone}-{bay:02}-{level}{check}").parse().ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn next(family: &str, used: &[u32]) -> Option<String> {
        let used: Vec<PartNumber> =
            used.iter().map(|it| PartNumber::nth(family, *it).unwrap()).collect();
        PartNumber::next_in(family, used.iter()).map(|it| it.to_string())
    }

    #[test]
    fn a_family_s_next_number_follows_its_last_and_carries_its_check_character() {
        assert_eq!(PartNumber::nth("MT", 108).unwrap().as_str(), "MT108R");
        assert_eq!(next("FR", &[]).as_deref(), Some("FR101O"));
        assert_eq!(next("FR", &[101, 103]), PartNumber::nth("FR", 104).map(|it| it.to_string()));
        assert_eq!(next("FR", &[1, 2, 999]), PartNumber::nth("FR", 3).map(|it| it.to_string()));
        let all: Vec<u32> = (1..1000).collect();
        assert_eq!(next("FR", &all), None);
        assert_eq!(next("f", &[]), None);
        assert_eq!(PartNumber::nth("FR", 0), None);
        assert_eq!(PartNumber::nth("FR", 1000), None);
    }
}
