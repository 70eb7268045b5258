/// Why a text is no GS1 number, or why none can be built.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Gs1Error {
    /// The number has another count of characters than any of its kind.
    #[error("'{text}' has {found} characters, and a {kind} has {expected}")]
    Length {
        /// The text as it was given.
        text: String,
        /// Which number was wanted.
        kind: &'static str,
        /// The counts that are right.
        expected: &'static str,
        /// The count that was found.
        found: usize,
    },
    /// A character is no digit; a capital O is not taken for a zero.
    #[error(
        "'{text}' has '{character}' at position {position}, where a {kind} has digits 0 to 9 only"
    )]
    NotADigit {
        /// The text as it was given.
        text: String,
        /// Which number was wanted.
        kind: &'static str,
        /// The first character that is no digit.
        character: char,
        /// Where it stands, counted from 1.
        position: usize,
    },
    /// The last digit does not belong to the others.
    #[error(
        "'{text}' ends in {found}, and its other digits ask for {expected}: read the {kind} again"
    )]
    CheckDigit {
        /// The text as it was given.
        text: String,
        /// Which number was wanted.
        kind: &'static str,
        /// The check digit that the other digits ask for.
        expected: char,
        /// The digit that was found.
        found: char,
    },
    /// The indicator of a trade item grouping is outside 1 to 9.
    #[error(
        "{0} is no indicator of a GTIN-14: it runs from 1 to 8, and 9 for goods of varying measure"
    )]
    Indicator(u32),
    /// The extension digit of a logistic unit is outside 0 to 9.
    #[error("{0} is no extension digit of an SSCC: it is one digit, 0 to 9")]
    Extension(u32),
    /// The company prefix is shorter or longer than GS1 issues them.
    #[error(
        "'{0}' is no GS1 company prefix: it has 4 to 12 digits, as stated on the shop's licence"
    )]
    Prefix(String),
    /// The serial reference needs more digits than the prefix leaves.
    #[error("serial {serial} does not fit: after this company prefix an SSCC has {room} digits")]
    Serial {
        /// The serial reference that was asked for.
        serial: u64,
        /// How many digits are left for it.
        room: usize,
    },
}

/// Returns the check digit for `body`, or `None` where it is empty or has anything but digits.
///
/// From the right, every digit counts three times and once in turn; the check digit fills the
/// sum up to the next ten. Two neighbours that differ by five can be swapped unseen.
///
/// # Source
///
/// GS1 General Specifications, section 7.9.1, standard check digit calculations.
///
/// ```
/// use kitwright::domain::gs1::check_digit;
/// assert_eq!(check_digit("952012345678"), Some('8'));
/// assert_eq!(check_digit("95201234567B"), None);
/// ```
pub fn check_digit(body: &str) -> Option<char> {
    if body.is_empty() {
        return None;
    }
    let sum = body.chars().rev().zip([3, 1].into_iter().cycle()).try_fold(
        0_u32,
        |sum, (digit, weight)| {
            let digit = digit.to_digit(10)?;
            Some((sum + digit * weight) % 10)
        },
    )?;
    char::from_digit((10 - sum) % 10, 10)
}

/// Returns the trimmed text as a string of digits whose last one is right.
///
/// # Errors
///
/// [`Gs1Error`] for a letter, a wrong count of digits or a wrong check digit, in this order.
pub(super) fn checked_digits(
    text: &str,
    kind: &'static str,
    lengths: &[usize],
    expected: &'static str,
) -> Result<String, Gs1Error> {
    let number = text.trim();
    let text = || text.to_owned();
    let wrong = number.chars().zip(1_usize..).find(|(character, _)| !character.is_ascii_digit());
    if let Some((character, position)) = wrong {
        return Err(Gs1Error::NotADigit { text: text(), kind, character, position });
    }
    let found = number.len();
    let length = Gs1Error::Length { text: text(), kind, expected, found };
    let mut digits = number.chars();
    match (lengths.contains(&found), digits.next_back()) {
        (true, Some(found)) => match check_digit(digits.as_str()) {
            Some(wanted) if wanted == found => Ok(number.to_owned()),
            Some(expected) => Err(Gs1Error::CheckDigit { text: text(), kind, expected, found }),
            None => Err(length),
        },
        _ => Err(length),
    }
}
