use std::fmt;
use std::str::FromStr;

use super::UnknownWord;
use crate::domain::messages::Language;

/// The state of the threads for which a torque is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Condition {
    /// Nothing on them.
    Dry,
    /// Greased.
    Greased,
    /// With anti-seize.
    AntiSeize,
    /// With threadlocker.
    Threadlocker,
    /// The bolt carries a locking patch.
    Patch,
}

impl Condition {
    /// Every condition.
    pub const ALL: [Self; 5] =
        [Self::Dry, Self::Greased, Self::AntiSeize, Self::Threadlocker, Self::Patch];

    /// Returns the word that files and the database hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Dry => "dry",
            Self::Greased => "greased",
            Self::AntiSeize => "anti-seize",
            Self::Threadlocker => "threadlocker",
            Self::Patch => "patch",
        }
    }

    /// Returns the condition in a rider's words.
    pub const fn words(self, say: Language) -> &'static str {
        match self {
            Self::Dry => say.condition_dry(),
            Self::Greased => say.condition_greased(),
            Self::AntiSeize => say.condition_anti_seize(),
            Self::Threadlocker => say.condition_threadlocker(),
            Self::Patch => say.condition_patch(),
        }
    }
}

impl fmt::Display for Condition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FromStr for Condition {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        Self::ALL.into_iter().find(|it| it.as_str() == text).ok_or_else(|| UnknownWord {
            text: text.to_owned(),
            kind: "condition of the threads",
            allowed: Self::ALL.map(Self::as_str).join(", "),
        })
    }
}
