use super::canvas::{Canvas, Frame, Style, Tone};
use super::flow::{Flow, LEFT, SMALL, WIDTH};
use crate::units::Quantity;

const CELL_HEIGHT: i64 = 13_500;
const GAP: i64 = 1_000;
const WIDEST_CELL: i64 = 22_000;
/// More cells than this go on a second row, so that numbers stay readable.
const CELLS_IN_A_ROW: usize = 15;

/// What a cell of the assembly strip says, beside what is missing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum StripState {
    /// The step has parts on this sheet: dark.
    Done,
    /// All of the step's parts are elsewhere: a pale outline.
    Elsewhere,
}

/// One assembly step in the strip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct StripStep {
    /// The step's number.
    pub(super) number: u32,
    /// How many pieces the step takes.
    pub(super) parts: Quantity,
    /// What it says.
    pub(super) state: StripState,
    /// What is missing, in words; a step with anything here is hatched, whatever its state.
    pub(super) missing: Vec<String>,
}

/// Draws the assembly strip from margin to margin, and below it in words what is missing.
pub(super) fn draw_strip(flow: &mut Flow, steps: &[StripStep]) {
    let in_a_row = i64::try_from(steps.len().min(CELLS_IN_A_ROW)).unwrap_or(1).max(1);
    let width = ((WIDTH + GAP) / in_a_row - GAP).min(WIDEST_CELL);
    for row in steps.chunks(CELLS_IN_A_ROW) {
        let top = flow.need(CELL_HEIGHT + GAP);
        let mut x = LEFT;
        for step in row {
            draw_cell(flow.page(), Frame::new(x, top, width, CELL_HEIGHT), step);
            x += width + GAP;
        }
        flow.skip(CELL_HEIGHT + GAP);
    }
    for step in steps.iter().filter(|it| !it.missing.is_empty()) {
        let words = format!("Step {} lacks: {}", step.number, step.missing.join("; "));
        flow.paragraph(LEFT, WIDTH, SMALL.bold(), &words);
    }
}

fn draw_cell(page: &mut Canvas, frame: Frame, step: &StripStep) {
    let is_missing = !step.missing.is_empty();
    let ink = match step.state {
        _ if is_missing => Tone::Ink,
        StripState::Done => Tone::White,
        StripState::Elsewhere => Tone::Quiet,
    };
    match step.state {
        _ if is_missing => {
            page.hatch(frame);
            page.outline(frame, 500, Tone::Ink);
        }
        StripState::Done => page.fill(frame, Tone::Ink),
        StripState::Elsewhere => page.outline(frame, 350, Tone::Pale),
    }
    let centre = frame.x_um + frame.width_um / 2;
    let number = Style::new(5_600).bold().toned(ink);
    let number_text = step.number.to_string();
    let count = if step.parts == Quantity::ONE { "part" } else { "parts" };
    let count = format!("{} {count}", step.parts);
    let small = Style::new(2_500).toned(ink);
    let small = Canvas::fitted(small, 1_600, frame.width_um - 1_400, &count);
    if is_missing {
        // The words need plain ground: hatching behind them could not be read.
        let mut ground = |y_um: i64, width_um: i64, height_um: i64| {
            let x_um = centre - width_um / 2;
            page.fill(Frame::new(x_um, frame.y_um + y_um, width_um, height_um), Tone::White);
        };
        ground(2_000, number.width(&number_text) + 1_200, 5_700);
        ground(8_200, small.width(&count) + 900, 3_600);
    }
    page.text_centred(centre, frame.y_um + 6_900, number, &number_text);
    page.text_centred(centre, frame.y_um + 10_800, small, &count);
}
