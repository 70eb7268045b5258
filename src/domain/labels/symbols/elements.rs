/// A text is no list of GS1 elements.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is no list of GS1 elements such as (01)09520123456788(10)LOT7A")]
pub struct ElementsError(pub String);

/// One element: its application identifier and value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Element<'a> {
    /// Two to four digits.
    pub ai: &'a str,
    /// What it says; never empty.
    pub value: &'a str,
    /// A separator (FNC1) stands before the next element: the AI does not fix the value's length,
    /// and this is not the last.
    pub separated: bool,
}

/// Returns the elements of a text written "(01)09520123456788(10)LOT7A".
///
/// # Errors
///
/// [`ElementsError`] where brackets do not match, or an AI is no 2 to 4 digits.
///
/// # Source
///
/// GS1 General Specifications, section 7.8.5 and figure 7.8.5-2 (predefined lengths).
pub fn elements(text: &str) -> Result<Vec<Element<'_>>, ElementsError> {
    let fault = || ElementsError(text.to_owned());
    let mut found: Vec<Element<'_>> = Vec::new();
    for element in text.strip_prefix('(').ok_or_else(fault)?.split('(') {
        let (ai, value) = element.split_once(')').ok_or_else(fault)?;
        let is_ai = (2..=4).contains(&ai.len()) && ai.bytes().all(|it| it.is_ascii_digit());
        if !is_ai || value.is_empty() {
            return Err(fault());
        }
        if let Some(before) = found.last_mut() {
            before.separated = !has_predefined_length(before.ai);
        }
        found.push(Element { ai, value, separated: false });
    }
    Ok(found)
}

/// Returns the elements as a reader sends them, without the first FNC1: U+001D separates.
pub(super) fn message(text: &str) -> Result<String, ElementsError> {
    let mut message = String::new();
    for it in elements(text)? {
        message.push_str(it.ai);
        message.push_str(it.value);
        if it.separated {
            message.push('\u{1D}');
        }
    }
    Ok(message)
}

/// Returns whether the AI fixes the length of its value, so that no separator follows it.
fn has_predefined_length(ai: &str) -> bool {
    let leading: u32 =
        ai.chars().take(2).fold(0, |sum, it| sum * 10 + it.to_digit(10).unwrap_or(0));
    matches!(leading, 0..=4 | 11..=20 | 31..=36 | 41)
}
