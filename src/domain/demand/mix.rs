use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use crate::domain::statistics::{real, real_of_count};

/// Which share of orders chooses which value of an option, in whole percent.
///
/// ```
/// use kitwright::domain::demand::Mix;
/// let mix: Mix = "size: S 22, M 48, L 30; build: T12 62, T15 38".parse()?;
/// assert_eq!(mix.share("size", "M", 3), 0.48);
/// assert_eq!(mix.share("ski", "95", 3), 1.0 / 3.0, "who says nothing, says all alike");
/// assert!("size: S 22, M 48".parse::<Mix>().is_err());
/// # Ok::<(), kitwright::domain::demand::MixError>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Mix(BTreeMap<String, Vec<(String, i64)>>);

/// Why a text is no mix.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MixError {
    /// It does not have the form of one.
    #[error(
        "'{0}' is no share: write the option, its values and their percent, such as size: S 22, \
         M 48, L 30; colour: black 60, red 40"
    )]
    Form(String),
    /// An option's shares do not add up.
    #[error("the shares of {option} add up to {sum}: make them 100")]
    Sum {
        /// The option.
        option: String,
        /// What its shares add up to.
        sum: i64,
    },
    /// An option or value stands there twice.
    #[error("{0} is there twice: keep one of them")]
    Twice(String),
    /// The kit has no such option, or the option no such value.
    #[error("{0} is nothing that orders of this kit choose")]
    Unknown(String),
}

impl Mix {
    /// Returns whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns the share of a value of an option that has so many values; all alike where the mix
    /// says nothing of the option.
    pub fn share(&self, option: &str, value: &str, values: usize) -> f64 {
        match self.0.get(option) {
            None => 1.0 / real_of_count(values.max(1)),
            Some(shares) => {
                let found = shares.iter().find(|it| it.0 == value);
                found.map_or(0.0, |it| real(it.1) / 100.0)
            }
        }
    }

    /// Returns each option with its values.
    pub fn options(&self) -> impl Iterator<Item = (&str, impl Iterator<Item = &str>)> {
        self.0
            .iter()
            .map(|(option, values)| (option.as_str(), values.iter().map(|it| it.0.as_str())))
    }
}

impl FromStr for Mix {
    type Err = MixError;

    fn from_str(text: &str) -> Result<Self, MixError> {
        let mut options: BTreeMap<String, Vec<(String, i64)>> = BTreeMap::new();
        for said in text.split(';').map(str::trim).filter(|it| !it.is_empty()) {
            let form = || MixError::Form(said.to_owned());
            let (option, values) = said.split_once(':').ok_or_else(form)?;
            let mut shares: Vec<(String, i64)> = Vec::new();
            for share in values.split(',').map(str::trim) {
                let (value, percent) = share.rsplit_once(' ').ok_or_else(form)?;
                let percent = percent.parse::<i64>().ok().filter(|it| (0..=100).contains(it));
                let value = value.trim().to_owned();
                if shares.iter().any(|it| it.0 == value) {
                    return Err(MixError::Twice(value));
                }
                shares.push((value, percent.ok_or_else(form)?));
            }
            let option = option.trim().to_owned();
            let sum: i64 = shares.iter().map(|it| it.1).sum();
            if sum != 100 {
                return Err(MixError::Sum { option, sum });
            }
            if options.insert(option.clone(), shares).is_some() {
                return Err(MixError::Twice(option));
            }
        }
        Ok(Self(options))
    }
}

impl fmt::Display for Mix {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, (option, shares)) in self.0.iter().enumerate() {
            write!(f, "{}{option}: ", if at == 0 { "" } else { "; " })?;
            for (at, (value, percent)) in shares.iter().enumerate() {
                write!(f, "{}{value} {percent}", if at == 0 { "" } else { ", " })?;
            }
        }
        Ok(())
    }
}
