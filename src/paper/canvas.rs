use std::collections::BTreeSet;

use printpdf::{
    Color, Greyscale, Line, LinePoint, Mm, Op, PaintMode, PdfFontHandle, PdfPage, Point, Polygon,
    PolygonRing, Pt, TextItem, WindingOrder,
};

use super::font::{font_id, missing_glyphs, printable, text_width};
use crate::domain::labels::{Code128, Code128Error, QrSymbol, Weight, wrap};

/// A grey of the print.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tone {
    /// For what is read, and for bars: full black, which no printer dithers.
    Ink,
    /// For what is glanced at; still 7 to 1 against white.
    Quiet,
    /// For hairlines and cells that are not of this sheet.
    Pale,
    /// For letters on ink.
    White,
}

impl Tone {
    fn colour(self) -> Color {
        let percent = match self {
            Self::Ink => 0.0,
            Self::Quiet => 0.35,
            Self::Pale => 0.82,
            Self::White => 1.0,
        };
        Color::Greyscale(Greyscale::new(percent, None))
    }
}

/// How letters look.
#[derive(Debug, Clone, Copy)]
pub(super) struct Style {
    /// The size of an em, in micrometres.
    pub(super) size_um: i64,
    pub(super) weight: Weight,
    pub(super) tone: Tone,
}

impl Style {
    pub(super) const fn new(size_um: i64) -> Self {
        Self { size_um, weight: Weight::Regular, tone: Tone::Ink }
    }

    pub(super) const fn bold(self) -> Self {
        Self { weight: Weight::Bold, ..self }
    }

    pub(super) const fn quiet(self) -> Self {
        Self { tone: Tone::Quiet, ..self }
    }

    pub(super) const fn toned(self, tone: Tone) -> Self {
        Self { tone, ..self }
    }

    const fn sized(self, size_um: i64) -> Self {
        Self { size_um, ..self }
    }

    /// Returns the distance from one line to the next.
    pub(super) const fn leading(self) -> i64 {
        self.size_um * 128 / 100
    }

    /// Returns how far below the upper edge of its line the letters stand.
    pub(super) const fn ascent(self) -> i64 {
        self.size_um * 95 / 100
    }

    pub(super) fn width(self, text: &str) -> i64 {
        text_width(text, self.weight, self.size_um)
    }

    /// Returns the text in lines of at most that width.
    pub(super) fn wrap(self, text: &str, width_um: i64) -> Vec<String> {
        wrap(text, width_um, &|it| self.width(it))
    }
}

/// One page, drawn in micrometres from its top left corner.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    width_um: i64,
    height_um: i64,
    ops: Vec<Op>,
    tone: Option<Tone>,
    missing: BTreeSet<char>,
}

#[expect(
    clippy::as_conversions,
    reason = "a page measure is far below 2^24 micrometres, so the conversion is exact"
)]
fn points(um: i64) -> Pt {
    Pt(um as f32 * (72.0 / 25_400.0))
}

fn millimetres(um: i64) -> Mm {
    points(um).into()
}

impl Canvas {
    pub(super) fn new(width_um: i64, height_um: i64) -> Self {
        Self { width_um, height_um, ops: Vec::new(), tone: None, missing: BTreeSet::new() }
    }

    /// Returns the characters that could not be printed so far.
    pub(super) fn missing(&self) -> &BTreeSet<char> {
        &self.missing
    }

    pub(super) fn into_page(self) -> PdfPage {
        PdfPage::new(millimetres(self.width_um), millimetres(self.height_um), self.ops)
    }

    fn point(&self, x_um: i64, y_um: i64) -> Point {
        Point { x: points(x_um), y: points(self.height_um - y_um) }
    }

    fn paint(&mut self, tone: Tone) {
        if self.tone != Some(tone) {
            self.ops.push(Op::SetFillColor { col: tone.colour() });
            self.ops.push(Op::SetOutlineColor { col: tone.colour() });
            self.tone = Some(tone);
        }
    }

    /// Draws one line of words that stand on `baseline_um`.
    pub(super) fn text(&mut self, x_um: i64, baseline_um: i64, style: Style, text: &str) {
        self.missing.extend(missing_glyphs(text));
        self.paint(style.tone);
        let font = PdfFontHandle::External(font_id(style.weight));
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font, size: points(style.size_um) },
            Op::SetTextCursor { pos: self.point(x_um, baseline_um) },
            Op::ShowText { items: vec![TextItem::Text(printable(text))] },
            Op::EndTextSection,
        ]);
    }

    /// Draws words that end at `right_um`.
    pub(super) fn text_right(&mut self, right_um: i64, baseline_um: i64, style: Style, text: &str) {
        self.text(right_um - style.width(text), baseline_um, style, text);
    }

    /// Draws words around `centre_um`.
    pub(super) fn text_centred(
        &mut self,
        centre_um: i64,
        baseline_um: i64,
        style: Style,
        text: &str,
    ) {
        self.text(centre_um - style.width(text) / 2, baseline_um, style, text);
    }

    /// Returns the style at the largest size, down to `least_um`, at which one line fits.
    pub(super) fn fitted(style: Style, least_um: i64, width_um: i64, text: &str) -> Style {
        let width = style.width(text).max(1);
        let size = if width <= width_um { style.size_um } else { style.size_um * width_um / width };
        style.sized(size.max(least_um))
    }

    /// Fills a rectangle.
    pub(super) fn fill(&mut self, frame: Frame, tone: Tone) {
        self.paint(tone);
        self.fill_rings(vec![self.ring(frame)]);
    }

    fn fill_rings(&mut self, rings: Vec<PolygonRing>) {
        let winding_order = WindingOrder::NonZero;
        let polygon = Polygon { rings, mode: PaintMode::Fill, winding_order };
        self.ops.push(Op::DrawPolygon { polygon });
    }

    fn ring(&self, it: Frame) -> PolygonRing {
        let (right, bottom) = (it.x_um + it.width_um, it.y_um + it.height_um);
        let corners = [(it.x_um, it.y_um), (right, it.y_um), (right, bottom), (it.x_um, bottom)];
        let corner = |(x, y)| LinePoint { p: self.point(x, y), bezier: false };
        PolygonRing { points: corners.map(corner).to_vec() }
    }

    /// Draws the outline of a rectangle, inside its edges.
    pub(super) fn outline(&mut self, it: Frame, line_um: i64, tone: Tone) {
        let Frame { x_um, y_um, width_um, height_um } = it;
        let (right, bottom) = (x_um + width_um - line_um, y_um + height_um - line_um);
        self.paint(tone);
        let sides = [
            Frame { height_um: line_um, ..it },
            Frame { y_um: bottom, height_um: line_um, ..it },
            Frame { width_um: line_um, ..it },
            Frame { x_um: right, width_um: line_um, ..it },
        ];
        let rings = sides.map(|side| self.ring(side)).to_vec();
        self.fill_rings(rings);
    }

    /// Draws diagonal lines over a rectangle: the sign of something missing.
    pub(super) fn hatch(&mut self, it: Frame) {
        self.paint(Tone::Ink);
        self.ops.push(Op::SetOutlineThickness { pt: points(350) });
        let (step, start) = (1_700_i64, -it.height_um);
        let mut offset = start + step / 2;
        while offset < it.width_um {
            let (from, to) = (offset.max(0), (offset + it.height_um).min(it.width_um));
            let at = |x: i64| self.point(it.x_um + x, it.y_um + it.height_um - (x - offset));
            let points = [from, to].map(|x| LinePoint { p: at(x), bezier: false }).to_vec();
            self.ops.push(Op::DrawLine { line: Line { points, is_closed: false } });
            offset += step;
        }
    }

    /// Draws straight lines from place to place, with round ends.
    pub(super) fn polyline(&mut self, places: &[[i64; 2]], line_um: i64, tone: Tone) {
        self.paint(tone);
        self.ops.push(Op::SetOutlineThickness { pt: points(line_um) });
        self.ops.push(Op::SetLineCapStyle { cap: printpdf::LineCapStyle::Round });
        self.ops.push(Op::SetLineJoinStyle { join: printpdf::LineJoinStyle::Round });
        let points = self.line_points(places);
        self.ops.push(Op::DrawLine { line: Line { points, is_closed: false } });
    }

    /// Fills a polygon.
    pub(super) fn polygon(&mut self, places: &[[i64; 2]], tone: Tone) {
        self.paint(tone);
        let points = self.line_points(places);
        self.fill_rings(vec![PolygonRing { points }]);
    }

    fn line_points(&self, places: &[[i64; 2]]) -> Vec<LinePoint> {
        let point = |[x, y]: &[i64; 2]| LinePoint { p: self.point(*x, *y), bezier: false };
        places.iter().map(point).collect()
    }

    /// Draws Code 128 bars; the caller keeps ten modules free on both sides.
    pub(super) fn bars(
        &mut self,
        symbol: &Code128,
        [x_um, y_um]: [i64; 2],
        module_um: i64,
        height_um: i64,
    ) -> Result<(), Code128Error> {
        self.paint(Tone::Ink);
        let mut left = x_um;
        let mut rings = Vec::new();
        for (width, is_bar) in symbol.widths()?.into_iter().zip([true, false].into_iter().cycle()) {
            let width_um = i64::from(width) * module_um;
            if is_bar {
                rings.push(self.ring(Frame { x_um: left, y_um, width_um, height_um }));
            }
            left += width_um;
        }
        self.fill_rings(rings);
        Ok(())
    }

    /// Draws a QR symbol; the caller keeps four modules free on all sides.
    pub(super) fn qr(&mut self, symbol: &QrSymbol, [x_um, y_um]: [i64; 2], module_um: i64) {
        self.paint(Tone::Ink);
        let mut rings = Vec::new();
        for (row, nth) in symbol.rows().iter().zip(0_i64..) {
            let mut left = x_um;
            for run in row.chunk_by(PartialEq::eq) {
                let modules = i64::try_from(run.len()).unwrap_or(0);
                let (width_um, top) = (modules * module_um, y_um + nth * module_um);
                if run.first() == Some(&true) {
                    let height_um = module_um;
                    rings.push(self.ring(Frame { x_um: left, y_um: top, width_um, height_um }));
                }
                left += width_um;
            }
        }
        self.fill_rings(rings);
    }
}

/// A rectangle in micrometres from the page's top left corner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub(super) x_um: i64,
    pub(super) y_um: i64,
    pub(super) width_um: i64,
    pub(super) height_um: i64,
}

impl Frame {
    pub(super) const fn new(x_um: i64, y_um: i64, width_um: i64, height_um: i64) -> Self {
        Self { x_um, y_um, width_um, height_um }
    }
}
