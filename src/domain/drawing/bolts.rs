//! Bolts: in which order, and what they go through.

use super::sketch::{FINE, Hatch, Sketch, rect};
use super::{Anchor, Drawing, DrawingName, Shade};
use crate::domain::messages::Language;

const SIZE: (i64, i64) = (620, 420);

/// Draws a slot between two halves, with a bolt across it at each given place, numbered from 1.
fn slotted(it: &mut Sketch, say: Language, places: [i64; 2]) {
    it.solid(&rect(170, 50, 130, 310), Shade::Pale);
    it.solid(&rect(320, 50, 130, 310), Shade::Pale);
    for (y, number) in places.into_iter().zip(["1", "2"]) {
        it.solid(&rect(120, y - 32, 50, 64), Shade::White);
        it.line(&[(120, y - 10), (170, y - 10)], FINE);
        it.line(&[(120, y + 10), (170, y + 10)], FINE);
        it.solid(&rect(300, y - 14, 20, 28), Shade::White);
        it.dashed((170, y - 14), (300, y - 14)).dashed((170, y + 14), (300, y + 14));
        it.dashed((320, y - 14), (430, y - 14)).dashed((320, y + 14), (430, y + 14));
        it.number((80, y), number);
    }
    for y in [40, 370] {
        it.line(&[(300, y - 20), (300, y + 20)], FINE).line(&[(320, y - 20), (320, y + 20)], FINE);
        it.arrow((250, y), (300, y)).arrow((370, y), (320, y));
        it.strong((382, y + 9), Anchor::Start, "=");
    }
    it.label((470, 215), Anchor::Start, say.equal_gap());
}

pub(super) fn stem(say: Language) -> Drawing {
    let mut it = Sketch::new();
    slotted(&mut it, say, [125, 285]);
    it.finish(DrawingName::StemBolts, SIZE, say.stem_bolts_title(), say.stem_bolts_alt())
}

pub(super) fn slip_joint(say: Language) -> Drawing {
    let mut it = Sketch::new();
    slotted(&mut it, say, [115, 295]);
    it.finish(DrawingName::SlipJoint, SIZE, say.slip_joint_title(), say.slip_joint_alt())
}

pub(super) fn cross(say: Language) -> Drawing {
    let mut it = Sketch::new();
    let corners = [(210, 120), (410, 320), (410, 120), (210, 320)];
    it.solid(&rect(150, 60, 320, 320), Shade::Pale);
    it.solid(&rect(255, 165, 110, 110), Shade::White);
    it.arrow((210, 120), (375, 285));
    it.arrow((410, 285), (410, 165));
    it.arrow((410, 120), (245, 285));
    for (corner, number) in corners.into_iter().zip(["1", "2", "3", "4"]) {
        it.head(corner, 36);
        let (x, y) = corner;
        let out = if x < 300 { x - 85 } else { x + 85 };
        it.number((out, y), number);
    }
    it.arrow((310, 48), (310, 8));
    it.strong((325, 36), Anchor::Start, say.front());
    it.measure((210, 395), (410, 395));
    it.label((420, 404), Anchor::Start, "40 mm");
    it.finish(DrawingName::CrossPattern, SIZE, say.cross_pattern_title(), say.cross_pattern_alt())
}

pub(super) fn peg(say: Language) -> Drawing {
    let mut it = Sketch::new();
    let axis = 210;
    it.cut(&rect(220, 120, 120, 180), Hatch::Rising);
    it.cut(&rect(340, 90, 60, 240), Hatch::Falling);
    it.solid(&rect(200, axis - 70, 20, 140), Shade::Ink);
    it.solid(&rect(400, axis - 70, 20, 140), Shade::Ink);
    it.solid(&rect(120, axis - 55, 80, 110), Shade::White);
    it.solid(&rect(120, axis - 28, 40, 56), Shade::Pale);
    it.solid(&rect(420, axis - 60, 70, 120), Shade::White);
    it.solid(&rect(220, axis - 35, 200, 70), Shade::White);
    it.solid(&rect(490, axis - 35, 40, 70), Shade::White);
    it.dashed((80, axis), (580, axis));
    it.leader((150, 62), (210, 150), say.washer());
    it.leader((470, 62), (410, 150), say.washer());
    it.leader((195, 390), (270, 285), say.peg());
    it.leader((430, 390), (372, 320), say.bracket());
    it.leader((540, 310), (460, 262), say.nut());
    it.finish(DrawingName::PegBolt, SIZE, say.peg_bolt_title(), say.peg_bolt_alt())
}
