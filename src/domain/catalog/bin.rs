use std::fmt;
use std::str::FromStr;

use super::CatalogError;
use crate::domain::codes::BinCode;

/// What a bin is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BinKind {
    /// A place to pick from.
    Bin,
    /// A place for goods that nobody may use until somebody has decided on them.
    Quarantine,
    /// A place for what riders sent back.
    Returns,
}

impl BinKind {
    /// Returns the word that files and the database hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Bin => "bin",
            Self::Quarantine => "quarantine",
            Self::Returns => "returns",
        }
    }
}

impl FromStr for BinKind {
    type Err = CatalogError;

    fn from_str(text: &str) -> Result<Self, CatalogError> {
        let known = [Self::Bin, Self::Quarantine, Self::Returns];
        known.into_iter().find(|it| it.as_str() == text).ok_or_else(|| {
            let (kind, allowed) = ("kind of bin", "bin, quarantine, returns");
            CatalogError::Word { text: text.to_owned(), kind, allowed }
        })
    }
}

impl fmt::Display for BinKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A place that holds parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BinRecord {
    /// The bin's code, as its label reads.
    pub code: BinCode,
    /// What the bin is for.
    pub kind: BinKind,
    /// The bin's place in one walk through the house; lower is earlier.
    pub walk_order: u32,
    /// The part of the house that the bin stands in, in words.
    pub zone: String,
}
