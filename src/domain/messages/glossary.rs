use std::collections::BTreeMap;

use super::Language;

/// Marks that may stand behind a word.
const MARKS: [char; 3] = [',', ':', ';'];

/// A piece of a text in a language.
enum Piece<'a> {
    /// What the glossary calls it.
    Said(String),
    /// A word that it does not hold.
    Left(&'a str),
}

/// Returns whether a word may be another one in another language: sizes, codes and units have capitals,
/// digits or signs in them, or are one or two letters.
fn can_differ(word: &str) -> bool {
    2 < word.chars().count() && word.chars().all(char::is_lowercase)
}

/// What the words of the catalogue are called in other languages: parts, variants, options.
///
/// ```
/// use kitwright::domain::messages::{Glossary, Language};
/// let mut words = Glossary::default();
/// words.add("lichen green", Language::De, "flechtengrün");
/// assert_eq!(words.say(Language::De, "M lichen green, left"), "M flechtengrün, left");
/// assert_eq!(words.say(Language::En, "M lichen green"), "M lichen green");
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Glossary(BTreeMap<Language, BTreeMap<String, String>>);

impl Glossary {
    /// Adds what a text is called in a language.
    pub fn add(&mut self, text: &str, language: Language, words: &str) {
        self.0.entry(language).or_default().insert(text.to_owned(), words.to_owned());
    }

    /// Returns what the whole text is called in a language, if the glossary holds it.
    pub fn whole(&self, language: Language, text: &str) -> Option<&str> {
        self.0.get(&language)?.get(text).map(String::as_str)
    }

    /// Returns the text in a language: as a whole where the glossary holds it, otherwise with the
    /// longest runs of its words that it holds put in their place.
    pub fn say(&self, language: Language, text: &str) -> String {
        let said = self.pieces(language, text).into_iter().map(|it| match it {
            Piece::Said(words) => words,
            Piece::Left(word) => word.to_owned(),
        });
        said.collect::<Vec<_>>().join(" ")
    }

    /// Returns the runs of words of a text that stay as they are in a language though they could
    /// differ: sizes, codes and measures are no such words.
    ///
    /// ```
    /// use kitwright::domain::messages::{Glossary, Language};
    /// let mut words = Glossary::default();
    /// words.add("left", Language::De, "links");
    /// assert_eq!(words.unsaid(Language::De, "M6×25 lichen green, left"), ["lichen green"]);
    /// ```
    pub fn unsaid(&self, language: Language, text: &str) -> Vec<String> {
        let (mut runs, mut run) = (Vec::new(), String::new());
        for piece in self.pieces(language, text) {
            let word = match piece {
                Piece::Left(it) => it,
                Piece::Said(_) => "",
            };
            let bare = word.trim_end_matches(MARKS);
            if can_differ(bare) {
                let between = if run.is_empty() { "" } else { " " };
                run = format!("{run}{between}{bare}");
            }
            if !can_differ(word) && !run.is_empty() {
                runs.push(std::mem::take(&mut run));
            }
        }
        runs.extend(Some(run).filter(|it| !it.is_empty()));
        runs
    }

    /// Returns the pieces of a text: itself, or the longest runs of its words that the glossary holds,
    /// and the words between them.
    fn pieces<'a>(&self, language: Language, text: &'a str) -> Vec<Piece<'a>> {
        let none = BTreeMap::new();
        let known = self.0.get(&language).unwrap_or(&none);
        if let Some(words) = known.get(text) {
            return vec![Piece::Said(words.clone())];
        }
        let words: Vec<&str> = text.split(' ').collect();
        let mut pieces = Vec::new();
        let mut rest = words.as_slice();
        while let Some((first, after)) = rest.split_first() {
            let found = (1..=rest.len()).rev().find_map(|length| {
                let (run, beyond) = rest.split_at_checked(length)?;
                let run = run.join(" ");
                let bare = run.trim_end_matches(MARKS);
                let mark = run.strip_prefix(bare).unwrap_or_default();
                known.get(bare).map(|it| (Piece::Said(format!("{it}{mark}")), beyond))
            });
            let (piece, beyond) = found.unwrap_or((Piece::Left(first), after));
            pieces.push(piece);
            rest = beyond;
        }
        pieces
    }
}
