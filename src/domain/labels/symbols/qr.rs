use qrcode::bits::Bits;
use qrcode::{Color, EcLevel, QrCode, Version};

use super::{ElementsError, elements};

/// The text is longer than the largest QR symbol holds.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("a QR code cannot hold these {bytes} bytes: shorten the link")]
pub struct QrError {
    /// The length of the text.
    pub bytes: usize,
}

/// How much of a QR symbol may be lost and still be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Correction {
    /// About 7 of 100 codewords.
    L,
    /// About 15.
    M,
    /// About 25.
    Q,
    /// About 30.
    H,
}

impl Correction {
    const fn level(self) -> EcLevel {
        match self {
            Self::L => EcLevel::L,
            Self::M => EcLevel::M,
            Self::Q => EcLevel::Q,
            Self::H => EcLevel::H,
        }
    }
}

/// The modules of a QR symbol, without its quiet zone.
///
/// # Source
///
/// ISO/IEC 18004:2015, model 2; error correction level M where nothing else is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QrSymbol {
    rows: Vec<Vec<bool>>,
}

impl QrSymbol {
    /// The width of the quiet zone on each side, in modules.
    pub const QUIET_MODULES: i64 = 4;

    /// Returns the smallest symbol that holds the text.
    ///
    /// # Errors
    ///
    /// [`QrError`] when the text is too long for any symbol.
    pub fn of(text: &str) -> Result<Self, QrError> {
        Self::corrected(text, Correction::M)
    }

    /// Returns the smallest symbol that holds the text with that error correction.
    ///
    /// # Errors
    ///
    /// [`QrError`] when the text is too long for any symbol.
    pub fn corrected(text: &str, correction: Correction) -> Result<Self, QrError> {
        smallest(text.as_bytes(), correction, false)
    }

    /// Returns the smallest GS1 QR symbol of elements in brackets, "(01)09520123456788".
    ///
    /// # Errors
    ///
    /// [`ElementsError`] where the brackets do not match; a list too long for any symbol is
    /// refused as well.
    pub fn of_elements(text: &str) -> Result<Self, ElementsError> {
        let message = elements::message(text)?;
        // In alphanumeric mode "%" separates, and "%%" is the character; bytes keep U+001D.
        let escaped = message.replace('%', "%%").replace('\u{1D}', "%");
        let message = if escaped.bytes().all(is_alphanumeric) { escaped } else { message };
        smallest(message.as_bytes(), Correction::M, true)
            .map_err(|_| ElementsError(text.to_owned()))
    }

    /// Returns the rows from the top, each from the left; a dark module is true.
    pub fn rows(&self) -> &[Vec<bool>] {
        &self.rows
    }

    /// Returns the version, 1 to 40: each adds four modules to a side.
    pub fn version(&self) -> usize {
        self.rows.len().saturating_sub(17) / 4
    }

    /// Returns the modules along one side with the quiet zones.
    pub fn side_with_quiet(&self) -> i64 {
        i64::try_from(self.rows.len()).unwrap_or(i64::MAX / 2) + 2 * Self::QUIET_MODULES
    }
}

/// Returns the symbol of the first version that holds the message.
fn smallest(message: &[u8], correction: Correction, is_gs1: bool) -> Result<QrSymbol, QrError> {
    let (level, fault) = (correction.level(), || QrError { bytes: message.len() });
    for version in 1..=40 {
        let version = Version::Normal(version);
        let Some(bits) = filled(message, version, level, is_gs1) else { continue };
        let symbol = QrCode::with_bits(bits, level).map_err(|_| fault())?;
        let dark = |it: &Color| *it == Color::Dark;
        let rows = symbol.to_colors();
        let rows = rows.chunks(symbol.width()).map(|row| row.iter().map(dark).collect()).collect();
        return Ok(QrSymbol { rows });
    }
    Err(fault())
}

fn filled(message: &[u8], version: Version, level: EcLevel, is_gs1: bool) -> Option<Bits> {
    let mut bits = Bits::new(version);
    if is_gs1 {
        bits.push_fnc1_first_position().ok()?;
    }
    let mut rest = message;
    for run in modes(message, version, is_gs1).chunk_by(PartialEq::eq) {
        let (segment, after) = rest.split_at_checked(run.len())?;
        match run.first()? {
            Mode::Numeric => bits.push_numeric_data(segment),
            Mode::Alphanumeric => bits.push_alphanumeric_data(segment),
            Mode::Byte => bits.push_byte_data(segment),
        }
        .ok()?;
        rest = after;
    }
    bits.push_terminator(level).ok()?;
    Some(bits)
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mode {
    Numeric,
    Alphanumeric,
    Byte,
}

const MODES: [Mode; 3] = [Mode::Numeric, Mode::Alphanumeric, Mode::Byte];

impl Mode {
    /// Returns sixths of a bit of one character, if the mode has it.
    const fn sixths(self, character: u8, percent: bool) -> Option<u32> {
        match self {
            Self::Numeric if character.is_ascii_digit() => Some(20),
            Self::Alphanumeric if is_alphanumeric(character) && (percent || character != b'%') => {
                Some(33)
            }
            Self::Byte => Some(48),
            _ => None,
        }
    }

    /// Returns the bits of mode indicator and character count.
    const fn header(self, version: Version) -> u32 {
        let class = match version {
            Version::Normal(..=9) | Version::Micro(_) => 0,
            Version::Normal(..=26) => 1,
            Version::Normal(_) => 2,
        };
        4 + match self {
            Self::Numeric => 10 + 2 * class,
            Self::Alphanumeric => 9 + 2 * class,
            Self::Byte if class == 0 => 8,
            Self::Byte => 16,
        }
    }
}

const fn is_alphanumeric(character: u8) -> bool {
    matches!(character, b'0'..=b'9' | b'A'..=b'Z' | b' ' | b'$' | b'%' | b'*'..=b'+' | b'-'..=b'/' | b':')
}

/// Returns the mode of each character that makes the fewest bits, by a dynamic programme.
///
/// Kanji mode is never chosen: it would read the bytes of UTF-8 as Shift JIS. In a GS1 message
/// that is not alphanumeric throughout, "%" is left to byte mode, where it stands for itself.
fn modes(message: &[u8], version: Version, is_gs1: bool) -> Vec<Mode> {
    let percent = !is_gs1 || message.iter().copied().all(is_alphanumeric);
    let far = u32::MAX / 4;
    let whole_bits = |sixths: u32| sixths.div_ceil(6) * 6;
    let mut costs = MODES.map(|it| it.header(version) * 6);
    let mut steps: Vec<[(Mode, u32); 3]> = Vec::with_capacity(message.len());
    for character in message {
        let stay = MODES.map(|mode| {
            let before = MODES.into_iter().zip(costs).find(|(it, _)| *it == mode);
            let before = before.map_or(far, |(_, cost)| cost);
            (mode, mode.sixths(*character, percent).map_or(far, |it| before + it))
        });
        let ends = MODES.map(|mode| {
            let from_other = |(from, cost): (Mode, u32)| {
                let change = if from == mode { 0 } else { mode.header(version) * 6 };
                let cost = if from == mode { cost } else { whole_bits(cost).min(far) };
                (from, cost + change)
            };
            let best = stay.into_iter().map(from_other).min_by_key(|(_, cost)| *cost);
            best.unwrap_or((mode, far))
        });
        costs = ends.map(|(_, cost)| cost);
        steps.push(ends);
    }
    spelled(&steps, costs)
}

/// Follows the cheapest way back from the end.
fn spelled(steps: &[[(Mode, u32); 3]], costs: [u32; 3]) -> Vec<Mode> {
    let last = MODES.into_iter().zip(costs).min_by_key(|(_, cost)| *cost);
    let mut mode = last.map_or(Mode::Byte, |(mode, _)| mode);
    let mut modes = Vec::with_capacity(steps.len());
    for step in steps.iter().rev() {
        let from = MODES.into_iter().zip(step).find(|(it, _)| *it == mode);
        mode = from.map_or(Mode::Byte, |(_, (from, _))| *from);
        modes.push(mode);
    }
    modes.reverse();
    modes
}
