//! The spacer ruler: the stack on the steerer at its true size.

use super::sketch::{At, BOLD, FINE, Hatch, Sketch, rect};
use super::{Anchor, Drawing, DrawingName, Shade};
use crate::domain::messages::{Language, in_manner_of};
use crate::units::Length;

/// What stands on the steerer between headset and cap.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SpacerStack {
    /// The height of each spacer.
    pub spacers: Vec<Length>,
    /// How far the steerer's end should lie under the upper edge of the stack; none where the
    /// kit's parts do not say it.
    pub gap: Option<Length>,
}

/// Heights in tenths of a millimetre: of the dust cover, of the stem's clamp and of the cap.
///
/// # Source
///
/// The shop's own parts; another cover or stem shows as a scale that does not match.
const COVER: i64 = 90;
const STEM: i64 = 400;
const CAP: i64 = 60;
/// The least height of the spacer above the stem, so that the steerer passes through the clamp.
const LEAST_ABOVE: i64 = 50;
const BAR: i64 = 1_000;

impl SpacerStack {
    /// Returns the spacers below the stem and those above it.
    ///
    /// The lowest one of at least 5 mm goes above, so that the steerer reaches all through the
    /// clamp.
    ///
    /// # Source
    ///
    /// Common practice; how high the spacers below may be is for the fork's maker to say.
    pub fn split(&self) -> (Vec<Length>, Option<Length>) {
        let mut below = self.spacers.clone();
        below.sort_by(|a, b| b.cmp(a));
        let tenths = |it: &Length| it.micrometres() / 100;
        let above = below.iter().rposition(|it| LEAST_ABOVE <= tenths(it));
        let above = above.filter(|_| 1 < below.len()).map(|at| below.remove(at));
        (below, above)
    }
}

pub(super) fn draw(say: Language, stack: &SpacerStack) -> Drawing {
    let mut it = Sketch::new();
    let (below, above) = stack.split();
    let (centre, bottom) = (330, 1_110);
    let mut y = bottom;
    y -= COVER;
    let cover =
        [(centre - 220, bottom), (centre + 220, bottom), (centre + 170, y), (centre - 170, y)];
    it.solid(&cover, Shade::Pale);
    it.leader((570, bottom - 30), (centre + 180, bottom - 40), say.dust_cover());
    for spacer in &below {
        y = piece(&mut it, say, centre, y, *spacer);
    }
    y -= STEM;
    it.solid(&rect(centre - 200, y, 400, STEM), Shade::White);
    it.solid(&rect(centre - 290, y + 110, 100, 180), Shade::White);
    it.strong((centre, y + 215), Anchor::Middle, say.stem());
    if let Some(above) = above {
        y = piece(&mut it, say, centre, y, above);
    }
    let top = y;
    it.cut(
        &[
            (centre - 170, top),
            (centre + 170, top),
            (centre + 150, top - CAP),
            (centre - 150, top - CAP),
        ],
        Hatch::Rising,
    );
    it.leader((570, top - 30), (centre + 140, top - 30), say.cap());
    gap(&mut it, say, stack, (centre, top), bottom);
    check_bar(&mut it, say, 750, 1_110);
    let mut drawing = it.finish(
        DrawingName::SpacerStack,
        (860, 1_230),
        say.spacer_stack_title(),
        say.spacer_stack_alt(),
    );
    drawing.true_scale = true;
    drawing
}

/// Draws one spacer on top of what stands there; returns its upper edge.
fn piece(it: &mut Sketch, say: Language, centre: i64, bottom: i64, height: Length) -> i64 {
    let tall = height.micrometres() / 100;
    let top = bottom - tall;
    it.solid(&rect(centre - 170, top, 340, tall), Shade::White);
    it.line(&[(centre + 170, bottom - tall / 2), (centre + 196, bottom - tall / 2)], FINE);
    let words = in_manner_of(say, &height.to_string());
    it.label((centre + 202, bottom - tall / 2 + 9), Anchor::Start, &words);
    top
}

/// Draws the steerer through the stack, and how far its end lies under the upper edge.
fn gap(it: &mut Sketch, say: Language, stack: &SpacerStack, (centre, top): At, bottom: i64) {
    let nominal = stack.gap.map_or(35, |it| it.micrometres() / 100);
    let end = top + nominal;
    it.dashed((centre - 143, end), (centre - 143, bottom));
    it.dashed((centre + 143, end), (centre + 143, bottom));
    it.line(&[(centre - 143, end), (centre + 143, end)], BOLD);
    for edge in [top, end] {
        it.line(&[(centre - 240, edge), (centre - 175, edge)], FINE);
    }
    it.arrow((centre - 215, top - 70), (centre - 215, top));
    it.arrow((centre - 215, end + 70), (centre - 215, end));
    it.strong((20, top - 80), Anchor::Start, say.gap_two_to_five());
}

fn check_bar(it: &mut Sketch, say: Language, x: i64, bottom: i64) {
    let top = bottom - BAR;
    it.line(&[(x, top), (x, bottom)], BOLD);
    for tenth in 0..=10 {
        let y = bottom - tenth * BAR / 10;
        let long = if tenth % 5 == 0 { 40 } else { 22 };
        it.line(&[(x, y), (x + long, y)], FINE);
    }
    it.label((x + 52, bottom + 9), Anchor::Start, "0");
    it.label((x + 46, bottom - BAR / 2 + 9), Anchor::Start, "50");
    it.label((x + 46, top + 9), Anchor::Start, "100");
    it.label((850, bottom + 90), Anchor::End, say.check_bar());
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(spacers: &[i64], below: &[i64], above: Option<i64>) {
        let length = |it: &i64| Length::from_micrometres(it * 1_000);
        let stack = SpacerStack { spacers: spacers.iter().map(length).collect(), gap: None };
        let expected = (below.iter().map(length).collect(), above.as_ref().map(length));
        assert_eq!(stack.split(), expected);
    }

    #[test]
    fn the_lowest_spacer_of_five_millimetres_or_more_goes_above_the_stem() {
        check(&[20, 5, 3, 3], &[20, 3, 3], Some(5));
        check(&[20, 10], &[20], Some(10));
        check(&[20, 5, 2, 2, 2], &[20, 2, 2, 2], Some(5));
        check(&[3, 3], &[3, 3], None);
        check(&[30], &[30], None);
        check(&[], &[], None);
    }

    #[test]
    fn the_check_bar_is_one_hundred_millimetres_long() {
        let drawing = draw(Language::En, &SpacerStack::default());
        let spans = drawing.shapes.iter().filter_map(|it| match it {
            super::super::Shape::Line { points, .. } => {
                let (first, last) = (points.first()?, points.last()?);
                (first.x_um == last.x_um).then_some((first.y_um - last.y_um).abs())
            }
            _ => None,
        });
        assert!(spans.into_iter().any(|it| it == 100_000));
    }
}
