use std::fmt;
use std::str::FromStr;

use super::classes::{Abc, Xyz};
use crate::domain::codes::PartNumber;

/// What a policy is said for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    /// A class by yearly value, and, where it is named, by steadiness.
    Class(Abc, Option<Xyz>),
    /// One part number.
    Part(PartNumber),
}

/// A text that names neither a class nor a part number.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{0}' is neither a class nor a part number: write A, B or C, with X, Y or Z after it or \
     without, such as CX, or a part number such as MT108R"
)]
pub struct UnknownScope(pub String);

impl FromStr for Scope {
    type Err = UnknownScope;

    fn from_str(text: &str) -> Result<Self, UnknownScope> {
        let unknown = || UnknownScope(text.to_owned());
        let mut letters = text.chars();
        let abc = letters.next().and_then(|it| Abc::ALL.into_iter().find(|abc| abc.is(it)));
        let xyz = letters.next().map(|it| Xyz::ALL.into_iter().find(|xyz| xyz.is(it)));
        match (abc, xyz, letters.next()) {
            (Some(abc), None, None) => Ok(Self::Class(abc, None)),
            (Some(abc), Some(Some(xyz)), None) => Ok(Self::Class(abc, Some(xyz))),
            _ => text.parse().map(Self::Part).map_err(|_| unknown()),
        }
    }
}

impl fmt::Display for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Class(abc, xyz) => write!(f, "{}{}", abc.name(), xyz.map_or("", Xyz::name)),
            Self::Part(number) => number.fmt(f),
        }
    }
}
