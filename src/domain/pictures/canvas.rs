//! The strokes that pictures are put together from, in units.

use super::{Picture, UNIT_UM};
use crate::domain::drawing::{Anchor, Point, Shade, Shape};

pub(super) type At = (i64, i64);

/// Thicknesses of lines in micrometres.
pub(super) const FINE: i64 = 250;
pub(super) const MIDDLE: i64 = 400;
pub(super) const BOLD: i64 = 650;

/// The size of words, in micrometres: 13 units.
const WORDS: i64 = 13 * UNIT_UM;
/// The size of words where room is short: 12 units.
const SMALL: i64 = 12 * UNIT_UM;

/// A rectangle by its corner, width and height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rect {
    pub x: i64,
    pub y: i64,
    pub width: i64,
    pub height: i64,
}

impl Rect {
    const fn corners(self) -> [At; 4] {
        let Self { x, y, width, height } = self;
        [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    }
}

pub(super) struct Canvas {
    shapes: Vec<Shape>,
}

const fn point((x, y): At) -> Point {
    Point { x_um: x * UNIT_UM, y_um: y * UNIT_UM }
}

impl Canvas {
    pub(super) const fn new() -> Self {
        Self { shapes: Vec::new() }
    }

    pub(super) fn line(&mut self, all: &[At], width_um: i64) -> &mut Self {
        let mut points: Vec<Point> = all.iter().copied().map(point).collect();
        points.dedup();
        self.shapes.push(Shape::Line { points, width_um });
        self
    }

    /// Draws a line of dashes along an upright or a level.
    pub(super) fn dashed(&mut self, (x1, y1): At, (x2, y2): At, dash: i64) -> &mut Self {
        let length = (x2 - x1).abs().max((y2 - y1).abs());
        let (dx, dy) = ((x2 - x1).signum(), (y2 - y1).signum());
        let mut done = 0;
        while done < length {
            let end = (done + dash).min(length);
            let at = |way: i64| (x1 + dx * way, y1 + dy * way);
            self.line(&[at(done), at(end)], MIDDLE);
            done = end + dash / 2 + 2;
        }
        self
    }

    pub(super) fn area(&mut self, corners: &[At], shade: Shade) -> &mut Self {
        let points = corners.iter().copied().map(point).collect();
        self.shapes.push(Shape::Area { points, shade });
        self
    }

    pub(super) fn fill(&mut self, rect: Rect, shade: Shade) -> &mut Self {
        self.area(&rect.corners(), shade)
    }

    pub(super) fn outline(&mut self, rect: Rect, width_um: i64) -> &mut Self {
        let [first, second, third, fourth] = rect.corners();
        self.line(&[first, second, third, fourth, first], width_um)
    }

    /// Hatches a rectangle with rising lines, `step` units apart.
    pub(super) fn hatch(&mut self, rect: Rect, step: i64) -> &mut Self {
        let Rect { x, y, width, height } = rect;
        let mut sum = step;
        while sum < width + height {
            // The line is where the ways from the left and upper edges add up to `sum`.
            let (left, right) = ((sum - height).max(0), sum.min(width));
            self.line(&[(x + left, y + sum - left), (x + right, y + sum - right)], FINE);
            sum += step;
        }
        self
    }

    pub(super) fn words(&mut self, at: At, anchor: Anchor, text: &str) -> &mut Self {
        self.text(at, anchor, (WORDS, false), text)
    }

    pub(super) fn strong(&mut self, at: At, anchor: Anchor, text: &str) -> &mut Self {
        self.text(at, anchor, (WORDS, true), text)
    }

    pub(super) fn small(&mut self, at: At, anchor: Anchor, text: &str) -> &mut Self {
        self.text(at, anchor, (SMALL, false), text)
    }

    fn text(
        &mut self,
        at: At,
        anchor: Anchor,
        (size_um, bold): (i64, bool),
        text: &str,
    ) -> &mut Self {
        let text = text.to_owned();
        self.shapes.push(Shape::Text { at: point(at), size_um, anchor, bold, text });
        self
    }

    pub(super) fn finish(self, (width, height): At, alt: String) -> Picture {
        let (width_um, height_um) = (width * UNIT_UM, height * UNIT_UM);
        Picture { width_um, height_um, alt, shapes: self.shapes }
    }
}

/// Returns words cut to so many characters.
pub(super) fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// Returns the value as a place between two others, of which `least` lies at `from` and `most` at
/// `to`.
pub(super) fn scaled(value: i64, (least, most): (i64, i64), (from, to): (i64, i64)) -> i64 {
    let span = i128::from(most - least).max(1);
    let way = i128::from(value - least) * i128::from(to - from);
    from + i64::try_from(way.div_euclid(span)).unwrap_or_default()
}

/// Returns a round step of an axis that needs about `parts` of them to reach `most`: 1, 2 or 5 times
/// a power of ten.
pub(super) fn round_step(most: i64, parts: i64) -> i64 {
    let mut power = 1;
    loop {
        for digit in [1, 2, 5] {
            let step = power * digit;
            if most <= step * parts || i64::MAX / 20 < step {
                return step;
            }
        }
        power *= 10;
    }
}
