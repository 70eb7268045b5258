use std::fmt;
use std::str::FromStr;

/// Text names no paper that a printer may hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{0}' is no size of paper: take a4, letter, or width x height of a label in mm, such as 100x50 or 57.5x32, each from 5 to 500"
)]
pub struct PrinterMediaError(pub String);

/// What a printer is loaded with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PrinterMedia {
    /// Sheets of 210 mm by 297 mm.
    A4,
    /// Sheets of 8.5 in by 11 in.
    Letter,
    /// A roll of labels.
    Label {
        /// Across the roll, in µm.
        width_um: i64,
        /// Along the roll, in µm.
        height_um: i64,
    },
}

/// How far two sizes may differ and be the same paper, in µm: makers round to whole millimetres.
const SAME_UM: u64 = 1_000;

impl PrinterMedia {
    /// Returns width and height in µm.
    ///
    /// # Source
    ///
    /// A4: ISO 216. Letter: 8.5 in by 11 in of 25.4 mm.
    pub const fn size_um(self) -> (i64, i64) {
        match self {
            Self::A4 => (210_000, 297_000),
            Self::Letter => (215_900, 279_400),
            Self::Label { width_um, height_um } => (width_um, height_um),
        }
    }

    /// Returns the size in words, such as `100 × 50 mm`.
    pub fn words(self) -> String {
        match self {
            Self::A4 => "A4".to_owned(),
            Self::Letter => "Letter".to_owned(),
            Self::Label { width_um, height_um } => {
                format!("{} × {} mm", mm(width_um), mm(height_um))
            }
        }
    }

    /// Returns whether a page of that size fits on it, to the millimetre.
    pub fn holds(self, (width_um, height_um): (i64, i64)) -> bool {
        let (width, height) = self.size_um();
        let within = |page: i64, paper: i64| page <= paper || page.abs_diff(paper) <= SAME_UM;
        within(width_um, width) && within(height_um, height)
    }

    /// Returns which of the media that a printer names is this one; `None` where it names none of
    /// that size.
    ///
    /// # Source
    ///
    /// PWG 5101.1: a self-describing name ends in its size, `_210x297mm` or `_8.5x11in`.
    pub fn named_by<'a>(self, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
        let (width, height) = self.size_um();
        let is_same = |it: &&str| {
            described(it)
                .is_some_and(|(w, h)| w.abs_diff(width) <= SAME_UM && h.abs_diff(height) <= SAME_UM)
        };
        names.into_iter().find(is_same)
    }
}

/// Returns the size in µm that a self-describing name of a medium ends in.
fn described(name: &str) -> Option<(i64, i64)> {
    let size = name.rsplit('_').next()?;
    let (size, unit_um) = match (size.strip_suffix("mm"), size.strip_suffix("in")) {
        (Some(size), _) => (size, 1_000),
        (None, Some(size)) => (size, 25_400),
        (None, None) => return None,
    };
    let (width, height) = size.split_once('x')?;
    Some((scaled(width, unit_um)?, scaled(height, unit_um)?))
}

/// Returns a decimal number of a unit in µm, cut to whole ones.
fn scaled(text: &str, unit_um: i64) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let plain = |it: &str| {
        let digits = !it.is_empty() && it.len() <= 6 && it.bytes().all(|it| it.is_ascii_digit());
        digits.then(|| it.parse::<i64>().ok()).flatten()
    };
    let tens = 10_i64.checked_pow(u32::try_from(part.len()).ok()?)?;
    let part = plain(part)?.checked_mul(unit_um)?.checked_div(tens)?;
    plain(whole)?.checked_mul(unit_um)?.checked_add(part)
}

fn mm(um: i64) -> String {
    let text = format!("{}.{:03}", um / 1_000, um % 1_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl fmt::Display for PrinterMedia {
    /// Writes the word that is stored and read.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::A4 => f.write_str("a4"),
            Self::Letter => f.write_str("letter"),
            Self::Label { width_um, height_um } => {
                write!(f, "{}x{}", mm(width_um), mm(height_um))
            }
        }
    }
}

impl FromStr for PrinterMedia {
    type Err = PrinterMediaError;

    fn from_str(text: &str) -> Result<Self, PrinterMediaError> {
        let word = text.trim().to_lowercase().replace('×', "x").replace(',', ".");
        match word.as_str() {
            "a4" => return Ok(Self::A4),
            "letter" => return Ok(Self::Letter),
            _ => {}
        }
        let fault = || PrinterMediaError(text.trim().to_owned());
        let size = word.strip_suffix("mm").unwrap_or(&word);
        let (width, height) = size.split_once('x').ok_or_else(fault)?;
        let side = |it: &str| {
            let um = scaled(it.trim(), 1_000).ok_or_else(fault)?;
            if (5_000..=500_000).contains(&um) { Ok(um) } else { Err(fault()) }
        };
        Ok(Self::Label { width_um: side(width)?, height_um: side(height)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: Option<&str>) {
        let read = text.parse::<PrinterMedia>().ok().map(|it| it.to_string());
        assert_eq!(read.as_deref(), expected, "{text}");
    }

    #[test]
    fn sizes() {
        check("A4", Some("a4"));
        check(" letter ", Some("letter"));
        check("100x50", Some("100x50"));
        check("57.5 × 32 mm", Some("57.5x32"));
        check("57,5x32", Some("57.5x32"));
        check("5x5", Some("5x5"));
        for wrong in
            ["4.999x5", "501x50", "100", "100x", "x50", "-100x50", "a5", "1e2x50", "1.2.3x4"]
        {
            check(wrong, None);
        }
    }

    #[test]
    fn a_printers_own_names() {
        let names = ["na_letter_8.5x11in", "iso_a4_210x297mm", "oe_label_4x6in", "custom_x_max"];
        let named = |media: &str| {
            let media: PrinterMedia = media.parse().unwrap();
            media.named_by(names)
        };
        assert_eq!(named("a4"), Some("iso_a4_210x297mm"));
        assert_eq!(named("letter"), Some("na_letter_8.5x11in"));
        assert_eq!(named("102x152"), Some("oe_label_4x6in"));
        assert_eq!(named("103x152"), None);
    }

    #[test]
    fn what_fits() {
        let roll: PrinterMedia = "100x50".parse().unwrap();
        assert!(roll.holds((100_000, 50_000)) && roll.holds((101_000, 20_000)));
        assert!(!roll.holds((101_001, 50_000)) && !roll.holds((50_000, 100_000)));
    }
}
