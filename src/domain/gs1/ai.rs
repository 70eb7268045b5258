use std::sync::LazyLock;

use super::ai_lines::AI_LINES;
use super::check::Check;

/// The characters that a component of a value may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Charset {
    /// Digits.
    Digits,
    /// The 82 characters of GS1 AI encodable character set 82.
    Set82,
    /// The 39 characters of GS1 AI encodable character set 39.
    Set39,
    /// The 64 characters of file-safe base 64, and = as padding at the end.
    Set64,
}

impl Charset {
    /// Returns whether a value may have that character.
    ///
    /// # Source
    ///
    /// GS1 General Specifications, figures 7.11-1 to 7.11-3, from ISO/IEC 646.
    pub fn holds(self, character: char) -> bool {
        match self {
            Self::Digits => character.is_ascii_digit(),
            Self::Set82 => {
                character.is_ascii_alphanumeric() || "!\"%&'()*+,-./_:;<=>?".contains(character)
            }
            Self::Set39 => {
                character.is_ascii_digit()
                    || character.is_ascii_uppercase()
                    || "#-/".contains(character)
            }
            Self::Set64 => character.is_ascii_alphanumeric() || "-_=".contains(character),
        }
    }

    /// Returns the characters in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Digits => "digits 0 to 9",
            Self::Set82 => "letters A to Z and a to z, digits and !\"%&'()*+,-./_:;<=>?",
            Self::Set39 => "capital letters A to Z, digits and # - /",
            Self::Set64 => "letters A to Z and a to z, digits, - and _",
        }
    }
}

/// A run of characters within a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Component {
    /// The characters that it may have.
    pub charset: Charset,
    /// The fewest characters, where it is there.
    pub least: usize,
    /// The most characters.
    pub most: usize,
    /// Whether it may be missing.
    pub optional: bool,
    /// What its characters must obey.
    pub checks: Vec<Check>,
}

/// What the standard says of an application identifier, or of a range of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ai {
    first: &'static str,
    last: &'static str,
    /// Whether its length is predefined, so that no separator need follow.
    pub predefined: bool,
    /// Whether it may stand in the query of a Digital Link.
    pub attribute: bool,
    /// The runs of characters that make up its value.
    pub components: Vec<Component>,
    /// Groups of which one must be in the same message, each as patterns that are all needed.
    pub needs: Vec<Vec<&'static str>>,
    /// Patterns that must not be in the same message.
    pub excludes: Vec<&'static str>,
    /// Where it is a Digital Link's primary key: the sequences of qualifiers that may follow.
    pub key: Option<Vec<Vec<&'static str>>>,
    /// Its data title; empty where it has none.
    pub title: &'static str,
}

impl Ai {
    fn has(&self, ai: &str) -> bool {
        ai.len() == self.first.len() && self.first <= ai && ai <= self.last
    }

    /// Returns the fewest characters of a value.
    pub fn least(&self) -> usize {
        self.components.iter().filter(|it| !it.optional).map(|it| it.least).sum()
    }

    /// Returns the most characters of a value.
    pub fn most(&self) -> usize {
        self.components.iter().map(|it| it.most).sum()
    }
}

static TABLE: LazyLock<Vec<Ai>> = LazyLock::new(|| AI_LINES.lines().filter_map(read).collect());

/// Returns every application identifier, in order.
pub fn table() -> &'static [Ai] {
    &TABLE
}

/// Returns what is known of that application identifier.
///
/// ```
/// assert_eq!(kitwright::domain::gs1::ai("17").map(|it| it.title), Some("USE BY or EXPIRY"));
/// assert!(kitwright::domain::gs1::ai("18").is_none());
/// ```
pub fn ai(identifier: &str) -> Option<&'static Ai> {
    TABLE.iter().find(|it| it.has(identifier))
}

/// Returns the application identifier with which a text starts: no one is the start of another.
pub(super) fn leading(text: &str) -> Option<(&str, &'static Ai)> {
    (2..=4).find_map(|length| {
        let identifier = text.get(..length)?;
        Some((identifier, ai(identifier)?))
    })
}

/// Returns whether an application identifier follows a pattern such as "310n" or "31nn".
pub(super) fn follows(identifier: &str, pattern: &str) -> bool {
    identifier.len() == pattern.len()
        && identifier.chars().zip(pattern.chars()).all(|(it, wanted)| wanted == 'n' || it == wanted)
}

fn read(line: &'static str) -> Option<Ai> {
    let mut columns = line.splitn(5, '|');
    let range = columns.next()?;
    let flags = columns.next()?;
    let components = columns.next()?.split(' ').map(component).collect::<Option<_>>()?;
    let rules = columns.next()?;
    let title = columns.next()?;
    let (first, last) = range.split_once('-').unwrap_or((range, range));
    let rule = |name: &str| rules.split(' ').find_map(|it| it.strip_prefix(name));
    let list = |text: &'static str, by: char| text.split(by).collect::<Vec<_>>();
    let key = match rule("key=") {
        Some(sequences) => Some(sequences.split(';').map(|it| list(it, ',')).collect()),
        None => rules.split(' ').any(|it| it == "key").then(Vec::new),
    };
    Some(Ai {
        first,
        last,
        predefined: flags.contains('p'),
        attribute: flags.contains('a'),
        components,
        needs: rule("req=")
            .map(|it| it.split(',').map(|group| list(group, '+')).collect())
            .unwrap_or_default(),
        excludes: rule("ex=").map(|it| list(it, ',')).unwrap_or_default(),
        key,
        title,
    })
}

/// Reads a component such as `N13,csum` or `[X..17]`.
fn component(text: &str) -> Option<Component> {
    let bare = text.replace(['[', ']'], "");
    let optional = bare.len() != text.len();
    let mut parts = bare.split(',');
    let mut format = parts.next()?.chars();
    let charset = match format.next()? {
        'N' => Charset::Digits,
        'X' => Charset::Set82,
        'Y' => Charset::Set39,
        'Z' => Charset::Set64,
        _ => return None,
    };
    let most: usize = format.as_str().trim_start_matches('.').parse().ok()?;
    let least = if format.as_str().starts_with('.') { 1 } else { most };
    let checks = parts.map(Check::named).collect::<Option<_>>()?;
    Some(Component { charset, least, most, optional, checks })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_line_of_the_table_is_read() {
        assert_eq!(table().len(), AI_LINES.lines().count());
        assert_eq!(table().len(), 224);
        assert!(ai("3105").is_some() && ai("3106").is_none() && ai("310").is_none());
        assert_eq!(ai("253").map(|it| (it.least(), it.most())), Some((13, 30)));
        assert!(ai("00").is_some_and(|it| it.predefined && it.key == Some(Vec::new())));
    }

    #[test]
    fn no_identifier_is_the_start_of_another() {
        for it in table() {
            let shorter = |length| it.first.get(..length).filter(|_| length < it.first.len());
            assert!((2..4).filter_map(shorter).all(|it| ai(it).is_none()), "{}", it.first);
        }
    }
}
