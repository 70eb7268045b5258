//! Bolts: in which order, and what they go through.

use super::sketch::{BOLD, FINE, Hatch, Sketch, rect};
use super::{Anchor, Drawing, DrawingName, Shade};
use crate::domain::messages::{Language, in_manner_of};
use crate::units::Length;

const SIZE: (i64, i64) = (620, 420);

/// The ski bolt and what it goes through; a length that is not known is drawn, and not written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SkiBolt {
    /// The bolt's length under its head.
    pub length: Option<Length>,
    /// How far it reaches into the insert.
    pub engagement: Option<Length>,
    /// How deep the insert may be used.
    pub depth: Option<Length>,
}

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

pub(super) fn ski(say: Language, bolt: &SkiBolt) -> Drawing {
    let mut it = Sketch::new();
    // Drawn at twice the size: washer 1.6, plate 5, insert 7.5 deep, bolt 14.
    let (x, top) = (210, 90);
    let (washer, plate) = (top + 32, top + 132);
    it.solid(&rect(20, plate, 400, 195), Shade::Pale);
    it.cut(&[(20, washer), (x - 34, washer), (x - 34, plate), (20, plate)], Hatch::Rising);
    it.cut(&[(x + 34, washer), (420, washer), (420, plate), (x + 34, plate)], Hatch::Rising);
    let insert_left =
        [(x - 80, plate), (x - 30, plate), (x - 30, plate + 160), (x - 80, plate + 160)];
    let insert_right =
        [(x + 30, plate), (x + 80, plate), (x + 80, plate + 160), (x + 30, plate + 160)];
    it.cut(&insert_left, Hatch::Falling).cut(&insert_right, Hatch::Falling);
    it.solid(&rect(x - 30, plate, 60, 160), Shade::White);
    it.line(&[(x - 80, plate + 160), (x + 80, plate + 160)], BOLD);
    it.cut(&rect(x - 120, top, 240, 32), Hatch::Falling);
    it.solid(&rect(x - 30, top, 60, 280), Shade::White);
    for turn in 0..11 {
        let y = top + 60 + turn * 20;
        it.line(&[(x - 30, y), (x + 30, y + 8)], FINE);
    }
    it.solid(&rect(x - 80, top - 60, 160, 60), Shade::White);
    it.solid(&rect(x - 25, top - 60, 50, 35), Shade::Pale);
    it.leader((470, 75), (x + 115, top + 16), say.washer());
    it.leader((470, 165), (410, top + 85), say.plate());
    it.leader((470, 260), (x + 70, plate + 60), say.insert());
    it.leader((470, 400), (x + 10, plate + 154), say.does_not_touch());
    let told = |length: Option<Length>| {
        length.map(|it| in_manner_of(say, &it.to_string())).unwrap_or_default()
    };
    it.line(&[(x - 100, top + 280), (x - 34, top + 280)], FINE);
    it.measure((x - 100, plate), (x - 100, top + 280));
    it.strong((x - 112, plate + 85), Anchor::End, &told(bolt.engagement));
    let size = bolt.length.map(|it| format!("M6 × {}", in_manner_of(say, &it.to_string())));
    it.strong((x, 22), Anchor::Middle, size.as_deref().unwrap_or("M6"));
    if bolt.depth.is_some() {
        it.label((x, plate + 190), Anchor::Middle, &told(bolt.depth));
    }
    it.finish(DrawingName::SkiBolt, SIZE, say.ski_bolt_title(), say.ski_bolt_alt())
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
