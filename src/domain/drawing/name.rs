use std::fmt;
use std::str::FromStr;

/// The drawings that a step may show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DrawingName {
    /// Which way the lower bearing's chamfers face.
    LowerBearing,
    /// Which way the upper bearing and its split ring face.
    UpperBearing,
    /// Spacers, stem and cap at true scale, with the gap under the cap.
    SpacerStack,
    /// Two stem bolts in turns.
    StemBolts,
    /// Four bolts crosswise.
    CrossPattern,
    /// How far a ski bolt reaches into its insert.
    SkiBolt,
    /// Washers on both sides of the peg bolt.
    PegBolt,
    /// Two pinch bolts with equal gaps.
    SlipJoint,
    /// Left and right arms with their bumpers.
    TorsionArms,
    /// How deep the seat post must reach.
    SeatPost,
    /// How high the saddle may stand on a lift.
    SaddleHeight,
    /// How the leash runs.
    Leash,
}

impl DrawingName {
    /// Every drawing.
    pub const ALL: [Self; 12] = [
        Self::LowerBearing,
        Self::UpperBearing,
        Self::SpacerStack,
        Self::StemBolts,
        Self::CrossPattern,
        Self::SkiBolt,
        Self::PegBolt,
        Self::SlipJoint,
        Self::TorsionArms,
        Self::SeatPost,
        Self::SaddleHeight,
        Self::Leash,
    ];

    /// Returns the word that files and the database hold.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::LowerBearing => "lower-bearing",
            Self::UpperBearing => "upper-bearing",
            Self::SpacerStack => "spacer-stack",
            Self::StemBolts => "stem-bolts",
            Self::CrossPattern => "cross-pattern",
            Self::SkiBolt => "ski-bolt",
            Self::PegBolt => "peg-bolt",
            Self::SlipJoint => "slip-joint",
            Self::TorsionArms => "torsion-arms",
            Self::SeatPost => "seat-post",
            Self::SaddleHeight => "saddle-height",
            Self::Leash => "leash",
        }
    }
}

impl fmt::Display for DrawingName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A word that names no drawing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no drawing '{0}': write one of {list}", list = names())]
pub struct UnknownDrawing(pub String);

fn names() -> String {
    DrawingName::ALL.map(DrawingName::as_str).join(", ")
}

impl FromStr for DrawingName {
    type Err = UnknownDrawing;

    fn from_str(text: &str) -> Result<Self, UnknownDrawing> {
        let known = Self::ALL.into_iter().find(|it| it.as_str() == text);
        known.ok_or_else(|| UnknownDrawing(text.to_owned()))
    }
}
