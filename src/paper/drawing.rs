//! Drawings of the domain on a page.

use super::canvas::{Canvas, Style, Tone};
use crate::domain::drawing::{Anchor, Drawing, Point, Shade, Shape};

/// Draws at the given corner, with each length as `part` of `whole` of its own.
pub(super) fn place(
    page: &mut Canvas,
    drawing: &Drawing,
    [left, top]: [i64; 2],
    [part, whole]: [i64; 2],
) {
    let scaled = |length: i64| length * part / whole.max(1);
    let at = |it: &Point| [left + scaled(it.x_um), top + scaled(it.y_um)];
    for shape in &drawing.shapes {
        match shape {
            Shape::Line { points, width_um } => {
                let places: Vec<[i64; 2]> = points.iter().map(at).collect();
                page.polyline(&places, scaled(*width_um).max(100), Tone::Ink);
            }
            Shape::Area { points, shade } => {
                let places: Vec<[i64; 2]> = points.iter().map(at).collect();
                page.polygon(&places, tone(*shade));
            }
            Shape::Text { at: place, size_um, anchor, bold, text } => {
                let style = Style::new(scaled(*size_um).max(2_100));
                let style = if *bold { style.bold() } else { style };
                let [x, y] = at(place);
                match anchor {
                    Anchor::Start => page.text(x, y, style, text),
                    Anchor::Middle => page.text_centred(x, y, style, text),
                    Anchor::End => page.text_right(x, y, style, text),
                }
            }
        }
    }
}

const fn tone(shade: Shade) -> Tone {
    match shade {
        Shade::White => Tone::White,
        Shade::Pale => Tone::Pale,
        Shade::Ink => Tone::Ink,
    }
}
