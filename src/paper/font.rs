use std::collections::BTreeSet;
use std::sync::LazyLock;

use printpdf::{FontId, ParsedFont};

use super::PaperError;
use crate::domain::labels::Weight;

/// What stands where a character cannot be printed: the replacement character, a "?" in a lozenge.
const STAND_IN: char = '\u{FFFD}';

/// The fonts of every document.
///
/// # Source
///
/// DejaVu Sans 2.37, regular and bold, and DejaVu Sans Mono Bold, whose zero is marked inside, from
/// the crate `dejavu` 2.37.0.
static FONTS: LazyLock<Option<[ParsedFont; 3]>> = LazyLock::new(|| {
    let parse = |bytes: &[u8]| ParsedFont::from_bytes(bytes, 0, &mut Vec::new());
    Some([
        parse(dejavu::sans::regular())?,
        parse(dejavu::sans::bold())?,
        parse(dejavu::sans_mono::bold())?,
    ])
});

/// Returns the font of that weight.
pub(super) fn font(weight: Weight) -> Result<&'static ParsedFont, PaperError> {
    let [regular, bold, mono] = FONTS.as_ref().ok_or(PaperError::Font)?;
    Ok(match weight {
        Weight::Regular => regular,
        Weight::Bold => bold,
        Weight::Mono => mono,
    })
}

/// Returns the name under which a document holds the font of that weight.
pub(super) fn font_id(weight: Weight) -> FontId {
    FontId(match weight {
        Weight::Regular => "Regular".to_owned(),
        Weight::Bold => "Bold".to_owned(),
        Weight::Mono => "Mono".to_owned(),
    })
}

/// Returns the weight in which a text is set: bold where the fixed-width font lacks a character.
pub(super) fn set_in(weight: Weight, text: &str) -> Weight {
    let lacks = |it: char| printed(it).is_some_and(|it| glyph_of(it, Weight::Mono) == 0);
    if weight == Weight::Mono && text.chars().any(lacks) { Weight::Bold } else { weight }
}

/// Returns the glyph of a character that [`printable`] left; 0 is the box for what is not there.
pub(super) fn glyph_of(character: char, weight: Weight) -> u16 {
    font(weight).ok().and_then(|it| it.lookup_glyph_index(u32::from(character))).unwrap_or(0)
}

/// Returns the width in micrometres of the text as it prints, where an em is `size_um`.
pub fn text_width(text: &str, weight: Weight, size_um: i64) -> i64 {
    let Ok(font) = font(set_in(weight, text)) else { return 0 };
    let units = i64::from(font.font_metrics.units_per_em).max(1);
    let advance = |it: char| {
        let glyph = font.lookup_glyph_index(u32::from(it)).unwrap_or(0);
        i64::from(font.get_horizontal_advance(glyph))
    };
    let advances: i64 = text.chars().filter_map(printed).map(advance).sum();
    (advances * size_um + units - 1) / units
}

/// Returns the characters of the text that cannot be printed, each once, in order of code.
///
/// They are those that no font of ours holds, and those of scripts written from right to left:
/// to print their letters one by one from the left would say something else.
///
/// ```
/// use kitwright::paper::missing_glyphs;
/// assert_eq!(missing_glyphs("Łukasz 中 Ø"), ['中']);
/// ```
pub fn missing_glyphs(text: &str) -> Vec<char> {
    let missing: BTreeSet<char> =
        text.chars().filter(|it| printed(*it) == Some(STAND_IN)).collect();
    missing.into_iter().collect()
}

/// Returns the text as it prints: a stand-in for each missing glyph, a blank for each control.
pub(super) fn printable(text: &str) -> String {
    text.chars().filter_map(printed).collect()
}

/// Returns what prints for a character; `None` for those that only steer how others are joined.
fn printed(character: char) -> Option<char> {
    match character {
        ' '..='~' => Some(character),
        '\u{200B}'..='\u{200F}' | '\u{2060}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' => None,
        it if it.is_control() => Some(' '),
        it if is_right_to_left(it) || !is_held(it) => Some(STAND_IN),
        it => Some(it),
    }
}

const fn is_right_to_left(character: char) -> bool {
    matches!(character,
        '\u{590}'..='\u{8FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFE}'
        | '\u{10800}'..='\u{10FFF}' | '\u{1E800}'..='\u{1EFFF}')
}

fn is_held(character: char) -> bool {
    let holds = |font: &ParsedFont| {
        font.lookup_glyph_index(u32::from(character)).is_some_and(|glyph| glyph != 0)
    };
    FONTS.as_ref().is_some_and(|[regular, bold, _]| holds(regular) && holds(bold))
}
