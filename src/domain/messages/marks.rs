//! The marks of a language: what stands around colon, semicolon and quotation.

use super::Language;

/// Before `:` and inside quotation marks.
const NO_BREAK: char = '\u{a0}';
/// Before `;`, `!` and `?`.
const THIN: char = '\u{202f}';

/// Returns a text whose marks can't be parted from their words: French sets a space before `: ; ! ?`
/// and inside « », and a line must not end there.
///
/// A mark that stands close to its word stays so: it may belong to an address or to a ratio.
///
/// # Source
///
/// The rules in use at France's national printing office: a full space before the colon and inside
/// quotation marks, a thin one before the other three (from memory, unconfirmed).
///
/// ```
/// use kitwright::domain::messages::{Language, with_marks};
/// assert_eq!(with_marks(Language::Fr, "Attention : « stop » !"),
///     "Attention\u{a0}: «\u{a0}stop\u{a0}»\u{202f}!");
/// assert_eq!(with_marks(Language::De, "Vorsicht : so"), "Vorsicht : so");
/// ```
pub fn with_marks(language: Language, text: &str) -> String {
    if language != Language::Fr {
        return text.to_owned();
    }
    let mut set = String::with_capacity(text.len());
    let mut characters = text.chars().peekable();
    let mut before = None;
    while let Some(it) = characters.next() {
        let next = if it == ' ' { characters.peek().copied() } else { None };
        set.push(match (before, next) {
            (Some('«'), Some(_)) | (_, Some(':' | '»')) => NO_BREAK,
            (_, Some(';' | '!' | '?')) => THIN,
            _ => it,
        });
        before = Some(it);
    }
    set
}

impl Language {
    /// Returns what parts a name from its value: a colon with the spaces around it.
    pub const fn colon(self) -> &'static str {
        match self {
            Self::En | Self::De => ": ",
            Self::Fr => "\u{a0}: ",
        }
    }

    /// Returns what parts two sayings in a row: a semicolon with the spaces around it.
    pub const fn semicolon(self) -> &'static str {
        match self {
            Self::En | Self::De => "; ",
            Self::Fr => "\u{202f}; ",
        }
    }

    /// Returns what somebody said, in the language's quotation marks.
    pub fn quoted(self, words: &str) -> String {
        match self {
            Self::En => format!("“{words}”"),
            Self::De => format!("„{words}“"),
            Self::Fr => format!("«\u{a0}{words}\u{a0}»"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every file of this folder, so that messages with arguments are looked at as well.
    const FILES: [(&str, &str); 7] = [
        ("card", include_str!("card.rs")),
        ("drawing", include_str!("drawing.rs")),
        ("figures", include_str!("figures.rs")),
        ("language", include_str!("language.rs")),
        ("phrase", include_str!("phrase.rs")),
        ("rider", include_str!("rider.rs")),
        ("setup", include_str!("setup.rs")),
    ];

    /// Returns the text literals of a file as they are written.
    fn literals(source: &str) -> Vec<&str> {
        source.split('"').skip(1).step_by(2).collect()
    }

    #[test]
    fn no_message_lets_a_line_end_before_a_mark() {
        let mut looked_at = 0;
        for (file, source) in FILES {
            assert!(!source.contains("\\\""), "{file}: an escaped quote would part a literal");
            for text in literals(source) {
                assert_eq!(with_marks(Language::Fr, text), text, "{file}");
                looked_at += usize::from(text.contains("\\u{a0}") || text.contains("\\u{202f}"));
            }
        }
        assert!(50 < looked_at);
    }

    #[test]
    fn quotation_marks_are_those_of_the_language() {
        use crate::domain::messages::{card, drawing, rider, setup};
        let tables = [card::TABLE, drawing::TABLE, rider::TABLE, setup::TABLE];
        for (name, [en, de, fr]) in tables.into_iter().flatten() {
            assert!(!en.contains(['„', '«', '»']), "{name}");
            assert!(!fr.contains(['“', '”', '„']), "{name}");
            assert!(!de.contains(['”', '«', '»']), "{name}");
            assert_eq!(de.matches('„').count(), de.matches('“').count(), "{name}");
            assert_eq!(fr.matches("«\u{a0}").count(), fr.matches("\u{a0}»").count(), "{name}");
            assert_eq!(fr.matches('«').count(), fr.matches("«\u{a0}").count(), "{name}");
        }
        assert_eq!(Language::De.quoted("ja"), "„ja“");
    }

    #[test]
    fn a_mark_that_stands_close_to_its_word_stays_so() {
        let close = "https://box.example/box?a=1; 1:2, 12:30!";
        assert_eq!(with_marks(Language::Fr, close), close);
        assert_eq!(with_marks(Language::Fr, " ! :"), "\u{202f}!\u{a0}:");
        assert_eq!(with_marks(Language::Fr, ""), "");
    }
}
