use std::fmt;
use std::str::FromStr;

use crate::domain::messages::Language;

/// In which order the bolts of a joint are tightened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pattern {
    /// One bolt, in one pull.
    Single,
    /// In turns, a quarter turn each.
    Alternate,
    /// Crosswise in two passes.
    Cross,
    /// Left, right, left again.
    LeftRightLeft,
    /// The nut is held and the bolt turned.
    HoldNut,
    /// Only until the play is gone.
    Preload,
}

/// A word that is none of a closed list.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{text}' is no {kind}: write one of {allowed}")]
pub struct UnknownWord {
    /// The word as it was given.
    pub text: String,
    /// What the words stand for.
    pub kind: &'static str,
    /// The words that there are.
    pub allowed: String,
}

impl Pattern {
    /// Every pattern.
    pub const ALL: [Self; 6] = [
        Self::Single,
        Self::Alternate,
        Self::Cross,
        Self::LeftRightLeft,
        Self::HoldNut,
        Self::Preload,
    ];

    /// Returns the word that files and the database hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Single => "single",
            Self::Alternate => "alternate",
            Self::Cross => "cross",
            Self::LeftRightLeft => "left-right-left",
            Self::HoldNut => "hold-nut",
            Self::Preload => "preload",
        }
    }

    /// Returns the pattern in a rider's words.
    pub const fn words(self, say: Language) -> &'static str {
        match self {
            Self::Single => say.pattern_single(),
            Self::Alternate => say.pattern_alternate(),
            Self::Cross => say.pattern_cross(),
            Self::LeftRightLeft => say.pattern_left_right_left(),
            Self::HoldNut => say.pattern_hold_nut(),
            Self::Preload => say.pattern_preload(),
        }
    }
}

impl fmt::Display for Pattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FromStr for Pattern {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        Self::ALL.into_iter().find(|it| it.as_str() == text).ok_or_else(|| UnknownWord {
            text: text.to_owned(),
            kind: "pattern",
            allowed: Self::ALL.map(Self::as_str).join(", "),
        })
    }
}
