//! The spacer ruler: the stack on the steerer at half its size.

use super::sketch::{At, BOLD, FINE, Hatch, Sketch, rect};
use super::{Anchor, Drawing, DrawingName, Shade};
use crate::domain::fit::{CapGap, ToleranceRule, Verdict};
use crate::domain::messages::{Language, in_manner_of};
use crate::units::Length;

/// What stands on the steerer between headset and cap.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SpacerStack {
    /// The height of each spacer.
    pub spacers: Vec<Length>,
    /// What the steerer carries and what stays free under the cap; none where the kit's parts do
    /// not say it.
    pub gap: Option<CapGap>,
}

/// Heights that are drawn where the kit's parts state none: of the dust cover, of the stem's clamp,
/// of the cap, and of what stays free under it.
const COVER: Length = Length::from_micrometres(9_000);
const STEM: Length = Length::from_micrometres(40_000);
const CAP: Length = Length::from_micrometres(6_000);
const GAP: Length = Length::from_micrometres(3_500);
/// The least height of the spacer above the stem, so that the steerer passes through the clamp.
const LEAST_ABOVE: Length = Length::from_micrometres(5_000);
/// The bar that shows whether the print is to scale: 50 mm on paper.
const BAR: i64 = 500;

const CENTRE: i64 = 280;
const TOP: i64 = 110;
const LABELS: i64 = 415;
const LINE: i64 = 34;

/// Returns a length in tenths of a millimetre of the drawing, which is half of the real thing.
const fn drawn(length: Length) -> i64 {
    length.micrometres() / 200
}

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
        let above = below.iter().rposition(|it| LEAST_ABOVE <= *it);
        let above = above.filter(|_| 1 < below.len()).map(|at| below.remove(at));
        (below, above)
    }

    fn cover(&self) -> Length {
        self.gap.as_ref().map_or(COVER, |it| it.front.upper_stack)
    }

    fn stem(&self) -> Length {
        self.gap.as_ref().map_or(STEM, |it| it.front.stem)
    }
}

/// The labels beside the stack, from below: each at the height of what it names, and above the one
/// before it.
struct Labels {
    lowest: i64,
}

impl Labels {
    fn add(&mut self, it: &mut Sketch, to: At, words: &str) {
        let y = (to.1 + 9).min(self.lowest);
        self.lowest = y - LINE;
        it.leader((LABELS, y), to, words);
    }
}

pub(super) fn draw(say: Language, stack: &SpacerStack) -> Drawing {
    let mut it = Sketch::new();
    let (below, above) = stack.split();
    let spacers: i64 = stack.spacers.iter().map(|it| drawn(*it)).sum();
    let bottom = TOP + spacers + drawn(stack.stem()) + drawn(stack.cover());
    let mut labels = Labels { lowest: bottom };
    let mut y = bottom - drawn(stack.cover());
    let cover =
        [(CENTRE - 110, bottom), (CENTRE + 110, bottom), (CENTRE + 85, y), (CENTRE - 85, y)];
    it.solid(&cover, Shade::Pale);
    let told = |length: Length| in_manner_of(say, &length.to_string());
    let known = |word: &str, length: Length| match stack.gap {
        Some(_) => format!("{word} {}", told(length)),
        None => word.to_owned(),
    };
    let cover_top = y;
    let middle = (CENTRE + 90, bottom - drawn(stack.cover()) / 2);
    labels.add(&mut it, middle, &known(say.dust_cover(), stack.cover()));
    for alike in below.chunk_by(PartialEq::eq) {
        y = pieces(&mut it, say, &mut labels, y, alike);
    }
    y -= drawn(stack.stem());
    it.solid(&rect(CENTRE - 100, y, 200, drawn(stack.stem())), Shade::White);
    let clamp = drawn(stack.stem());
    it.solid(&rect(CENTRE - 130, y + clamp / 4, 40, clamp / 2), Shade::White);
    let middle = (CENTRE + 95, y + clamp / 2);
    labels.add(&mut it, middle, &known(say.stem(), stack.stem()));
    if let Some(above) = above {
        y = pieces(&mut it, say, &mut labels, y, &[above]);
    }
    let top = y;
    let cap_top = top - drawn(CAP);
    let cap =
        [(CENTRE - 85, top), (CENTRE + 85, top), (CENTRE + 75, cap_top), (CENTRE - 75, cap_top)];
    it.cut(&cap, Hatch::Rising);
    labels.add(&mut it, (CENTRE + 72, top - drawn(CAP) / 2), say.cap());
    steerer(&mut it, say, stack, top, (cover_top, bottom));
    check_bar(&mut it, say, bottom + 45);
    let mut drawing = it.finish(
        DrawingName::SpacerStack,
        (740, bottom + 105),
        say.spacer_stack_title(),
        say.spacer_stack_alt(),
    );
    drawing.true_scale = true;
    drawing.notes = stack.gap.as_ref().map(|it| notes(say, it)).unwrap_or_default();
    drawing
}

/// Draws spacers of one height on top of what stands there; returns their upper edge.
fn pieces(
    it: &mut Sketch,
    say: Language,
    labels: &mut Labels,
    bottom: i64,
    alike: &[Length],
) -> i64 {
    let mut top = bottom;
    for height in alike {
        top -= drawn(*height);
        it.solid(&rect(CENTRE - 85, top, 170, drawn(*height)), Shade::White);
    }
    if let Some(height) = alike.first() {
        let height = in_manner_of(say, &height.to_string());
        let words = match alike.len() {
            1 => format!("{} {height}", say.spacer()),
            count => format!("{count} × {} {height}", say.spacer()),
        };
        labels.add(it, (CENTRE + 85, (top + bottom) / 2), &words);
    }
    top
}

/// Draws the steerer through the stack, how far it stands above the cover, and how far its end lies
/// under the upper edge.
fn steerer(
    it: &mut Sketch,
    say: Language,
    stack: &SpacerStack,
    top: i64,
    (cover_top, bottom): (i64, i64),
) {
    let end = top + drawn(stack.gap.as_ref().map_or(GAP, CapGap::nominal));
    it.dashed((CENTRE - 71, end), (CENTRE - 71, bottom));
    it.dashed((CENTRE + 71, end), (CENTRE + 71, bottom));
    it.line(&[(CENTRE - 71, end), (CENTRE + 71, end)], BOLD);
    for edge in [top, end] {
        it.line(&[(CENTRE - 130, edge), (CENTRE - 85, edge)], FINE);
    }
    let x = CENTRE - 118;
    it.arrow((x, top - 60), (x, top)).arrow((x, end + 60), (x, end));
    let Some(gap) = &stack.gap else {
        it.strong((x + 10, top - 70), Anchor::End, say.gap_two_to_five());
        return;
    };
    let told = |length: Length| in_manner_of(say, &length.to_string());
    it.strong((x - 22, top - 46), Anchor::End, &told(gap.nominal()));
    it.label((x - 22, top - 14), Anchor::End, "(2–5)");
    let x = CENTRE - 150;
    it.line(&[(x - 10, end), (CENTRE - 130, end)], FINE);
    it.line(&[(x - 10, cover_top), (CENTRE - 90, cover_top)], FINE);
    it.measure((x, end), (x, cover_top));
    it.label((x - 8, (end + cover_top) / 2 + 9), Anchor::End, &told(gap.above_cover()));
}

fn check_bar(it: &mut Sketch, say: Language, y: i64) {
    let left = 120;
    it.line(&[(left, y), (left + BAR, y)], BOLD);
    for tenth in 0..=10 {
        let x = left + tenth * BAR / 10;
        let long = if tenth % 5 == 0 { 22 } else { 12 };
        it.line(&[(x, y), (x, y - long)], FINE);
    }
    it.label((left + BAR / 2, y + 36), Anchor::Middle, say.half_scale());
}

/// Returns a tolerance in whole tenths of a millimetre, never smaller than it is.
fn tenths_up(room: Length) -> Length {
    Length::from_micrometres((room.micrometres() + 99).div_euclid(100) * 100)
}

/// Returns how the height of the stack comes about, and what is free under the cap by it.
fn notes(say: Language, gap: &CapGap) -> Vec<String> {
    let bare = |length: Length| length.to_string().trim_end_matches(" mm").to_owned();
    let told = |length: Length| in_manner_of(say, &length.to_string());
    let heights: Vec<String> = gap.spacers.iter().map(|it| bare(*it)).collect();
    let sum = match heights.as_slice() {
        [] | [_] => gap.total().to_string(),
        several => format!("{} = {}", several.join(" + "), gap.total()),
    };
    let (above, stem) = (told(gap.above_cover()), told(gap.front.stem));
    let free = format!("{} − {} = {}", gap.total(), gap.exposure(), gap.nominal());
    let room = tenths_up(gap.room(gap.rule()));
    let (low, high) = (told(gap.nominal().less(room)), told(gap.nominal().plus(room)));
    let expected = match gap.rule() {
        ToleranceRule::Nominal => say.no_tolerances().to_owned(),
        ToleranceRule::WorstCase | ToleranceRule::RootSumSquare => {
            let worst = told(tenths_up(gap.room(ToleranceRule::WorstCase)));
            say.gap_expected(&low, &high, &worst)
        }
    };
    let mut notes = vec![
        say.spacer_sum(&in_manner_of(say, &sum)),
        say.steerer_exposed(&above, &stem, &told(gap.exposure())),
        say.free_under_cap(&in_manner_of(say, &free)),
        expected,
    ];
    if gap.finding().verdict != Verdict::Fits {
        notes.push(say.parts_do_not_fit().to_owned());
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::{FrontEnd, Tolerances};

    fn mm(it: i64) -> Length {
        Length::from_micrometres(it * 1_000)
    }

    fn check(spacers: &[i64], below: &[i64], above: Option<i64>) {
        let length = |it: &i64| mm(*it);
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
    fn the_check_bar_is_fifty_millimetres_long() {
        let drawing = draw(Language::En, &SpacerStack::default());
        let spans = drawing.shapes.iter().filter_map(|it| match it {
            super::super::Shape::Line { points, .. } => {
                let (first, last) = (points.first()?, points.last()?);
                (first.y_um == last.y_um).then_some((first.x_um - last.x_um).abs())
            }
            _ => None,
        });
        assert!(spans.into_iter().any(|it| it == 50_000));
    }

    #[test]
    fn the_notes_add_up_what_the_drawing_shows() {
        let tenth = Length::from_micrometres(100);
        let gap = CapGap {
            front: FrontEnd {
                head_tube: mm(115),
                lower_stack: mm(4),
                upper_stack: mm(9),
                stem: mm(40),
            },
            steerer: mm(195),
            spacers: vec![mm(20), mm(5), mm(3), mm(3)],
            tolerances: Tolerances { parts: vec![tenth.times(5)], spacer: tenth },
        };
        let stack = SpacerStack { spacers: gap.spacers.clone(), gap: Some(gap.clone()) };
        let words = |say| draw(say, &stack).notes.join("\n");
        insta::assert_snapshot!(words(Language::En), @"
        Spacers: 20 + 5 + 3 + 3 = 31 mm.
        The steerer ends 67 mm above the dust cover, which is 27 mm more than the stem's 40 mm.
        Free under the cap: 31 mm − 27 mm = 4 mm; wanted 2 to 5 mm.
        To be expected: 3.4 mm to 4.6 mm, tolerances added as root of squares (all at their worst: ± 0.9 mm). Outside 2 to 5 mm, stop and ask us.
        ");
        insta::assert_snapshot!(words(Language::De), @"
        Distanzringe: 20 + 5 + 3 + 3 = 31 mm.
        Der Gabelschaft endet 67 mm über der Abdeckung, das sind 27 mm mehr als die 40 mm des Vorbaus.
        Frei unter der Kappe: 31 mm − 27 mm = 4 mm; gewünscht 2 bis 5 mm.
        Zu erwarten: 3,4 mm bis 4,6 mm, Toleranzen als Wurzel der Quadrate addiert (alle am ungünstigsten: ± 0,9 mm). Außerhalb von 2 bis 5 mm: aufhören und uns fragen.
        ");
        let tall = CapGap { steerer: mm(199), ..gap };
        let stack = SpacerStack { spacers: tall.spacers.clone(), gap: Some(tall) };
        let notes = draw(Language::En, &stack).notes;
        assert_eq!(notes.last().unwrap(), Language::En.parts_do_not_fit());
    }
}
