use std::collections::BTreeMap;

use super::Language;

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
        let Some(known) = self.0.get(&language) else { return text.to_owned() };
        if let Some(words) = known.get(text) {
            return words.clone();
        }
        let words: Vec<&str> = text.split(' ').collect();
        let mut said: Vec<String> = Vec::new();
        let mut rest = words.as_slice();
        while let Some((first, after)) = rest.split_first() {
            let found = (1..=rest.len()).rev().find_map(|length| {
                let (run, beyond) = rest.split_at_checked(length)?;
                let run = run.join(" ");
                let bare = run.trim_end_matches([',', ':', ';']);
                let mark = run.strip_prefix(bare).unwrap_or_default();
                known.get(bare).map(|it| (format!("{it}{mark}"), beyond))
            });
            let (words, beyond) = found.unwrap_or_else(|| ((*first).to_owned(), after));
            said.push(words);
            rest = beyond;
        }
        said.join(" ")
    }
}
