use std::fmt;

use super::ai::{Ai, Component, ai, follows, leading};
use super::check::Flaw;

/// The character that a scanner sends for FNC1 between two elements.
pub const GS: char = '\u{1d}';

/// One value with its application identifier, such as (10) and LOT7A.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Element {
    /// The application identifier, 2 to 4 digits.
    pub ai: String,
    /// The value, as it is encoded.
    pub value: String,
}

impl Element {
    /// Returns the element's data title; empty where the standard gives it none.
    pub fn title(&self) -> &'static str {
        ai(&self.ai).map(|it| it.title).unwrap_or_default()
    }
}

/// As human readable interpretation prints it: "(10) LOT7A".
///
/// # Source
///
/// GS1 General Specifications, section 4.14, human readable interpretation rules.
impl fmt::Display for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "({}) {}", self.ai, self.value)
    }
}

/// Why a text is no right set of GS1 elements.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct ElementError {
    /// What kind of fault it is; never changes once released.
    pub code: &'static str,
    /// The application identifier that it is about; empty where it is about none.
    pub ai: String,
    /// The character of the text at which it shows, from 1; 0 where it is about the whole.
    pub at: usize,
    /// What is wrong, and what would be right.
    pub message: String,
}

impl ElementError {
    pub(super) fn new(code: &'static str, at: usize, message: impl Into<String>) -> Self {
        Self { code, ai: String::new(), at, message: message.into() }
    }

    pub(super) fn of(mut self, identifier: &str) -> Self {
        identifier.clone_into(&mut self.ai);
        self
    }
}

impl fmt::Display for ElementError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if 0 < self.at {
            write!(f, "at character {}: ", self.at)?;
        }
        if !self.ai.is_empty() {
            let title = ai(&self.ai).map(|it| it.title).unwrap_or_default();
            write!(f, "({}) {title}: ", self.ai)?;
        }
        f.write_str(&self.message)
    }
}

/// Returns a text with its control characters named: `<GS>`, `<RS>`, `<EOT>`.
pub fn shown(text: &str) -> String {
    let name = |it: char| match it {
        GS => "<GS>".to_owned(),
        '\u{1e}' => "<RS>".to_owned(),
        '\u{4}' => "<EOT>".to_owned(),
        it if it.is_control() => format!("<U+{:04X}>", u32::from(it)),
        it => it.to_string(),
    };
    text.chars().map(name).collect()
}

/// Returns the elements of an element string, as a scanner sends it after the symbology
/// identifier: FNC1 as [`GS`]. Each is checked by itself; how they go together is for
/// [`super::check_pairs`] and [`super::check_needs`]. `year` is the current one.
///
/// A separator after an element of predefined length is taken. One that is missing is found only
/// where the value gets too long: all that fits belongs to the value before it.
///
/// # Errors
///
/// [`ElementError`] at the first character that is wrong.
///
/// # Source
///
/// GS1 General Specifications, section 7.8, processing of data from a GS1 symbology.
///
/// ```
/// use kitwright::domain::gs1::parse_elements;
/// let read = parse_elements("010952012345678810LOT7A\u{1d}21SN42", 2026)?;
/// assert_eq!(read[2].to_string(), "(21) SN42");
/// # Ok::<(), kitwright::domain::gs1::ElementError>(())
/// ```
pub fn parse_elements(text: &str, year: i32) -> Result<Vec<Element>, ElementError> {
    if text.is_empty() {
        let message = "there is no data: an application identifier comes first";
        return Err(ElementError::new("gs1.empty", 0, message));
    }
    let place = |rest: &str| text.chars().count() - rest.chars().count() + 1;
    let mut elements = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let Some((identifier, known)) = leading(rest) else {
            return Err(unknown(rest, place(rest)));
        };
        let data = rest.get(identifier.len()..).unwrap_or_default();
        let field = data.split(GS).next().unwrap_or_default();
        let (value, after) = take(known, field, year).map_err(|flaw| {
            ElementError::new(flaw.code, place(data) + flaw.at, flaw.message).of(identifier)
        })?;
        if !after.is_empty() && !known.predefined {
            return Err(too_long(known, value, place(data)).of(identifier));
        }
        elements.push(Element { ai: identifier.to_owned(), value: value.to_owned() });
        rest = data.get(value.len()..).unwrap_or_default();
        rest = rest.strip_prefix(GS).unwrap_or(rest);
    }
    Ok(elements)
}

fn unknown(rest: &str, at: usize) -> ElementError {
    if rest.starts_with(GS) {
        let message = "a separator <GS> stands where an application identifier should: none \
            comes first, and only one between two elements";
        return ElementError::new("gs1.separator", at, message);
    }
    let start: String = rest.chars().take(4).collect();
    let message = format!(
        "no application identifier begins with {}: a separator may be missing before it, or the \
         symbol is damaged",
        shown(&start)
    );
    ElementError::new("gs1.unknown_ai", at, message)
}

fn too_long(known: &Ai, value: &str, at: usize) -> ElementError {
    let most = known.most();
    let message = format!(
        "the value goes on after {}: it has {most} characters at most, so shorten it, or put a \
         separator <GS> before the next identifier",
        shown(value)
    );
    ElementError::new("gs1.too_long", at + value.chars().count(), message)
}

/// Splits off the value with which a field begins, and checks it.
fn take<'a>(known: &Ai, field: &'a str, year: i32) -> Result<(&'a str, &'a str), Flaw> {
    if field.is_empty() {
        let message = "there is no value".to_owned();
        return Err(Flaw { code: "gs1.no_value", at: 0, message });
    }
    let mut rest = field;
    let mut taken = 0;
    for component in &known.components {
        let end = rest.char_indices().nth(component.most).map_or(rest.len(), |(at, _)| at);
        let (part, after) = rest.split_at_checked(end).unwrap_or_default();
        if part.is_empty() && component.optional {
            break;
        }
        component_of(known, component, part, year)
            .map_err(|flaw| Flaw { at: flaw.at + taken, ..flaw })?;
        taken += part.chars().count();
        rest = after;
    }
    Ok(field.split_at_checked(field.len() - rest.len()).unwrap_or_default())
}

fn component_of(known: &Ai, component: &Component, part: &str, year: i32) -> Result<(), Flaw> {
    let flaw = |code, at, message| Flaw { code, at, message };
    let wrong = part.chars().enumerate().find(|(_, it)| !component.charset.holds(*it));
    if let Some((at, it)) = wrong {
        let message = format!(
            "'{}' may not stand here: take {}",
            shown(&it.to_string()),
            component.charset.words()
        );
        return Err(flaw("gs1.character", at, message));
    }
    let found = part.chars().count();
    if found < component.least {
        let (least, most) = (known.least(), known.most());
        let wanted = if least == most { least.to_string() } else { format!("{least} to {most}") };
        let message = format!("the value ends too soon: it has {wanted} characters");
        return Err(flaw("gs1.too_short", found, message));
    }
    if component.charset == super::Charset::Set64 && part.trim_end_matches('=').contains('=') {
        let at = part.find('=').unwrap_or_default();
        return Err(flaw("gs1.character", at, "'=' stands at the end only".to_owned()));
    }
    component.checks.iter().try_for_each(|check| check.of(part, year))
}

/// Checks one value against its application identifier, and returns the element.
///
/// # Errors
///
/// [`ElementError`], whose place is counted within the value.
pub fn element(identifier: &str, value: &str, year: i32) -> Result<Element, ElementError> {
    let Some(known) = ai(identifier) else {
        let message = format!("({identifier}) is no application identifier of GS1");
        return Err(ElementError::new("gs1.unknown_ai", 0, message));
    };
    let of = |flaw: Flaw| ElementError::new(flaw.code, flaw.at + 1, flaw.message).of(identifier);
    let (taken, after) = take(known, value, year).map_err(of)?;
    if !after.is_empty() {
        return Err(too_long(known, taken, 1).of(identifier));
    }
    Ok(Element { ai: identifier.to_owned(), value: value.to_owned() })
}

/// Returns the elements of a text as people write them: "(01)09520123456788(10)LOT7A".
///
/// Blanks after a closing parenthesis are dropped; a parenthesis within a value stands as it is
/// where it begins no identifier, or after a backslash.
///
/// # Errors
///
/// [`ElementError`].
pub fn parse_bracketed(text: &str, year: i32) -> Result<Vec<Element>, ElementError> {
    let mut elements = Vec::new();
    let mut rest = text.trim();
    if rest.is_empty() {
        return Err(ElementError::new("gs1.empty", 0, "there is no data: write (01)095..."));
    }
    while !rest.is_empty() {
        let at = text.trim_end().chars().count() - rest.chars().count() + 1;
        let Some((identifier, data)) = opening(rest) else {
            let message =
                "an application identifier in parentheses should stand here, such as (01)";
            return Err(ElementError::new("gs1.unknown_ai", at, message));
        };
        let data = data.trim_start();
        let end = data
            .char_indices()
            .find(|(at, it)| {
                let (before, from) = data.split_at_checked(*at).unwrap_or_default();
                *it == '(' && !before.ends_with('\\') && opening(from).is_some()
            })
            .map_or(data.len(), |(at, _)| at);
        let (value, after) = data.split_at_checked(end).unwrap_or_default();
        let value = value.trim_end().replace("\\(", "(");
        let shift = at + identifier.len() + 1;
        elements.push(element(identifier, &value, year).map_err(|it| ElementError {
            at: if it.code == "gs1.unknown_ai" { at } else { it.at + shift },
            ..it
        })?);
        rest = after;
    }
    Ok(elements)
}

/// Splits "(10)LOT" into its identifier and what follows.
fn opening(text: &str) -> Option<(&str, &str)> {
    let (identifier, rest) = text.strip_prefix('(')?.split_once(')')?;
    let digits = identifier.chars().all(|it| it.is_ascii_digit());
    (digits && (2..=4).contains(&identifier.len())).then_some((identifier, rest))
}

/// Returns the element string of elements, with [`GS`] only where one is needed.
pub fn element_string(elements: &[Element]) -> String {
    let mut text = String::new();
    for (at, element) in elements.iter().enumerate() {
        text.push_str(&element.ai);
        text.push_str(&element.value);
        let predefined = ai(&element.ai).is_some_and(|it| it.predefined);
        if !predefined && at + 1 < elements.len() {
            text.push(GS);
        }
    }
    text
}

/// Returns elements with their identifiers in parentheses: "(01)09520123456788(10)LOT7A".
pub fn bracketed(elements: &[Element]) -> String {
    let one = |it: &Element| format!("({}){}", it.ai, it.value.replace('(', "\\("));
    elements.iter().map(one).collect()
}

/// Checks that no two elements contradict each other: pairs that exclude each other, and one
/// identifier with two values. The same value twice is taken.
///
/// # Errors
///
/// [`ElementError`], `gs1.excluded` or `gs1.repeated`.
///
/// # Source
///
/// GS1 General Specifications, section 4.13.1, invalid pairs of element strings.
pub fn check_pairs(elements: &[Element]) -> Result<(), ElementError> {
    for element in elements {
        let Some(known) = ai(&element.ai) else { continue };
        for other in elements.iter().filter(|it| it.ai != element.ai) {
            if known.excludes.iter().any(|it| follows(&other.ai, it)) {
                let message = format!(
                    "({}) and ({}) exclude each other: leave one out",
                    element.ai, other.ai
                );
                return Err(ElementError::new("gs1.excluded", 0, message).of(&element.ai));
            }
        }
    }
    for (at, element) in elements.iter().enumerate() {
        let later = elements.iter().skip(at + 1);
        if let Some(other) =
            later.into_iter().find(|it| it.ai == element.ai && it.value != element.value)
        {
            let message = format!(
                "it stands twice with two values, {} and {}: two labels were read as one, or one is wrong",
                element.value, other.value
            );
            return Err(ElementError::new("gs1.repeated", 0, message).of(&element.ai));
        }
    }
    Ok(())
}

/// Checks that each element has beside it what it needs to mean something: a lot its article.
///
/// # Errors
///
/// [`ElementError`], `gs1.missing`.
///
/// # Source
///
/// GS1 General Specifications, section 4.13.2, mandatory association of element strings.
pub fn check_needs(elements: &[Element]) -> Result<(), ElementError> {
    for element in elements {
        let Some(known) = ai(&element.ai) else { continue };
        let there = |pattern: &&str| {
            elements.iter().any(|it| it.ai != element.ai && follows(&it.ai, pattern))
        };
        if known.needs.is_empty() || known.needs.iter().any(|group| group.iter().all(there)) {
            continue;
        }
        let group = |it: &Vec<&str>| {
            it.iter().map(|ai| format!("({ai})")).collect::<Vec<_>>().join(" with ")
        };
        let groups: Vec<String> = known.needs.iter().map(group).collect();
        let message =
            format!("it means nothing by itself: {} must stand beside it", groups.join(" or "));
        return Err(ElementError::new("gs1.missing", 0, message).of(&element.ai));
    }
    Ok(())
}
