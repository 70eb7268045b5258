use std::collections::BTreeSet;

use printpdf::{PdfDocument, PdfFont, PdfSaveOptions};

use super::PaperError;
use super::canvas::Canvas;
use super::font::{font, font_id};
use crate::domain::labels::Weight;

/// Returns the note that names what could not be printed, or `None` where everything could.
pub(super) fn note(missing: &BTreeSet<char>) -> Option<String> {
    let code = |it: &char| format!("U+{:04X}", u32::from(*it));
    let codes: Vec<String> = missing.iter().map(code).collect();
    (!codes.is_empty()).then(|| format!("not printable: {}", codes.join(", ")))
}

/// Returns the pages as one PDF, with only those glyphs of the fonts that they use.
pub(super) fn save(title: &str, pages: Vec<Canvas>) -> Result<Vec<u8>, PaperError> {
    let mut document = PdfDocument::new(title);
    for weight in [Weight::Regular, Weight::Bold] {
        let font = PdfFont::new(font(weight)?.clone());
        document.resources.fonts.map.insert(font_id(weight), font);
    }
    document.with_pages(pages.into_iter().map(Canvas::into_page).collect());
    Ok(document.save(&PdfSaveOptions::default(), &mut Vec::new()))
}
