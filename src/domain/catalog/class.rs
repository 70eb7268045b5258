use std::fmt;
use std::str::FromStr;

use super::CatalogError;

/// How pieces of a part are told apart in the books.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tracking {
    /// Not at all: one piece is as good as another.
    None,
    /// By lot.
    Lot,
    /// Each by its own serial number.
    Serial,
}

impl Tracking {
    /// Returns the word that files and the database hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Lot => "lot",
            Self::Serial => "serial",
        }
    }
}

impl FromStr for Tracking {
    type Err = CatalogError;

    fn from_str(text: &str) -> Result<Self, CatalogError> {
        [Self::None, Self::Lot, Self::Serial].into_iter().find(|it| it.as_str() == text).ok_or_else(
            || {
                let (kind, allowed) = ("way of tracking", "none, lot, serial");
                CatalogError::Word { text: text.to_owned(), kind, allowed }
            },
        )
    }
}

impl fmt::Display for Tracking {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// What a missing part holds up. The worst comes first in order.
///
/// Papers stand before looks: a box may leave with a sticker to follow, never without its papers,
/// and a bag takes the worst class of what is in it.
///
/// ```
/// use kitwright::domain::catalog::MissingClass;
/// let bag: Vec<MissingClass> =
///     ["C", "D", "R"].iter().map(|it| it.parse()).collect::<Result<_, _>>()?;
/// assert_eq!(bag.iter().min(), Some(&MissingClass::StopsRide));
/// # Ok::<(), kitwright::domain::catalog::CatalogError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MissingClass {
    /// Nothing after this part's step can be built.
    StopsBuild,
    /// The build may go on, and the bike must not be ridden.
    StopsRide,
    /// Papers and packing, without which the box stays in the house.
    MustNotLeave,
    /// Only the looks suffer; the part may follow.
    LooksOnly,
}

impl MissingClass {
    /// Returns all classes, the worst first.
    pub const ALL: [Self; 4] =
        [Self::StopsBuild, Self::StopsRide, Self::MustNotLeave, Self::LooksOnly];

    /// Returns the letter that files and the database hold.
    pub const fn letter(self) -> &'static str {
        match self {
            Self::StopsBuild => "S",
            Self::StopsRide => "R",
            Self::MustNotLeave => "D",
            Self::LooksOnly => "C",
        }
    }

    /// Returns the class in words, as pages and papers print it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::StopsBuild => "stops the build",
            Self::StopsRide => "stops the ride",
            Self::MustNotLeave => "must not leave without",
            Self::LooksOnly => "looks only",
        }
    }
}

impl FromStr for MissingClass {
    type Err = CatalogError;

    fn from_str(text: &str) -> Result<Self, CatalogError> {
        Self::ALL.into_iter().find(|it| it.letter() == text).ok_or_else(|| {
            let allowed = "S (stops the build), R (stops the ride), C (looks only), \
                           D (must not leave without)";
            CatalogError::Word { text: text.to_owned(), kind: "class", allowed }
        })
    }
}

impl fmt::Display for MissingClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}
