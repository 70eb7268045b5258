use std::collections::BTreeSet;

use super::PaperError;
use super::font::{missing_glyphs, text_width};
use super::label_pdf::LabelPdf;
use super::pdf::note;
use crate::domain::labels::{Facts, LabelError, Layout, Mark, Sheet, Weight, compose, wrap};

/// What labels are printed on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Media {
    /// One label a page, for a label printer.
    Roll,
    /// Sheets of labels, row by row.
    Sheet {
        /// The sheet.
        sheet: Sheet,
        /// The first label of the first sheet that is still free, counted from 1.
        start: u32,
    },
}

/// Returns the marks of a label, set in the fonts of the program.
///
/// # Errors
///
/// As [`compose`].
pub fn label_marks(layout: &Layout, facts: &Facts<'_>) -> Result<Vec<Mark>, LabelError> {
    compose(layout, facts, &text_width)
}

/// Returns a PDF of one label for each set of facts, in this order.
///
/// A page is written as soon as it is composed, and labels alike are written once, so that memory
/// grows with the file and not with the marks. Characters that no font holds print as a stand-in;
/// a note after the last label names them.
///
/// # Errors
///
/// [`PaperError`] for the first label that cannot be composed, and for a grid that does not fit.
pub fn labels(layout: &Layout, facts: &[Facts<'_>], media: &Media) -> Result<Vec<u8>, PaperError> {
    if facts.is_empty() {
        return Err(PaperError::Nothing);
    }
    let mut missing = BTreeSet::new();
    let mut pdf = match media {
        Media::Roll => on_roll(layout, facts, &mut missing)?,
        Media::Sheet { sheet, start } => on_sheets(layout, facts, sheet, *start, &mut missing)?,
    };
    if let Some(note) = note(&missing) {
        let (width, _) = pdf.size();
        pdf.page(|page| page.draw(&note_marks(&note, width), [0, 0]))?;
    }
    pdf.finish(&format!("{} labels", layout.name))
}

fn note_missing(marks: &[Mark], missing: &mut BTreeSet<char>) {
    for mark in marks {
        if let Mark::Text { text, .. } = mark
            && !text.is_ascii()
        {
            missing.extend(missing_glyphs(text));
        }
    }
}

fn on_roll(
    layout: &Layout,
    facts: &[Facts<'_>],
    missing: &mut BTreeSet<char>,
) -> Result<LabelPdf, PaperError> {
    let mut pdf = LabelPdf::new(layout.width_um, layout.height_um);
    for alike in facts.chunk_by(PartialEq::eq) {
        let Some(first) = alike.first() else { continue };
        let marks = label_marks(layout, first)?;
        note_missing(&marks, missing);
        pdf.page(|page| page.draw(&marks, [0, 0]))?;
        (1..alike.len()).for_each(|_| pdf.page_again());
    }
    Ok(pdf)
}

fn on_sheets(
    layout: &Layout,
    facts: &[Facts<'_>],
    sheet: &Sheet,
    start: u32,
    missing: &mut BTreeSet<char>,
) -> Result<LabelPdf, PaperError> {
    let mut corners = sheet.corners(layout, start)?.peekable();
    let mut pdf = LabelPdf::new(sheet.width_um, sheet.height_um);
    let mut labels = facts.iter().peekable();
    while labels.peek().is_some() {
        pdf.page(|page| {
            let mut is_first = true;
            while let Some((corner, turned)) = corners.peek().copied() {
                if turned && !is_first {
                    break;
                }
                let Some(facts) = labels.next() else { break };
                corners.next();
                is_first = false;
                let marks = label_marks(layout, facts)?;
                note_missing(&marks, missing);
                page.draw(&marks, corner)?;
            }
            Ok(())
        })?;
    }
    Ok(pdf)
}

/// Returns the lines of a note, on a page of its own.
fn note_marks(note: &str, width_um: i64) -> Vec<Mark> {
    let (margin, size_um, weight) = (3_000, 3_200, Weight::Bold);
    let lines = wrap(note, width_um - 2 * margin, &|it| text_width(it, weight, size_um));
    let line = |(text, nth): (String, i64)| Mark::Text {
        x_um: margin,
        baseline_um: margin + size_um + nth * size_um * 128 / 100,
        size_um,
        weight,
        text,
    };
    lines.into_iter().zip(0..).map(line).collect()
}
