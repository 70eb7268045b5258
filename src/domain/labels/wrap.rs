/// Returns the text in lines no wider than `width_um`, broken between words.
///
/// A word that is wider than a whole line is broken between characters; each character goes on
/// some line, so nothing is lost. `measure` gives a text's width in micrometres.
pub fn wrap(text: &str, width_um: i64, measure: &dyn Fn(&str) -> i64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
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
