use super::Picture;
use super::canvas::{Canvas, FINE, MIDDLE, Rect, cut, scaled};
use crate::domain::drawing::{Anchor, Shade};

/// A bar with what it is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    /// What it is of.
    pub label: String,
    /// How long it is.
    pub value: i64,
    /// How much of that is hatched, at its end.
    pub hatched: i64,
    /// What it comes to, in words.
    pub words: String,
}

/// Bars below one another, on one scale.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bars {
    /// What the picture shows, for who can't see it.
    pub alt: String,
    /// The bars.
    pub rows: Vec<Bar>,
}

const LABEL: i64 = 250;
const WIDTH: i64 = 360;

/// Returns the bars as a picture.
pub fn bars(all: &Bars) -> Picture {
    let mut it = Canvas::new();
    let most = all.rows.iter().map(|it| it.value).max().unwrap_or_default().max(1);
    let mut y = 0;
    for row in &all.rows {
        let width = scaled(row.value, (0, most), (0, WIDTH)).max(1);
        let hatched = scaled(row.hatched.clamp(0, row.value), (0, most), (0, WIDTH)).min(width);
        it.words((0, y + 18), Anchor::Start, &cut(&row.label, 33));
        let solid = Rect { x: LABEL, y: y + 4, width: width - hatched, height: 18 };
        if 0 < solid.width {
            it.fill(solid, Shade::Ink);
        }
        let rest = Rect { x: LABEL + solid.width, width: hatched, ..solid };
        it.hatch(rest, 5).outline(rest, FINE);
        it.words((LABEL + width + 8, y + 18), Anchor::Start, &row.words);
        y += 26;
    }
    it.line(&[(LABEL, 0), (LABEL, y)], MIDDLE);
    it.finish((LABEL + WIDTH + 130, y + 2), all.alt.clone())
}
