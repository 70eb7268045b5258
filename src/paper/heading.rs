//! What stands at the top and the end of documents: title, numbers with their bar codes, addresses,
//! lines to sign on.

use super::PaperError;
use super::canvas::{Canvas, Frame, Style, Tone};
use super::flow::{BODY, Cell, Column, Flow, LEFT, RIGHT, SMALL, WIDTH};
use crate::domain::labels::{Code128, QrSymbol};

/// The title of a document.
pub(super) const TITLE: Style = Style::new(8_400).bold();
/// What stands over a part of a document.
pub(super) const HEADING: Style = Style::new(4_200).bold();
/// Width of a bar code module on office paper.
pub(super) const MODULE: i64 = 375;
/// How wide a QR code at the margin is at most.
pub(super) const QR_SIDE: i64 = 31_000;
/// From a code at the margin to the words beside it.
pub(super) const BESIDE: i64 = 8_000;
/// Modules on each side that the bars of a number are kept free by.
const QUIET: i64 = 10;
/// The side of a QR code that stands for bars.
const SMALL_QR: i64 = 20_000;

/// A symbol that holds a document's number.
pub(super) enum NumberCode {
    /// Bars, wherever they can hold the number and fit beside a title.
    Bars(Code128),
    /// A matrix, for numbers that Code 128 lacks letters for and for long ones.
    Matrix(QrSymbol),
}

impl NumberCode {
    /// Returns the symbol of a number.
    ///
    /// # Errors
    ///
    /// [`PaperError::Qr`] where the number is too long for any.
    pub(super) fn of(number: &str) -> Result<Self, PaperError> {
        let bars = number.parse::<Code128>().ok();
        match bars.filter(|it| i64::from(it.module_count()) * MODULE <= WIDTH / 2) {
            Some(bars) => Ok(Self::Bars(bars)),
            None => Ok(Self::Matrix(QrSymbol::of(number)?)),
        }
    }

    fn matrix_module(symbol: &QrSymbol) -> i64 {
        SMALL_QR / inner(symbol)
    }

    fn width(&self) -> i64 {
        match self {
            Self::Bars(symbol) => i64::from(symbol.module_count()) * MODULE,
            Self::Matrix(symbol) => inner(symbol) * Self::matrix_module(symbol),
        }
    }

    /// Draws the symbol with its upper right corner there; returns its lower edge.
    fn draw(
        &self,
        page: &mut Canvas,
        right: i64,
        top: i64,
        bars_um: i64,
    ) -> Result<i64, PaperError> {
        let x = right - self.width();
        match self {
            Self::Bars(symbol) => {
                page.bars(symbol, [x, top], MODULE, bars_um)?;
                Ok(top + bars_um)
            }
            Self::Matrix(symbol) => {
                page.qr(symbol, [x, top], Self::matrix_module(symbol));
                Ok(top + self.width())
            }
        }
    }
}

fn inner(symbol: &QrSymbol) -> i64 {
    symbol.side_with_quiet() - 2 * QrSymbol::QUIET_MODULES
}

/// Sets a title at the left and the code of the number at the right, then what else is to stand
/// beside it; goes on below both.
pub(super) fn head(
    flow: &mut Flow,
    number: &str,
    words: &[(Style, String)],
) -> Result<(), PaperError> {
    let (code, top) = (NumberCode::of(number)?, flow.y());
    let bottom = code.draw(flow.page(), RIGHT, top, 11_000)?;
    let room = WIDTH - code.width() - QUIET * MODULE - 4_000;
    for (style, text) in words {
        flow.paragraph(LEFT, room, *style, text);
    }
    let down = bottom + 3_000 - flow.y();
    flow.skip(down.max(0) + 3_000);
    Ok(())
}

/// Draws the QR code of a link at the right margin, with words below it; returns their lower edge.
pub(super) fn link_code(
    page: &mut Canvas,
    link: &str,
    words: &[(Style, String)],
    top: i64,
) -> Result<i64, PaperError> {
    let symbol = QrSymbol::of(link)?;
    let inner = inner(&symbol);
    let module = QR_SIDE / inner;
    page.qr(&symbol, [RIGHT - module * inner, top], module);
    let centre = RIGHT - module * inner / 2;
    let mut y = top + module * (inner + QrSymbol::QUIET_MODULES);
    for (style, text) in words {
        for line in style.wrap(text, QR_SIDE) {
            page.text_centred(centre, y + style.ascent(), *style, &line);
            y += style.leading();
        }
    }
    Ok(y)
}

/// Draws a number with what it is before it and its bars below.
pub(super) fn number(
    page: &mut Canvas,
    [x, top]: [i64; 2],
    [what, number]: [&str; 2],
    bars_um: i64,
) -> Result<(), PaperError> {
    let style = Style::new(4_600);
    let baseline = top + style.ascent();
    page.text(x, baseline, style, what);
    page.text(x + style.width(what) + 2_500, baseline, style.bold(), number);
    page.bars(&number.parse::<Code128>()?, [x, top + 7_000], MODULE, bars_um)?;
    Ok(())
}

/// Sets blocks of lines side by side, each under its heading: addresses, dates.
pub(super) fn blocks(flow: &mut Flow, blocks: &[(&'static str, Vec<String>)]) {
    let count = i64::try_from(blocks.len()).unwrap_or(1).max(1);
    let columns: Vec<Column> =
        blocks.iter().map(|(heading, _)| Column::new(heading, WIDTH / count)).collect();
    let cell = |(_, lines): &(&str, Vec<String>)| {
        Cell::Words(lines.iter().map(|it| (BODY, it.clone())).collect())
    };
    let cells: Vec<Cell> = blocks.iter().map(cell).collect();
    flow.begin_table(&columns);
    flow.row(&cells);
    flow.end_table();
    flow.skip(4_000);
}

/// Sets a heading with paragraphs below it, kept together as far as a page allows.
pub(super) fn section(flow: &mut Flow, heading: &str, paragraphs: &[String]) {
    flow.skip(3_000);
    flow.need(HEADING.leading() + 3 * BODY.leading());
    flow.paragraph(LEFT, WIDTH, HEADING, heading);
    flow.skip(600);
    for text in paragraphs {
        flow.paragraph(LEFT, WIDTH, BODY, text);
    }
}

/// Draws lines to be filled in by hand, side by side, each with what belongs on it below.
pub(super) fn sign_here(flow: &mut Flow, what: &[&str]) {
    let count = i64::try_from(what.len()).unwrap_or(1).max(1);
    let width = WIDTH / count;
    flow.skip(4_000);
    let top = flow.need(18_000);
    let (mut x, y) = (LEFT, top + 12_000);
    for words in what {
        flow.page().fill(Frame::new(x, y, width - BESIDE, 250), Tone::Ink);
        flow.page().text(x, y + 800 + SMALL.ascent(), SMALL.quiet(), words);
        x += width;
    }
    flow.skip(18_000);
}
