//! The strokes that drawings are put together from. Coordinates here are tenths of a millimetre.

use super::{Anchor, Drawing, DrawingName, Point, Shade, Shape};

pub(super) const FINE: i64 = 200;
pub(super) const BOLD: i64 = 450;
const LABEL: i64 = 2_600;
const HATCH_STEP: i64 = 1_300;

/// Which way the lines of a hatching rise.
#[derive(Clone, Copy)]
pub(super) enum Hatch {
    Rising,
    Falling,
}

pub(super) type At = (i64, i64);

/// A drawing that is being made.
pub(super) struct Sketch {
    shapes: Vec<Shape>,
}

const fn point((x, y): At) -> Point {
    Point { x_um: x * 100, y_um: y * 100 }
}

fn points(all: &[At]) -> Vec<Point> {
    all.iter().copied().map(point).collect()
}

pub(super) const fn rect(x: i64, y: i64, width: i64, height: i64) -> [At; 4] {
    [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
}

impl Sketch {
    pub(super) const fn new() -> Self {
        Self { shapes: Vec::new() }
    }

    pub(super) fn line(&mut self, all: &[At], width_um: i64) -> &mut Self {
        self.shapes.push(Shape::Line { points: points(all), width_um });
        self
    }

    /// Draws a line of dashes along an upright or a level.
    pub(super) fn dashed(&mut self, (x1, y1): At, (x2, y2): At) -> &mut Self {
        let (dash, gap) = (20, 12);
        let length = (x2 - x1).abs().max((y2 - y1).abs());
        let (dx, dy) = ((x2 - x1).signum(), (y2 - y1).signum());
        let mut done = 0;
        while done < length {
            let end = (done + dash).min(length);
            let at = |way: i64| (x1 + dx * way, y1 + dy * way);
            self.line(&[at(done), at(end)], FINE);
            done = end + gap;
        }
        self
    }

    pub(super) fn outline(&mut self, corners: &[At], width_um: i64) -> &mut Self {
        let mut ring = points(corners);
        ring.extend(corners.first().copied().map(point));
        self.shapes.push(Shape::Line { points: ring, width_um });
        self
    }

    pub(super) fn area(&mut self, corners: &[At], shade: Shade) -> &mut Self {
        self.shapes.push(Shape::Area { points: points(corners), shade });
        self
    }

    /// Draws a solid that is seen from outside.
    pub(super) fn solid(&mut self, corners: &[At], shade: Shade) -> &mut Self {
        self.area(corners, shade).outline(corners, FINE)
    }

    /// Draws a solid that is cut through.
    pub(super) fn cut(&mut self, corners: &[At], hatch: Hatch) -> &mut Self {
        self.area(corners, Shade::White);
        self.hatch(corners, hatch);
        self.outline(corners, BOLD)
    }

    fn hatch(&mut self, corners: &[At], hatch: Hatch) {
        let ring = points(corners);
        let side = |it: &Point| match hatch {
            Hatch::Rising => it.x_um + it.y_um,
            Hatch::Falling => it.x_um - it.y_um,
        };
        let (Some(least), Some(most)) = (ring.iter().map(side).min(), ring.iter().map(side).max())
        else {
            return;
        };
        let mut level = least + HATCH_STEP / 2;
        while level < most {
            let ends = ring.iter().zip(ring.iter().cycle().skip(1));
            let mut hits: Vec<Point> = ends
                .filter_map(|(from, to)| {
                    let (a, b) = (side(from) - level, side(to) - level);
                    ((a < 0) != (b < 0)).then(|| Point {
                        x_um: from.x_um + (to.x_um - from.x_um) * a / (a - b),
                        y_um: from.y_um + (to.y_um - from.y_um) * a / (a - b),
                    })
                })
                .collect();
            hits.sort_by_key(|it| it.x_um);
            for pair in hits.chunks_exact(2) {
                self.shapes.push(Shape::Line { points: pair.to_vec(), width_um: 120 });
            }
            level += HATCH_STEP;
        }
    }

    pub(super) fn circle(&mut self, centre: At, radius: i64, shade: Shade) -> &mut Self {
        let ring = ring(centre, radius);
        self.solid(&ring, shade)
    }

    /// Draws a bolt seen onto its head: a ring with its hexagon, and its number beside it.
    pub(super) fn head(&mut self, centre: At, radius: i64) -> &mut Self {
        let (x, y) = centre;
        let (half, rise) = (radius / 2, radius * 43 / 100);
        self.circle(centre, radius, Shade::White);
        let hexagon = [
            (x - half, y),
            (x - half / 2, y - rise),
            (x + half / 2, y - rise),
            (x + half, y),
            (x + half / 2, y + rise),
            (x - half / 2, y + rise),
        ];
        self.solid(&hexagon, Shade::Pale)
    }

    /// Draws a number in a dark circle.
    pub(super) fn number(&mut self, centre: At, number: &str) -> &mut Self {
        self.area(&ring(centre, 28), Shade::Ink);
        let at = Point { x_um: centre.0 * 100, y_um: centre.1 * 100 + 1_250 };
        self.shapes.push(Shape::Area { points: points(&ring(centre, 22)), shade: Shade::White });
        self.shapes.push(Shape::Text {
            at,
            size_um: 3_400,
            anchor: Anchor::Middle,
            bold: true,
            text: number.to_owned(),
        });
        self
    }

    /// Draws a cubic curve.
    pub(super) fn curve(&mut self, ends: [At; 4], width_um: i64) -> &mut Self {
        let all: Vec<At> = (0..=24).map(|step| along(ends, step, 24)).collect();
        self.line(&all, width_um)
    }

    /// Draws a line with an arrow head at its end, upright, level or at 45 degrees.
    pub(super) fn arrow(&mut self, from: At, to: At) -> &mut Self {
        self.line(&[from, to], FINE);
        self.tip(from, to)
    }

    /// Draws a measure between two points, with a tip at both ends.
    pub(super) fn measure(&mut self, from: At, to: At) -> &mut Self {
        self.arrow(from, to).tip(to, from)
    }

    fn tip(&mut self, (x1, y1): At, (x2, y2): At) -> &mut Self {
        let (dx, dy) = (x2 - x1, y2 - y1);
        let length = isqrt(dx * dx + dy * dy).max(1);
        let (size, half) = (22, 8);
        let back = (x2 - dx * size / length, y2 - dy * size / length);
        let (nx, ny) = (-dy * half / length, dx * half / length);
        let corners = [(x2, y2), (back.0 + nx, back.1 + ny), (back.0 - nx, back.1 - ny)];
        self.area(&corners, Shade::Ink)
    }

    pub(super) fn label(&mut self, at: At, anchor: Anchor, text: &str) -> &mut Self {
        self.text(at, anchor, false, text)
    }

    pub(super) fn strong(&mut self, at: At, anchor: Anchor, text: &str) -> &mut Self {
        self.text(at, anchor, true, text)
    }

    fn text(&mut self, at: At, anchor: Anchor, bold: bool, text: &str) -> &mut Self {
        let text = text.to_owned();
        self.shapes.push(Shape::Text { at: point(at), size_um: LABEL, anchor, bold, text });
        self
    }

    /// Writes a label with a thin line from it to what it names.
    pub(super) fn leader(&mut self, text_at: At, to: At, text: &str) -> &mut Self {
        let (x, y) = text_at;
        let (start, anchor) = if x < to.0 { (x + 6, Anchor::End) } else { (x - 6, Anchor::Start) };
        self.line(&[(start, y - 9), to], FINE);
        self.area(&ring(to, 4), Shade::Ink);
        self.label(text_at, anchor, text)
    }

    pub(super) fn finish(
        self,
        name: DrawingName,
        (width, height): At,
        title: &str,
        alt: &str,
    ) -> Drawing {
        Drawing {
            name,
            width_um: width * 100,
            height_um: height * 100,
            title: title.to_owned(),
            alt: alt.to_owned(),
            notes: Vec::new(),
            true_scale: false,
            shapes: self.shapes,
        }
    }
}

/// Returns a circle as a polygon. A quarter is a cubic curve whose handles are 0.5523 of the radius.
pub(super) fn ring((x, y): At, radius: i64) -> Vec<At> {
    let handle = radius * 5_523 / 10_000;
    let quarters = [
        [(0, -radius), (handle, -radius), (radius, -handle), (radius, 0)],
        [(radius, 0), (radius, handle), (handle, radius), (0, radius)],
        [(0, radius), (-handle, radius), (-radius, handle), (-radius, 0)],
        [(-radius, 0), (-radius, -handle), (-handle, -radius), (0, -radius)],
    ];
    let steps = if radius < 40 { 6 } else { 10 };
    let flat =
        quarters.into_iter().flat_map(|ends| (0..steps).map(move |it| along(ends, it, steps)));
    flat.map(|(dx, dy)| (x + dx, y + dy)).collect()
}

/// Returns the point of a cubic curve after `step` of `steps`.
fn along([a, b, c, d]: [At; 4], step: i64, steps: i64) -> At {
    let (t, u) = (step, steps - step);
    let whole = steps * steps * steps;
    let mix = |a: i64, b: i64, c: i64, d: i64| {
        let sum = a * u * u * u + 3 * b * u * u * t + 3 * c * u * t * t + d * t * t * t;
        (sum + sum.signum() * whole / 2) / whole
    };
    (mix(a.0, b.0, c.0, d.0), mix(a.1, b.1, c.1, d.1))
}

/// Returns the whole part of a square root.
fn isqrt(value: i64) -> i64 {
    let mut root = value.max(0);
    let mut better = (root + 1) / 2;
    while better < root {
        root = better;
        better = (root + value / root.max(1)) / 2;
    }
    root
}
