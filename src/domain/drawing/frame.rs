//! Seat post, saddle, torsion arms and leashes.

use super::sketch::{BOLD, FINE, Hatch, Sketch, rect};
use super::{Anchor, Drawing, DrawingName, Shade};
use crate::domain::messages::Language;

const SIZE: (i64, i64) = (620, 420);

pub(super) fn torsion_arms(say: Language) -> Drawing {
    let mut it = Sketch::new();
    let tip = [(270, 60), (310, 12), (350, 60), (350, 410), (270, 410)];
    it.solid(&tip, Shade::White);
    it.solid(&rect(240, 130, 140, 170), Shade::Pale);
    for (out, side) in [(-1, say.left()), (1, say.right())] {
        let x = 310 + out * 70;
        let arm = [(x, 160), (x + out * 120, 190), (x + out * 120, 240), (x, 270)];
        it.solid(&arm, Shade::White);
        let bumper = if out < 0 { rect(x - 150, 180, 30, 70) } else { rect(x + 120, 180, 30, 70) };
        it.solid(&bumper, Shade::Ink);
        it.head((x + out * 60, 215), 24);
        it.strong((x + out * 75, 305), Anchor::Middle, side);
    }
    it.number((150, 130), "1").number((470, 130), "2").number((90, 130), "3");
    it.label((116, 140), Anchor::Middle, "+");
    it.line(&[(515, 330), (515, 250)], FINE);
    it.label((515, 360), Anchor::Middle, say.bumper());
    it.arrow((310, 118), (310, 66));
    it.strong((362, 34), Anchor::Start, say.front());
    it.finish(DrawingName::TorsionArms, SIZE, say.torsion_arms_title(), say.torsion_arms_alt())
}

pub(super) fn seat_post(say: Language) -> Drawing {
    let mut it = Sketch::new();
    // The tube's walls, the post within, and the top tube that joins at the right.
    it.solid(&[(330, 150), (560, 190), (560, 260), (330, 230)], Shade::Pale);
    it.cut(&rect(180, 110, 30, 290), Hatch::Rising);
    it.cut(&rect(300, 110, 30, 290), Hatch::Rising);
    it.solid(&rect(210, 15, 90, 295), Shade::Pale);
    it.solid(&rect(165, 105, 180, 40), Shade::White);
    it.line(&[(210, 190), (300, 190)], BOLD + 200);
    it.dashed((150, 230), (560, 230));
    it.arrow((345, 370), (345, 310));
    it.line(&[(300, 310), (380, 310)], FINE);
    it.leader((160, 185), (215, 190), say.min_mark());
    it.leader((160, 345), (215, 350), say.grease_here());
    it.label((618, 350), Anchor::End, say.below_this_edge());
    it.finish(DrawingName::SeatPost, SIZE, say.seat_post_title(), say.seat_post_alt())
}

pub(super) fn saddle_height(say: Language) -> Drawing {
    let mut it = Sketch::new();
    // Skis, frame and post seen from the side; the bar of the chair is cut.
    it.solid(&[(20, 395), (270, 395), (285, 385), (20, 385)], Shade::Pale);
    it.solid(&[(330, 395), (590, 395), (605, 380), (330, 385)], Shade::Pale);
    it.line(&[(150, 385), (230, 300), (430, 230), (470, 385)], BOLD);
    it.line(&[(230, 300), (190, 110)], BOLD + 300);
    it.line(&[(430, 230), (415, 160), (380, 150)], BOLD);
    it.solid(&[(120, 95), (250, 100), (265, 112), (130, 118)], Shade::Ink);
    it.circle((290, 310), 18, Shade::White);
    it.line(&[(278, 298), (302, 322)], FINE).line(&[(278, 322), (302, 298)], FINE);
    it.dashed((70, 95), (250, 95));
    it.dashed((70, 292), (300, 292));
    it.measure((90, 95), (90, 292));
    it.strong((20, 62), Anchor::Start, say.at_most_508());
    it.leader((490, 345), (306, 318), say.rest_point());
    it.finish(
        DrawingName::SaddleHeight,
        (680, 420),
        say.saddle_height_title(),
        say.saddle_height_alt(),
    )
}

pub(super) fn leash(say: Language) -> Drawing {
    let mut it = Sketch::new();
    it.solid(&[(30, 370), (560, 370), (595, 345), (600, 355), (570, 390), (30, 390)], Shade::Pale);
    it.solid(&rect(300, 250, 40, 120), Shade::White);
    it.solid(&rect(245, 225, 150, 30), Shade::White);
    it.solid(&rect(290, 40, 60, 185), Shade::Pale);
    it.solid(&rect(120, 358, 60, 12), Shade::Ink);
    it.solid(&rect(132, 330, 36, 28), Shade::White);
    it.curve([(150, 345), (20, 250), (120, 160), (210, 215)], BOLD + 250);
    it.curve([(210, 215), (250, 240), (240, 150), (278, 120)], BOLD + 250);
    it.circle((320, 110), 44, Shade::White);
    it.line(&[(278, 120), (290, 112)], BOLD);
    it.leader((225, 350), (176, 363), say.washer());
    it.label((20, 150), Anchor::Start, say.slack());
    it.arrow((75, 160), (105, 205));
    it.finish(DrawingName::Leash, SIZE, say.leash_title(), say.leash_alt())
}
