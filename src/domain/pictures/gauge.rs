use super::Picture;
use super::canvas::{BOLD, Canvas, FINE, MIDDLE, Rect, scaled};
use crate::domain::drawing::{Anchor, Shade};
use crate::domain::runway::Gauge;

/// Returns two bins as bars, the first above the second, with the half of the second marked. A bar is
/// dark where pieces are; hatched where it is the second and less than half is left.
pub fn gauge(gauge: &Gauge) -> Picture {
    let mut it = Canvas::new();
    let bin = gauge.bin.pieces();
    let bars = [(1, gauge.first.pieces(), 4), (2, gauge.second.pieces(), 36)];
    for (number, pieces, y) in bars {
        let rect = Rect { x: 20, y, width: 150, height: 24 };
        let width = scaled(pieces.min(bin), (0, bin), (0, 150));
        let full = Rect { width, ..rect };
        it.strong((0, y + 17), Anchor::Start, &number.to_string());
        it.fill(rect, Shade::White);
        if number == 2 && gauge.is_below_half() {
            it.hatch(full, 5).outline(full, FINE);
        } else if 0 < width {
            it.fill(full, Shade::Ink);
        }
        it.outline(rect, MIDDLE);
        it.words((178, y + 17), Anchor::Start, &pieces.to_string());
    }
    it.line(&[(95, 30), (95, 42)], BOLD).line(&[(95, 54), (95, 66)], BOLD);
    let half = if gauge.is_below_half() { ", below half" } else { "" };
    let alt = format!(
        "Two bins of {bin}: {} in the first, {} in the second{half}",
        gauge.first, gauge.second
    );
    it.finish((236, 70), alt)
}
