//! Simple drawings of our own: shapes computed from parameters, for paper and screen alike.
//!
//! Lengths are micrometres from the drawing's top left corner, x to the right and y down. Only
//! lines, filled areas and words come out, in three greys at most, so that any printer shows them.

mod bearing;
mod bolts;
mod frame;
mod name;
mod shape;
mod sketch;
mod ski;
mod stack;

pub use name::{DrawingName, UnknownDrawing};
pub use shape::{Anchor, Drawing, Point, Shade, Shape};
pub use ski::SkiBolt;
pub use stack::SpacerStack;

use crate::domain::messages::Language;

/// What the drawings of one kit show of its own parts.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct DrawingFacts {
    /// The language of the labels.
    pub language: Language,
    /// The part number of the lower bearing; empty where it is not known.
    pub lower_bearing: String,
    /// The part number of the upper bearing; empty where it is not known.
    pub upper_bearing: String,
    /// The spacers, dust cover and stem on the steerer.
    pub stack: SpacerStack,
    /// The ski bolt and what it goes through.
    pub ski_bolt: SkiBolt,
}

/// Returns the drawing of that name for a kit.
pub fn draw(name: DrawingName, facts: &DrawingFacts) -> Drawing {
    let say = facts.language;
    match name {
        DrawingName::LowerBearing => bearing::lower(say, &facts.lower_bearing),
        DrawingName::UpperBearing => bearing::upper(say, &facts.upper_bearing),
        DrawingName::SpacerStack => stack::draw(say, &facts.stack),
        DrawingName::StemBolts => bolts::stem(say),
        DrawingName::CrossPattern => bolts::cross(say),
        DrawingName::SkiBolt => ski::draw(say, &facts.ski_bolt),
        DrawingName::PegBolt => bolts::peg(say),
        DrawingName::SlipJoint => bolts::slip_joint(say),
        DrawingName::TorsionArms => frame::torsion_arms(say),
        DrawingName::SeatPost => frame::seat_post(say),
        DrawingName::SaddleHeight => frame::saddle_height(say),
        DrawingName::Leash => frame::leash(say),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_drawing_stays_inside_its_edges_in_each_language() {
        for language in Language::ALL {
            let facts = DrawingFacts { language, ..DrawingFacts::default() };
            for name in DrawingName::ALL {
                let drawing = draw(name, &facts);
                assert!(!drawing.alt.is_empty() && !drawing.title.is_empty());
                for point in drawing.shapes.iter().flat_map(Shape::points) {
                    let inside = (0..=drawing.width_um).contains(&point.x_um)
                        && (0..=drawing.height_um).contains(&point.y_um);
                    assert!(inside, "{name} in {language}: {point:?} is outside");
                }
            }
        }
    }

    #[test]
    fn a_drawing_is_read_back_by_its_name() {
        for name in DrawingName::ALL {
            assert_eq!(name.as_str().parse(), Ok(name));
        }
        assert_eq!("bicycle".parse::<DrawingName>(), Err(UnknownDrawing("bicycle".to_owned())));
    }
}
