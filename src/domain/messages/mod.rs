//! Every fixed word that riders read, in each language side by side.
//!
//! A message is a method of [`Language`]: plain ones stand in tables, those with arguments are
//! matches over every language. Either way a message that lacks a language does not build.

mod card;
mod drawing;
mod figures;
mod glossary;
mod language;
mod marks;
mod number;
mod phrase;
mod rider;
mod setup;

pub use glossary::Glossary;
pub use language::{Language, UnknownLanguage};
pub use marks::with_marks;
pub use number::in_manner_of;

/// Defines messages without arguments: a name, then the words in English, German and French.
macro_rules! messages {
    ($($name:ident: $en:literal, $de:literal, $fr:literal;)*) => {
        impl super::Language {
            $(
                #[doc = concat!("Returns “", $en, "” in this language.")]
                pub const fn $name(self) -> &'static str {
                    match self {
                        Self::En => $en,
                        Self::De => $de,
                        Self::Fr => $fr,
                    }
                }
            )*
        }

        #[cfg(test)]
        pub(super) const TABLE: &[(&str, [&str; 3])] =
            &[$((stringify!($name), [$en, $de, $fr])),*];
    };
}
use messages;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{card, drawing, rider, setup};

    /// Words that are rightly the same in two languages.
    const ALIKE: [&str; 4] = ["source", "sources", "caution", "position_front"];

    #[test]
    fn every_message_says_something_of_its_own_in_each_language() {
        let tables = [card::TABLE, drawing::TABLE, rider::TABLE, setup::TABLE];
        let mut names = BTreeSet::new();
        for (name, words) in tables.into_iter().flatten() {
            assert!(names.insert(name), "{name} is there twice");
            assert!(words.iter().all(|it| !it.trim().is_empty()), "{name} is empty: {words:?}");
            assert!(words.iter().all(|it| it.trim() == *it), "{name} has blanks at its ends");
            let [en, de, fr] = words;
            let alike = en == de || en == fr || de == fr;
            assert!(!alike || ALIKE.contains(name), "{name} is left over from another language");
        }
        assert!(100 < names.len());
    }

    #[test]
    fn no_german_or_french_message_holds_english_words() {
        let left_over =
            ["the", "with", "and", "bolt", "bolts", "step", "torque", "missing", "wheel"];
        let tables = [card::TABLE, drawing::TABLE, rider::TABLE, setup::TABLE];
        for (name, [_, de, fr]) in tables.into_iter().flatten() {
            for text in [de, fr] {
                let words = text.split(|it: char| !it.is_alphabetic()).map(str::to_lowercase);
                let found: Vec<String> =
                    words.filter(|it| left_over.contains(&it.as_str())).collect();
                assert!(found.is_empty(), "{name}: {found:?} in {text:?}");
            }
        }
    }
}
