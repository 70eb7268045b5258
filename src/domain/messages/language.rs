use std::fmt;
use std::str::FromStr;

/// A language that riders read.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Language {
    /// English, in which the shop's own files are written.
    #[default]
    En,
    /// German.
    De,
    /// French.
    Fr,
}

impl Language {
    /// Every language, the shop's own first.
    pub const ALL: [Self; 3] = [Self::En, Self::De, Self::Fr];

    /// Returns the language's tag, as files and pages hold it.
    ///
    /// # Source
    ///
    /// ISO 639-1.
    pub const fn tag(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::De => "de",
            Self::Fr => "fr",
        }
    }

    /// Returns what the shop's own pages call it.
    pub const fn english_name(self) -> &'static str {
        match self {
            Self::En => "English",
            Self::De => "German",
            Self::Fr => "French",
        }
    }

    /// Returns what the language calls itself.
    pub const fn own_name(self) -> &'static str {
        match self {
            Self::En => "English",
            Self::De => "Deutsch",
            Self::Fr => "Français",
        }
    }
}

impl fmt::Display for Language {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.tag())
    }
}

/// A tag of a language that has no messages.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is no language of the messages: write en, de or fr")]
pub struct UnknownLanguage(pub String);

impl FromStr for Language {
    type Err = UnknownLanguage;

    fn from_str(text: &str) -> Result<Self, UnknownLanguage> {
        let known = Self::ALL.into_iter().find(|it| it.tag() == text);
        known.ok_or_else(|| UnknownLanguage(text.to_owned()))
    }
}
