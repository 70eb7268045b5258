//! Which way the bearings face.

use super::sketch::{BOLD, FINE, Hatch, Sketch, rect};
use super::{Anchor, Drawing, DrawingName, Shade};
use crate::domain::messages::Language;

const SIZE: (i64, i64) = (860, 460);

fn named(word: &str, part_number: &str) -> String {
    format!("{word} {part_number}").trim().to_owned()
}

/// Draws the axis, and the steerer as far as it is seen.
fn steerer(sketch: &mut Sketch, top: i64, bottom: i64) {
    sketch.area(&rect(60, top, 160, bottom - top), Shade::Pale);
    sketch.line(&[(220, top), (220, bottom)], BOLD);
    sketch.dashed((60, top), (60, bottom));
}

fn balls(sketch: &mut Sketch, centre: (i64, i64)) {
    sketch.circle(centre, 34, Shade::White);
}

pub(super) fn lower(say: Language, part_number: &str) -> Drawing {
    let mut it = Sketch::new();
    steerer(&mut it, 60, 350);
    it.cut(&[(410, 60), (520, 60), (520, 300), (470, 300), (470, 180), (410, 120)], Hatch::Rising);
    it.cut(
        &[(260, 120), (410, 120), (470, 180), (470, 300), (320, 300), (260, 240)],
        Hatch::Falling,
    );
    balls(&mut it, (365, 210));
    it.cut(&[(220, 240), (260, 240), (320, 300), (320, 350), (220, 350)], Hatch::Rising);
    it.solid(&[(60, 350), (540, 350), (540, 430), (60, 430)], Shade::Pale);
    it.arrow((330, 40), (330, 112));
    it.strong((340, 46), Anchor::Start, say.this_face_up());
    it.leader((570, 105), (500, 90), say.cup());
    it.leader((570, 225), (450, 215), &named(say.bearing(), part_number));
    it.leader((570, 325), (290, 320), say.crown_race());
    it.line(&[(470, 180), (410, 120)], BOLD + 250);
    it.line(&[(260, 240), (320, 300)], BOLD + 250);
    it.finish(DrawingName::LowerBearing, SIZE, say.lower_bearing_title(), say.lower_bearing_alt())
}

pub(super) fn upper(say: Language, part_number: &str) -> Drawing {
    let mut it = Sketch::new();
    steerer(&mut it, 90, 430);
    it.cut(
        &[(410, 430), (520, 430), (520, 230), (470, 230), (470, 330), (410, 390)],
        Hatch::Rising,
    );
    it.cut(
        &[(260, 390), (410, 390), (470, 330), (470, 210), (320, 210), (260, 270)],
        Hatch::Falling,
    );
    balls(&mut it, (365, 300));
    it.cut(&[(220, 170), (320, 170), (320, 210), (260, 270), (220, 270)], Hatch::Rising);
    it.solid(&[(220, 90), (500, 90), (540, 130), (540, 160), (520, 170), (220, 170)], Shade::Pale);
    it.arrow((395, 60), (395, 202));
    it.strong((390, 48), Anchor::Middle, say.this_face_up());
    it.leader((570, 135), (510, 130), say.dust_cover());
    it.leader((570, 215), (300, 200), say.split_ring());
    it.leader((570, 305), (450, 290), &named(say.bearing(), part_number));
    it.leader((570, 405), (500, 400), say.cup());
    it.line(&[(470, 330), (410, 390)], BOLD + 250);
    it.line(&[(320, 210), (260, 270)], BOLD + 250);
    it.line(&[(220, 60), (220, 90)], FINE);
    it.finish(DrawingName::UpperBearing, SIZE, say.upper_bearing_title(), say.upper_bearing_alt())
}
