use std::fmt;
use std::str::FromStr;

use super::{Finding, FitError, Rule};
use crate::units::Length;

/// How a headset sits in the head tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeadsetType {
    /// The cup stands outside the tube.
    External,
    /// The cup lies inside the tube.
    ZeroStack,
    /// The bearing lies in the tube itself, without a cup.
    Integrated,
}

impl HeadsetType {
    /// Returns all types.
    pub const ALL: [Self; 3] = [Self::External, Self::ZeroStack, Self::Integrated];

    /// Returns the letters of the scheme.
    pub const fn letters(self) -> &'static str {
        match self {
            Self::External => "EC",
            Self::ZeroStack => "ZS",
            Self::Integrated => "IS",
        }
    }
}

/// One half of a headset: what it goes into, and what goes through it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeadsetHalf {
    /// How it sits.
    pub kind: HeadsetType,
    /// The nominal bore of the head tube at this end.
    pub bore: Length,
    /// The steerer in the upper half, the nominal crown seat in the lower.
    pub inner: Length,
}

/// A headset's code: its upper and its lower half.
///
/// ```
/// use kitwright::domain::fit::HeadsetCode;
/// let code: HeadsetCode = "ec34/28,6|EC34/30".parse()?;
/// assert_eq!(code.to_string(), "EC34/28.6 | EC34/30");
/// # Ok::<(), kitwright::domain::fit::FitError>(())
/// ```
///
/// # Source
///
/// Headset identification scheme (SHIS), as published in 2011.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeadsetCode {
    /// The half at the stem.
    pub upper: HeadsetHalf,
    /// The half at the fork's crown.
    pub lower: HeadsetHalf,
}

impl FromStr for HeadsetCode {
    type Err = FitError;

    /// Reads a code as people type it: in either case, with spaces, with a decimal comma. Nothing
    /// that is missing is guessed.
    fn from_str(text: &str) -> Result<Self, FitError> {
        let halves: Vec<&str> = text.split('|').map(str::trim).collect();
        let [upper, lower] = halves.as_slice() else {
            let count = halves.iter().filter(|it| !it.is_empty()).count();
            return Err(FitError::Halves { text: text.to_owned(), count });
        };
        if upper.is_empty() || lower.is_empty() {
            let count = usize::from(!upper.is_empty()) + usize::from(!lower.is_empty());
            return Err(FitError::Halves { text: text.to_owned(), count });
        }
        let (upper, lower) = (half(upper, "steerer")?, half(lower, "crown seat")?);
        if upper.bore <= upper.inner {
            let (steerer, bore) = (upper.inner, upper.bore);
            return Err(FitError::SteererTooWide { text: text.to_owned(), steerer, bore });
        }
        Ok(Self { upper, lower })
    }
}

fn half(text: &str, inner: &'static str) -> Result<HeadsetHalf, FitError> {
    let (outer, through) = match text.split_once('/') {
        Some((outer, through)) => (outer.trim_end(), Some(through.trim())),
        None => (text, None),
    };
    let (kind, bore) = kind_and_bore(text, outer)?;
    let bore = diameter(text, bore, "bore")?;
    match through {
        None | Some("") => Err(FitError::InnerMissing { text: text.to_owned() }),
        Some(through) => Ok(HeadsetHalf { kind, bore, inner: diameter(text, through, inner)? }),
    }
}

/// Parts the letters from the number behind them.
pub(super) fn kind_and_bore<'a>(
    text: &str,
    outer: &'a str,
) -> Result<(HeadsetType, &'a str), FitError> {
    let number = outer.trim_start_matches(|it: char| it.is_alphabetic());
    let letters = outer.strip_suffix(number).unwrap_or_default();
    let known = HeadsetType::ALL.into_iter().find(|it| it.letters().eq_ignore_ascii_case(letters));
    let kind = known.ok_or_else(|| FitError::HeadsetType {
        text: text.to_owned(),
        found: letters.to_owned(),
    })?;
    Ok((kind, number.trim_start()))
}

/// Reads a diameter with a point or a comma; it must be above zero.
pub(super) fn diameter(text: &str, number: &str, what: &'static str) -> Result<Length, FitError> {
    if number.starts_with(['-', '\u{2212}']) {
        return Err(FitError::Negative { text: text.to_owned(), what });
    }
    let (found, text) = (number.to_owned(), text.to_owned());
    match Length::parse_millimetres(&number.replacen(',', ".", 1)) {
        Ok(length) if Length::ZERO < length => Ok(length),
        Ok(_) | Err(_) => Err(FitError::NotANumber { text, found, what }),
    }
}

impl fmt::Display for HeadsetHalf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}/{}", self.kind.letters(), bare(self.bore), bare(self.inner))
    }
}

impl fmt::Display for HeadsetCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} | {}", self.upper, self.lower)
    }
}

/// Writes a length without its unit, as codes do.
fn bare(length: Length) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}

/// Crown seats as measured, and the nominal number that codes give them.
///
/// # Source
///
/// From memory, unconfirmed.
const CROWN_SEATS: [(i64, i64); 5] =
    [(26_400, 26_000), (27_000, 27_000), (30_000, 30_000), (33_000, 33_000), (39_800, 40_000)];

/// Returns the nominal number of a crown seat that is given as measured or by its nominal number.
///
/// # Source
///
/// From memory, unconfirmed: 26.4, 27.0, 30.0, 33.0 and 39.8 mm are called 26, 27, 30, 33 and 40.
pub fn nominal_seat(seat: Length) -> Length {
    let found = CROWN_SEATS.iter().find(|it| it.0 == seat.micrometres());
    found.map_or(seat, |it| Length::from_micrometres(it.1))
}

/// Returns whether a fork goes with a headset: its steerer is the upper inner number, its crown
/// seat the lower one.
pub fn fork_headset(steerer: Length, crown_seat: Length, headset: &HeadsetCode) -> Finding {
    let seat = nominal_seat(crown_seat);
    let mut faults = Vec::new();
    if steerer != headset.upper.inner {
        faults.push(format!("the steerer is {steerer}, and {} takes {}", headset.upper, {
            headset.upper.inner
        }));
    }
    if seat != headset.lower.inner {
        let race = headset.lower.inner;
        let way = if seat < race { "falls over" } else { "does not go over" };
        faults.push(format!(
            "the crown seat is {crown_seat}, and the race of {} is {race}: it {way} the seat",
            headset.lower
        ));
    }
    let fits = faults.is_empty();
    let reason = match fits {
        true => format!("steerer {steerer} and crown seat {crown_seat} are those of {headset}"),
        false => faults.join("; "),
    };
    Finding::of(Rule::ForkHeadset, fits, reason)
}

/// Returns whether a frame's nominal bores are those of the headset's code.
pub fn frame_headset(upper: Length, lower: Length, headset: &HeadsetCode) -> Finding {
    let ends = [("upper", upper, headset.upper), ("lower", lower, headset.lower)];
    let faults: Vec<String> = ends
        .into_iter()
        .filter(|(_, bore, half)| *bore != half.bore)
        .map(|(end, bore, half)| {
            format!("the {end} bore is {bore}, and {half} goes into {}", half.bore)
        })
        .collect();
    let fits = faults.is_empty();
    let reason = match fits {
        true => format!("bores {upper} and {lower} are those of {headset}"),
        false => faults.join("; "),
    };
    Finding::of(Rule::FrameHeadset, fits, reason)
}
