//! The ski bolt, and what it goes through.

use super::sketch::{BOLD, FINE, Hatch, Sketch, rect};
use super::{Anchor, Drawing, DrawingName, Shade};
use crate::domain::fit::ScrewStack;
use crate::domain::messages::{Language, in_manner_of};
use crate::units::Length;

/// The ski bolt of a kit; what is not known is drawn, and not written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SkiBolt {
    /// Its thread, "M6".
    pub thread: String,
    /// Its length under the head.
    pub length: Option<Length>,
    /// Each way in which the kit's parts put it together, the deepest first.
    pub screws: Vec<ScrewStack>,
}

/// What is drawn where nothing is known.
const USUAL: ScrewStack = ScrewStack {
    length: Length::from_micrometres(14_000),
    plate: Length::from_micrometres(5_000),
    washer: Length::from_micrometres(1_600),
    riser: Length::ZERO,
    least: Length::from_micrometres(6_000),
    depth: Length::from_micrometres(7_500),
};
const TOP: i64 = 90;
const X: i64 = 210;
const LABELS: i64 = 470;
/// The height that bolt and insert are drawn in, in tenths of a millimetre.
const ROOM: i64 = 320;
/// What is seen to stay free below the bolt, however little it is.
const LEAST_SEEN: i64 = 12;

/// The heights at which one thing ends and the next begins, from above.
struct Levels {
    washer: i64,
    plate: i64,
    insert: i64,
    bolt_end: i64,
    insert_end: i64,
}

impl Levels {
    fn of(it: &ScrewStack) -> Self {
        let longest = it.length.max(it.length.plus(it.room())).micrometres().max(1);
        let drawn = |length: Length| length.micrometres() * ROOM / longest;
        let washer = TOP + drawn(it.washer);
        let plate = washer + drawn(it.plate);
        let insert = plate + drawn(it.riser);
        let bolt_end = TOP + drawn(it.length);
        let insert_end = insert + drawn(it.depth);
        let insert_end = match Length::ZERO <= it.room() {
            true => insert_end.max(bolt_end + LEAST_SEEN),
            false => insert_end,
        };
        Self { washer, plate, insert, bolt_end, insert_end }
    }
}

pub(super) fn draw(say: Language, bolt: &SkiBolt) -> Drawing {
    let mut it = Sketch::new();
    let known = bolt.screws.first();
    let screw = known.unwrap_or(&USUAL);
    let at = Levels::of(screw);
    around(&mut it, screw, &at);
    let told = |length: Length| in_manner_of(say, &length.to_string());
    let named = |word: &str, length: Length| match known {
        Some(_) => format!("{word} {}", told(length)),
        None => word.to_owned(),
    };
    let washer = (at.washer + TOP) / 2;
    if Length::ZERO < screw.washer {
        it.leader((LABELS, washer - 10), (X + 115, washer), &named(say.washer(), screw.washer));
    }
    let plate = (at.plate + at.washer) / 2;
    it.leader((LABELS, plate + 10), (410, plate), &named(say.plate(), screw.plate));
    if Length::ZERO < screw.riser {
        let riser = (at.insert + at.plate) / 2;
        it.leader((LABELS, riser + 30), (400, riser), &named(say.riser(), screw.riser));
    }
    let insert = (at.insert + at.insert_end) / 2;
    it.leader((LABELS, insert + 10), (X + 70, insert), &named(say.insert(), screw.depth));
    let free = (at.bolt_end + at.insert_end) / 2;
    if Length::ZERO <= screw.room() {
        let words = match known {
            Some(_) => format!("{} {}", told(screw.room()), say.does_not_touch()),
            None => say.does_not_touch().to_owned(),
        };
        it.leader((LABELS, at.insert_end + 30), (X + 10, free), &words);
    }
    if known.is_some() {
        it.line(&[(X - 100, at.bolt_end), (X - 34, at.bolt_end)], FINE);
        it.measure((X - 100, at.insert), (X - 100, at.bolt_end));
        let middle = (at.insert + at.bolt_end) / 2 + 9;
        it.strong((X - 112, middle), Anchor::End, &told(screw.reach()));
    }
    let length = bolt.length.map(|it| format!("{} × {}", bolt.thread, told(it)));
    it.strong((X, 22), Anchor::Middle, length.as_deref().unwrap_or(&bolt.thread));
    let size = (760, at.insert_end + 50);
    let mut drawing =
        it.finish(DrawingName::SkiBolt, size, say.ski_bolt_title(), say.ski_bolt_alt());
    drawing.notes = notes(say, &bolt.screws);
    drawing
}

/// Draws bolt, washer, plate, riser and insert.
fn around(it: &mut Sketch, screw: &ScrewStack, at: &Levels) {
    let (left, right) = (X - 34, X + 34);
    it.solid(&rect(20, at.insert, 400, at.insert_end + 40 - at.insert), Shade::Pale);
    for (from, to) in [(20, left), (right, 420)] {
        it.cut(
            &[(from, at.washer), (to, at.washer), (to, at.plate), (from, at.plate)],
            Hatch::Rising,
        );
        if at.plate < at.insert {
            it.solid(
                &[(from, at.plate), (to, at.plate), (to, at.insert), (from, at.insert)],
                Shade::White,
            );
        }
    }
    let deep = at.insert_end - at.insert;
    it.cut(&rect(X - 80, at.insert, 50, deep), Hatch::Falling);
    it.cut(&rect(X + 30, at.insert, 50, deep), Hatch::Falling);
    it.solid(&rect(X - 30, at.insert, 60, deep), Shade::White);
    it.line(&[(X - 80, at.insert_end), (X + 80, at.insert_end)], BOLD);
    if Length::ZERO < screw.washer {
        it.cut(&rect(X - 120, TOP, 240, at.washer - TOP), Hatch::Falling);
    }
    it.solid(&rect(X - 30, TOP, 60, at.bolt_end - TOP), Shade::White);
    let mut y = at.washer + 28;
    while y + 8 < at.bolt_end {
        it.line(&[(X - 30, y), (X + 30, y + 8)], FINE);
        y += 20;
    }
    it.solid(&rect(X - 80, TOP - 60, 160, 60), Shade::White);
    it.solid(&rect(X - 25, TOP - 60, 50, 35), Shade::Pale);
}

/// Returns how far the bolt reaches, by what it goes through, and what is free below it.
fn notes(say: Language, screws: &[ScrewStack]) -> Vec<String> {
    let mut notes = Vec::new();
    for it in screws {
        let told = |length: Length| in_manner_of(say, &length.to_string());
        let layers = [(it.washer, say.washer()), (it.riser, say.riser()), (it.plate, say.plate())];
        let layers = layers.into_iter().filter(|(length, _)| Length::ZERO < *length);
        let sum: String = layers.map(|(length, word)| format!(" − {length} ({word})")).collect();
        let sum = format!("{}{sum} = {}", it.length, it.reach());
        notes.push(say.in_the_insert(&in_manner_of(say, &sum)));
        if it.fits() {
            notes.push(say.before_bottom(&told(it.least), &told(it.depth), &told(it.room())));
        } else {
            notes.push(say.parts_do_not_fit().to_owned());
        }
    }
    notes.dedup();
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_notes_say_what_the_bolt_goes_through_and_what_is_free_below_it() {
        let words = |say, screws: &[ScrewStack]| notes(say, screws).join("\n");
        insta::assert_snapshot!(words(Language::En, &[USUAL]), @"
        In the insert: 14 mm − 1.6 mm (washer) − 5 mm (plate) = 7.4 mm.
        At least 6 mm must be in; the insert can be used to 7.5 mm, so 0.1 mm is left before the screw bottoms out.
        ");
        insta::assert_snapshot!(words(Language::De, &[USUAL]), @"
        Im Gewindeeinsatz: 14 mm − 1,6 mm (Scheibe) − 5 mm (Platte) = 7,4 mm.
        Mindestens 6 mm müssen greifen; der Einsatz ist bis 7,5 mm nutzbar, also bleiben 0,1 mm, bevor die Schraube am Grund aufsitzt.
        ");
        let bare = ScrewStack { washer: Length::ZERO, ..USUAL };
        insta::assert_snapshot!(words(Language::En, &[bare]), @"
        In the insert: 14 mm − 5 mm (plate) = 9 mm.
        These parts do not fit each other: stop here and ask us.
        ");
        assert_eq!(words(Language::En, &[]), "");
    }

    #[test]
    fn a_bolt_that_fits_is_seen_to_end_above_the_bottom() {
        let at = Levels::of(&USUAL);
        assert!(at.bolt_end < at.insert_end);
        let long = ScrewStack { length: Length::from_micrometres(16_000), ..USUAL };
        let at = Levels::of(&long);
        assert!(at.insert_end < at.bolt_end);
    }
}
