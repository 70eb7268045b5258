use super::{Language, with_marks};

/// Returns a text whose numbers have the language's decimal mark: "31.8 mm" becomes "31,8 mm". Its
/// other marks are set as by [`with_marks`].
///
/// A point counts as a decimal mark where a digit stands on both sides of it and the number has no
/// second point, as a date or a revision has.
///
/// ```
/// use kitwright::domain::messages::{Language, in_manner_of};
/// assert_eq!(in_manner_of(Language::De, "5.5 N·m"), "5,5 N·m");
/// assert_eq!(in_manner_of(Language::En, "5.5 N·m"), "5.5 N·m");
/// assert_eq!(in_manner_of(Language::Fr, "Version 1.2.3."), "Version 1.2.3.");
/// ```
pub fn in_manner_of(language: Language, text: &str) -> String {
    match language {
        Language::En => text.to_owned(),
        Language::De | Language::Fr => {
            let words: Vec<String> = text.split(' ').map(with_comma).collect();
            with_marks(language, &words.join(" "))
        }
    }
}

fn with_comma(word: &str) -> String {
    let characters: Vec<char> = word.chars().collect();
    let is_digit = |it: Option<&char>| it.is_some_and(char::is_ascii_digit);
    let mark = |at: usize| {
        let before = at.checked_sub(1).and_then(|it| characters.get(it));
        is_digit(before) && is_digit(characters.get(at + 1))
    };
    let numbers_with_two = word
        .split(|it: char| !it.is_ascii_digit() && it != '.')
        .any(|it| 1 < it.trim_matches('.').matches('.').count());
    if numbers_with_two {
        return word.to_owned();
    }
    let comma = |(at, it): (usize, &char)| if *it == '.' && mark(at) { ',' } else { *it };
    characters.iter().enumerate().map(comma).collect()
}
