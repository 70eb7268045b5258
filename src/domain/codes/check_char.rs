/// The 36 characters of ISO/IEC 7064 MOD 37,36, in order of value.
const ALPHABET: &[u8; 36] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

fn value(character: u8) -> Option<u32> {
    ALPHABET.iter().zip(0_u32..).find(|(it, _)| **it == character).map(|(_, value)| value)
}

/// Returns the running product of the pure hybrid system after all of `body`, or `None` where a
/// character is outside 0-9 and A-Z.
fn product(body: &str) -> Option<u32> {
    body.bytes().try_fold(36, |product, character| {
        let sum = (product + value(character)?) % 36;
        Some(if sum == 0 { 36 } else { sum } * 2 % 37)
    })
}

/// Returns the check character for `body`, or `None` where a character is outside 0-9 and A-Z.
///
/// The check character is one of the same 36, so it may be the letter O or I.
///
/// # Source
///
/// ISO/IEC 7064:2003, hybrid system MOD 37,36. The standard's own example: A12425GABC1234002
/// has the check character M.
///
/// ```
/// use kitwright::domain::codes::check_char;
/// assert_eq!(check_char("A12425GABC1234002"), Some('M'));
/// assert_eq!(check_char("FR101"), Some('O'));
/// ```
pub fn check_char(body: &str) -> Option<char> {
    let wanted = (37 - product(body)?) % 36;
    ALPHABET.iter().zip(0_u32..).find(|(_, value)| *value == wanted).map(|(it, _)| char::from(*it))
}

/// Returns whether the last character of `text` is the check character of all before it.
pub fn has_valid_check(text: &str) -> bool {
    let mut characters = text.chars();
    match characters.next_back() {
        Some(last) => {
            !characters.as_str().is_empty() && check_char(characters.as_str()) == Some(last)
        }
        None => false,
    }
}
