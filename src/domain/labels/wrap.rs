/// Returns the text in lines no wider than `width_um`, broken between words.
///
/// A space that keeps two words together is kept. A word that is wider than a whole line is broken between characters; each character goes on
/// some line, so nothing is lost. `measure` gives a text's width in micrometres.
pub fn wrap(text: &str, width_um: i64, measure: &dyn Fn(&str) -> i64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split(parts).filter(|it| !it.is_empty()) {
        let joined = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if measure(&joined) <= width_um {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for character in word.chars() {
            line.push(character);
            if width_um < measure(&line) && line.chars().nth(1).is_some() {
                line.pop();
                lines.push(std::mem::replace(&mut line, character.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Returns whether a line may end at that character.
fn parts(character: char) -> bool {
    character.is_whitespace() && !matches!(character, '\u{a0}' | '\u{2007}' | '\u{202f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_never_ends_at_a_space_that_keeps_words_together() {
        let width = |it: &str| i64::try_from(it.chars().count()).unwrap();
        assert_eq!(wrap("aaa bb\u{a0}: cc", 7, &width), ["aaa", "bb\u{a0}: cc"]);
        assert_eq!(wrap("aaa bb\u{202f}!", 6, &width), ["aaa", "bb\u{202f}!"]);
        assert_eq!(wrap("aaa\tbb  c", 6, &width), ["aaa bb", "c"]);
    }
}
