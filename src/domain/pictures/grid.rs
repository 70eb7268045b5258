use super::Picture;
use super::canvas::{Canvas, FINE, Rect, cut};
use crate::domain::drawing::{Anchor, Shade};

/// How dark a cell is, beside what it says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tone {
    /// As the paper.
    None,
    /// Pale.
    Pale,
    /// Pale and hatched.
    Hatched,
    /// Dark, with its words on a white ground.
    Dark,
}

/// A cell of a grid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// How dark it is.
    pub tone: Tone,
}

/// A row of a grid.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GridRow {
    /// What it is of.
    pub label: String,
    /// Its cells, one for each column.
    pub cells: Vec<Cell>,
    /// Its sum, in words.
    pub total: String,
}

/// Rows by columns, with sums below and at the right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    /// What the picture shows, for who can't see it.
    pub alt: String,
    /// The columns' headings, each on two lines.
    pub columns: Vec<(String, String)>,
    /// The heading of the rows' sums; empty where there are none.
    pub total: String,
    /// The rows.
    pub rows: Vec<GridRow>,
    /// What the lowest row is: its label and a text for each column.
    pub totals: (String, Vec<String>),
    /// How wide a column is, in units.
    pub cell: i64,
}

const LABEL: i64 = 230;
const LABEL_CHARS: usize = 31;
const SUM: i64 = 76;
const HEAD: i64 = 40;
const ROW: i64 = 24;

/// Returns the grid as a picture.
pub fn grid(grid: &Grid) -> Picture {
    let mut it = Canvas::new();
    let places: Vec<i64> =
        (0..).map(|at| LABEL + at * grid.cell).take(grid.columns.len()).collect();
    let right = LABEL + grid.cell * i64::try_from(grid.columns.len()).unwrap_or_default();
    let middle = grid.cell / 2;
    for ((upper, lower), x) in grid.columns.iter().zip(&places) {
        it.small((x + middle, 15), Anchor::Middle, upper);
        it.small((x + middle, 31), Anchor::Middle, lower);
    }
    let sum = if grid.total.is_empty() { 0 } else { SUM };
    it.words((right + sum, 31), Anchor::End, &grid.total);
    let mut y = HEAD;
    for row in &grid.rows {
        it.words((0, y + 17), Anchor::Start, &cut(&row.label, LABEL_CHARS));
        for (cell, x) in row.cells.iter().zip(&places) {
            draw(&mut it, cell, Rect { x: *x, y, width: grid.cell, height: ROW });
        }
        it.words((right + sum, y + 17), Anchor::End, &row.total);
        y += ROW;
    }
    it.line(&[(0, y + 3), (right + sum, y + 3)], FINE);
    let (label, totals) = &grid.totals;
    it.strong((0, y + 21), Anchor::Start, label);
    for (text, x) in totals.iter().zip(&places) {
        it.strong((x + middle, y + 21), Anchor::Middle, text);
    }
    it.finish((right + sum + 4, y + 30), grid.alt.clone())
}

fn draw(it: &mut Canvas, cell: &Cell, rect: Rect) {
    let Rect { x, y, width, height } = rect;
    let length = i64::try_from(cell.text.chars().count()).unwrap_or_default();
    let ground = (8 * length + 6).min(width - 4);
    let under = Rect { x: x + (width - ground) / 2, y: y + 3, width: ground, height: height - 6 };
    match cell.tone {
        Tone::None => {}
        Tone::Pale => drop(it.fill(rect, Shade::Pale)),
        Tone::Hatched => {
            it.fill(rect, Shade::Pale).hatch(rect, 5).fill(under, Shade::White);
        }
        Tone::Dark => {
            it.fill(rect, Shade::Ink).fill(under, Shade::White);
        }
    }
    it.outline(rect, FINE);
    it.words((x + width / 2, y + 17), Anchor::Middle, &cell.text);
}
