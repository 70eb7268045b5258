use std::collections::BTreeSet;

use super::canvas::{Canvas, Frame, Style, Tone};
use super::flow::{PAGE_HEIGHT, PAGE_WIDTH};
use super::font::text_width;
use super::pdf::{note, save};
use super::{PaperError, flow};
use crate::domain::labels::{Facts, Layout, Mark, compose};

/// What labels are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Media {
    /// One label a page, for a label printer.
    Roll,
    /// A grid in the middle of A4 sheets, row by row.
    A4 {
        /// Labels side by side.
        columns: u32,
        /// Labels one below the other.
        rows: u32,
        /// The first label of the first sheet that is still free, counted from 1.
        start: u32,
    },
}

/// Returns a PDF of one label for each set of facts, in this order.
///
/// Characters that no font holds print as a stand-in; a note after the last label names them.
///
/// # Errors
///
/// [`PaperError`] for the first label that cannot be composed, and for a grid that does not fit.
pub fn labels(layout: &Layout, facts: &[Facts<'_>], media: Media) -> Result<Vec<u8>, PaperError> {
    if facts.is_empty() {
        return Err(PaperError::Nothing);
    }
    let composed: Result<Vec<_>, _> =
        facts.iter().map(|it| compose(layout, it, &text_width)).collect();
    let pages = match media {
        Media::Roll => on_roll(layout, &composed?)?,
        Media::A4 { columns, rows, start } => {
            on_sheets(layout, &composed?, [columns, rows], start)?
        }
    };
    save(&format!("{} labels", layout.name), pages)
}

fn missing_on(pages: &[Canvas]) -> BTreeSet<char> {
    pages.iter().flat_map(|it| it.missing().iter().copied()).collect()
}

fn on_roll(layout: &Layout, labels: &[Vec<Mark>]) -> Result<Vec<Canvas>, PaperError> {
    let blank = || Canvas::new(layout.width_um, layout.height_um);
    let mut pages = Vec::new();
    for marks in labels {
        let mut page = blank();
        draw(&mut page, marks, [0, 0])?;
        pages.push(page);
    }
    if let Some(note) = note(&missing_on(&pages)) {
        let mut page = blank();
        page.wrapped(3_000, 3_000, layout.width_um - 6_000, Style::new(3_200).bold(), &note);
        pages.push(page);
    }
    Ok(pages)
}

fn on_sheets(
    layout: &Layout,
    labels: &[Vec<Mark>],
    [columns, rows]: [u32; 2],
    start: u32,
) -> Result<Vec<Canvas>, PaperError> {
    let (across, down) = (i64::from(columns), i64::from(rows));
    let left = (PAGE_WIDTH - across * layout.width_um) / 2;
    let top = (PAGE_HEIGHT - down * layout.height_um) / 2;
    let most_columns = PAGE_WIDTH / layout.width_um;
    let most_rows = PAGE_HEIGHT / layout.height_um;
    if !(1..=most_columns).contains(&across) || !(1..=most_rows).contains(&down) {
        return Err(PaperError::Grid { columns, rows, most_columns, most_rows });
    }
    let last = columns.saturating_mul(rows);
    if !(1..=last).contains(&start) {
        return Err(PaperError::Start { start, last });
    }
    let mut pages = vec![Canvas::new(PAGE_WIDTH, PAGE_HEIGHT)];
    let mut place = i64::from(start) - 1;
    for marks in labels {
        if place == across * down {
            place = 0;
            pages.push(Canvas::new(PAGE_WIDTH, PAGE_HEIGHT));
        }
        let corner =
            [left + place % across * layout.width_um, top + place / across * layout.height_um];
        if let Some(page) = pages.last_mut() {
            draw(page, marks, corner)?;
        }
        place += 1;
    }
    add_note(&mut pages, top);
    Ok(pages)
}

/// Puts the note below the last grid, or on a page of its own where the grid leaves no margin.
fn add_note(pages: &mut Vec<Canvas>, margin: i64) {
    let Some(note) = note(&missing_on(pages)) else { return };
    if margin < 9_000 {
        pages.push(Canvas::new(PAGE_WIDTH, PAGE_HEIGHT));
    }
    if let Some(page) = pages.last_mut() {
        page.wrapped(flow::LEFT, PAGE_HEIGHT - 8_000, flow::WIDTH, flow::SMALL.bold(), &note);
    }
}

fn draw(page: &mut Canvas, marks: &[Mark], [left, top]: [i64; 2]) -> Result<(), PaperError> {
    for mark in marks {
        match mark {
            Mark::Text { x_um, baseline_um, size_um, weight, text } => {
                let style = Style { size_um: *size_um, weight: *weight, tone: Tone::Ink };
                page.text(left + x_um, top + baseline_um, style, text);
            }
            Mark::Code128 { x_um, y_um, height_um, module_um, symbol, .. } => {
                page.bars(symbol, [left + x_um, top + y_um], *module_um, *height_um)?;
            }
            Mark::Qr { x_um, y_um, module_um, symbol, .. } => {
                page.qr(symbol, [left + x_um, top + y_um], *module_um);
            }
            Mark::Box { x_um, y_um, width_um, height_um, line_um } => {
                let frame = Frame::new(left + x_um, top + y_um, *width_um, *height_um);
                match line_um {
                    Some(line) => page.outline(frame, *line, Tone::Ink),
                    None => page.fill(frame, Tone::Ink),
                }
            }
        }
    }
    Ok(())
}
